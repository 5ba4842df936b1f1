"""Sides that two strips share: where a fresh edge waits for the strip placed later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPlan

_NEAR = 1e-6


@dataclass(frozen=True)
class EdgePair:
    """Two strips (indices in placing order, ``first`` placed earlier) and their shared side.

    ``along`` is the direction of the side: "y" at x = ``at`` from y = ``low`` to ``high``, or "x"
    at y = ``at`` from x = ``low`` to ``high``.
    """

    first: int
    second: int
    along: str
    at: float
    low: float
    high: float

    @property
    def length(self) -> float:
        """Length of the shared side (m)."""
        return self.high - self.low


def edge_pairs(floor: FloorPlan, strips: Sequence[Strip]) -> tuple[EdgePair, ...]:
    """Every shared side of strips given in placing order, in order of the later strip.

    A side that an opening interrupts gives a pair for each piece of it.
    """
    out: list[EdgePair] = []
    for second, b in enumerate(strips):
        for first, a in enumerate(strips[:second]):
            out += _shared(floor, a, b, first, second)
    return tuple(out)


def _shared(floor: FloorPlan, a: Strip, b: Strip, first: int, second: int) -> list[EdgePair]:
    low_y, high_y = max(a.y0, b.y0), min(a.y1, b.y1)
    low_x, high_x = max(a.x0, b.x0), min(a.x1, b.x1)
    if high_y - low_y > _NEAR:
        for x, other in ((a.x1, b.x0), (a.x0, b.x1)):
            if abs(x - other) < _NEAR:
                holes = [h.y for h in floor.openings if h.x[0] - _NEAR <= x <= h.x[1] + _NEAR]
                pieces = _clear(low_y, high_y, holes)
                return [EdgePair(first, second, "y", x, low, high) for low, high in pieces]
    if high_x - low_x > _NEAR:
        for y, other in ((a.y1, b.y0), (a.y0, b.y1)):
            if abs(y - other) < _NEAR:
                holes = [h.x for h in floor.openings if h.y[0] - _NEAR <= y <= h.y[1] + _NEAR]
                pieces = _clear(low_x, high_x, holes)
                return [EdgePair(first, second, "x", y, low, high) for low, high in pieces]
    return []


def _clear(
    low: float, high: float, holes: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The pieces of low..high that no hole touches."""
    pieces = []
    for start, end in sorted(holes):
        if end <= low or start >= high:
            continue
        if start - low > _NEAR:
            pieces.append((low, start))
        low = max(low, end)
    if high - low > _NEAR:
        pieces.append((low, high))
    return pieces
