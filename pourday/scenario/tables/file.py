"""The tables of a scenario file as the user writes them, units in the key names.

Each table is a frozen pydantic model that refuses unknown keys. The limits stand beside the
keys, so that messages and docs can print them; nothing here computes.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from pourday.scenario.base.quantities import Pair, Place, Share, Table
from pourday.scenario.tables.batch import BatchTable
from pourday.scenario.tables.call_off import CallOffTable
from pourday.scenario.tables.concrete import (
    CuringTable,
    FinishingTable,
    MeasuresTable,
    MixTable,
    WeatherTable,
)
from pourday.scenario.tables.day_to_day import DayToDayTable
from pourday.scenario.tables.deck import BeamsTable, DeckTable, LoadsTable, PropsTable, SlabTable
from pourday.scenario.tables.pours import PourTable
from pourday.scenario.tables.prices import PricesTable
from pourday.scenario.tables.search import SearchTable
from pourday.scenario.tables.site import (
    CrewTable,
    PlanTable,
    PumpTable,
    SiteTable,
    SupplyTable,
    UpsetsTable,
)
from pourday.scenario.tables.standby import StandbyTable


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
    low_x_overhang_m: Annotated[float, Field(ge=0, le=1.5)] = 0.0
    high_x_overhang_m: Annotated[float, Field(ge=0, le=1.5)] = 0.0


class LimitsTable(Table):
    """What the planner accepts; a plan beyond them is never preferred."""

    cold_joint_share: Share = 0.10
    stiff_edge_share: Share = 1.0
    past_curfew_share: Share = 0.10
    cold_share: Share = 1.0
    frost_share: Share = 0.02
    deck_use: Annotated[float, Field(gt=0, le=1)] = 1.0
    deck_use_share: Share = 0.10
    worth_knowing: Annotated[float, Field(gt=0, le=0.1)] = 0.005
    sag_rule: Literal["EN", "UK", "SDI"] = "EN"
    sag_span_over: Annotated[float, Field(ge=50, le=1000)] | None = None
    sag_most_mm: Annotated[float, Field(gt=0, le=200)] | None = None
    ponded_sag_span_over: Annotated[float, Field(ge=50, le=1000)] | None = None
    ponded_sag_most_mm: Annotated[float, Field(gt=0, le=200)] | None = None


# The tables of a file: key -> (model, whether it must be there).
TABLES: dict[str, tuple[type[Table], bool]] = {
    "floor": (FloorTable, True),
    "deck": (DeckTable, True),
    "slab": (SlabTable, True),
    "loads": (LoadsTable, False),
    "beams": (BeamsTable, False),
    "props": (PropsTable, False),
    "mix": (MixTable, True),
    "batch": (BatchTable, False),
    "weather": (WeatherTable, True),
    "supply": (SupplyTable, True),
    "site": (SiteTable, False),
    "call_off": (CallOffTable, False),
    "day_to_day": (DayToDayTable, False),
    "finishing": (FinishingTable, False),
    "measures": (MeasuresTable, False),
    "curing": (CuringTable, False),
    "prices": (PricesTable, False),
    "limits": (LimitsTable, False),
    "upsets": (UpsetsTable, False),
    "search": (SearchTable, False),
}
# Tables of named things: key -> model of each; and the lists of plans, pours and stand-bys.
NAMED: dict[str, type[Table]] = {"pumps": PumpTable, "crews": CrewTable}
PLAN = PlanTable
POUR = PourTable
LISTED: dict[str, type[Table]] = {"plan": PLAN, "pour": POUR, "standby": StandbyTable}
PLAIN_KEYS: dict[str, type] = {"title": str, "date": date}
