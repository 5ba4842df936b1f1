"""A trip on a road that is slow in the rush hours, and closed now and then.

A trip is followed along the clock, not judged by the hour it leaves in: who leaves just before
the rush hour meets it on the way, and who leaves in it may come out of it. So nobody who leaves
later arrives earlier.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourday.day.windows import Window

Rush = tuple[float, float, float]
"""Begin, end (s since midnight) and factor: what takes 1 s on a free road takes ``factor`` s."""


def arrival(depart: float, travel: float, rush: Sequence[Rush], closed: Sequence[Window]) -> float:
    """When a trip arrives (s) that leaves at ``depart`` and takes ``travel`` s on a free road.

    In a rush window it goes on at 1 / factor (above 0); where several overlap, their factors
    multiply. In a ``closed`` window it stands. Windows may come in any order. Where none is met
    the answer is ``depart + travel``, the same float. Later ``depart`` or longer ``travel`` never
    arrives earlier, not even by rounding.
    """
    now, left = depart, travel
    while True:
        # What holds from now on, and until when it holds.
        reopens, factor, until = now, 1.0, math.inf
        for begin, end in closed:
            if now < begin < end:
                until = min(until, begin)
            elif begin < now < end or (begin == now and left > 0):
                reopens = max(reopens, end)
        if reopens > now:
            now = reopens
            continue
        for begin, end, slower in rush:
            if slower == 1.0:
                continue
            if now < begin < end:
                until = min(until, begin)
            elif begin <= now < end:
                factor *= slower
                until = min(until, end)
        there = now + left * factor
        if there <= until:
            return there
        left = max(0.0, left - (until - now) / factor)
        now = until


def depart_for(arrive: float, travel: float, rush: Sequence[Rush]) -> float:
    """Latest departure (s) that arrives by ``arrive``, known rush hours counted.

    Closures are not: nobody plans for them. Without rush it is ``arrive - travel``, the same
    float; else it is true but for rounding.
    """
    if not rush:
        return arrive - travel
    # The way back in time is a trip too: turn the clock round, and the windows with it.
    mirrored = [(-end, -begin, factor) for begin, end, factor in rush]
    return -arrival(-arrive, travel, mirrored, ())
