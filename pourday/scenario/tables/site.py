"""The tables of the site as the user writes them: supply, pumps, crews, upsets, plans."""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, field_validator

from pourday.scenario.base.distribution import Distribution, parse
from pourday.scenario.base.quantities import (
    Clock,
    Minutes,
    Pair,
    Place,
    Price,
    Share,
    Table,
    quantity,
)

# Floors of rates and intervals keep a day finite. They are chosen here, no source: what lies below
# is no pour that a person would plan, but a slip of the keyboard or of the unit.
# Six minutes: what fails more often than that never runs.
Hours = Annotated[float, Field(ge=0.1, le=100000)]
People = Annotated[int, Field(ge=0, le=60)]


class PlantTable(Table):
    """A plant, its trucks, its road to the site, and what else it does."""

    name: str
    trucks: Annotated[int, Field(ge=1, le=200)]
    # A site mixer of one bag makes about a cubic metre an hour.
    batch_m3_h: Annotated[float, Field(ge=0.5, le=100000)]
    travel_min: Minutes
    back_min: Minutes | None = None
    opens: Clock = 0.0
    closes: Clock | None = None
    load_m3: Annotated[float, Field(ge=0.5, le=15)] | None = None
    # Two loads a minute: more than several large plants together.
    others_every_min: Annotated[float, Field(ge=0.5, le=100000)] | None = None
    others_m3: Annotated[float, Field(ge=0.1, le=15)] = 6.0


class RushHour(Table):
    """Hours in which every trip takes longer."""

    begins: Clock
    ends: Clock
    factor: Annotated[float, Field(ge=1, le=10)]


DEFAULT_AGE_RULE = "astm_c94"


class SupplyTable(Table):
    """How concrete is called and carried."""

    plants: list[PlantTable] = Field(min_length=1)
    load_m3: Annotated[float, Field(ge=0.5, le=15)]
    smallest_load_m3: Annotated[float, Field(ge=0.1, le=15)] = 1.0
    # Ten litres: finer than any plant weighs.
    load_step_m3: Annotated[float, Field(ge=0.01, le=1)] = 0.25
    margin_m3: Annotated[float, Field(ge=0, le=10)] = 0.5
    age_rule: Literal["astm_c94", "bs_8500", "jass_5"] | None = None
    age_limit_min: Annotated[float, Field(ge=20, le=100000)] | None = None
    finish_begun_min: Annotated[float, Field(ge=0, le=120)] = 15.0
    discharge_min: Annotated[Distribution, quantity(0.0, 240.0)] = parse(8.0)
    rush_hours: list[RushHour] = []


class Break(Table):
    """A break of the crews."""

    at: Clock | None = None
    every_h: Annotated[float, Field(ge=0.5, le=24)] | None = None
    length_min: Annotated[float, Field(gt=0, le=240)]


class SetUpTable(Table):
    """A place where a pump or crane can stand, and where its skip is filled."""

    name: Annotated[str, Field(min_length=1, max_length=24)]
    x_m: Place
    y_m: Place
    loading_m: Pair | None = None


class SiteTable(Table):
    """Room for trucks, times at the site, hours, and rules of the work."""

    positions: Annotated[int, Field(ge=1, le=10)] = 2
    holding_places: Annotated[int, Field(ge=0, le=1000000)] = 2
    # Half a minute: nobody turns a truck mixer sooner.
    round_the_block_min: Annotated[Distribution, quantity(0.5, 600.0)] | None = None
    gate_min: Minutes = parse(1.0)
    position_min: Minutes = parse(3.0)
    test_min: Minutes = parse(2.0)
    tests_first: Annotated[int, Field(ge=0, le=1000)] = 3
    test_every: Annotated[int, Field(ge=1, le=1000)] = 5
    samples_per_m3: Annotated[float, Field(gt=0, le=1)] | None = None
    change_min: Minutes = parse(1.0)
    wash_min: Minutes = parse(8.0)
    set_ups: list[SetUpTable] = []
    floor_height_m: Annotated[float, Field(ge=-20, le=500)] = 0.0
    breaks: list[Break] = []
    late_by_min: Annotated[float, Field(ge=0, le=240)] = 20.0
    early_min: Annotated[float, Field(ge=0, le=240)] = 45.0
    longest_without_break_h: Annotated[float, Field(ge=1, le=24)] = 6.0
    curfew: Clock | None = None
    curfew_ends: Clock | None = None
    curfew_for: Literal["pump", "all"] = "pump"
    stop_rain_mm_h: Annotated[float, Field(ge=0, le=200)] = 1.0
    cover_min: Minutes = parse(10.0)
    uncover_min: Minutes = parse(10.0)
    working_zone_m: Annotated[float, Field(ge=0.2, le=10)] = 1.0
    crews_apart_m: Annotated[float, Field(ge=0.2, le=30)] = 3.0
    heat_slows: bool = False
    heat_from_C: Annotated[float, Field(ge=10, le=50)] = 28.0
    heat_loss_share_per_C: Annotated[float, Field(ge=0, le=0.2)] = 0.02
    days_between_pours: Annotated[int, Field(ge=1, le=60)] = 1

    @field_validator("round_the_block_min", mode="before")
    @classmethod
    def _nowhere_to_go(cls, raw: object) -> object:
        """0 min is the same as leaving it out: a truck waits on the road."""
        return None if raw == 0 and not isinstance(raw, bool) else raw


