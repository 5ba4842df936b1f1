"""The tables of a scenario file as the user writes them, units in the key names.

Each table is a frozen pydantic model that refuses unknown keys. The limits stand beside the
keys, so that messages and docs can print them; nothing here computes.
"""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from pourday.scenario.distribution import Distribution, lowest_and_highest, parse

CLOCK = 'a clock time such as "06:30" (24 h; "25:00" is 1 am)'
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


@dataclass(frozen=True)
class Within:
    """Reads a number or a distribution whose values stay within low..high (unit of the key)."""

    low: float
    high: float

    def __call__(self, raw: object) -> Distribution:
        """The quantity; pydantic error "quantity" or "outside" where it does not fit."""
        try:
            quantity = parse(raw, self.low, self.high)
        except ValueError as fault:
            raise PydanticCustomError("quantity", "{advice}", {"advice": str(fault)}) from None
        least, most = lowest_and_highest(quantity)
        if least < self.low or most > self.high:
            context = {"low": self.low, "high": self.high}
            raise PydanticCustomError("outside", "{low} {high}", context)
        return quantity


def _quantity(low: float, high: float) -> BeforeValidator:
    """Validator of a quantity; ``Within`` stands in it for messages to read."""
    return BeforeValidator(Within(low, high))


def _clock(raw: object) -> float:
    """Clock time "HH:MM" as seconds since midnight."""
    match = _CLOCK.fullmatch(raw) if isinstance(raw, str) else None
    if not match or int(match[1]) > 47 or int(match[2]) > 59:
        raise PydanticCustomError("clock", "{allowed}", {"allowed": CLOCK})
    return int(match[1]) * 3600.0 + int(match[2]) * 60.0


Clock = Annotated[float, BeforeValidator(_clock)]
Minutes = Annotated[Distribution, _quantity(0.0, 600.0)]
Share = Annotated[float, Field(ge=0, le=1)]
Place = Annotated[float, Field(ge=-1000, le=1000)]
Price = Annotated[float, Field(ge=0, le=1e9)]
Pair = Annotated[list[Place], Field(min_length=2, max_length=2)]


class Table(BaseModel):
    """What all tables share: frozen, no unknown keys, nothing converted in silence."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, arbitrary_types_allowed=True
    )


class Opening(Table):
    """A hole in the floor (stair, lift, shaft): a rectangle that takes no concrete."""

    name: str = "opening"
    x_m: Pair
    y_m: Pair


class FloorTable(Table):
    """Where the deck rests, how the sheets run, and where the floor ends."""

    supports_m: list[Place] | None = Field(default=None, min_length=2)
    spans_m: list[Annotated[float, Field(gt=0.3, le=12)]] | None = Field(default=None, min_length=1)
    sheet_runs: list[Annotated[int, Field(ge=1, le=8)]] = Field(min_length=1)
    length_y_m: Annotated[float, Field(gt=0.5, le=300)]
    primary_beams_y_m: list[Place] = []
    openings: list[Opening] = []
    low_x_end: Literal["edge", "joint"] = "edge"
    high_x_end: Literal["edge", "joint"] = "edge"
    stop_ends_x_m: list[Place] = []


class DeckTable(Table):
    """Stiffness and resistances of the deck per metre width, from the supplier's tables."""

    bending_stiffness_kNm2_per_m: Annotated[float, Field(gt=1, le=5000)]
    sag_moment_resistance_kNm_per_m: Annotated[float, Field(gt=0.1, le=200)]
    hog_moment_resistance_kNm_per_m: Annotated[float, Field(gt=0.1, le=200)]
    reaction_resistance_kN_per_m: Annotated[float, Field(gt=0.5, le=500)]
    self_weight_kN_m2: Annotated[float, Field(ge=0, le=1)] = 0.12
    void_volume_m3_per_m2: Annotated[float, Field(ge=0, le=0.2)] = 0.0


class SlabTable(Table):
    """Depth of the slab over the whole deck profile, and how its top is struck."""

    depth_mm: Annotated[float, Field(ge=60, le=500)]
    strike: Literal["datum", "guides", "thickness"] = "datum"
    wet_density_kN_m3: Annotated[float, Field(ge=15, le=30)] = 26.0
    use_factor: Annotated[Distribution, _quantity(0.9, 1.5)] = parse(1.0)


class Stack(Table):
    """Material laid on the bare deck before the pour; gone when the strip it lies on is begun."""

    name: str = "stack"
    x_m: Pair
    y_m: Pair
    weight_kN: Annotated[float, Field(gt=0, le=500)]


