"""Where the front stood at every moment: stretches of placing turned into places along its way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.chance.streams import Stream
from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.tables import Stretches, stretches_of

_HAIR = 1e-9


@dataclass(frozen=True, eq=False)
class Fronts:
    """Pieces of strips placed without a pause, by strip and then from low to high along the
    way of the fronts (y, or x in bands); all (N,).

    ``low``, ``high`` (m) bound a piece; ``time_low``, ``time_high`` (s) are when the front stood
    there, linear between; ``batched`` (s) and ``temperature`` (°C) are those of its concrete.
    ``first`` (strips + 1,) is where each strip's pieces begin. Strips of several days have the
    numbers of :class:`pourday.outcome.base.basis.Basis`: ``first`` then is (D strips + 1,).
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
    """Temperature of each load as the mix has it (°C), by load number; measures may cool it."""
    return Stream(seed, "delivered temperature", basis.scenario.mix.delivered)


def fronts(basis: Basis, *logs: DayLog) -> Fronts:
    """Follow the front through every strip of a day, or of several days end to end."""
    table = stretches_of(logs)
    placed = table.strip >= 0
    day, strip = table.day[placed], table.strip[placed]
    start, end, batched = (each[placed] for each in (table.start, table.end, table.batched))
    temperature = _delivered(basis, logs, table)[placed] + basis.scenario.measures.shift
    total = np.array([log.strip_volumes for log in logs])[day, strip]
    share_start, share_end = table.volume_start[placed] / total, table.volume_end[placed] / total
    index, a, b, cut = _cut_at_width_marks(basis, strip, share_start, share_end)
    # Where the front of a day passes such marks all its times come by way of its paces.
    with np.errstate(divide="ignore", invalid="ignore"):
        pace = (end - start) / (share_end - share_start)
        paced = (np.bincount(day, cut, len(logs)) > 0)[day[index]]
        begin = np.where(paced, start[index] + (a - share_start[index]) * pace[index], start[index])
        end = np.where(paced, start[index] + (b - share_start[index]) * pace[index], end[index])
    day, strip, batched, temperature = day[index], strip[index], batched[index], temperature[index]
    upward = np.array(basis.layout.upward)[strip]
    y_start, y_end = _place(basis, strip, upward, a), _place(basis, strip, upward, b)
    low, high = np.minimum(y_start, y_end), np.maximum(y_start, y_end)
    number = day * basis.strips + strip
    order = np.lexsort((low + high, number))
    first = np.searchsorted(number[order], np.arange(len(logs) * basis.strips + 1))
    return Fronts(
        strip=number[order],
        low=low[order],
        high=high[order],
        time_low=np.where(upward, begin, end)[order],
        time_high=np.where(upward, end, begin)[order],
        batched=batched[order],
        temperature=temperature[order],
        first=first.astype(np.intp),
    )


def fronts_on(basis: Basis, found: Fronts, day: int) -> Fronts:
    """The fronts of one of several days, as if it were the only one."""
    strips = basis.strips
    bounds = found.first[day * strips : (day + 1) * strips + 1]
    mine = slice(int(bounds[0]), int(bounds[-1]))
    return Fronts(
        strip=found.strip[mine] - day * strips,
        low=found.low[mine],
        high=found.high[mine],
        time_low=found.time_low[mine],
        time_high=found.time_high[mine],
        batched=found.batched[mine],
        temperature=found.temperature[mine],
        first=bounds - bounds[0],
    )


def _delivered(basis: Basis, logs: Sequence[DayLog], table: Stretches) -> Floats:
    """How warm the load of each stretch was delivered (°C), measures not counted."""
    out = np.zeros(len(table.day))
    ends = np.searchsorted(table.day, np.arange(len(logs) + 1))
    for n, log in enumerate(logs):
        warm = delivered_temperature(basis, log.seed)
        trucks = table.truck[ends[n] : ends[n + 1]]
        loads = [warm(k) for k in range(int(trucks.max(initial=-1)) + 1)]
        out[ends[n] : ends[n + 1]] = np.array(loads)[trucks] if loads else 0.0
    return out


