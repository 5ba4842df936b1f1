"""What every rest of a pour begins with: the plan, the past, the day's factors so far."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pourday.day.chance.streams import Stream
from pourday.day.front.pace import Pace
from pourday.day.front.ready import Ready, ready
from pourday.outcome.base.basis import Basis
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.model.scenario import Scenario
from pourday.study.forecast.factors import SoFar, so_far
from pourday.study.forecast.ground import FrontGround, grounds, paces
from pourday.study.forecast.laid import Flow, Laid, Takes, lay
from pourday.study.forecast.past import FrontPast, Past, flows_of, hand_flows, in_hand, past_of
from pourday.tickets.read import Tickets

EVEN = Distribution("uniform", (0.0, 1.0))
# What strips take over their plan differs from day to day by this sd beside the file's own spread
# of each strip (common practice, no source).
_USE_SD, _LEAST_USE_SD = 0.03, 0.02
# Where in a load the last strip was full is known to so much (m³, sd; chosen here).
_MEASURED = 0.6


@dataclass(frozen=True, eq=False)
class Known:
    """A pour under way: what is the same for every rest.

    ``plan`` is made ready of the scenario without the rain that had its time and did not come.
    ``flows`` are what is off the trucks, front by front; ``use`` multiplies what strips ahead take
    as planned, ``pace`` is that of the crews as far as it is known.
    """

    basis: Basis
    plan: Ready
    ground: tuple[FrontGround, ...]
    past: Past
    flows: tuple[tuple[Flow, ...], ...]
    so_far: SoFar
    use: float
    pace: tuple[Pace, ...]

    @cached_property
    def _plans(self) -> dict[tuple[int, ...], Ready]:
        return {}

    def plan_with(self, levels: tuple[int, ...]) -> Ready:
        """The plan with every pump at one level of its output."""
        if self.past.empty:
            return self.plan
        if levels not in self._plans:
            pumps = dict(self.plan.scenario.pumps)
            fronts = []
            for number, (front, level) in enumerate(
                zip(self.plan.plan.fronts, levels, strict=True)
            ):
                output = fixed(float(self.so_far.levels[number][level]))
                name = f"{front.pump} {number}"
                pumps[name] = replace(pumps[front.pump], output=output)
                fronts.append(replace(front, pump=name))
            scenario = replace(self.plan.scenario, pumps=pumps)
            plan = replace(self.plan.plan, fronts=tuple(fronts))
            self._plans[levels] = ready(scenario, plan, self.plan.layout)
        return self._plans[levels]

    def draw(self, seed: int) -> tuple[float, float, tuple[int, ...]]:
        """Travel and crew of the day, and each pump's level of output, of the rest with this seed:
        drawn anew for each rest from what they may be after what was seen."""
        even = Stream(seed, "forecast: kind of day", EVEN)
        crew = self.so_far.crew.at(even(1))
        column = int(np.abs(self.so_far.crew.grid - crew).argmin())
        levels = []
        for number, weights in enumerate(self.so_far.outputs):
            whole = np.cumsum(weights[:, column])
            levels.append(min(len(whole) - 1, int(np.searchsorted(whole, even(2 + number)))))
        return self.so_far.travel.at(even(0)), crew, tuple(levels)


def known_of(basis: Basis, tickets: Tickets, at: float) -> Known:
    """What tickets up to ``at`` (s) tell of a plan's pour."""
    plain = ready(basis.scenario, basis.plan, basis.layout)
    ground = grounds(plain)
    past = past_of(basis, ground, tickets, at)
    if not past.empty:
        basis = replace(basis, scenario=_rain_ahead(basis.scenario, at))
        plain = ready(basis.scenario, basis.plan, basis.layout)
    flows = tuple(tuple(flows_of(front, at)) for front in past.fronts)
    laid = [
        lay(mine, _with_hand(mine, front, own, at), front.marks, _as_planned(mine))
        for mine, front, own in zip(ground, past.fronts, flows, strict=True)
    ]
    use = _use(basis.scenario, ground, past, laid)
    pace = paces(plain, [_missing(basis, front, n) for n, front in enumerate(past.fronts)])
    day = so_far(plain, ground, past, laid, pace)
    return Known(basis, plain, ground, past, flows, day, use, pace)


def _missing(basis: Basis, front: FrontPast, number: int) -> list[tuple[float, float, int]]:
    """Who is missing in a crew, as told: from, to (s), how many."""
    if front.people is None:
        return []
    crew = basis.scenario.crews[basis.plan.fronts[number].crew]
    there, since = front.people
    return [(since, math.inf, crew.placers - there)] if there < crew.placers else []


def _as_planned(ground: FrontGround) -> Takes:
    def _takes(turn: int, inside: float) -> float:
        return max(ground.planned[turn], inside * 1.02)

    return _takes


def _with_hand(
    ground: FrontGround, front: FrontPast, flows: Sequence[Flow], at: float
) -> list[Flow]:
    """With the load at the pump as planned."""
    hand = in_hand(front)
    if hand is None:
        return list(flows)
    whole = ground.emptying(0, 0.0, hand[1].volume)
    return [*flows, *hand_flows(front, at, lambda seen: seen / max(whole, 1.1 * seen))]


def _rain_ahead(scenario: Scenario, at: float) -> Scenario:
    """Rain that had its time is told, or did not come; rows keep their number, so their chance."""
    weather = scenario.weather
    rows = tuple(replace(r, chance=0.0) if r.at <= at else r for r in weather.rain)
    return replace(scenario, weather=replace(weather, rain=rows))


def _use(
    scenario: Scenario, ground: Sequence[FrontGround], past: Past, laid: Sequence[Laid]
) -> float:
    """What strips ahead take over their plan, after those that were called full: between what the
    file expects (1) and what was found, by how many there were."""
    took = planned = 0.0
    strips = 0
    for mine, front, where in zip(ground, past.fronts, laid, strict=True):
        whole = [m.turn for m in front.marks if m.share >= 1.0 and m not in where.skipped]
        for turn in range(max(whole, default=-1) + 1):
            took += where.volumes[turn]
            planned += mine.planned[turn]
            strips += 1
    if not strips:
        return 1.0
    quantity = scenario.slab.use_factor
    each = 0.0 if quantity.is_fixed else (quantity.value_at(0.84) - quantity.value_at(0.16)) / 2
    own = max(_LEAST_USE_SD, each) ** 2 / strips + (_MEASURED / planned) ** 2
    found = math.log(took / (planned * quantity.mean))
    return math.exp(found * _USE_SD**2 / (_USE_SD**2 + own))
