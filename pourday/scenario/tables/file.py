"""The tables of a scenario file as the user writes them, units in the key names.

Each table is a frozen pydantic model that refuses unknown keys. The limits stand beside the
keys, so that messages and docs can print them; nothing here computes.
"""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from pourday.scenario.base.distribution import Distribution, parse
from pourday.scenario.base.quantities import Clock, Pair, Place, Price, Share, Table, quantity
from pourday.scenario.tables.call_off import CallOffTable
from pourday.scenario.tables.site import (
    CrewTable,
    PlanTable,
    PumpTable,
    SiteTable,
    SupplyTable,
    UpsetsTable,
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
    cut_at_primary_beams: bool = False
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
    use_factor: Annotated[Distribution, quantity(0.9, 1.5)] = parse(1.0)


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
    heap_height_factor: Annotated[Distribution, quantity(1.0, 6.0)] = parse(1.5)
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
    """The concrete. Times are at 20 °C, counted from loading."""

    preset: str | None = None
    open_time_min: Annotated[float, Field(ge=15, le=600)]
    initial_set_h: Annotated[float, Field(ge=1, le=48)]
    final_set_h: Annotated[float, Field(ge=1.5, le=72)]
    edge_rule: Literal["set", "interval", "given"] = "set"
    edge_stiff_share: Annotated[float, Field(gt=0, le=1)] = 0.5
    edge_cold_share: Annotated[float, Field(gt=0, le=1)] = 0.8
    retarder_min: Annotated[float, Field(ge=0, le=1440)] = 0.0
    activation_K: Annotated[float, Field(ge=2000, le=9000)] = 5000.0
    delivered_C: Annotated[Distribution, quantity(1.0, 45.0)] = parse(20.0)
    relaxation_h: Annotated[float, Field(gt=0, le=100)] = 6.0
    slump_mm: Annotated[float, Field(ge=0, le=280)] = 130.0
    slump_tolerance_mm: Annotated[float, Field(ge=0, le=80)] = 30.0
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
    length_min: Annotated[Distribution, quantity(0.0, 1440.0)]
    rate_mm_h: Annotated[float, Field(gt=0, le=200)]
    chance: Share = 1.0


class WeatherTable(Table):
    """Air over the day; linear between the rows, constant before the first and after the last.

    Rows stand in the table, in a CSV file, or are a sample day; a day shifts all of them alike.
    """

    hours: list[Hour] = Field(min_length=1)
    csv: str | None = None
    sample: str | None = None
    air_shift_C: Annotated[Distribution, quantity(-15.0, 15.0)] = parse(0.0)
    humidity_shift: Annotated[Distribution, quantity(-0.5, 0.5)] = parse(0.0)
    wind_factor: Annotated[Distribution, quantity(0.0, 5.0)] = parse(1.0)
    rain: list[Rain] = []


class FinishingTable(Table):
    """How the top is finished, by the crew's finishers.

    Hand rates are for one person, the power float's for one machine. ``passes`` of the power
    float fall between initial and final set.
    """

    preset: str | None = None
    bull_float_m2_h: Annotated[float, Field(gt=0, le=5000)] = 250.0
    passes: Annotated[int, Field(ge=0, le=6)] = 2
    machine: Literal["walk_behind", "ride_on"] = "walk_behind"
    machines: Annotated[int, Field(ge=1, le=60)] | None = None
    power_float_m2_h: Annotated[float, Field(gt=0, le=5000)] = 180.0
    edge_m_h: Annotated[float, Field(gt=0, le=1000)] = 60.0
    before_first_pass_min: Annotated[float, Field(ge=0, le=600)] = 60.0
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
    longest_shift_h: Annotated[float, Field(ge=1, le=24)] = 12.0
    overtime_factor: Annotated[float, Field(ge=1, le=5)] = 1.5
    waiting_per_min: Price = 0.0
    free_wait_min: Annotated[float, Field(ge=0, le=240)] = 30.0
    cold_joint_per_m: Price = 0.0
    stiff_edge_per_m: Price = 0.0


class LimitsTable(Table):
    """What the planner accepts; a plan beyond them is never preferred."""

    cold_joint_share: Share = 0.10
    stiff_edge_share: Share = 1.0
    past_curfew_share: Share = 0.10
    deck_use: Annotated[float, Field(gt=0, le=1)] = 1.0


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
    "call_off": (CallOffTable, False),
    "finishing": (FinishingTable, False),
    "measures": (MeasuresTable, False),
    "curing": (CuringTable, False),
    "prices": (PricesTable, False),
    "limits": (LimitsTable, False),
    "upsets": (UpsetsTable, False),
}
# Tables of named things: key -> model of each; and the list of plans.
NAMED: dict[str, type[Table]] = {"pumps": PumpTable, "crews": CrewTable}
PLAN = PlanTable
PLAIN_KEYS: dict[str, type] = {"title": str, "date": date}