def _place(basis: Basis, strip: Ints, upward: NDArray[np.bool_], share: Floats) -> Floats:
    """Place of the front (m) when ``share`` of the strip's volume is in; all of one length."""
    from_low = np.where(upward, share, 1.0 - share)
    return np.interp(2 * strip + from_low, basis.profile_keys, basis.profile_at)


def _cut_at_width_marks(
    basis: Basis, strip: Ints, share_start: Floats, share_end: Floats
) -> tuple[Ints, Floats, Floats, Ints]:
    """Cut stretches where the strip changes width, so that place is linear in time in each piece.

    Returns the stretch of each piece and the shares it runs between, and for each stretch how many
    such marks it crosses.
    """
    marks = basis.width_marks
    first = np.searchsorted(marks, 2 * strip + share_start + _HAIR)
    last = np.searchsorted(marks, 2 * strip + share_end - _HAIR)
    crossed = np.maximum(last - first, 0)
    index = np.repeat(np.arange(len(strip)), crossed + 1)
    if len(index) == len(strip):
        return index, share_start, share_end, crossed
    rank = np.arange(len(index)) - np.repeat(np.cumsum(crossed + 1) - crossed - 1, crossed + 1)
    at = np.append(marks, np.inf)[first[index] + rank] - 2 * strip[index]
    before = np.append(marks, np.inf)[first[index] + rank - 1] - 2 * strip[index]
    low = np.where(rank == 0, share_start[index], before)
    high = np.where(rank == crossed[index], share_end[index], at)
    return index, low, high, crossed


def piece_at(found: Fronts, strip: Ints, y: Floats) -> Ints:
    """Index of the piece of ``strip`` that holds ``y``; the nearest one where none does."""
    # Complex numbers are searched by their real part first: by strip, then by place, exactly.
    at = np.searchsorted(found.strip + 1j * found.low, strip + 1j * y, side="right") - 1
    return np.clip(at, found.first[strip], found.first[strip + 1] - 1)


@dataclass(frozen=True, eq=False)
class Lying:
    """What lies of each piece at one moment, all (N,): its low and high end (m) and its share."""

    low: Floats
    high: Floats
    share: Floats

    @property
    def begun(self) -> NDArray[np.bool_]:
        """Whether anything lies of each piece."""
        return np.asarray(self.share > _HAIR)


def lying(found: Fronts, time: float) -> Lying:
    """What lies of each piece at ``time`` (s)."""
    begun = np.minimum(found.time_low, found.time_high)
    spent = np.abs(found.time_high - found.time_low)
    share = np.where(spent > 0.0, (time - begun) / np.where(spent > 0.0, spent, 1.0), np.inf)
    share = np.where(time >= begun, np.clip(share, 0.0, 1.0), 0.0)
    there = share * (found.high - found.low)
    rising = found.time_low <= found.time_high
    low = np.where(rising, found.low, found.high - there)
    high = np.where(rising, found.low + there, found.high)
    return Lying(low, high, share)


def volumes_at(log: DayLog, time: float) -> tuple[list[float], Floats]:
    """What each stretch has brought by ``time`` (m³), and what each strip holds, (strips,)."""
    into = np.zeros(len(log.strip_volumes))
    each = []
    for stretch in log.stretches:
        volume = stretch.volume_end - stretch.volume_start
        if stretch.start >= time:
            volume = 0.0
        elif stretch.end > time:
            volume *= (time - stretch.start) / (stretch.end - stretch.start)
        each.append(volume)
        if stretch.strip >= 0:
            into[stretch.strip] += volume
    return each, into


def time_at(found: Fronts, piece: Ints, y: Floats) -> Floats:
    """Clock time (s) when the front of a piece stood at ``y``; the piece's line, not clipped."""
    low, high = found.low[piece], found.high[piece]
    width = high - low
    share = np.where(width > 0, (y - low) / np.where(width > 0, width, 1.0), 0.0)
    return found.time_low[piece] + share * (found.time_high[piece] - found.time_low[piece])
