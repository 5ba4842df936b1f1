"""Jobs that people take one after another, on several days side by side, and rain in between."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pourday.outcome.base.basis import Floats, Ints, Rain


def rows_of_days(day: Ints, days: int) -> list[slice]:
    """Where each day stands in rows in order of days."""
    ends = np.searchsorted(day, np.arange(days + 1)).tolist()
    return [slice(a, b) for a, b in pairwise(ends)]


def in_turn(day: Ints, slices: list[slice], ready: Floats, time: Floats) -> tuple[Floats, Floats]:
    """Start and end of the jobs of every day, one after another, days side by side."""
    most = max((its.stop - its.start for its in slices), default=0)
    place = np.arange(len(day)) - np.array([its.start for its in slices])[day]
    all_ready, all_time = np.full((len(slices), most), np.inf), np.zeros((len(slices), most))
    all_ready[day, place], all_time[day, place] = ready, time
    begin, done = one_after_another(all_ready, all_time)
    return begin[day, place], done[day, place]


def one_after_another(ready: Floats, time: Floats) -> tuple[Floats, Floats]:
    """Start and end of jobs taken in this order (D, J), each begun when ready and when free.

    In closed form: a job ends when the work since the last idle moment is done. Rows of fewer jobs
    end with some that are never ready (inf) and take no time.
    """
    done = np.cumsum(time, axis=1)
    end = done + np.maximum.accumulate(ready - (done - time), axis=1)
    return end - time, end


def worked(clock: Floats, rain: Rain) -> Floats:
    """Time that can be worked up to a clock time: the clock less all rain before it (s)."""
    lost = sum((np.clip(clock - start, 0.0, end - start) for start, end in rain), np.zeros(1))
    return np.asarray(clock - lost)


def clock_at(worked: Floats, rain: Rain, after: bool) -> Floats:
    """The clock time at which so much can have been worked: after or before rain on the spot."""
    out = np.array(worked)
    for start, end in rain:
        reached = out >= start if after else out > start
        out = out + np.where(reached, end - start, 0.0)
    return out
