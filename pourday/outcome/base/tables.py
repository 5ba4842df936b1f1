"""What the logs of days list, as columns: all days end to end, each row with its day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from pourday.day.log import STOPS, DayLog, Stretch, Visit
from pourday.outcome.base.basis import Floats, Ints

_KINDS = {kind: number for number, kind in enumerate(STOPS)}


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretches of placing (K,), fields as in :class:`pourday.day.log.Stretch`."""

    day: Ints
    start: Floats
    end: Floats
    strip: Ints
    volume_start: Floats
    volume_end: Floats
    truck: Ints
    batched: Floats
    front: Ints


@dataclass(frozen=True, eq=False)
class Visits:
    """Loads (K,), fields as in :class:`pourday.day.log.Visit`; those in numbers that studies ask
    for."""

    day: Ints
    batched: Floats
    discharge_end: Floats
    wait: Floats
    volume: Floats
    placed: Floats
    rejected: Floats
    returned: Floats
    rounds: Floats


@dataclass(frozen=True, eq=False)
class Stops:
    """Stops of fronts (K,), as in :class:`pourday.day.log.Stop`; ``kind`` is a place in STOPS."""

    day: Ints
    kind: Ints
    start: Floats
    end: Floats
    front: Ints


def stretches_of(logs: Sequence[DayLog]) -> Stretches:
    """The stretches of days."""
    rows, width = [log.stretches for log in logs], len(Stretch._fields)
    day = _days(rows)
    numbers = chain.from_iterable(chain.from_iterable(rows))
    table = np.fromiter(numbers, dtype=float, count=len(day) * width).reshape(-1, width).T
    start, end, strip, volume_start, volume_end, truck, batched, front = table
    return Stretches(
        day,
        start,
        end,
        strip.astype(np.intp),
        volume_start,
        volume_end,
        truck.astype(np.intp),
        batched,
        front.astype(np.intp),
    )


def visits_of(logs: Sequence[DayLog]) -> Visits:
    """The loads of days."""
    rows = [log.visits for log in logs]
    columns = list(zip(*chain.from_iterable(rows), strict=True)) or [()] * len(Visit._fields)

    def _of(name: str) -> Floats:
        return np.array(columns[Visit._fields.index(name)], dtype=float)

    return Visits(
        _days(rows),
        batched=_of("batched"),
        discharge_end=_of("discharge_end"),
        wait=_of("wait"),
        volume=_of("volume"),
        placed=_of("placed"),
        rejected=_of("rejected"),
        returned=_of("returned"),
        rounds=_of("rounds"),
    )


def stops_of(logs: Sequence[DayLog]) -> Stops:
    """The stops of the fronts on days."""
    rows = [log.stops for log in logs]
    kind, start, end, front, _ = list(zip(*chain.from_iterable(rows), strict=True)) or [()] * 5
    return Stops(
        _days(rows),
        np.array([_KINDS[each] for each in kind], dtype=np.intp),
        np.array(start, dtype=float),
        np.array(end, dtype=float),
        np.array(front, dtype=np.intp),
    )


def _days(rows: Sequence[Sequence[object]]) -> Ints:
    """The day of each row."""
    return np.repeat(np.arange(len(rows)), [len(each) for each in rows])


def totals(days: int, day: Ints, values: Floats) -> Floats:
    """Sum of each day (D,), one row after another as they come."""
    return np.asarray(np.bincount(day, values, days), dtype=float)


def greatest(count: int, owner: Ints, values: Floats) -> tuple[Floats, Ints]:
    """The greatest value of each of ``count`` owners, and where it first stands in ``values``.

    -inf and -1 for those that own none. ``owner``, ``values`` (K,).
    """
    most = np.full(count, -np.inf)
    np.maximum.at(most, owner, values)
    first = np.full(count, -1)
    hits = np.flatnonzero(values == most[owner])[::-1]  # the first is written last
    first[owner[hits]] = hits
    return most, first
