"""What an order does to a day at the moment at which it is given: from a state to a state."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from pourday.day import log
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.reach import Relief, reaches
from pourday.day.front.ready import Ready
from pourday.day.log import EPS, Order, PhoneCall, Stop
from pourday.day.orders.stop import ends_at
from pourday.day.site import load as stage
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.day.state import DayState
from pourday.day.take_up import snapshot, take_up
from pourday.day.telephone import AT_WORK, IN_A_STOP
from pourday.scenario.base.upsets import Upset
from pourday.scenario.model.site import AFTER_POUR, TOGETHER

ON_THE_SITE = (
    stage.ROUND, stage.WAITING, stage.GATE, stage.QUEUE, stage.READYING, stage.READY,
)  # fmt: skip
_NOT_BEGUN = (at.START, at.PRIME)
_DOWN = "the pump or crane of this front does not stand broken, blocked or washed out"


class OrderError(ValueError):
    """An order that cannot be obeyed; its text says why, in words of the site."""


@dataclass(frozen=True, eq=False)
class Given:
    """What a day is played with, beside its state: its plan, the number of the day, its upsets."""

    plan: Ready
    seed: int
    upsets: tuple[Upset, ...]


def obey(given: Given, state: DayState, order: Order) -> DayState:
    """The state of the same day, at the same moment, once the order is given.

    Raises:
        OrderError: where it cannot be obeyed.
    """
    day = SiteDay(given.plan, given.seed, given.upsets, state.at, state.factors)
    take_up(day, state)
    front = day.fronts[order.front]
    if front.finished:
        raise OrderError("this front is done: its last concrete is placed")
    _ORDERS[order.kind](day, front, order)
    day.given = (*day.given, order)
    return snapshot(day)


def _hold(day: SiteDay, front: Front, order: Order) -> None:
    _no_more(front)
    _say(day, front, "hold", "ordered")


def _no_more(front: Front) -> None:
    stands = front.work.doing in at.STANDING
    front.calling.told_to_hold, front.calling.sends = IN_A_STOP if stands else AT_WORK, 0


def _send(day: SiteDay, front: Front, order: Order) -> None:
    calling = front.calling
    if front.need.short() <= EPS and not calling.told_to_hold:
        raise OrderError("all that this front still takes is called already")
    calling.told_to_hold, calling.sends = "", max(1, order.number)
    calling.until = min(calling.until, day.env.now)
    _say(day, front, "send", f"ordered, {_loads(calling.sends)} at once")


def _cancel(day: SiteDay, front: Front, order: Order) -> None:
    """The last loads that no mixer has begun; nothing is called in their place until "send"."""
    now = day.env.now
    loads = [n for n in day.loads.values() if n.called_by == front.number and _not_loaded(n, now)]
    wanted = max(1, order.number)
    if len(loads) < wanted:
        there = f"{_loads(len(loads))} can be cancelled" if loads else "none can be cancelled"
        raise OrderError(f"{there}: loading of all others called so far has begun")
    for load in sorted(loads, key=lambda each: each.number)[-wanted:]:
        del day.loads[load.number]
        yard = day.yards[load.yard]
        yard.trucks += 1
        queue = yard.mixer.queue
        if math.isfinite(load.batched) and abs(queue.free - load.leaves) <= EPS:
            work = min(queue.busy, load.leaves - load.batched)
            yard.mixer.queue = queue._replace(free=load.batched, busy=queue.busy - work)
        front.need.called -= load.volume
        front.in_flight -= 1
    front.calling.balance_called = False
    _no_more(front)
    _say(day, front, "hold", f"ordered, the last {_loads(wanted)} cancelled")


def _not_loaded(load: Load, now: float) -> bool:
    return load.stage == stage.BOOKED or (
        load.stage in (stage.BATCHING, stage.ROAD) and load.batched > now
    )


def _away(day: SiteDay, front: Front, order: Order) -> None:
    """A truck leaves undischarged; one on the road is turned round at the gate."""
    load = day.loads.get(order.number)
    coming = load is not None and load.stage == stage.ROAD and load.leaves <= day.env.now
    if load is None or not (coming or load.stage in ON_THE_SITE):
        raise OrderError(f"truck {order.number + 1} is neither on the road nor on the site")
    if load.left <= EPS:
        raise OrderError(f"truck {order.number + 1} is empty")
    load.limit, load.outcome = day.env.now, "sent away"
    for each in day.fronts:
        each.work.wake = None  # who stands looks at the trucks anew
        if each.work.load is load:
            _cut_stretch(day, each)


def _cut_stretch(day: SiteDay, front: Front) -> None:
    """Placing stops now: what has flowed is in, the rest is still on the truck."""
    work, now = front.work, day.env.now
    if work.doing != at.FLOWING or work.span <= 0.0:
        return
    flowed = min(1.0, (now - work.since) / work.span)
    done = work.line_done if work.step in (at.PRIME, at.LINE, at.REFILL) else work.done
    work.take, work.span, work.until = flowed * work.take, now - work.since, now
    work.filled = done + work.take


def _standby(day: SiteDay, front: Front, order: Order) -> None:
    """Whoever is called places when it is there, if the own pump does not before."""
    standbys = day.scenario.standbys
    if not standbys:
        raise OrderError("the file has no [[standby]]: nothing to place with can be had")
    standby = next((s for s in standbys if s.name == order.name), standbys[0])
    work, now = front.work, day.env.now
    stopped = work.doing in (at.CLEARING, at.WASHING_OUT)
    pause = work.pause if work.doing in (at.RESTING, at.PAUSING) else None
    if front.relieved or (front.relief is not None and front.relief.awaited):
        raise OrderError("a stand-by is called already")
    if not stopped and (pause is None or pause.kind != log.DOWN):
        raise OrderError(_DOWN)
    if not reaches(standby, day.scenario.floor, day.layout.strips[front.strips[work.turn]]):
        raise OrderError(f"{standby.name} does not reach the strip in hand")
    comes = now + standby.ready
    back = work.until if pause is None else work.stop_end
    front.relief = Relief(standby.name, comes, standby.output, back)
    if stopped:
        work.until = min(work.until, comes)
    elif pause is not None and comes < work.stop_end:
        ends_at(day, front, comes)
    work.wake = None
    # He calls for it again, where trucks went to another front meanwhile.
    front.stopped = False
    front.calling.until = min(front.calling.until, now)


def _end(day: SiteDay, front: Front, order: Order) -> None:
    work, strips = front.work, front.strips
    if work.step in _NOT_BEGUN:
        raise OrderError("nothing is placed yet")
    first = work.turn
    if order.strip >= 0:
        if order.strip not in strips:
            raise OrderError(f"strip {order.strip + 1} is none of this front's")
        first = strips.index(order.strip) + 1
        begun = work.turn + (work.step not in (at.ORDER, at.BEGIN))
        if first < begun:
            raise OrderError(f"the front is beyond strip {order.strip + 1} already")
    given_up = strips[first:]
    if order.kind == log.END_BAY:
        bay = day.layout.strips[strips[work.turn]].bay
        given_up = tuple(i for i in given_up if day.layout.strips[i].bay == bay)
    if not [i for i in given_up if i not in day.given_up]:
        raise OrderError("nothing is left out by that: all of it was to be poured so far")
    day.give_up(front, given_up)
    if strips[work.turn] in day.given_up and work.step == at.STRIP:
        _cut_stretch(day, front)
    if all(i in day.given_up for i in strips[work.turn :]):
        _stand_no_more(day, front)


def _stand_no_more(day: SiteDay, front: Front) -> None:
    """The front's pour ends where it stands: whatever it waits for, it waits no longer."""
    work, now = front.work, day.env.now
    _clip(day, front, now)
    if work.behind is not None:
        work.behind = None
    if work.doing in (at.RESTING, at.PAUSING, at.CLEARING, at.WASHING_OUT, at.TOO_FEW):
        work.until, work.stop_end, work.wake = now, min(work.stop_end, now), None
    elif work.doing in (at.TRUCK, at.STRIP_FIRST, at.CREW_NEAR):
        kind = log.STARVED if work.doing == at.TRUCK else log.HELD
        since = work.waits_since if work.doing == at.TRUCK else work.since
        if now > since and not math.isnan(front.begun):
            day.stops.append(Stop(kind, since, now, front.number))
        work.doing, work.wake, work.waits_since = "", None, math.nan
        day.ground.give_up(front.number)
    if work.step in (at.LINE, at.REFILL, at.PIPES):
        work.step, work.job = at.STRIP, None


