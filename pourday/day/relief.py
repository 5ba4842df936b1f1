"""A stand-by takes over from a pump that has failed, and gives way to it again."""

from __future__ import annotations

import math

from pourday.day.front.front import Front
from pourday.day.front.line import line_too_old
from pourday.day.front.news import NEED
from pourday.day.log import EPS
from pourday.day.site_day import SiteDay


def relieve(day: SiteDay, front: Front) -> None:
    """A stop is over: the stand-by that was ordered is there, or the own pump works again first."""
    relief, work, now = front.relief, front.work, day.env.now
    if relief is None:
        return
    if relief.places:
        hand_back(day, front)
    elif relief.awaited and now < relief.comes - EPS:
        front.relief = relief._replace(comes=math.inf)  # it came in vain
    elif relief.awaited:
        # It has a line of its own; what lies in the own one stays where it is.
        front.relief = relief._replace(since=now, flowed=work.flowed, batched=work.batched)
        work.job, work.skip = None, None
        work.flowed = work.batched = now
        front.news.tell(NEED)


def hand_back(day: SiteDay, front: Front) -> None:
    """Before a strip: an own pump that works again takes over from the stand-by.

    Where concrete has got too old in its line, it is washed out and primed first, while the
    stand-by places.
    """
    relief, work, now = front.relief, front.work, day.env.now
    if relief is None or not relief.places or now < relief.back - EPS:
        return
    held = front.access.held > EPS and not math.isnan(relief.batched)
    old = held and line_too_old(day.scenario, front.pump, day.seed, relief.batched, now)
    if old and not relief.washed:
        draw, pump, k = front.chance.draw, front.pump, front.line_fills
        wash = draw("wash-out", pump.wash_out, k) + draw("prime", pump.prime, k)
        relief = front.relief = relief._replace(back=relief.back + wash, washed=True)
        if now < relief.back - EPS:
            return
    front.relief = relief._replace(until=now)
    work.job, work.flowed = None, relief.flowed
    if not math.isnan(relief.batched):
        work.batched = relief.batched
    front.news.tell(NEED)
