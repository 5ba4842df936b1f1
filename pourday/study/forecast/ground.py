"""A front's strips before any day: what they take, how fast they fill, and the way between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.day.front.pace import Pace
from pourday.day.front.people import break_times
from pourday.day.front.ready import Ready

_LOOKS = 8


@dataclass(frozen=True)
class FrontGround:
    """Strip by strip in the order of a front (turns); volumes m³, rates m³/s.

    ``strips`` are their numbers, ``planned`` their volumes, ``fill`` what pump and line take before
    each (priming before the first). ``pump`` is its output there, ``crew`` what the full crew
    places, ``truck`` what a truck lets go, all as planned; ``before`` the planned time from the
    strip before (s), ``line`` the rate at which pump and line fill.
    """

    strips: tuple[int, ...]
    planned: tuple[float, ...]
    fill: tuple[float, ...]
    primed: float
    pump: tuple[float, ...]
    truck: float
    crew: tuple[float, ...]
    before: tuple[float, ...]
    line: float

    def rate(self, turn: int, crew: float = 1.0) -> float:
        """How fast a strip fills (m³/s) with a crew that works ``crew`` times as fast."""
        return min(self.pump[turn], self.crew[turn] * crew, self.truck)

    def emptying(self, turn: int, done: float, volume: float, crew: float = 1.0) -> float:
        """How long so much (m³) takes from where the front stands (s), moves counted."""
        time, left = 0.0, volume
        while left > 0.0 and turn < len(self.strips):
            take = min(left, max(0.0, self.planned[turn] - done))
            time += take / self.rate(turn, crew)
            left -= take
            turn, done = turn + 1, 0.0
            if left > 0.0 and turn < len(self.strips):
                time += self.before[turn]
        return time + (left / self.rate(len(self.strips) - 1, crew) if left > 0.0 else 0.0)


def paces(plan: Ready, missing: Sequence[Sequence[tuple[float, float, int]]]) -> tuple[Pace, ...]:
    """The crew's pace of every front as far as it is known: breaks in turn, who is ``missing``
    (from, to (s), how many; front by front), heat in the air of the rows."""
    scenario = plan.scenario
    return tuple(
        Pace(scenario, scenario.crews[f.crew], break_times(scenario.site, f.start), gone, 0)
        for f, gone in zip(plan.plan.fronts, missing, strict=True)
    )


def share_of_pace(pace: Pace, begin: float, end: float) -> float:
    """Mean share of its pace that a crew has from, to (s); never quite nothing."""
    times = [begin + (k + 0.5) / _LOOKS * (end - begin) for k in range(_LOOKS)]
    return max(0.05, sum(pace.at(time)[0] for time in times) / _LOOKS)


def grounds(plan: Ready) -> tuple[FrontGround, ...]:
    """The ground of every front of a plan."""
    out = []
    supply = plan.scenario.supply
    load, takes = plan.plan.load or supply.load, supply.discharge.mean
    for number, front in enumerate(plan.fronts):
        access = plan.layout.access[number]
        pump = plan.scenario.pumps[plan.plan.fronts[number].pump]
        output, crew = [], []
        for turn, strip in enumerate(front.strips):
            output.append(pump.output.mean * access.share[turn])
            crew.append(front.crew_rate[strip])
            if access.lift[turn]:
                # A skip's cycle is in the expected rate; a quicker crew does not hoist faster.
                output[-1] = min(output[-1], front.expected.rate[turn])
        fill = list(access.fill)
        fill[0] += access.held
        out.append(
            FrontGround(
                strips=front.strips,
                planned=front.planned,
                fill=tuple(fill),
                primed=access.held,
                pump=tuple(output),
                truck=load / takes if takes else math.inf,
                crew=tuple(crew),
                before=front.expected.before,
                line=front.expected.line,
            )
        )
    return tuple(out)
