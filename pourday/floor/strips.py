"""Cutting bays into strips, for ``thirds`` and ``spread``; ``bands`` cuts for ``across``.

The cut is made in the direction of the pour, so that a joint strip belongs to the bay it closes;
names count supports and spans from low x, so that they stay the same whichever end begins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pourday.floor.cut import Bay, FloorCut, SheetRun
from pourday.scenario.model.scenario import FloorPlan, Plan

BEAM, GAP, JOINT, EDGE = "beam", "gap", "joint", "edge"
BAND = "band"


@dataclass(frozen=True)
class Strip:
    """A rectangle placed as one unit by a front that runs along ``along``, "y" or "x".

    ``place`` is its bay's place in the bay order. ``joined`` are x of a gap too narrow to be a
    strip of its own that is placed with this one. ``band`` numbers the bands of the order "across"
    in placing order, over the whole floor.
    """

    name: str
    kind: str
    bay: str
    place: int
    x0: float
    x1: float
    y0: float
    y1: float
    area: float
    along: str = "y"
    joined: tuple[float, float] | None = None
    band: int = -1

    @property
    def low(self) -> float:
        """Where the front begins or ends, the lower of the two (m along its way)."""
        return self.x0 if self.along == "x" else self.y0

    @property
    def high(self) -> float:
        """Where the front begins or ends, the higher of the two (m along its way)."""
        return self.x1 if self.along == "x" else self.y1

    @property
    def sides(self) -> tuple[float, float]:
        """Low and high side of the strip, between which the front stands (m)."""
        return (self.y0, self.y1) if self.along == "x" else (self.x0, self.x1)

    def at(self, place: float) -> tuple[float, float]:
        """x and y of the middle of the front where it stands at ``place`` (m along its way)."""
        aside = sum(self.sides) / 2
        return (place, aside) if self.along == "x" else (aside, place)

    @property
    def middle(self) -> float:
        """x of the strip's middle line (m)."""
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True)
class _Piece:
    kind: str
    label: str
    low: float
    high: float
    joined: tuple[float, float] | None = None


def way_of_cutting(plan: Plan) -> str:
    """How a plan's bays are cut: "thirds", "spread" or "across"."""
    return plan.cut if plan.order == "listed" else plan.order


def cut_thirds(
    cut: FloorCut,
    fraction: float,
    begin_at: str,
    lane_order: str,
    least: float = 0.0,
    begin_y: str = "low_y",
) -> tuple[Strip, ...]:
    """Strips over inner supports reaching ``fraction`` into the spans, gaps, edges and joints.

    A gap narrower than ``least`` (m) is placed with a neighbour. Common practice, no source (design
    section 5). Strips that openings take wholly are left out.
    """

    def _pieces(run: int, way: tuple[bool, bool]) -> Iterator[_Piece]:
        return _join_narrow(list(_thirds(cut, run, fraction, way)), least, way[0])

    return _cut(cut, cut.sequence(begin_at, lane_order, begin_y), begin_at, _pieces)


def cut_spread(
    cut: FloorCut,
    width: float | None,
    fraction: float,
    begin_at: str,
    lane_order: str,
    begin_y: str = "low_y",
) -> tuple[Strip, ...]:
    """Strips side by side; each span is cut evenly into strips as near ``width`` as it goes.

    Without a width a span is cut into strips of ``fraction`` of it. Strips never straddle a
    support.
    """
    bays = cut.sequence(begin_at, lane_order, begin_y)
    return _cut(cut, bays, begin_at, lambda run, _: _side_by_side(cut, run, width, fraction))


def _cut(
    cut: FloorCut,
    bays: Sequence[Bay],
    begin_at: str,
    cutter: Callable[[int, tuple[bool, bool]], Iterator[_Piece]],
) -> tuple[Strip, ...]:
    reverse = begin_at == "high_x"
    last_run = 0 if reverse else len(cut.runs) - 1
    strips = []
    for place, bay in enumerate(bays):
        for piece in cutter(bay.run, (reverse, bay.run == last_run)):
            strips.append(_strip(cut, bay, place, piece))
    return tuple(strip for strip in strips if strip.area > 1e-9)


def _strip(cut: FloorCut, bay: Bay, place: int, piece: _Piece) -> Strip:
    return Strip(
        name=f"{bay.name}/{piece.label}",
        kind=piece.kind,
        bay=bay.name,
        place=place,
        x0=piece.low,
        x1=piece.high,
        y0=bay.y0,
        y1=bay.y1,
        area=cut.open_area(piece.low, piece.high, bay.y0, bay.y1),
        joined=piece.joined,
    )


