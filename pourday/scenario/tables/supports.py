"""Where supports, joints and lanes of a floor are, and what bays are called."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from pourday.scenario.base.faults import Fault
from pourday.scenario.tables.deck import Stack
from pourday.scenario.tables.file import FloorTable, Opening

LEAST_SPAN = 0.3
"""Least distance between supports or prop lines, m: nearer ones are one support."""
MOST_SPAN = 12.0
"""Largest span, m, as for ``floor.spans_m``."""


def supports_of(floor: FloorTable) -> list[float]:
    """Support positions along x, m, rising: those given, or summed up from 0 and the spans."""
    if floor.supports_m is not None:
        return sorted(floor.supports_m)
    return [0.0, *accumulate(floor.spans_m or [])]


def sheet_joints(floor: FloorTable) -> list[float]:
    """Supports at which two sheet runs meet, or an end of the floor declared a joint; x in m."""
    x = supports_of(floor)
    joints = [x[n] for n in accumulate(floor.sheet_runs) if n < len(x) - 1]
    first = [x[0]] if floor.low_x_end == "joint" else []
    return first + joints + ([x[-1]] if floor.high_x_end == "joint" else [])


def between_lanes(primary_beams_y: Sequence[float], length_y: float) -> list[float]:
    """y of the primary beams inside the floor, which cut it into lanes."""
    return [y for y in primary_beams_y if 1e-6 < y < length_y - 1e-6]


def bay_name(run: int, lane: int, lanes: int) -> str:
    """Name of a bay: the number of its sheet run (from 1), a letter where there are lanes."""
    return f"{run}{chr(ord('a') + lane) if lanes > 1 else ''}"


def inside_the_floor(
    path: str, rectangles: Sequence[Opening | Stack], floor: FloorTable
) -> Iterator[Fault]:
    """Faults of rectangles (``x_m``, ``y_m``) with ends swapped or ends beyond the floor."""
    x = supports_of(floor)
    for number, each in enumerate(rectangles, start=1):
        for key, (low, high), (least, most) in (
            ("x_m", each.x_m, (x[0], x[-1])),
            ("y_m", each.y_m, (0.0, floor.length_y_m)),
        ):
            place, found = f"{path}[{number}].{key}", f"{low:g} to {high:g}"
            if low >= high:
                yield Fault(place, found, "the smaller end first, the larger second", "m")
            elif low < least or high > most:
                yield Fault(place, found, f"{least:g} to {most:g}, inside the floor", "m")