class LoadsTable(Table):
    """What stands on the deck besides the levelled concrete."""

    preset: Literal["en_1991_1_6", "us_practice", "persons", "own", "none"] = "en_1991_1_6"
    inside_kN_m2: Annotated[float, Field(ge=0, le=10)] | None = None
    outside_kN_m2: Annotated[float, Field(ge=0, le=10)] | None = None
    zone_m: Annotated[float, Field(gt=0.2, le=10)] = 3.0
    heap_height_factor: Annotated[Distribution, _quantity(1.0, 6.0)] = parse(1.5)
    heap_length_m: Annotated[float, Field(gt=0.1, le=5)] = 1.0
    crew_kN_m2: Annotated[float, Field(ge=0, le=5)] = 0.3
    person_kN: Annotated[float, Field(gt=0, le=3)] = 1.0
    pipe_kN_m: Annotated[float, Field(ge=0, le=5)] = 0.0
    skip_landing_kN: Annotated[float, Field(ge=0, le=100)] = 0.0
    skip_side_m: Annotated[float, Field(gt=0.1, le=5)] = 1.2
    stacks: list[Stack] = []
    look_share: Annotated[float, Field(gt=0, le=1)] = 0.8
    look_sag_mm: Annotated[float, Field(gt=0, le=500)] | None = None


class BeamData(Table):
    """A beam's section and how it runs over its supports."""

    I_cm4: Annotated[float, Field(gt=1, le=5e6)]
    E_GPa: Annotated[float, Field(ge=50, le=250)] = 210.0
    precamber_mm: Annotated[float, Field(ge=0, le=300)] = 0.0
    continuous: bool = False


class BeamLine(Table):
    """A beam line that differs from the others: a secondary by its x, a primary by its y."""

    x_m: Place | None = None
    y_m: Place | None = None
    kind: Literal["beam", "wall"] = "beam"
    I_cm4: Annotated[float, Field(gt=1, le=5e6)] | None = None
    E_GPa: Annotated[float, Field(ge=50, le=250)] | None = None
    precamber_mm: Annotated[float, Field(ge=0, le=300)] | None = None
    continuous: bool | None = None


class BeamsTable(Table):
    """The beams under the deck. Left out, every support is as stiff as a wall."""

    secondary: BeamData | None = None
    primary: BeamData | None = None
    columns_x_m: list[Place] = []
    lines: list[BeamLine] = []
    line_spacing_m: Annotated[float, Field(ge=0.5, le=10)] = 2.5


class PropsTable(Table):
    """Temporary prop lines under the deck, along y; rigid unless a stiffness is given."""

    lines_x_m: list[Place] = []
    stiffness_kN_m2: Annotated[float, Field(gt=0, le=1e7)] | None = None


class MixTable(Table):
    """The concrete. Times are at 20 °C, counted from batching."""

    preset: str | None = None
    open_time_min: Annotated[float, Field(ge=15, le=600)]
    initial_set_h: Annotated[float, Field(ge=1, le=48)]
    final_set_h: Annotated[float, Field(ge=1.5, le=72)]
    retarder_min: Annotated[float, Field(ge=0, le=1440)] = 0.0
    activation_K: Annotated[float, Field(ge=2000, le=9000)] = 5000.0
    delivered_C: Annotated[Distribution, _quantity(1.0, 45.0)] = parse(20.0)
    relaxation_h: Annotated[float, Field(gt=0, le=100)] = 6.0
    slump_mm: Annotated[float, Field(ge=0, le=280)] = 90.0
    slump_loss_mm_h: Annotated[float, Field(ge=0, le=200)] = 0.0
    least_slump_mm: Annotated[float, Field(ge=0, le=250)] = 0.0
    reject_share: Share = 0.0
    bleed_kg_m2_h: Annotated[float, Field(ge=0, le=5)] = 0.4
    cement_class: Literal["R", "N", "S"] = "N"
    strength_MPa: Annotated[float, Field(ge=8, le=100)] = 30.0


class Hour(Table):
    """One row of weather."""

    at: Clock
    air_C: Annotated[float, Field(ge=-40, le=55)]
    humidity: Share
    wind_km_h: Annotated[float, Field(ge=0, le=150)]


