"""Fresh edges that wait for the concrete beside them at one moment, and when each is lost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.outcome.base.basis import Basis
from pourday.outcome.base.edge_clock import EdgeClock, edge_clock
from pourday.outcome.base.fronts import Fronts

FRESH, STIFF, COLD = "fresh", "stiff", "cold"
_NEAR = 1e-6


@dataclass(frozen=True)
class StripScene:
    """How much of a strip is in (share of its volume), and where concrete lies (from, to, m along
    the way of its front).

    ``low`` and ``high`` are nan where none lies yet.
    """

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class OpenEdge:
    """A fresh edge that waits for the concrete beside it.

    ``older`` is the strip that has concrete, ``younger`` the one that has not: the same strip
    where its own front stands still. ``along`` is "y" for a side at x = ``at`` open from y =
    ``low`` to ``high`` (m), "x" for a side at y = ``at`` open from x = ``low`` to ``high``.
    ``stiff_at`` and ``lost_at`` (s) are when its oldest concrete is stiff and cold, by the rule
    of the mix. ``pair`` is the index of the edge pair, -1 for a front.
    """

    pair: int
    older: int
    younger: int
    along: str
    at: float
    low: float
    high: float
    stiff_at: float
    lost_at: float

    def state(self, time: float) -> str:
        """ "fresh", "stiff" or "cold" at ``time`` (s)."""
        if time > self.lost_at:
            return COLD
        return STIFF if time > self.stiff_at else FRESH


def open_edges(
    basis: Basis, found: Fronts, strips: tuple[StripScene, ...], time: float
) -> tuple[OpenEdge, ...]:
    """Every side with concrete on one side only at ``time``, and every front inside a strip.

    The oldest concrete along the open part of the side counts, by the rule of the mix (design
    section 7). Sorted: the nearest to be lost first.
    """
    clock = edge_clock(basis, found)
    out: list[OpenEdge] = []
    sides = zip(basis.layout.pairs, basis.pair_low, basis.pair_high, strict=True)
    for n, (pair, low, high) in enumerate(sides):
        for older, younger in ((pair.first, pair.second), (pair.second, pair.first)):
            begun, other = strips[older], strips[younger]
            if math.isnan(begun.low):
                continue
            for a, b in _only_on_one_side(begun, other, float(low), float(high)):
                when = _oldest(clock, older, a, b, time)
                if pair.along != basis.layout.along:
                    a, b = pair.low, pair.high
                out.append(OpenEdge(n, older, younger, pair.along, pair.at, a, b, *when))
    for number, (strip, state) in enumerate(zip(basis.layout.strips, strips, strict=True)):
        if 0.0 < state.share < 1.0 - _NEAR:
            at = state.high if basis.layout.upward[number] else state.low
            when = _at_the_front(clock, number, at, time)
            aside = "y" if strip.along == "x" else "x"
            out.append(OpenEdge(-1, number, number, aside, at, *strip.sides, *when))
    return tuple(sorted(out, key=lambda edge: (edge.lost_at, edge.older, edge.younger)))


def _only_on_one_side(
    begun: StripScene, other: StripScene, low: float, high: float
) -> list[tuple[float, float]]:
    """Parts of the side where ``begun`` lies and ``other`` does not.

    A side across the way of the fronts is a point.
    """
    if high == low:
        here = begun.low - _NEAR <= low <= begun.high + _NEAR
        there = other.low - _NEAR <= low <= other.high + _NEAR  # False for nan
        return [(low, low)] if here and not there else []
    a, b = max(low, begun.low), min(high, begun.high)
    parts = [(a, b)]
    if not math.isnan(other.low):
        parts = [(a, min(b, other.low)), (max(a, other.high), b)]
    return [(c, d) for c, d in parts if d - c > _NEAR]


def _oldest(
    clock: EdgeClock, strip: int, low: float, high: float, time: float
) -> tuple[float, float]:
    """When the first concrete of a strip between two y is stiff, and cold; of what lies by then."""
    found = clock.found
    mine = slice(int(found.first[strip]), int(found.first[strip + 1]))
    begun = np.minimum(found.time_low[mine], found.time_high[mine]) <= time
    # A point takes whatever piece touches it; a length only pieces that share some of it.
    touch = -_NEAR if high == low else _NEAR
    overlap = np.minimum(found.high[mine], high) - np.maximum(found.low[mine], low)
    piece = np.arange(mine.start, mine.stop)[begun & (overlap > touch)]
    stiff, cold = clock.at(piece, np.full(len(piece), low), np.full(len(piece), high))
    return float(stiff.min(initial=np.inf)), float(cold.min(initial=np.inf))


def _at_the_front(clock: EdgeClock, strip: int, y: float, time: float) -> tuple[float, float]:
    """When the concrete at the front of a strip is stiff, and cold: that placed last by then."""
    found = clock.found
    mine = slice(int(found.first[strip]), int(found.first[strip + 1]))
    begun = np.minimum(found.time_low[mine], found.time_high[mine])
    last = np.array([mine.start + np.argmax(np.where(begun <= time, begun, -np.inf))])
    stiff, cold = clock.at(last, np.array([y]), np.array([y]))
    return float(stiff[0]), float(cold[0])
