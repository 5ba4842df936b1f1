"""Times at which a front stands whatever else happens: breaks, rain, broken pumps, other lifts."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from pourday.day import log
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.trade import SKIP
from pourday.scenario.model.scenario import Pump

# Other trades ask for the crane no longer than this after the start (s).
_LIFTING_DAY = 24 * 3600.0


class Pause(NamedTuple):
    """A time at which the crew stands: a break has its length; rain and a broken pump their end.

    ``kind`` is that of the stop it makes. ``standby`` says that a stand-by pump ends it.
    """

    kind: str
    at: float
    length: float
    standby: bool = False

    def end_from(self, begin: float) -> float:
        """When it is over if the crew comes to it at ``begin``."""
        if self.kind in (log.RAIN, log.DOWN):
            return max(begin, self.at + self.length)
        return max(begin, self.at) + self.length

    @property
    def lends(self) -> bool:
        """Whether the crane lifts for others, which it does not with a skip on it."""
        return self.kind == log.LENT


def down_pauses(stops: Iterable[tuple[float, float]], standby_after: float | None) -> list[Pause]:
    """Times at which pump or crane is down (from, length), until a stand-by pump is there."""
    after = standby_after
    return [
        Pause(
            log.DOWN,
            at,
            min(length, math.inf if after is None else after),
            after is not None and after < length,
        )
        for at, length in stops
    ]


def other_lifts(
    pump: Pump, start: float, draw: Callable[[str, Distribution, int], float]
) -> list[Pause]:
    """Lifts for other trades, asked for by chance; each comes when the skip in hand is down.

    ``draw`` gives the k-th value of a named source.
    """
    if pump.means != SKIP or not pump.other_lifts_every:
        return []
    gap = Distribution("exponential", (pump.other_lifts_every,))
    out: list[Pause] = []
    at, k = start, 0
    while True:
        at += draw("time to another trade's lift", gap, k)
        if at > start + _LIFTING_DAY:
            return out
        out.append(Pause(log.LENT, at, draw("another trade's lift", pump.other_lift, k)))
        k += 1
