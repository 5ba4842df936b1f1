"""Times of loads long before a plan's first load can be loaded: slips of the hour, left out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from pourday.scenario.model.scenario import Plan, Scenario
from pourday.tickets import line as say
from pourday.tickets.line import Line, Remark, clock

# So long (s) before the first load of the plan can be loaded nobody loads for it, unless so many
# loads within an hour of each other say that the pour began earlier (chosen here).
_EARLY, _TOGETHER, _NEAR = 2 * 3600.0, 3, 3600.0
LEFT_OUT = "left out: write it anew"


def first_loading(scenario: Scenario, plan: Plan) -> float:
    """When the first load of the plan is loaded at the earliest (s): travel and batching before."""
    load = plan.load or scenario.supply.load
    ahead = max(p.travel.mean + load / p.batch for p in scenario.supply.plants)
    return plan.start - ahead


def without_early(
    lines: Sequence[Line], scenario: Scenario, plan: Plan, remarks: list[Remark]
) -> list[Line]:
    """The lines without times, of loading too, that no load of the plan can have."""
    first = first_loading(scenario, plan)
    early = {id(line): _times(line, first - _EARLY) for line in lines}
    alone = _alone(lines, early)
    out: list[Line] = []
    for line in lines:
        times = early[id(line)]
        if not times or line.load not in alone:
            out.append(line)
            continue
        said = f"{clock(min(times))} is more than 2 h before {clock(first)}, when the plan's first"
        said += " load is loaded"
        if line.when in times:
            remarks.append(Remark(line.row, f"load {line.load}: {said}; {LEFT_OUT}"))
            continue
        remarks.append(Remark(line.row, f"load {line.load}: {said}; the time of loading is out"))
        out.append(replace(line, loaded=None))
    return out


def _times(line: Line, before: float) -> list[float]:
    if line.kind not in say.OF_LOADS:
        return []
    times = (line.when, math.inf if line.loaded is None else line.loaded)
    return [time for time in times if time < before]


def _alone(lines: Sequence[Line], early: Mapping[int, Sequence[float]]) -> set[str]:
    """Loads with early times none of which enough other loads are near to."""
    told = [(time, line.load) for line in lines for time in early[id(line)]]
    together = {
        load
        for time, load in told
        if len({other for at, other in told if abs(at - time) <= _NEAR}) >= _TOGETHER
    }
    return {load for _, load in told} - together
