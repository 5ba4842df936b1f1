"""Where a floor could be ended for the day, and how that cuts it into parts.

A stop end lies 600 mm from the beam centre at a beam where sheets join, on the side that is poured
later (design section 5; common practice, no source). A floor without such a beam is ended beside an
inner beam over which the sheets run on: that place is named for what it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from pourday.floor.cut import floor_cut
from pourday.scenario.base.trade import LEAST_PART, STOP_END_OFFSET
from pourday.scenario.model.scenario import FloorPart, FloorPlan

SHEET_JOINT, INNER_BEAM, ON_BEAM, IN_SPAN = (
    "sheet joint",
    "inner beam",
    "on the beam",
    "in the span",
)
_NEAR = 1e-6
_SAME = 0.005


@dataclass(frozen=True)
class StopPlace:
    """A stop end across the floor at ``x``, nearest to the beam at ``beam`` (m).

    ``kind`` is "sheet joint" where the rule of the trade has it, "inner beam" 600 mm from a beam
    over which the sheets run on, "on the beam", or "in the span" for any other place; ``length``
    (m) is that of the form, openings left out.
    """

    x: float
    beam: float
    kind: str
    length: float

    @property
    def offset(self) -> float:
        """From the beam centre to the stop end (m), positive towards high x."""
        return self.x - self.beam


def stop_places(floor: FloorPlan, forward: bool) -> tuple[StopPlace, ...]:
    """Every good place, from low to high x, for a floor poured from low x (``forward``) or high.

    Where the file plans stop ends, those; else at the sheet joints, and where there is none at the
    inner beams.
    """
    if floor.stop_ends_x:
        return tuple(stop_place(floor, x) for x in sorted(set(floor.stop_ends_x)))
    joints = floor_cut(floor).joints
    step = STOP_END_OFFSET if forward else -STOP_END_OFFSET
    low, high = floor.supports[0], floor.supports[-1]
    for beams in (joints, floor.supports[1:-1]):
        found = [
            stop_place(floor, beam + step)
            for beam in beams
            if low + LEAST_PART < beam + step < high - LEAST_PART
        ]
        if found:
            return tuple(found)
    return ()


def stop_place(floor: FloorPlan, x: float) -> StopPlace:
    """The stop end at ``x`` (m) and what it lies beside."""
    cut = floor_cut(floor)
    beams = floor.supports
    off = [beam for beam in beams if abs(abs(x - beam) - STOP_END_OFFSET) <= _SAME]
    joints = [b for b in off if any(abs(b - j) < _NEAR for j in cut.joints)]
    near = min(joints or off or beams, key=lambda beam: abs(beam - x))
    kind = SHEET_JOINT if joints else INNER_BEAM if off else IN_SPAN
    if not off and abs(near - x) <= _SAME:
        kind = ON_BEAM
    # Just before it: an opening that begins at the stop end needs no form less.
    return StopPlace(x, near, kind, cut.open_depth(0.0, floor.length_y, x - _NEAR))


def parts_of(floor: FloorPlan, ends: Sequence[StopPlace], forward: bool) -> tuple[FloorPart, ...]:
    """The parts between stop ends given from low to high x, in order of their days."""
    marks = [floor.supports[0], *(end.x for end in ends), floor.supports[-1]]
    parts = [
        FloorPart(
            low,
            high,
            low_hardened=forward and low > marks[0],
            high_hardened=not forward and high < marks[-1],
        )
        for low, high in pairwise(marks)
    ]
    return tuple(parts if forward else reversed(parts))


def cuts(places: Sequence[StopPlace], parts: int) -> Iterator[tuple[StopPlace, ...]]:
    """Every choice of stop ends that makes so many parts."""
    return combinations(places, parts - 1)


def bays_words(floor: FloorPlan, part: FloorPart) -> str:
    """The sheet runs that lie in a part for the most of them: "1-3", "4"."""
    runs = [
        run.number
        for run in floor_cut(floor).runs
        if part.low < (run.supports[0] + run.supports[-1]) / 2 < part.high
    ]
    if not runs:
        return "-"
    return f"{runs[0]}" if len(runs) == 1 else f"{runs[0]}-{runs[-1]}"
