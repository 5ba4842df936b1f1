"""Where the front stood at every moment: stretches of placing turned into places along y."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.day.log import DayLog
from pourday.day.streams import Stream
from pourday.floor.layout import Layout
from pourday.outcome.basis import Basis, Floats, Ints


@dataclass(frozen=True, eq=False)
class Fronts:
    """Pieces of strips placed without a pause, by strip and then from low to high y; all (N,).

    ``low``, ``high`` (m) bound a piece; ``time_low``, ``time_high`` (s) are when the front stood
    there, linear between; ``batched`` (s) and ``temperature`` (°C) are those of its concrete.
    ``first`` (strips + 1,) is where each strip's pieces begin.
    """

    strip: Ints
    low: Floats
    high: Floats
    time_low: Floats
    time_high: Floats
    batched: Floats
    temperature: Floats
    first: Ints


def delivered_temperature(basis: Basis, seed: int) -> Stream:
    """Temperature of each load as delivered (°C), by load number."""
    return Stream(seed, "delivered temperature", basis.scenario.mix.delivered)


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
    temperature = np.array([warm(s.truck) for s in placed])
    start, end, strip, volume_start, volume_end, _, batched = table.T
    strip = strip.astype(np.intp)
    pieces = _cut_at_openings(layout, log, strip, volume_start, volume_end)
    if pieces is not None:
        index, a, b = pieces
        span = volume_end[index] - volume_start[index]
        rate = (end[index] - start[index]) / np.where(span > 0, span, 1.0)
        start, end = (
            start[index] + (a - volume_start[index]) * rate,
            start[index] + (b - volume_start[index]) * rate,
        )
        strip, volume_start, volume_end = strip[index], a, b
        batched, temperature = batched[index], temperature[index]
    upward = np.array(layout.upward)[strip]
    y_start = _place(layout, log, strip, upward, volume_start)
    y_end = _place(layout, log, strip, upward, volume_end)
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


def _place(layout: Layout, log: DayLog, strip: Ints, upward: Ints, volume: Floats) -> Floats:
    """Place of the front (y, m) when ``volume`` of the strip is in; vectors of one length."""
    y = np.empty(len(strip))
    for i in np.unique(strip):
        mine = strip == i
        profile = layout.profiles[i]
        planned = volume[mine] * (profile.volume[-1] / log.strip_volumes[i])
        if not upward[mine][0]:
            planned = profile.volume[-1] - planned
        y[mine] = np.interp(planned, profile.volume, profile.y)
    return y


def _cut_at_openings(
    layout: Layout, log: DayLog, strip: Ints, volume_start: Floats, volume_end: Floats
) -> tuple[Ints, Floats, Floats] | None:
    """Cut stretches where the strip changes width, so that place is linear in time in each piece.

    Returns the stretch of each piece and the volumes it runs between, or ``None`` where no strip
    changes width.
    """
    if all(len(profile.y) == 2 for profile in layout.profiles):
        return None
    index: list[int] = []
    low: list[float] = []
    high: list[float] = []
    for n, i in enumerate(strip):
        profile = layout.profiles[i]
        marks = profile.volume if layout.upward[i] else profile.volume[-1] - profile.volume[::-1]
        marks = marks * (log.strip_volumes[i] / profile.volume[-1])
        inner = marks[(marks > volume_start[n] + 1e-9) & (marks < volume_end[n] - 1e-9)]
        bounds = [volume_start[n], *np.unique(inner).tolist(), volume_end[n]]
        index += [n] * (len(bounds) - 1)
        low += bounds[:-1]
        high += bounds[1:]
    return np.array(index, dtype=np.intp), np.array(low), np.array(high)


def piece_at(found: Fronts, strip: Ints, y: Floats) -> Ints:
    """Index of the piece of ``strip`` that holds ``y``; the nearest one where none does."""
    reach = 2.0 * (1.0 + float(np.abs(found.high).max(initial=0.0)))
    left_edges = found.strip * reach + found.low
    at = np.searchsorted(left_edges, strip * reach + y, side="right") - 1
    return np.clip(at, found.first[strip], found.first[strip + 1] - 1)


def time_at(found: Fronts, piece: Ints, y: Floats) -> Floats:
    """Clock time (s) when the front of a piece stood at ``y``; the piece's line, not clipped."""
    low, high = found.low[piece], found.high[piece]
    width = high - low
    share = np.where(width > 0, (y - low) / np.where(width > 0, width, 1.0), 0.0)
    return found.time_low[piece] + share * (found.time_high[piece] - found.time_low[piece])
