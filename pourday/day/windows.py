"""Stretches of the day in which something stands still, and work that waits them out.

A window runs from its begin up to, and not including, its end (s since midnight; the end may be
``inf``, for the rest of the day). A mixer that stops at 9:00 for half an hour has the window
(32400, 34200): what it was batching at 9:00 goes on at 9:30 where it was left.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence

Window = tuple[float, float]
"""Begin and end (s since midnight)."""


def apart(windows: Iterable[Window]) -> tuple[Window, ...]:
    """The same windows in order and apart: those that touch or overlap become one.

    Windows of no length (or of less) are dropped.
    """
    found: list[Window] = []
    for begin, end in sorted(windows):
        if begin >= end:
            continue
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return tuple(found)


def resume(at: float, windows: Sequence[Window]) -> float:
    """First moment (s), at or after ``at``, outside all ``windows``, which lie :func:`apart`."""
    last = bisect_right(windows, (at, math.inf)) - 1
    return max(at, windows[last][1]) if last >= 0 else at


def finish(begin: float, work: float, windows: Sequence[Window]) -> float:
    """When ``work`` (s of running time) ends that begins at ``begin`` and rests in ``windows``.

    ``windows`` lie :func:`apart`. Work that would begin inside one begins at its end; work that
    is under way rests and goes on after it. Work that is done at the very begin of a window is
    done. Where no window is met the answer is ``begin + work``, the same float. It never falls
    when ``begin`` or ``work`` grows, not even by rounding.
    """
    if not windows:
        return begin + work
    now, left = begin, work
    first = bisect_right(windows, (begin, -math.inf))  # the first that begins at or after begin
    if first:
        now = max(now, windows[first - 1][1])
    for number in range(first, len(windows)):
        window_begin, window_end = windows[number]
        if now + left <= window_begin:
            break
        left -= window_begin - now
        now = window_end
    return now + left