def _thirds(
    cut: FloorCut, index: int, fraction: float, direction: tuple[bool, bool]
) -> Iterator[_Piece]:
    """Pieces of one sheet run from low x; ``direction`` = (poured from high x, last in line)."""
    reverse, last = direction
    runs = cut.runs
    run = runs[index]
    spans = run.spans
    reach = [fraction * (b - a) for a, b in spans]
    count = len(spans)
    ends = _ends(cut.floor, index)
    for span, (a, b) in enumerate(spans):
        low = a + reach[span] if span > 0 or ends[0] == JOINT else a
        high = b - reach[span] if span < count - 1 or ends[1] == JOINT else b
        at_edge = (span == 0 and ends[0] == EDGE) or (span == count - 1 and ends[1] == EDGE)
        kind = EDGE if at_edge else GAP
        yield _Piece(kind, f"{kind} {span + 1}", low, high)
        if span < count - 1:
            nxt = b + reach[span + 1]
            yield _Piece(BEAM, f"{BEAM} {span + 1}", b - reach[span], nxt)
    # The joint this bay closes lies at its far end in the pour direction.
    far_is_joint = ends[0 if reverse else 1] == JOINT
    if far_is_joint:
        near, far = _across_joint(runs, index, reverse, last, fraction)
        yield _Piece(JOINT, JOINT, min(near, far), max(near, far))
    if index == (len(runs) - 1 if reverse else 0) and ends[1 if reverse else 0] == JOINT:
        # The floor begins at a joint with an earlier pour: this bay closes that one too.
        a, b = spans[-1] if reverse else spans[0]
        start = (b - fraction * (b - a), b) if reverse else (a, a + fraction * (b - a))
        yield _Piece(JOINT, f"{JOINT} at start", *start)


def _join_narrow(pieces: list[_Piece], least: float, reverse: bool) -> Iterator[_Piece]:
    """The pieces of a run, every gap narrower than ``least`` (m) placed with a neighbour.

    With the joint strip of the bay where it lies beside it: the gap comes after its beams still.
    Else with the beam strip that is reached later, so that the other one stands: of the two rules
    of the gap one is kept, and the other cannot be by a strip too narrow to be placed alone.
    """
    out = {piece.label: piece for piece in pieces}
    for gap in [piece for piece in pieces if piece.kind == GAP]:
        if gap.high - gap.low >= least - 1e-9:
            continue
        beside = [
            each
            for each in out.values()
            if each.joined is None
            and each.kind in (BEAM, JOINT)
            and (abs(each.high - gap.low) < 1e-9 or abs(each.low - gap.high) < 1e-9)
        ]
        if beside:
            last = min if reverse else max
            into = last(beside, key=lambda each: each.low)
            into = next((each for each in beside if each.kind == JOINT), into)
            del out[gap.label]
            out[into.label] = _Piece(
                into.kind,
                f"{into.label} with {gap.label}",
                min(into.low, gap.low),
                max(into.high, gap.high),
                (gap.low, gap.high),
            )
    yield from out.values()


def _ends(floor: FloorPlan, index: int) -> tuple[str, str]:
    low = JOINT if index > 0 else floor.low_x_end
    high = JOINT if index < len(floor.sheet_runs) - 1 else floor.high_x_end
    return low, high


def _across_joint(
    runs: tuple[SheetRun, ...], index: int, reverse: bool, last: bool, fraction: float
) -> tuple[float, float]:
    """x where the joint strip at the far end of a run begins and ends."""
    step = -1 if reverse else 1
    run = runs[index]
    a, b = run.spans[0 if reverse else -1]
    joint = a if reverse else b
    near = joint - step * fraction * (b - a)
    if last:
        return near, joint
    c, d = runs[index + step].spans[-1 if reverse else 0]
    return near, joint + step * fraction * (d - c)


def _side_by_side(
    cut: FloorCut, index: int, width: float | None, fraction: float
) -> Iterator[_Piece]:
    spans = cut.runs[index].spans
    ends = _ends(cut.floor, index)
    number = 0
    for span, (a, b) in enumerate(spans):
        parts = max(1, round((b - a) / width if width else 1 / fraction))
        step = (b - a) / parts
        for part in range(parts):
            number += 1
            first, final = part == 0, part == parts - 1
            sides = []
            if first:
                sides.append(ends[0] if span == 0 else BEAM)
            if final:
                sides.append(ends[1] if span == len(spans) - 1 else BEAM)
            kind = next((k for k in (EDGE, JOINT, BEAM) if k in sides), GAP)
            high = b if final else a + (part + 1) * step
            yield _Piece(kind, f"strip {number}", a + part * step, high)


def strip_words(number: int, name: str) -> str:
    """A strip as people call it: its number in order, from 1, and its name: "12 (1b joint)"."""
    return f"{number} ({name.replace('/', ' ')})"
