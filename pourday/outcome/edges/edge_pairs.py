"""Edge pairs and stopped fronts: how long a fresh edge waited, and in which state it was covered.

The older side counts to the moment it is covered, by the rule of the mix (design section 7): its
equivalent age from loading, or the clock from its placing. A ratio over 1 to what the rule allows
is a cold joint, a ratio over the rule's ``stiff_from`` a stiff edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from pourday.floor.edges import EdgePair
from pourday.floor.layout import Layout
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.edge_clock import time_used
from pourday.outcome.base.fronts import Fronts, piece_at, time_at
from pourday.outcome.base.tables import greatest, totals

_NEAR = 1e-6


@dataclass(frozen=True, eq=False)
class EdgeOutcome:
    """Edge pairs of a day (P,), then its stopped fronts (F,); those of several days end to end.

    ``gap`` (s) longest time between the two placements; ``ratio`` greatest share of its time to
    cold that the older side has used; ``at`` (m along the way of the fronts) and ``time`` where
    and when that was; ``cold_length`` (m) is the length of side with a ratio over 1,
    ``stiff_length`` that with one over ``stiff_from`` up to 1. Pairs that were never closed have
    ratio nan. A pair or front that is cold anywhere is not counted as stiff.
    """

    gap: Floats
    ratio: Floats
    at: Floats
    time: Floats
    cold_length: Floats
    stiff_length: Floats
    stop_strip: Ints
    stop_at: Floats
    stop_time: Floats
    stop_ratio: Floats
    stiff_from: float

    @property
    def pair_stiff(self) -> NDArray[np.bool_]:
        """Which edge pairs were stiff where they were worst (P,)."""
        return np.asarray((self.ratio > self.stiff_from) & (self.ratio <= 1.0))

    @property
    def stop_stiff(self) -> NDArray[np.bool_]:
        """Which stopped fronts were stiff (F,)."""
        return np.asarray((self.stop_ratio > self.stiff_from) & (self.stop_ratio <= 1.0))

    @property
    def stiff_pairs(self) -> int:
        """How many edge pairs were stiff where they were worst."""
        return int(np.sum(self.pair_stiff))

    @property
    def stiff_fronts(self) -> int:
        """How many stopped fronts were stiff."""
        return int(np.sum(self.stop_stiff))

    @property
    def stiff(self) -> bool:
        """Whether any metre of edge or any stopped front was stiff when it was covered."""
        return bool(np.any(self.stiff_length > 0.0)) or bool(np.any(self.stop_stiff))

    @property
    def cold_pairs(self) -> int:
        """How many edge pairs went cold."""
        return int(np.sum(self.ratio > 1.0))

    @property
    def cold_fronts(self) -> int:
        """How many stopped fronts went cold."""
        return int(np.sum(self.stop_ratio > 1.0))

    @property
    def cold(self) -> bool:
        """Whether any edge pair or stopped front went cold."""
        return bool(np.nanmax(self.ratio, initial=0.0) > 1.0) or bool(np.any(self.stop_ratio > 1.0))


def worst_place(layout: Layout, pair: EdgePair, at: float) -> tuple[float, float]:
    """x and y (m) where a side was oldest when covered; the middle of one across the fronts' way.

    ``at`` (m) is the place along the way of the fronts; nan where the side was not covered, and so
    are x and y then.
    """
    if np.isnan(at):
        return at, at
    along = at if pair.along == layout.along else (pair.low + pair.high) / 2
    return (pair.at, along) if pair.along == "y" else (along, pair.at)


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Edge pairs as in :class:`Basis`, those of all its days end to end (D P,)."""

    first: Ints
    second: Ints
    low: Floats
    high: Floats
    length: Floats


def edge_outcome(basis: Basis, found: Fronts) -> EdgeOutcome:
    """Judge every edge pair and every stop of a front, on all days of the basis."""
    pairs = _pairs(basis)
    pair, low, high = _intervals(pairs, found)
    stop_before, stop_after = _stops(found)
    first, second = pairs.first[pair], pairs.second[pair]
    middle = (low + high) / 2
    older, younger = _by_age(found, piece_at(found, first, middle), piece_at(found, second, middle))
    covered = np.concatenate([time_at(found, younger, low), time_at(found, younger, high)])
    placed = np.concatenate([time_at(found, older, low), time_at(found, older, high)])
    upward = np.array(basis.layout.upward)[found.strip[stop_after] % basis.strips]
    stopped = np.maximum(found.time_low[stop_before], found.time_high[stop_before])
    restart = np.where(upward, found.time_low[stop_after], found.time_high[stop_after])
    ratio = time_used(
        basis,
        found,
        np.concatenate([older, older, stop_before]),
        np.concatenate([placed, stopped]),
        np.concatenate([covered, restart]),
    )
    ends, at = 2 * len(pair), np.concatenate([low, high])
    pair_of = np.concatenate([pair, pair])
    gap, _ = greatest(len(pairs.first), pair_of, covered - placed)
    worst, where = greatest(len(pairs.first), pair_of, ratio[:ends])
    over = partial(_length_over, pairs, pair, (low, high), ratio[:ends])
    stiff_from = basis.edge_rule.stiff_from
    cold_length = over(1.0)
    return EdgeOutcome(
        gap=np.where(where < 0, np.nan, gap),
        ratio=np.where(where < 0, np.nan, worst),
        at=np.append(at, np.nan)[where],
        time=np.append(covered, np.nan)[where],
        cold_length=cold_length,
        stiff_length=over(stiff_from) - cold_length,
        stop_strip=found.strip[stop_after],
        stop_at=np.where(upward, found.low[stop_after], found.high[stop_after]),
        stop_time=restart,
        stop_ratio=ratio[ends:],
        stiff_from=stiff_from,
    )