class Rain(Table):
    """Rain that is forecast: when, how long, how hard, and on what share of days it comes."""

    at: Clock
    length_min: Annotated[Distribution, _quantity(0.0, 1440.0)]
    rate_mm_h: Annotated[float, Field(gt=0, le=200)]
    chance: Share = 1.0


class WeatherTable(Table):
    """Air over the day; linear between the rows, constant before the first and after the last.

    Rows stand in the table, in a CSV file, or are a sample day; a day shifts all of them alike.
    """

    hours: list[Hour] = Field(min_length=1)
    csv: str | None = None
    sample: str | None = None
    air_shift_C: Annotated[Distribution, _quantity(-15.0, 15.0)] = parse(0.0)
    humidity_shift: Annotated[Distribution, _quantity(-0.5, 0.5)] = parse(0.0)
    wind_factor: Annotated[Distribution, _quantity(0.0, 5.0)] = parse(1.0)
    rain: list[Rain] = []


class PlantTable(Table):
    """A plant, its trucks and its road to the site."""

    name: str
    trucks: Annotated[int, Field(ge=1, le=200)]
    batch_m3_h: Annotated[float, Field(gt=0, le=100000)]
    travel_min: Minutes
    back_min: Minutes | None = None
    opens: Clock = 0.0
    closes: Clock | None = None


class SupplyTable(Table):
    """How concrete is called and carried."""

    plants: list[PlantTable] = Field(min_length=1)
    load_m3: Annotated[float, Field(ge=0.5, le=15)]
    smallest_load_m3: Annotated[float, Field(ge=0.1, le=15)] = 1.0
    load_step_m3: Annotated[float, Field(gt=0, le=1)] = 0.25
    margin_m3: Annotated[float, Field(ge=0, le=10)] = 0.5
    age_limit_min: Annotated[float, Field(ge=20, le=100000)] = 90.0
    discharge_min: Annotated[Distribution, _quantity(0.0, 240.0)] = parse(8.0)


class Break(Table):
    """A break that the whole crew takes."""

    at: Clock
    length_min: Annotated[float, Field(gt=0, le=240)]


class SiteTable(Table):
    """Room for trucks, times at the site, and hours."""

    positions: Annotated[int, Field(ge=1, le=10)] = 2
    holding_places: Annotated[int, Field(ge=0, le=1000000)] = 2
    gate_min: Minutes = parse(1.0)
    position_min: Minutes = parse(3.0)
    test_min: Minutes = parse(2.0)
    wash_min: Minutes = parse(8.0)
    breaks: list[Break] = []
    curfew: Clock | None = None
    stop_rain_mm_h: Annotated[float, Field(ge=0, le=200)] = 1.0
    cover_min: Minutes = parse(10.0)
    uncover_min: Minutes = parse(10.0)


class PumpTable(Table):
    """A means of placing: boom, line pump, or crane with skip."""

    preset: str | None = None
    output_m3_h: Annotated[Distribution, _quantity(0.5, 200000.0)]
    setup_min: Minutes = parse(30.0)
    prime_min: Minutes = parse(10.0)
    hopper_m3: Annotated[float, Field(ge=0, le=10)] = 0.0
    line_length_m: Annotated[float, Field(ge=0, le=400)] = 0.0
    line_content_m3_per_m: Annotated[float, Field(ge=0, le=0.05)] = 0.0
    output_loss_per_100m: Annotated[float, Field(ge=0, le=1)] = 0.0
    move_min: Minutes = parse(2.0)
    walk_min_per_m: Annotated[float, Field(ge=0, le=10)] = 0.0
    between_blockages_h: Annotated[float, Field(gt=0, le=100000)] | None = None
    blockage_min: Minutes = parse(20.0)
    wash_out_min: Minutes = parse(30.0)
    release_height_mm: Annotated[float, Field(ge=0, le=3000)] = 300.0
    call_out: Price = 0.0
    hire_per_h: Price = 0.0
    pumped_per_m3: Price = 0.0


class CrewTable(Table):
    """People who place and finish."""

    preset: str | None = None
    placers: Annotated[int, Field(ge=1, le=60)]
    rate_per_placer_m3_h: Annotated[float, Field(gt=0, le=10000)]
    screed_m2_h: Annotated[float, Field(gt=0, le=1000000)] | None = None
    front_speed_m_min: Annotated[float, Field(gt=0, le=100000)] | None = None
    finishers: Annotated[int, Field(ge=0, le=60)] = 2
    others: Annotated[int, Field(ge=0, le=60)] = 1