class PumpTable(Table):
    """A means of placing: boom, line pump, or crane with skip."""

    preset: str | None = None
    means: Literal["boom", "line", "skip"] = "boom"
    output_m3_h: Annotated[Distribution, quantity(0.5, 200000.0)]
    setup_min: Minutes = parse(30.0)
    prime_min: Minutes = parse(10.0)
    reach_m: Annotated[float, Field(gt=1, le=200)] | None = None
    reset_min: Minutes = parse(45.0)
    hopper_m3: Annotated[float, Field(ge=0, le=10)] = 0.0
    line_length_m: Annotated[float, Field(ge=0, le=400)] = 0.0
    line_content_m3_per_m: Annotated[float, Field(ge=0, le=0.05)] = 0.0
    output_loss_per_100m: Annotated[float, Field(ge=0, le=1)] = 0.0
    output_loss_per_10m_height: Annotated[float, Field(ge=0, le=1)] = 0.0
    pipe_length_m: Annotated[float, Field(ge=0.5, le=12)] = 3.0
    pipe_change_min: Minutes = parse(1.5)
    pipe_kN_m: Annotated[float, Field(ge=0, le=5)] | None = None
    skip_m3: Annotated[float, Field(ge=0.1, le=6)] | None = None
    skip_fill_min: Minutes = parse(1.0)
    skip_empty_min: Minutes = parse(1.0)
    hoist_m_min: Annotated[float, Field(gt=1, le=300)] = 40.0
    slew_rpm: Annotated[float, Field(gt=0.05, le=3)] = 0.6
    skip_landing_kN: Annotated[float, Field(ge=0, le=100)] | None = None
    # Half a minute: no hook is sent up twice in it.
    other_lifts_every_min: Annotated[float, Field(ge=0.5, le=100000)] | None = None
    other_lift_min: Minutes = parse(6.0)
    move_min: Minutes = parse(2.0)
    walk_min_per_m: Annotated[float, Field(ge=0, le=10)] = 0.0
    between_blockages_h: Hours | None = None
    stand_free_min: Annotated[float, Field(ge=0, le=600)] = 20.0
    # A minute: concrete that stands no longer than that flows on.
    stand_to_block_min: Annotated[float, Field(ge=1, le=100000)] | None = None
    longest_stand_min: Annotated[float, Field(ge=1, le=1000)] | None = None
    blockage_min: Minutes = parse(20.0)
    wash_out_min: Minutes = parse(30.0)
    release_height_mm: Annotated[float, Field(ge=0, le=3000)] = 300.0
    call_out: Price = 0.0
    hire_per_h: Price = 0.0
    pumped_per_m3: Price = 0.0
    hire_least_h: Annotated[float, Field(ge=0, le=24)] = 0.0
    priming_charge: Price = 0.0
    pipe_free_m: Annotated[float, Field(ge=0, le=400)] = 0.0
    extra_pipe_per_m: Price = 0.0
    standing_free_min: Annotated[float, Field(ge=0, le=600)] = 0.0
    standing_per_h: Price = 0.0


class RolesTable(Table):
    """How many placers each job needs; together they are the full crew of placers."""

    hose: Annotated[int, Field(ge=1, le=60)] = 1
    vibrator: Annotated[int, Field(ge=1, le=60)] = 1
    rakers: People = 0
    screed: People = 0
    foreman: People = 0


