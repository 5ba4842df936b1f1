"""A stop in hand that ends otherwise than was thought when it began."""

from __future__ import annotations

from pourday.day import log
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.site_day import SiteDay
from pourday.day.stands import meal_after, note


def ends_at(day: SiteDay, front: Front, end: float) -> None:
    """The rest or pause of a front ends at ``end`` (s), and so do its meal and its notes."""
    work, now = front.work, day.env.now
    assert work.pause is not None
    work.pause = work.pause._replace(length=end - work.pause.at)
    work.stop_end, work.wake = end, None
    work.until = meal_after(day, front, work.since, end)
    if work.doing != at.PAUSING or work.behind is None:
        return
    # A pause that came while the crew stood for another reason was written down when it began.
    work.behind.begin = work.until
    own = [stop for stop in day.stops if stop.front == front.number and stop.end > now]
    begun = min((stop.start for stop in own if stop.kind == work.pause.kind), default=work.since)
    day.stops = [stop for stop in day.stops if stop not in own]
    note(day, front, work.pause.kind, begun, end)
    note(day, front, log.IDLE, end, work.until)