class FinishingTable(Table):
    """How the top is finished, by the crew's finishers.

    Rates are for one person. ``passes`` of the power float fall between initial and final set.
    """

    bull_float_m2_h: Annotated[float, Field(gt=0, le=5000)] = 250.0
    passes: Annotated[int, Field(ge=0, le=6)] = 2
    power_float_m2_h: Annotated[float, Field(gt=0, le=5000)] = 180.0
    edge_m_h: Annotated[float, Field(gt=0, le=1000)] = 60.0
    shift_end: Clock | None = None


class MeasuresTable(Table):
    """Measures against drying, with their effect in the model."""

    wind_share: Annotated[float, Field(ge=0, le=1)] = 1.0
    fog_humidity: Share = 0.0
    film_share: Annotated[float, Field(ge=0, le=1)] = 1.0
    cooler_C: Annotated[float, Field(ge=0, le=15)] = 0.0


class CuringTable(Table):
    """Curing and props after the pour day; ``later_C`` is the mean temperature of later days."""

    damp_days: Annotated[float, Field(ge=0, le=60)] = 7.0
    props_days: Annotated[float, Field(ge=0, le=120)] = 28.0
    later_C: Annotated[float, Field(ge=-5, le=45)] = 15.0
    strip_at_MPa: Annotated[float, Field(ge=0, le=100)] = 20.0


class PricesTable(Table):
    """Money. Any currency; the name is only printed."""

    currency: Annotated[str, Field(min_length=1, max_length=8)] = "EUR"
    concrete_per_m3: Price = 0.0
    returned_per_m3: Price = 0.0
    labour_per_person_h: Price = 0.0
    shift_h: Annotated[float, Field(gt=0, le=24)] = 8.0
    least_paid_h: Annotated[float, Field(ge=0, le=24)] = 4.0
    overtime_factor: Annotated[float, Field(ge=1, le=5)] = 1.5
    waiting_per_min: Price = 0.0
    free_wait_min: Annotated[float, Field(ge=0, le=240)] = 30.0
    cold_joint_per_m: Price = 0.0


class LimitsTable(Table):
    """What the planner accepts; a plan beyond them is never preferred."""

    cold_joint_share: Share = 0.10
    past_curfew_share: Share = 0.10
    deck_use: Annotated[float, Field(gt=0, le=1)] = 1.0


class PlanTable(Table):
    """One choice of pump, spacing, crew, order and start."""

    name: Annotated[str, Field(min_length=1, max_length=24)]
    pump: str
    crew: str
    spacing_min: Annotated[Distribution, _quantity(0.0, 240.0)]
    start: Clock
    order: Literal["thirds", "spread", "listed"] = "thirds"
    fraction: Annotated[float, Field(ge=0.1, le=0.45)] = 1 / 3
    strip_width_m: Annotated[float, Field(gt=0.2, le=12)] | None = None
    cut: Literal["thirds", "spread"] = "thirds"
    sequence: list[str] | None = None
    place_before: list[Annotated[list[str], Field(min_length=2, max_length=2)]] = []
    begin_at: Literal["low_x", "high_x"] = "low_x"
    lanes: Literal["side_by_side", "one_after_another"] = "side_by_side"
    alternate: bool = True
    trucks: Annotated[int, Field(ge=1, le=500)] | None = None
    load_m3: Annotated[float, Field(ge=0.5, le=15)] | None = None
    most_on_site: Annotated[int, Field(ge=1, le=1000)] | None = None
    hold_back_at: Annotated[int, Field(ge=1, le=100)] | None = None


# The tables of a file: key -> (model, whether it must be there).
TABLES: dict[str, tuple[type[Table], bool]] = {
    "floor": (FloorTable, True),
    "deck": (DeckTable, True),
    "slab": (SlabTable, True),
    "loads": (LoadsTable, False),
    "beams": (BeamsTable, False),
    "props": (PropsTable, False),
    "mix": (MixTable, True),
    "weather": (WeatherTable, True),
    "supply": (SupplyTable, True),
    "site": (SiteTable, False),
    "finishing": (FinishingTable, False),
    "measures": (MeasuresTable, False),
    "curing": (CuringTable, False),
    "prices": (PricesTable, False),
    "limits": (LimitsTable, False),
}
# Tables of named things: key -> model of each; and the list of plans.
NAMED: dict[str, type[Table]] = {"pumps": PumpTable, "crews": CrewTable}
PLAN = PlanTable
PLAIN_KEYS: dict[str, type] = {"title": str, "date": date}
