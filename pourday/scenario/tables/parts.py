"""From where to where each pour of a file goes: by its own x, or by its bays and the stop ends.

A stop end lies 600 mm from the beam centre at a beam where sheets join, on the side that is poured
later (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import accumulate

from pourday.scenario.base.trade import STOP_END_OFFSET
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.pours import PourTable
from pourday.scenario.tables.supports import supports_of

_NEAR = 1e-6


def runs_named(pour: PourTable) -> list[int]:
    """Numbers of the sheet runs whose bays a pour names, from low to high; bay "2b" is of run 2."""
    found = (re.match(r"[0-9]+", name) for name in pour.bays)
    return sorted({int(match[0]) for match in found if match})


def ends_of_runs(floor: FloorTable) -> list[float]:
    """x of the first support and of the last support of every sheet run (m)."""
    x = supports_of(floor)
    return [x[0], *(x[min(n, len(x) - 1)] for n in accumulate(floor.sheet_runs))]


def extents(pours: Mapping[int, PourTable], floor: FloorTable) -> dict[int, tuple[float, float]]:
    """Low and high x (m) of every pour, by its number; pours stand in order of their days.

    Pours must have what :mod:`pourday.scenario.clashes.pours` asks of each by itself.
    """
    ends = ends_of_runs(floor)
    given = [x for p in pours.values() for x in (p.from_x_m, p.to_x_m) if x is not None]
    out: dict[int, tuple[float, float]] = {}
    later: set[int] = {run for pour in pours.values() for run in runs_named(pour)}
    for number, pour in pours.items():
        if pour.from_x_m is not None and pour.to_x_m is not None:
            out[number] = (pour.from_x_m, pour.to_x_m)
            continue
        runs = runs_named(pour)
        later -= set(runs)
        low, high = ends[runs[0] - 1], ends[runs[-1]]
        out[number] = (
            low if runs[0] == 1 else _stop_end(low, -1, given, runs[0] - 1 in later),
            high if runs[-1] == len(ends) - 1 else _stop_end(high, 1, given, runs[-1] + 1 in later),
        )
    return out


def _stop_end(joint: float, side: int, given: list[float], neighbour_later: bool) -> float:
    """x of the stop end at a sheet joint; ``side`` is 1 where this pour lies below it, else -1."""
    near = [x for x in given if abs(x - joint) <= STOP_END_OFFSET + _NEAR]
    if near:  # the neighbour says where it ends
        return near[0]
    return joint + side * STOP_END_OFFSET * (1 if neighbour_later else -1)
