"""Sheet runs and bays: which part of the floor each length of deck covers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from pourday.scenario.model.scenario import FloorPlan
from pourday.scenario.tables.supports import bay_name, between_lanes


@dataclass(frozen=True)
class SheetRun:
    """One length of deck. ``supports`` are x positions (m) from its first to its last support."""

    number: int
    supports: tuple[float, ...]

    @property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """The spans as (x0, x1)."""
        return tuple(pairwise(self.supports))


@dataclass(frozen=True)
class Bay:
    """The part of the floor one sheet run covers between two primary beams or floor edges."""

    name: str
    run: int
    lane: int
    x0: float
    x1: float
    y0: float
    y1: float


def sheet_runs(floor: FloorPlan) -> tuple[SheetRun, ...]:
    """The sheet runs from low to high x; run counts must add up to the number of spans."""
    runs = []
    first = 0
    for number, spans in enumerate(floor.sheet_runs, start=1):
        runs.append(SheetRun(number, tuple(floor.supports[first : first + spans + 1])))
        first += spans
    return tuple(runs)


def lanes(floor: FloorPlan) -> tuple[tuple[float, float], ...]:
    """The lanes (y0, y1) that inner primary beams cut the floor into, from low to high y."""
    inner = between_lanes(floor.primary_beams_y, floor.length_y)
    return tuple(pairwise([0.0, *inner, floor.length_y]))


def bays(floor: FloorPlan) -> tuple[Bay, ...]:
    """All bays, run by run from low x, lane by lane from low y.

    A bay is called by the number of its sheet run, with a letter for the lane where the floor has
    more than one: "2", or "2b".
    """
    all_lanes = lanes(floor)
    out = []
    for index, run in enumerate(sheet_runs(floor)):
        for lane, (y0, y1) in enumerate(all_lanes):
            name = bay_name(run.number, lane, len(all_lanes))
            out.append(Bay(name, index, lane, run.supports[0], run.supports[-1], y0, y1))
    return tuple(out)


def bay_sequence(floor: FloorPlan, begin_at: str, lane_order: str) -> tuple[Bay, ...]:
    """The bays in the order they are poured.

    Args:
        floor: the floor.
        begin_at: "low_x" or "high_x", the end where the pour starts.
        lane_order: "side_by_side" (all lanes of a sheet run, then the next run) or
            "one_after_another" (a whole lane from end to end, then the next lane).
    """
    along = -1 if begin_at == "high_x" else 1

    def key(bay: Bay) -> tuple[int, int]:
        run = along * bay.run
        return (run, bay.lane) if lane_order == "side_by_side" else (bay.lane, run)

    return tuple(sorted(bays(floor), key=key))


def open_width(floor: FloorPlan, x0: float, x1: float, y: float) -> float:
    """Width (m) of x0..x1 that takes concrete at ``y``; where openings overlap, taken off once."""
    width, reached = x1 - x0, x0
    for low, high in sorted(hole.x for hole in floor.openings if hole.y[0] < y < hole.y[1]):
        width -= max(0.0, min(x1, high) - max(reached, low))
        reached = max(reached, high)
    return max(0.0, width)


def open_area(floor: FloorPlan, x0: float, x1: float, y0: float, y1: float) -> float:
    """Area (m²) of a rectangle of the floor less the openings in it."""
    return sum(
        open_width(floor, x0, x1, (low + high) / 2) * (high - low)
        for low, high in pairwise(y_marks(floor, y0, y1))
    )


def y_marks(floor: FloorPlan, y0: float, y1: float) -> tuple[float, ...]:
    """y0, y1 and every opening edge between them: where the width of a strip may change."""
    inner = {y for hole in floor.openings for y in hole.y if y0 < y < y1}
    return (y0, *sorted(inner), y1)
