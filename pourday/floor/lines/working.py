"""Loads of people, tools and gear on the deck, for every strip that a bay's lines cross."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from pourday.deck.loads import WorkingLoad, en_1991_1_6, us_practice
from pourday.scenario.model.scenario import FrontPlan, Scenario

# EN 1991-1-6 Table 4.2: the working zone is 3 m x 3 m (value from memory).
ZONE = 3.0
# What moves along a strip is tried in steps of at most this share of its own length.
_STEP = 0.25
_APART = 1e-6


def places_of(low: float, high: float, length: float, inside: bool) -> list[float]:
    """Middles (m) at which a load of this length is tried between ``low`` and ``high``.

    The middle one is always among them. ``inside`` keeps the whole load on the stretch (a heap lies
    on its strip); without it only its middle stays there (people stand beside it as well).
    """
    middle, reach = (low + high) / 2, (high - low - (length if inside else 0.0)) / 2
    if reach <= _APART or length <= 0.0:
        return [middle]
    steps = math.ceil(reach / (_STEP * length) - _APART)
    return [middle + reach * k / steps for k in range(-steps, steps + 1)]


@dataclass(frozen=True)
class Gear:
    """What a front brings onto the deck: people in its zone, pipe (N/m), a skip set down (N)."""

    persons: int
    pipe: float
    skip_landing: float


def gear_of(scenario: Scenario, front: FrontPlan) -> Gear:
    """Gear of a front: what its pump says, else what stands in ``[loads]``."""
    pump, crew, loads = scenario.pumps[front.pump], scenario.crews[front.crew], scenario.loads
    return Gear(
        persons=crew.in_zone,
        pipe=loads.pipe if pump.pipe is None else pump.pipe,
        skip_landing=loads.skip_landing if pump.skip_landing is None else pump.skip_landing,
    )


@dataclass(frozen=True)
class WorkingLoads:
    """Alternatives of the working load for each strip (by index); the worst one counts."""

    of: dict[int, tuple[WorkingLoad, ...]]

    @property
    def has_lines(self) -> bool:
        """Whether any strip has a line load."""
        return any(load.line for loads in self.of.values() for load in loads)

    @property
    def bare(self) -> float:
        """Working load everywhere on the deck before any concrete (Pa)."""
        return max((load.bare for loads in self.of.values() for load in loads), default=0.0)


def working_loads(
    scenario: Scenario, supports: tuple[float, ...], middles: dict[int, float], gear: Gear
) -> WorkingLoads:
    """Working load of the scenario's preset on each strip, its middle at ``middles`` (x, m).

    "persons" counts the placers who work at the front in a zone of 3 m x 3 m (or the span if
    less), and nobody outside it. The pipe of a line pump lies along the strip and adds a line load.
    """
    loads = scenario.loads
    weight = (scenario.slab.depth - scenario.deck.void_volume) * scenario.slab.wet_density
    out: dict[int, tuple[WorkingLoad, ...]] = {}
    for i, middle in middles.items():
        span = next((b - a for a, b in pairwise(supports) if a <= middle <= b), ZONE)
        match loads.preset:
            case "en_1991_1_6":
                found: tuple[WorkingLoad, ...] = (en_1991_1_6(weight, span),)
            case "us_practice":
                found = us_practice()
            case "persons":
                side = min(ZONE, span)
                found = (WorkingLoad(gear.persons * loads.person / side**2, 0.0, side, 0.0),)
            case "own":
                found = (WorkingLoad(loads.inside or 0.0, loads.outside or 0.0, loads.zone, 0.0),)
            case _:
                found = (WorkingLoad(0.0, 0.0, 0.0, 0.0),)
        out[i] = tuple(replace(load, line=load.line + gear.pipe) for load in found)
    return WorkingLoads(out)
