"""Strips and spans of a floor cut at the ends of the part that is poured on a day.

A piece left at a stop end that is narrower than the least strip is placed with its neighbour:
nobody places 400 mm by itself (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pourday.floor.cut import FloorCut
from pourday.floor.strips import Strip

_NEAR = 1e-6


def in_part(cut: FloorCut, strips: Sequence[Strip], least: float) -> tuple[Strip, ...]:
    """The strips as far as they lie in the part of the floor; all of them where it has none.

    Args:
        cut: the floor, whose ``part`` it is.
        strips: strips of the whole floor; those of a part come out with the same names.
        least: a piece at an end of the part that is narrower (m) goes to its neighbour.
    """
    part = cut.floor.part
    if part is None:
        return tuple(strips)
    inside = [
        replace(s, x0=max(s.x0, part.low), x1=min(s.x1, part.high))
        for s in strips
        if min(s.x1, part.high) - max(s.x0, part.low) > _NEAR
    ]
    whole = {s.name: s.x1 - s.x0 for s in strips}
    out = {s.name: s for s in inside}
    for piece in inside:
        width = piece.x1 - piece.x0
        if width >= min(least, whole[piece.name]) - _NEAR:
            continue
        beside = [s for s in out.values() if s.name != piece.name and _goes_on(s, piece)]
        if beside:
            into = beside[0]
            low, high = min(into.x0, piece.x0), max(into.x1, piece.x1)
            out[into.name] = replace(into, x0=low, x1=high)
            del out[piece.name]
    of_bay = {s.bay: s.place for s in strips}
    kept = [_in_its_bay(cut, s, of_bay) for s in out.values()]
    sized = (replace(s, area=cut.open_area(s.x0, s.x1, s.y0, s.y1)) for s in kept)
    return tuple(s for s in sized if s.area > 1e-9)


def _in_its_bay(cut: FloorCut, strip: Strip, places: Mapping[str, int]) -> Strip:
    """The strip with the bay that it lies on, where its own is another day's."""
    if any(bay.name == strip.bay for bay in cut.bays):
        return strip
    y = (strip.y0 + strip.y1) / 2
    on = [bay for bay in cut.bays if bay.y0 < y < bay.y1]
    bay = min(on, key=lambda bay: abs(strip.middle - (bay.x0 + bay.x1) / 2))
    return replace(strip, bay=bay.name, place=places.get(bay.name, strip.place))


def _goes_on(strip: Strip, piece: Strip) -> bool:
    """Whether a strip lies beside a piece along x, over the same stretch of y."""
    same = abs(strip.y0 - piece.y0) < _NEAR and abs(strip.y1 - piece.y1) < _NEAR
    return same and (abs(strip.x1 - piece.x0) < _NEAR or abs(strip.x0 - piece.x1) < _NEAR)
