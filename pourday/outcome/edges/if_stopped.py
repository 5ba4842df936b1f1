"""What a stop would mean at any strip: how long its edges last, and how far it is to a stop end.

Made beforehand, for paper: nobody knows yet where a pour will stop. So each strip is taken as it
begins, with all that comes before it in the order in place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.edge_clock import EdgeClock, edge_clock
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.edges.end_places import Progress, StopEnd, stop_ends
from pourday.outcome.edges.stop_end import Judged

Bools = NDArray[np.bool_]
_NEAR = 1e-6
_BEGUN = 1e-3


@dataclass(frozen=True, eq=False)
class Lasting:
    """How long edges last on one day, of every strip (strips,) in s; nan where it has no concrete.

    ``cover_within``: from the strip's begin until the first of its sides that a later strip has to
    cover is cold; inf where no later strip touches it. ``left``: from its begin until the first
    edge open then is cold: older concrete beside which its front has not placed yet, or the
    strip's own first concrete.
    """

    cover_within: Floats
    left: Floats


def lasting(outcome: Judged) -> Lasting:
    """How long the edges of a day last, by the rule of its mix."""
    basis, found = outcome.basis, outcome.fronts
    count = len(basis.layout.strips)
    begun = strip_begun(found, count)
    clock = edge_clock(basis, found)
    older, newer, cold, met = _sides(basis, clock, begun)
    own = np.array([_cold(clock, strip, -np.inf, np.inf) for strip in range(count)])
    front = np.asarray(basis.layout.front_of)
    cover, left = np.full(count, np.inf), np.full(count, np.nan)
    np.minimum.at(cover, older, cold - begun[older])
    for strip in np.flatnonzero(np.isfinite(begun)):
        now = begun[strip]
        bare = ~(begun[newer] < now) & (front[newer] == front[strip])
        bare &= ~(met & (newer == strip))  # where it begins, that side is covered at once
        waits = cold[(begun[older] < now) & bare]
        left[strip] = min(float(waits.min(initial=np.inf)), own[strip]) - now
    return Lasting(np.where(np.isfinite(begun), cover, np.nan), left)


def strip_begun(found: Fronts, count: int) -> Floats:
    """When each of ``count`` strips got its first concrete (strips,) s, nan where it has none."""
    begun = np.full(count, np.inf)
    np.minimum.at(begun, found.strip, np.minimum(found.time_low, found.time_high))
    return np.where(np.isfinite(begun), begun, np.nan)


def _sides(basis: Basis, clock: EdgeClock, begun: Floats) -> tuple[Ints, Ints, Floats, Bools]:
    """Of each side with concrete: the strip begun first, the other, when the first is cold (s).

    Last whether the other begins right there, at a side across its way.
    """
    rows = []
    for one, other, low, high in zip(
        basis.pair_first.tolist(),
        basis.pair_second.tolist(),
        basis.pair_low.tolist(),
        basis.pair_high.tolist(),
        strict=True,
    ):
        turned = begun[other] < begun[one] or not np.isfinite(begun[one])
        older, newer = (other, one) if turned else (one, other)
        if np.isfinite(begun[older]):
            shape = basis.layout.strips[newer]
            begins = shape.low if basis.layout.upward[newer] else shape.high
            met = low == high and abs(begins - low) < _NEAR
            rows.append((older, newer, _cold(clock, older, low, high), met))
    older, newer, cold, met = np.array(rows, dtype=float).reshape(-1, 4).T
    return older.astype(np.intp), newer.astype(np.intp), cold, met.astype(bool)


def _cold(clock: EdgeClock, strip: int, low: float, high: float) -> float:
    """When the first concrete of a strip between two places along its way is cold (s)."""
    found = clock.found
    mine = np.arange(int(found.first[strip]), int(found.first[strip + 1]))
    # A side across the way of the fronts is a point: whatever piece touches it counts.
    touch = -_NEAR if high == low else _NEAR
    overlap = np.minimum(found.high[mine], high) - np.maximum(found.low[mine], low)
    piece = mine[overlap > touch]
    cold = clock.at(piece, np.full(len(piece), low), np.full(len(piece), high))[1]
    return float(cold.min(initial=np.inf))


def ends_from(basis: Basis, strip: int) -> tuple[StopEnd, ...]:
    """The ways to end a pour that stops as ``strip`` (index) begins; none where the rule has none.

    All strips before it in the order are full, of every front; where its front has none, it has
    just begun. Times in them are nan: they are those of a day.
    """
    volume = basis.layout.volume
    before = np.arange(len(volume)) < strip
    own = np.asarray(basis.layout.front_of) == basis.layout.front_of[strip]
    placed = np.where(before, volume, 0.0)
    if not (before & own).any():
        placed[strip] = _BEGUN * volume[strip]
    return stop_ends(basis, Progress(own, strip, volume, placed, float("nan")), float("nan"))


def open_length(basis: Basis, strip: int) -> float:
    """Sides (m) that have concrete on one side only as ``strip`` (index) begins, all fronts."""
    first, second = basis.pair_first, basis.pair_second
    return float(basis.pair_length[(first < strip) & (second >= strip)].sum())
