"""A scenario as the program uses it: frozen values, SI inside (s, m, N, Pa, °C, m³/s).

Clock times are seconds since midnight of the pour day. Money keeps its currency; prices are per
second where the file says per hour or minute. Field names are those of the file without the unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pourday.concrete.cooling import CoolingSlab
from pourday.concrete.mix_temperature import Batch
from pourday.scenario.base.upsets import Upset, UpsetRates
from pourday.scenario.model.call_off import CallOff, DayToDay
from pourday.scenario.model.concrete import Curing, Finishing, Measures, Mix, Rain, Weather
from pourday.scenario.model.deck import (
    BeamData,
    Beams,
    Deck,
    DesignedFor,
    Loads,
    Props,
    Slab,
    Stack,
)
from pourday.scenario.model.pours import FloorPart, Pour
from pourday.scenario.model.prices import Prices
from pourday.scenario.model.site import (
    Break,
    Crew,
    FrontPlan,
    Plan,
    Plant,
    Pump,
    Roles,
    RushHour,
    SetUp,
    Site,
    Stage,
    Standby,
    Supply,
)

__all__ = [
    "BeamData",
    "Beams",
    "Break",
    "Crew",
    "Curing",
    "DayToDay",
    "Deck",
    "DesignedFor",
    "Finishing",
    "FloorPart",
    "FloorPlan",
    "FrontPlan",
    "Limits",
    "Loads",
    "Measures",
    "Mix",
    "Opening",
    "Plan",
    "Plant",
    "Pour",
    "Prices",
    "Props",
    "Pump",
    "Rain",
    "Roles",
    "RushHour",
    "Scenario",
    "SetUp",
    "Site",
    "Slab",
    "Stack",
    "Stage",
    "Standby",
    "Supply",
    "Weather",
]


GRAVITY = 9.81  # m/s²


@dataclass(frozen=True)
class Opening:
    """A rectangle of the floor that takes no concrete."""

    name: str
    x: tuple[float, float]
    y: tuple[float, float]


@dataclass(frozen=True)
class FloorPlan:
    """Supports along x, sheet runs as counts of spans, extent along y, primary beams, openings.

    Beyond the outer supports the deck reaches by ``low_x_overhang`` and ``high_x_overhang`` (m).
    ``cut_at_primary_beams`` says whether strips end at the primary beams inside the floor.
    ``part`` is the part of it that is poured on this day, None for all of it.
    """

    supports: tuple[float, ...]
    sheet_runs: tuple[int, ...]
    length_y: float
    primary_beams_y: tuple[float, ...]
    cut_at_primary_beams: bool
    openings: tuple[Opening, ...]
    low_x_end: str
    high_x_end: str
    stop_ends_x: tuple[float, ...]
    low_x_overhang: float = 0.0
    high_x_overhang: float = 0.0
    part: FloorPart | None = None


@dataclass(frozen=True)
class Limits:
    """Shares of days (cold joint, stiff edge, past curfew) and of deck resistance accepted.

    ``sag_rule`` names the rule of ``pourday/deck/sag_rules.py``; the others stand in for its own
    values (n of span/n, m).
    ``cold_share`` and ``frost_share`` are of days on which fresh concrete falls below 5 and 0 °C,
    ``deck_use_share`` of those on which the deck uses more than ``deck_use``.
    ``worth_knowing`` is the share of a plan's cost for which nobody would take another plan.
    """

    cold_joint_share: float
    stiff_edge_share: float
    past_curfew_share: float
    deck_use: float
    sag_rule: str = "EN"
    sag_span_over: float | None = None
    sag_most: float | None = None
    ponded_sag_span_over: float | None = None
    ponded_sag_most: float | None = None
    cold_share: float = 1.0
    frost_share: float = 0.02
    deck_use_share: float = 0.10
    worth_knowing: float = 0.005


@dataclass(frozen=True)
class Scenario:
    """One floor and its plans."""

    title: str
    date: date
    floor: FloorPlan
    deck: Deck
    slab: Slab
    loads: Loads
    beams: Beams
    props: Props
    mix: Mix
    batch: Batch
    weather: Weather
    supply: Supply
    site: Site
    call_off: CallOff
    day_to_day: DayToDay
    pumps: dict[str, Pump]
    crews: dict[str, Crew]
    finishing: Finishing
    measures: Measures
    curing: Curing
    prices: Prices
    limits: Limits
    upsets: tuple[Upset, ...]
    upset_rates: UpsetRates
    plans: tuple[Plan, ...]
    pours: tuple[Pour, ...] = ()
    standbys: tuple[Standby, ...] = ()

    @property
    def bare_weight(self) -> float:
        """Weight of the deck with the mesh on it (Pa)."""
        return self.deck.self_weight + self.slab.mesh * 9.81

    @property
    def cooling(self) -> CoolingSlab:
        """The slab and what is around it, as it cools until it can stand frost, without mats."""
        return CoolingSlab(
            depth=self.slab.depth - self.deck.void_volume,
            density=self.slab.wet_density / GRAVITY,
            sky_loss=self.weather.sky_loss,
            wind_below=self.weather.wind_below_share,
            below=self.measures.heated_below,
        )

    def means(self, plan: Plan) -> list[str]:
        """Means of placing ("boom", "line" or "skip") of every front of a plan."""
        return [self.pumps[front.pump].means for front in plan.fronts]

    def finishers(self, plan: Plan) -> int:
        """Finishers of all crews of a plan."""
        return sum(self.crews[front.crew].finishers for front in plan.fronts)

    def plan(self, name: str) -> Plan:
        """The plan called ``name``.

        Raises:
            KeyError: naming the plans there are.
        """
        for plan in self.plans:
            if plan.name == name:
                return plan
        raise KeyError(f"no plan {name!r}; the plans are: {', '.join(p.name for p in self.plans)}")