class CrewTable(Table):
    """People who place and finish."""

    preset: str | None = None
    placers: Annotated[int, Field(ge=1, le=60)]
    roles: RolesTable | None = None
    # Two barrows an hour.
    rate_per_placer_m3_h: Annotated[float, Field(ge=0.1, le=10000)]
    rate_when_short: list[Share] = []
    most_in_zone: Annotated[int, Field(ge=1, le=60)] | None = None
    breaks_taken: Literal["in_turn", "together", "after_pour"] = "in_turn"
    # A square metre an hour; a metre of strip in it.
    screed_m2_h: Annotated[float, Field(ge=1, le=1000000)] | None = None
    front_speed_m_min: Annotated[float, Field(ge=0.015, le=100000)] | None = None
    pokers: Annotated[int, Field(ge=0, le=20)] | None = None
    poker_mm: Annotated[float, Field(ge=20, le=180)] = 50.0
    vibrating_beam: bool = False
    finishers: Annotated[int, Field(ge=0, le=60)] = 2
    others: Annotated[int, Field(ge=0, le=60)] = 1


class UpsetsTable(Table):
    """What goes wrong: at clock times of your own, and drawn from mean times between."""

    given: list[str] = []
    plant_stop_every_h: Hours | None = None
    plant_stop_min: Minutes = parse(30.0)
    truck_broken_every_h: Hours | None = None
    truck_broken_min: Minutes = parse(45.0)
    road_closed_every_h: Hours | None = None
    road_closed_min: Minutes = parse(30.0)
    pump_down_every_h: Hours | None = None
    pump_down_min: Minutes = parse(45.0)
    crane_lost_every_h: Hours | None = None
    crane_lost_min: Minutes = parse(45.0)
    absent_share: Share = 0.0


class StageTable(Table):
    """Spacing of the loads until this share of the concrete is called."""

    until_share: Annotated[float, Field(gt=0, le=1)]
    spacing_min: Annotated[Distribution, quantity(0.0, 240.0)]


class FrontTable(Table):
    """One more pump and crew that place at the same time, in bays of their own."""

    pump: str
    crew: str
    bays: list[str] = []
    set_ups: list[str] = []
    plants: list[str] = []
    spacing_min: Annotated[Distribution, quantity(0.0, 240.0)] | None = None
    start: Clock | None = None


class PlanTable(Table):
    """One choice of pump, spacing, crew, order and start."""

    name: Annotated[str, Field(min_length=1, max_length=24)]
    pump: str
    crew: str
    spacing_min: Annotated[Distribution, quantity(0.0, 240.0)]
    start: Clock
    order: Literal["thirds", "spread", "across", "listed"] = "thirds"
    fraction: Annotated[float, Field(ge=0.1, le=0.45)] = 1 / 3
    strip_width_m: Annotated[float, Field(gt=0.2, le=12)] | None = None
    least_strip_m: Annotated[float, Field(ge=0, le=3)] = 1.2
    band_m: Annotated[float, Field(ge=0.5, le=12)] = 2.0
    pour_width_m: Annotated[float, Field(gt=0.5, le=200)] | None = None
    strike: Literal["datum", "pins", "guides", "thickness"] | None = None
    strike_lag_m: Annotated[float, Field(ge=0, le=20)] = 2.0
    cut: Literal["thirds", "spread", "across"] = "thirds"
    sequence: list[str] | None = None
    place_before: list[Annotated[list[str], Field(min_length=2, max_length=2)]] = []
    begin_at: Literal["low_x", "high_x"] | None = None
    begin_y: Literal["low_y", "high_y"] | None = None
    lanes: Literal["side_by_side", "one_after_another"] = "side_by_side"
    alternate: bool = True
    bays: list[str] = []
    set_ups: list[str] = []
    plants: list[str] = []
    fronts: list[FrontTable] = []
    stages: list[StageTable] = []
    trucks: Annotated[int, Field(ge=1, le=500)] | None = None
    load_m3: Annotated[float, Field(ge=0.5, le=15)] | None = None
    most_on_site: Annotated[int, Field(ge=1, le=1000)] | None = None
    hold_back_at: Annotated[int, Field(ge=1, le=100)] | None = None
    standby_after_min: Annotated[float, Field(ge=0, le=600)] | None = None
    standby_call_out: Price = 0.0
