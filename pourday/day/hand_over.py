"""Handing loads over: trucks at a front that is done, or stands for long, go where they help."""

from __future__ import annotations

import math

from pourday.day.front.front import Front
from pourday.day.front.news import NEED, ROOM, TRUCK
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay


def better_front(day: SiteDay, front: Front) -> Front | None:
    """Another front that takes loads while this one is done or stands for long.

    Where this front can call no more, its loads are all it has: only a front that has nothing
    on its way gets one.
    """
    if not (front.finished or front.stopped):
        return None
    others = [f for f in day.fronts if not f.finished and not f.stopped and f.wants()]
    if front.supply_over and not front.finished:
        others = [f for f in others if f.in_flight == 0]
    return min(others, key=lambda f: f.waiting, default=None)


def give(day: SiteDay, front: Front, load: Load, other: Front) -> None:
    """Let a load on the site belong to another front: it counts there from now on."""
    load.front = other.number
    front.on_site -= 1
    other.on_site += 1
    if math.isnan(load.start):
        front.waiting -= 1
        other.waiting += 1
    front.need.called -= load.left
    other.need.called += load.left
    other.in_flight += 1
    other.hopper.reopen()
    day.places.change(front.number, other.number)
    landed(front)
    front.news.tell(NEED)


def landed(front: Front) -> None:
    """A load has reached its end; where it was the last on its way, say so."""
    front.in_flight -= 1
    if front.in_flight == 0:
        if front.supply_over:
            front.hopper.close()
        front.news.tell(NEED)


def hand_over_line(day: SiteDay, front: Front) -> bool:
    """Send loads that stand ready here to other fronts, as far as they want any."""
    sent = False
    while front.hopper.line and (other := better_front(day, front)) is not None:
        load = front.hopper.line.popleft()
        give(day, front, load, other)
        load.go()
        sent = True
    return sent


def borrow(day: SiteDay) -> bool:
    """Take a load that stands ready at a front that stands, where there is one."""
    return any(hand_over_line(day, f) for f in day.fronts if f.stopped and f.hopper.line)


def stand_for_long(day: SiteDay, front: Front) -> None:
    """The front stands for long: its trucks, the one at the pump first, go where they help."""
    work = front.work
    load, work.load, work.skip = work.load, None, None
    front.stopped = True
    if load is not None:
        front.hopper.line.appendleft(load)
    hand_over_line(day, front)
    day.tell(TRUCK, ROOM)


def go_on(front: Front) -> None:
    """The front places again, and calls concrete again."""
    if front.stopped:
        front.stopped = False
        front.news.tell(NEED)
