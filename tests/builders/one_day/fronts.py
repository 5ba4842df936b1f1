"""Where the fronts stood on one day, as it was worked out a day at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts, delivered_temperature

_HAIR = 1e-9


def fronts(basis: Basis, log: DayLog) -> Fronts:
    """Follow the front through every strip of a day."""
    layout = basis.layout
    warm = delivered_temperature(basis, log.seed)
    placed = [s for s in log.stretches if s.strip >= 0]
    if not placed:
        empty = np.zeros(0)
        first = np.zeros(len(layout.strips) + 1, dtype=np.intp)
        return Fronts(first[:0], empty, empty, empty, empty, empty, empty, first)
    table = np.array(placed, dtype=float)
    temperature = np.array([warm(s.truck) for s in placed]) + basis.scenario.measures.shift
    start, end, strip_number, volume_start, volume_end, _, batched, _ = table.T
    strip = strip_number.astype(np.intp)
    total = np.array(log.strip_volumes)[strip]
    share_start, share_end = volume_start / total, volume_end / total
    pieces = _cut_at_width_marks(basis, strip, share_start, share_end)
    if pieces is not None:
        index, a, b = pieces
        pace = (end - start) / (share_end - share_start)
        begin = start[index] + (a - share_start[index]) * pace[index]
        end = start[index] + (b - share_start[index]) * pace[index]
        start, strip, share_start, share_end = begin, strip[index], a, b
        batched, temperature = batched[index], temperature[index]
    upward = np.array(layout.upward)[strip]
    y_start = _place(basis, strip, upward, share_start)
    y_end = _place(basis, strip, upward, share_end)
    low, high = np.minimum(y_start, y_end), np.maximum(y_start, y_end)
    order = np.lexsort((low + high, strip))
    first = np.searchsorted(strip[order], np.arange(len(layout.strips) + 1))
    return Fronts(
        strip=strip[order],
        low=low[order],
        high=high[order],
        time_low=np.where(upward, start, end)[order],
        time_high=np.where(upward, end, start)[order],
        batched=batched[order],
        temperature=temperature[order],
        first=first.astype(np.intp),
    )


def _place(basis: Basis, strip: Ints, upward: NDArray[np.bool_], share: Floats) -> Floats:
    """Place of the front (m) when ``share`` of the strip's volume is in; all of one length."""
    from_low = np.where(upward, share, 1.0 - share)
    return np.interp(2 * strip + from_low, basis.profile_keys, basis.profile_at)


def _cut_at_width_marks(
    basis: Basis, strip: Ints, share_start: Floats, share_end: Floats
) -> tuple[Ints, Floats, Floats] | None:
    """Cut stretches where the strip changes width, so that place is linear in time in each piece.

    Returns the stretch of each piece and the shares it runs between, or ``None`` where no stretch
    crosses such a mark.
    """
    marks = basis.width_marks
    first = np.searchsorted(marks, 2 * strip + share_start + _HAIR)
    last = np.searchsorted(marks, 2 * strip + share_end - _HAIR)
    crossed = np.flatnonzero(last > first)
    if not len(crossed):
        return None
    index, low, high = [np.arange(len(strip))], [share_start], [share_end.copy()]
    for n in crossed:
        inner = marks[first[n] : last[n]] - 2 * strip[n]
        high[0][n] = inner[0]
        index.append(np.full(len(inner), n))
        low.append(inner)
        high.append(np.append(inner[1:], share_end[n]))
    return np.concatenate(index), np.concatenate(low), np.concatenate(high)


def piece_at(found: Fronts, strip: Ints, y: Floats) -> Ints:
    """Index of the piece of ``strip`` that holds ``y``; the nearest one where none does."""
    most = max(np.abs(end).max(initial=0.0) for end in (found.low, found.high))
    reach = 2.0 * (1.0 + float(most))
    left_edges = found.strip * reach + found.low
    at = np.searchsorted(left_edges, strip * reach + y, side="right") - 1
    return np.clip(at, found.first[strip], found.first[strip + 1] - 1)
