"""What a front waits on while it does something, and how it is woken.

Whatever it waits for, a crew sends away trucks that reach their age limit. A wait that was begun
before the day was taken up goes on where it was: ``work.wake`` says when it looks up next.
"""

from __future__ import annotations

import math

import simpy

from pourday.day.clock import Story, first_of, wake_at
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.work import Wake
from pourday.day.site_day import SiteDay


def wait(day: SiteDay, front: Front) -> Story:
    """Let the time of a stand pass: until its end, or until somebody else is done."""
    work = front.work
    if work.doing == at.STRIP_FIRST:
        yield from _until(day, front, day.strip_over[work.first])
    elif work.doing == at.CREW_NEAR:
        yield from _until(day, front, day.ground.turn_of(front.number))
    else:
        yield from _stand(day, front, work.until)


def _stand(day: SiteDay, front: Front, until: float) -> Story:
    """Let time pass at the pump; trucks that reach their age limit meanwhile are sent away."""
    env, work = day.env, front.work
    while True:
        if work.wake is None:
            limit, now = _first_limit(front), env.now
            time = max(0.0, min(limit, until) - now)
            work.wake = Wake(now + time, limit, day.order())
        wake, limit = wake_at(env, work.wake.at), work.wake.limit
        if math.isinf(day.life):
            yield wake
        else:  # a truck that comes meanwhile has a limit too
            yield first_of(env, wake, front.hopper.watch())
        work.wake = None
        if wake.processed and limit >= until:
            return
        if wake.processed:
            _send_away(front, limit)


def _until(day: SiteDay, front: Front, event: simpy.Event) -> Story:
    """The same until something happens."""
    env, work = day.env, front.work
    while not event.triggered:
        if work.wake is None:
            limit = _first_limit(front)
            if math.isinf(limit):
                yield event
                return
            work.wake = Wake(env.now + max(0.0, limit - env.now), limit, day.order())
        limit = work.wake.limit
        yield first_of(env, event, wake_at(env, work.wake.at))
        work.wake = None
        _send_away(front, min(limit, env.now))


def _first_limit(front: Front) -> float:
    """When the first of the trucks that stand ready reaches its age limit (s)."""
    load = front.work.load
    first = math.inf if load is None else load.limit
    for load in front.hopper.line:
        first = min(first, load.limit)
    return first


def _send_away(front: Front, limit: float) -> None:
    line = front.hopper.line
    load = front.work.load
    if load is not None and load.limit <= limit:
        let_go(front)
    for load in [load for load in line if load.limit <= limit]:
        line.remove(load)
        load.go()


def let_go(front: Front) -> None:
    """Send the truck at the pump away, empty or not."""
    work = front.work
    load, work.load, work.skip = work.load, None, None
    if load is not None:
        load.go()