def _clip(day: SiteDay, front: Front, until: float) -> None:
    """A stop that was written down beyond ``until`` (s) ends then."""
    day.stops = [
        stop._replace(end=min(stop.end, max(stop.start, until)))
        if stop.front == front.number and stop.end > until
        else stop
        for stop in day.stops
    ]


def _break(day: SiteDay, front: Front, order: Order) -> None:
    work, now = front.work, day.env.now
    if front.crew.breaks_taken not in (TOGETHER, AFTER_POUR):
        raise OrderError("this crew takes its breaks in turn: a third is away at a time")
    pause = work.pause if work.doing in (at.RESTING, at.PAUSING) else None
    if pause is not None and pause.kind == log.IDLE:
        raise OrderError("the crew has its break now")
    taken = work.breaks_taken
    if pause is not None:
        # What is eaten later in a stop is known to nobody who does not know its length.
        had = [n for n, (due, _) in enumerate(front.breaks) if due <= now]
        taken = max(work.breaks_before, len(had))
    if taken >= len(front.breaks):
        raise OrderError("no break of the day is left")
    # Between two trucks a crew goes once it has put its break off as long as it may.
    due = now if pause is not None or work.doing == at.TRUCK else now - front.late_by
    front.told_breaks = (*front.told_breaks, (taken, due))
    if pause is not None:
        ends_at(day, front, work.stop_end)


def _say(day: SiteDay, front: Front, kind: str, why: str) -> None:
    day.calls.append(PhoneCall(day.env.now, kind, why, 0.0, front.number))


def _loads(count: int) -> str:
    return "1 load" if count == 1 else f"{count} loads"


_ORDERS: dict[str, Callable[[SiteDay, Front, Order], None]] = {
    log.HOLD: _hold,
    log.SEND: _send,
    log.CANCEL: _cancel,
    log.AWAY: _away,
    log.STANDBY: _standby,
    log.END: _end,
    log.END_BAY: _end,
    log.BREAK: _break,
}
