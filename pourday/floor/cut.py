"""The floor cut into sheet runs, lanes and bays: once, into a value that is handed down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from pourday.scenario.model.scenario import FloorPlan, Opening
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
    """The part of the floor one sheet run covers, between two primary beams if they cut the floor.

    ``run`` and ``lane`` count from 0; ``area`` (m²) is that without openings. A bay is called by
    the number of its sheet run, with a letter for the lane where there are several: "2", or "2b".
    """

    name: str
    run: int
    lane: int
    x0: float
    x1: float
    y0: float
    y1: float
    area: float


@dataclass(frozen=True)
class FloorCut:
    """The floor as the deck and its beams cut it; made once by :func:`floor_cut`.

    ``runs`` go from low to high x, ``lanes`` (y0, y1) from low to high y, ``bays`` run by run and
    in a run lane by lane; of a part of the floor those that it touches. ``opening_marks`` are all y
    at which an opening begins or ends, rising.
    """

    floor: FloorPlan
    runs: tuple[SheetRun, ...]
    lanes: tuple[tuple[float, float], ...]
    bays: tuple[Bay, ...]
    opening_marks: tuple[float, ...]

    @property
    def area(self) -> float:
        """Area of the floor that takes concrete (m²)."""
        return sum(bay.area for bay in self.bays)

    @property
    def joints(self) -> tuple[float, ...]:
        """x (m) of the sheet joints inside the floor, rising."""
        return tuple(run.supports[-1] for run in self.runs[:-1])

    def bay(self, name: str) -> Bay:
        """The bay called ``name``.

        Raises:
            KeyError: naming the bays there are.
        """
        for bay in self.bays:
            if bay.name == name:
                return bay
        raise KeyError(f"no bay {name!r}; the bays are: {', '.join(b.name for b in self.bays)}")

    def run_of(self, bay: Bay) -> SheetRun:
        """The sheet run that covers a bay."""
        return self.runs[bay.run]

    def sequence(self, begin_at: str, lane_order: str, begin_y: str = "low_y") -> tuple[Bay, ...]:
        """The bays in the order they are poured.

        Args:
            begin_at: "low_x" or "high_x", the end where the pour starts.
            lane_order: "side_by_side" (all lanes of a sheet run, then the next run) or
                "one_after_another" (a whole lane from end to end, then the next lane).
            begin_y: "low_y" or "high_y", the side where the first lane lies.
        """
        aside = -1 if begin_y == "high_y" else 1
        along = -1 if begin_at == "high_x" else 1

        def _key(bay: Bay) -> tuple[int, int]:
            run = along * bay.run
            lane = aside * bay.lane
            return (run, lane) if lane_order == "side_by_side" else (lane, run)

        return tuple(sorted(self.bays, key=_key))

    def y_marks(self, y0: float, y1: float) -> tuple[float, ...]:
        """y0, y1 and every opening edge between them: where the width of a strip may change."""
        return _marks(self.opening_marks, y0, y1)

    def open_width(self, x0: float, x1: float, y: float) -> float:
        """Width (m) of x0..x1 that takes concrete at ``y``; overlaps of openings count once."""
        return _open_width(self.floor.openings, x0, x1, y)

    def x_marks(self, x0: float, x1: float) -> tuple[float, ...]:
        """x0, x1 and every opening edge between them: where the depth of a band may change."""
        return _marks(sorted({x for hole in self.floor.openings for x in hole.x}), x0, x1)

    def open_depth(self, y0: float, y1: float, x: float) -> float:
        """Depth (m) of y0..y1 that takes concrete at ``x``; overlaps of openings count once."""
        holes = [hole.y for hole in self.floor.openings if hole.x[0] < x < hole.x[1]]
        return _clear(holes, y0, y1)

    def open_area(self, x0: float, x1: float, y0: float, y1: float) -> float:
        """Area (m²) of a rectangle of the floor less the openings in it."""
        return _open_area(self.floor.openings, (x0, x1), self.y_marks(y0, y1))


def floor_cut(floor: FloorPlan) -> FloorCut:
    """Cut a floor at its sheet joints and, where it asks for it, at the primary beams inside it.

    Crews pour straight across a primary beam (common practice, no source). Run counts must add up
    to the number of spans.
    """
    runs = _sheet_runs(floor)
    beams = floor.primary_beams_y if floor.cut_at_primary_beams else ()
    inner = between_lanes(beams, floor.length_y)
    lanes = tuple(pairwise([0.0, *inner, floor.length_y]))
    marks = tuple(sorted({y for hole in floor.openings for y in hole.y}))
    bays = tuple(
        Bay(
            name=bay_name(run.number, lane, len(lanes)),
            run=index,
            lane=lane,
            x0=run.supports[0],
            x1=run.supports[-1],
            y0=y0,
            y1=y1,
            area=_open_area(
                floor.openings, (run.supports[0], run.supports[-1]), _marks(marks, y0, y1)
            ),
        )
        for index, run in enumerate(runs)
        for lane, (y0, y1) in enumerate(lanes)
        if _is_poured(floor, run)
    )
    return FloorCut(floor, runs, lanes, bays, marks)


def _is_poured(floor: FloorPlan, run: SheetRun) -> bool:
    """Whether any of a sheet run lies in the part of the floor that is poured."""
    part = floor.part
    if part is None:
        return True
    return min(run.supports[-1], part.high) - max(run.supports[0], part.low) > 1e-6


def _sheet_runs(floor: FloorPlan) -> tuple[SheetRun, ...]:
    runs = []
    first = 0
    for number, spans in enumerate(floor.sheet_runs, start=1):
        runs.append(SheetRun(number, tuple(floor.supports[first : first + spans + 1])))
        first += spans
    return tuple(runs)


def _marks(opening_marks: Iterable[float], y0: float, y1: float) -> tuple[float, ...]:
    return (y0, *(y for y in opening_marks if y0 < y < y1), y1)


def _open_width(openings: Iterable[Opening], x0: float, x1: float, y: float) -> float:
    return _clear([hole.x for hole in openings if hole.y[0] < y < hole.y[1]], x0, x1)


def _clear(holes: Iterable[tuple[float, float]], a: float, b: float) -> float:
    """Length of a..b that no hole takes; overlaps count once."""
    left, reached = b - a, a
    for low, high in sorted(holes):
        left -= max(0.0, min(b, high) - max(reached, low))
        reached = max(reached, high)
    return max(0.0, left)


def _open_area(
    openings: Iterable[Opening], x: tuple[float, float], marks: tuple[float, ...]
) -> float:
    return sum(
        _open_width(openings, *x, (low + high) / 2) * (high - low) for low, high in pairwise(marks)
    )
