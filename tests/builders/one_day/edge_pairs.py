"""Edge pairs of one day, as they were judged a day at a time."""

from __future__ import annotations

from functools import partial

import numpy as np
from builders.one_day.fronts import piece_at

from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.edge_clock import time_used
from pourday.outcome.base.fronts import Fronts, time_at
from pourday.outcome.edges.edge_pairs import EdgeOutcome

_NEAR = 1e-6


def edge_outcome(basis: Basis, found: Fronts) -> EdgeOutcome:
    """Judge every edge pair and every stop of a front."""
    pairs = len(basis.pair_first)
    pair, low, high = _intervals(basis, found)
    stop_before, stop_after = _stops(found)
    first, second = basis.pair_first[pair], basis.pair_second[pair]
    middle = (low + high) / 2
    older, younger = _by_age(found, piece_at(found, first, middle), piece_at(found, second, middle))
    covered = np.concatenate([time_at(found, younger, low), time_at(found, younger, high)])
    placed = np.concatenate([time_at(found, older, low), time_at(found, older, high)])
    upward = np.array(basis.layout.upward)[found.strip[stop_after]]
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
    gap = np.full(pairs, np.nan)
    worst = np.full(pairs, np.nan)
    place, when = np.full(pairs, np.nan), np.full(pairs, np.nan)
    if ends:
        gap = _largest(pairs, pair_of, covered - placed)
        worst = _largest(pairs, pair_of, ratio[:ends])
        # For a tie the first place wins: sort so that the worst of each pair is written last.
        order = np.lexsort((-np.arange(ends), ratio[:ends]))
        place[pair_of[order]] = at[order]
        when[pair_of[order]] = covered[order]
    over = partial(_length_over, basis, pair, (low, high), ratio[:ends])
    stiff_from = basis.edge_rule.stiff_from
    cold_length = over(1.0)
    return EdgeOutcome(
        gap=gap,
        ratio=worst,
        at=place,
        time=when,
        cold_length=cold_length,
        stiff_length=over(stiff_from) - cold_length,
        stop_strip=found.strip[stop_after],
        stop_at=np.where(upward, found.low[stop_after], found.high[stop_after]),
        stop_time=restart,
        stop_ratio=ratio[ends:],
        stiff_from=stiff_from,
    )


def _by_age(found: Fronts, one: Ints, other: Ints) -> tuple[Ints, Ints]:
    """The older and the younger of two pieces: with two fronts the planned order may turn round."""
    at = np.minimum(found.time_low, found.time_high)
    turned = at[other] < at[one]
    return np.where(turned, other, one), np.where(turned, one, other)


def _intervals(basis: Basis, found: Fronts) -> tuple[Ints, Floats, Floats]:
    """Pieces of each pair's side on which both strips were placed without a pause."""
    live, side_low, side_high = _placed_sides(basis, found)
    pair = [live, live]
    mark = [side_low[live], side_high[live]]
    for strips in (basis.pair_first[live], basis.pair_second[live]):
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


def _placed_sides(basis: Basis, found: Fronts) -> tuple[Ints, Floats, Floats]:
    """Pairs with concrete on both sides, and the y range (of all pairs) where it lies on both."""
    low, high = basis.pair_low.copy(), basis.pair_high.copy()
    done = np.diff(found.first) > 0
    live = np.flatnonzero(done[basis.pair_first] & done[basis.pair_second])
    for strips in (basis.pair_first[live], basis.pair_second[live]):
        low[live] = np.maximum(low[live], found.low[found.first[strips]])
        high[live] = np.minimum(high[live], found.high[found.first[strips + 1] - 1])
    point = basis.pair_low == basis.pair_high  # a side along x
    live = live[(high - low > np.where(point, -_NEAR, _NEAR))[live]]
    return live, np.where(point, basis.pair_low, low), np.where(point, basis.pair_high, high)


def _stops(found: Fronts) -> tuple[Ints, Ints]:
    """Pieces before and after every pause inside a strip, in order of time."""
    same = np.flatnonzero(found.strip[:-1] == found.strip[1:])
    rising = found.time_low[same] < found.time_low[same + 1]
    before, after = np.where(rising, same, same + 1), np.where(rising, same + 1, same)
    ended = np.maximum(found.time_low[before], found.time_high[before])
    begun = np.minimum(found.time_low[after], found.time_high[after])
    paused = begun - ended > 1.0
    return before[paused], after[paused]


def _largest(pairs: int, pair: Ints, values: Floats) -> Floats:
    out = np.full(pairs, -np.inf)
    np.maximum.at(out, pair, values)
    out[np.isinf(out)] = np.nan
    return out


def _length_over(
    basis: Basis, pair: Ints, y: tuple[Floats, Floats], ratio: Floats, limit: float
) -> Floats:
    """Length of each pair's side with a ratio over ``limit``; it is close to linear in a piece.

    ``y`` are the low and high ends of the pieces (m), ``ratio`` that at all low ends, then high.
    """
    ratio_low, ratio_high = np.split(ratio, 2)
    least, most = np.minimum(ratio_low, ratio_high), np.maximum(ratio_low, ratio_high)
    rise = np.where(most > least, most - least, 1.0)
    share = np.where(least >= limit, 1.0, np.clip((most - limit) / rise, 0.0, 1.0))
    share = np.where((most <= limit), 0.0, share)
    point = basis.pair_low[pair] == basis.pair_high[pair]
    length = np.where(point, basis.pair_length[pair], y[1] - y[0])
    out = np.zeros(len(basis.pair_first))
    np.add.at(out, pair, share * length)
    return out