def _pairs(basis: Basis) -> _Pairs:
    begin, days = np.arange(basis.days)[:, None] * basis.strips, basis.days
    return _Pairs(
        first=(begin + basis.pair_first).ravel(),
        second=(begin + basis.pair_second).ravel(),
        low=np.tile(basis.pair_low, days),
        high=np.tile(basis.pair_high, days),
        length=np.tile(basis.pair_length, days),
    )


def _by_age(found: Fronts, one: Ints, other: Ints) -> tuple[Ints, Ints]:
    """The older and the younger of two pieces: with two fronts the planned order may turn round."""
    at = np.minimum(found.time_low, found.time_high)
    turned = at[other] < at[one]
    return np.where(turned, other, one), np.where(turned, one, other)


def _intervals(pairs: _Pairs, found: Fronts) -> tuple[Ints, Floats, Floats]:
    """Pieces of each pair's side on which both strips were placed without a pause."""
    live, side_low, side_high = _placed_sides(pairs, found)
    pair = [live, live]
    mark = [side_low[live], side_high[live]]
    for strips in (pairs.first[live], pairs.second[live]):
        count = np.diff(found.first)[strips]
        owner = np.repeat(live, count)
        offset = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        piece = np.repeat(found.first[strips], count) + offset
        y = found.low[piece]
        inside = (y > side_low[owner] + 1e-9) & (y < side_high[owner] - 1e-9)
        pair.append(owner[inside])
        mark.append(y[inside])
    owners, marks = np.concatenate(pair), np.concatenate(mark)
    order = np.lexsort((marks, owners))
    owners, marks = owners[order], marks[order]
    same = owners[:-1] == owners[1:]
    return owners[:-1][same], marks[:-1][same], marks[1:][same]


def _placed_sides(pairs: _Pairs, found: Fronts) -> tuple[Ints, Floats, Floats]:
    """Pairs with concrete on both sides, and the y range (of all pairs) where it lies on both."""
    low, high = pairs.low.copy(), pairs.high.copy()
    done = np.diff(found.first) > 0
    live = np.flatnonzero(done[pairs.first] & done[pairs.second])
    for strips in (pairs.first[live], pairs.second[live]):
        low[live] = np.maximum(low[live], found.low[found.first[strips]])
        high[live] = np.minimum(high[live], found.high[found.first[strips + 1] - 1])
    point = pairs.low == pairs.high  # a side along x
    live = live[(high - low > np.where(point, -_NEAR, _NEAR))[live]]
    return live, np.where(point, pairs.low, low), np.where(point, pairs.high, high)


def _stops(found: Fronts) -> tuple[Ints, Ints]:
    """Pieces before and after every pause inside a strip, in order of time."""
    same = np.flatnonzero(found.strip[:-1] == found.strip[1:])
    rising = found.time_low[same] < found.time_low[same + 1]
    before, after = np.where(rising, same, same + 1), np.where(rising, same + 1, same)
    ended = np.maximum(found.time_low[before], found.time_high[before])
    begun = np.minimum(found.time_low[after], found.time_high[after])
    paused = begun - ended > 1.0
    return before[paused], after[paused]


def _length_over(
    pairs: _Pairs, pair: Ints, y: tuple[Floats, Floats], ratio: Floats, limit: float
) -> Floats:
    """Length of each pair's side with a ratio over ``limit``; it is close to linear in a piece.

    ``y`` are the low and high ends of the pieces (m), ``ratio`` that at all low ends, then high.
    """
    ratio_low, ratio_high = np.split(ratio, 2)
    least, most = np.minimum(ratio_low, ratio_high), np.maximum(ratio_low, ratio_high)
    rise = np.where(most > least, most - least, 1.0)
    share = np.where(least >= limit, 1.0, np.clip((most - limit) / rise, 0.0, 1.0))
    share = np.where((most <= limit), 0.0, share)
    point = pairs.low[pair] == pairs.high[pair]
    length = np.where(point, pairs.length[pair], y[1] - y[0])
    return totals(len(pairs.first), pair, share * length)
