"""Times at which a front stands whatever else happens: breaks, rain, broken pumps, other lifts."""

from __future__ import annotations

import math
from typing import NamedTuple

from pourday.day import log
from pourday.day.front import FrontDay
from pourday.day.rain import rain_windows
from pourday.day.site import SiteDay
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.trade import SKIP
from pourday.scenario.model.site import IN_TURNS

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


def pauses(day: SiteDay, front: FrontDay) -> list[Pause]:
    """All pauses of a front, by time: what the site's hours, the weather and the upsets bring.

    Rain stops the crew at once: what is fresh is covered, and uncovered when it is over.
    """
    scenario = day.scenario
    found = []
    if front.crew.breaks_taken != IN_TURNS:
        found += [Pause(log.IDLE, each.at, each.length) for each in scenario.site.breaks]
    windows = rain_windows(scenario, day.seed)
    found += [Pause(log.RAIN, start, end - start) for start, end in windows]
    after = day.plan.standby_after
    for at, length in day.upset_plan.pump_stops(front.number):
        helped = after is not None and after < length
        if after is not None and at + after <= front.plan.start < at + length:
            front.standby = True  # it stands there when the pour begins
        found.append(Pause(log.DOWN, at, min(length, math.inf if after is None else after), helped))
    found += _other_lifts(front)
    return sorted(found, key=lambda pause: pause.at)


def _other_lifts(front: FrontDay) -> list[Pause]:
    """Lifts for other trades, asked for by chance; each comes when the skip in hand is down."""
    pump = front.pump
    if pump.means != SKIP or not pump.other_lifts_every:
        return []
    gap = Distribution("exponential", (pump.other_lifts_every,))
    out: list[Pause] = []
    at, k = front.plan.start, 0
    while True:
        at += front.draw("time to another trade's lift", gap, k)
        if at > front.plan.start + _LIFTING_DAY:
            return out
        out.append(Pause(log.LENT, at, front.draw("another trade's lift", pump.other_lift, k)))
        k += 1
