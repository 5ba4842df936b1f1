"""A strip in parts along its front: from where the pump serves it, where crews could meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.floor.access.reach import Leg
from pourday.floor.access.zones import Shared
from pourday.floor.strips import Strip

Floats = NDArray[np.float64]

_HAIR = 1e-9


@dataclass(frozen=True)
class Part:
    """Part of a strip that ends when ``until`` (0..1) of the strip's volume is in.

    ``place`` is the set-up place (index) of the pump, ``shared`` the ground that it crosses where
    another crew could come too near.
    """

    until: float
    place: int
    shared: Shared | None


def parts_of(
    strip: Strip,
    upward: bool,
    way: Floats,
    volume: Floats,
    legs: Sequence[Leg],
    shared: Sequence[Shared],
) -> tuple[Part, ...]:
    """Cut a strip along its front; ``way`` (m) and ``volume`` are its profile, from its low end."""
    if len(legs) == 1 and not shared:
        return (Part(1.0, legs[0].place, None),)
    marks = {strip.low, strip.high}
    marks |= {leg.end for leg in legs} | {leg.begin for leg in legs}
    marks |= {edge for ground in shared for edge in (ground.low, ground.high)}
    along = sorted(m for m in marks if strip.low - _HAIR <= m <= strip.high + _HAIR)
    whole = float(volume[-1])
    pieces = list(pairwise(along))
    out: list[Part] = []
    for low, high in pieces if upward else reversed(pieces):
        if high - low <= _HAIR:
            continue
        middle = (low + high) / 2.0
        leg = next(x for x in legs if min(x.begin, x.end) <= middle <= max(x.begin, x.end))
        ground = next((g for g in shared if g.low <= middle <= g.high), None)
        at = float(np.interp(high if upward else low, way, volume)) / whole
        until = at if upward else 1.0 - at
        if out and (out[-1].place, out[-1].shared) == (leg.place, ground):
            out.pop()
        out.append(Part(until, leg.place, ground))
    # The last drop belongs to the last part, whatever rounding says.
    out[-1] = Part(1.0, out[-1].place, out[-1].shared)
    return tuple(out)
