"""Cutting the floor for the order ``across``: one front over the width of a pour, band after band.

A pour is a sheet run with all its spans, or as many neighbouring spans as a stated width holds. Its
front moves along y in bands; in a band the hose crosses the spans in turn, and back again in the
next one. A strip is a band within one span: the deck is loaded span by span, and the front of a
strip runs along x. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from pourday.floor.cut import Bay, FloorCut
from pourday.floor.strips import BAND, Strip
from pourday.scenario.model.scenario import Plan


@dataclass(frozen=True)
class _Span:
    """A span of a bay; ``number`` counts from low x in its sheet run."""

    bay: Bay
    number: int
    low: float
    high: float


def bands_of(low: float, high: float, band: float) -> tuple[tuple[float, float], ...]:
    """y of the bands from low to high y: even, as near ``band`` (m) as it goes."""
    count = max(1, round((high - low) / band))
    return tuple(pairwise(np.linspace(low, high, count + 1).tolist()))


def band_marks(cut: FloorCut, plan: Plan) -> tuple[float, ...]:
    """y (m) at which two bands of a lane meet."""
    return tuple(
        high for y0, y1 in cut.lanes for _, high in bands_of(y0, y1, plan.band) if high < y1
    )


def bands_in(bay: Bay, marks: Sequence[float]) -> Iterator[Bay]:
    """A bay as one piece for each band that ``marks`` (y, m) cut from it; the bay without any.

    A piece keeps the name and the area of its bay.
    """
    inner = [y for y in marks if bay.y0 + 1e-6 < y < bay.y1 - 1e-6]
    for low, high in pairwise([bay.y0, *inner, bay.y1]):
        yield replace(bay, y0=low, y1=high) if inner else bay


def cut_across(cut: FloorCut, plan: Plan, of_bay: Mapping[str, int]) -> tuple[Strip, ...]:
    """Bands within spans, in placing order front by front.

    ``of_bay`` is the front of every bay: a pour has one front. What openings take wholly is left
    out. With ``plan.alternate`` the hose begins every band, and every pour, at the nearer end.
    """
    here: dict[int, tuple[float, float]] = {}
    out: list[Strip] = []
    band = 0
    for place, spans in enumerate(_pours(cut, plan, of_bay)):
        bay, front = spans[0].bay, of_bay[spans[0].bay.name]
        numbered = list(enumerate(bands_of(bay.y0, bay.y1, plan.band), start=1))
        if _from_high(bay.y0, bay.y1, plan, here.get(front), 1):
            numbered.reverse()
        for number, (y0, y1) in numbered:
            x0, x1 = min(s.low for s in spans), max(s.high for s in spans)
            back = _from_high(x0, x1, plan, here.get(front), 0)
            for span in sorted(spans, key=lambda s: s.low, reverse=back):
                out.append(_strip(cut, span, (y0, y1), (place, number, band)))
            rising = numbered[0][0] <= numbered[-1][0]
            here[front] = (x0 if back else x1, y1 if rising else y0)
            band += 1
    return tuple(strip for strip in out if strip.area > 1e-9)


def _from_high(
    low: float, high: float, plan: Plan, here: tuple[float, float] | None, axis: int
) -> bool:
    """Whether to begin at the high end, of x (``axis`` 0) or y (1)."""
    told = plan.begin_at == "high_x" if axis == 0 else plan.begin_y == "high_y"
    if here is None or not plan.alternate:
        return told
    to_low, to_high = abs(low - here[axis]), abs(high - here[axis])
    return told if abs(to_low - to_high) < 1e-9 else to_high < to_low


def _pours(cut: FloorCut, plan: Plan, of_bay: Mapping[str, int]) -> Iterator[list[_Span]]:
    """Spans that one front takes together, in the order of the bays."""
    group: list[_Span] = []
    every = []
    for bay in cut.sequence(plan.begin_at, plan.lanes, plan.begin_y):
        spans = [_Span(bay, n, a, b) for n, (a, b) in enumerate(cut.run_of(bay).spans, start=1)]
        every += list(reversed(spans)) if plan.begin_at == "high_x" else spans
    for span in _in_part(cut, every, plan.least_strip):
        if group and not _goes_on(group, span, plan, of_bay):
            yield group
            group = []
        group.append(span)
    yield group


def _in_part(cut: FloorCut, spans: list[_Span], least: float) -> list[_Span]:
    """Spans as far as they lie in the part of the floor.

    What is left of one beside a stop end, if narrower than ``least`` (m), goes with the next span.
    """
    part = cut.floor.part
    if part is None:
        return spans
    inside = [replace(s, low=max(s.low, part.low), high=min(s.high, part.high)) for s in spans]
    inside = [s for s in inside if s.high - s.low > 1e-6]
    out = list(inside)
    for piece in inside:
        cut_off = piece.low == part.low or piece.high == part.high
        beside = [
            s
            for s in out
            if s.bay.lane == piece.bay.lane
            and (abs(s.high - piece.low) < 1e-6 or abs(s.low - piece.high) < 1e-6)
        ]
        if cut_off and piece.high - piece.low < least - 1e-6 and beside:
            into = beside[0]
            at = out.index(into)
            out[at] = replace(into, low=min(into.low, piece.low), high=max(into.high, piece.high))
            out.remove(piece)
    return out


def _goes_on(group: Sequence[_Span], span: _Span, plan: Plan, of_bay: Mapping[str, int]) -> bool:
    last = group[-1].bay
    if last.lane != span.bay.lane or of_bay[last.name] != of_bay[span.bay.name]:
        return False
    if plan.pour_width is None:
        return last is span.bay
    together = [*group, span]
    width = max(s.high for s in together) - min(s.low for s in together)
    beside = abs(group[-1].high - span.low) < 1e-6 or abs(span.high - group[-1].low) < 1e-6
    return beside and width <= plan.pour_width + 1e-9


def _strip(
    cut: FloorCut, span: _Span, y: tuple[float, float], number: tuple[int, int, int]
) -> Strip:
    place, of_lane, band = number
    return Strip(
        name=f"{span.bay.name}/band {of_lane} span {span.number}",
        kind=BAND,
        bay=span.bay.name,
        place=place,
        x0=span.low,
        x1=span.high,
        y0=y[0],
        y1=y[1],
        area=cut.open_area(span.low, span.high, *y),
        along="x",
        band=band,
    )
