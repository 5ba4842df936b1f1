"""Calling concrete for a front: when the next load is batched, by which plant, and how large."""

from __future__ import annotations

import math

import simpy

from pourday.day.clock import Story, tell, wake_at
from pourday.day.front.front import Front
from pourday.day.front.news import NEED, ROOM, TRUCK
from pourday.day.hand_over import borrow
from pourday.day.log import EPS
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.day.supply.stages import stage_at
from pourday.day.supply.yard import PlantYard
from pourday.day.truck import truck

# A pour that has not ended a day after its start never will; what is left is reported.
LONGEST_DAY = 24 * 3600.0


def calling(day: SiteDay, front: Front) -> Story:
    """Call loads at the planned spacing until what is called covers what the front will take."""
    plan = front.calling
    if math.isnan(plan.due):
        plan.due = front.plan.start
    while True:
        called: list[Load] = []
        while not (plan.awaited or plan.until < math.inf):
            if front.finished or plan.over:
                plan.over = front.supply_over = True
                if front.in_flight == 0:
                    front.hopper.close()
                break
            called += _decide(day, front)
        comes = None if plan.over else _event(day, front)
        for load in called:
            tell(truck(day, load))
        if comes is None:
            return
        yield comes
        plan.awaited, plan.until = "", math.inf


def _event(day: SiteDay, front: Front) -> simpy.Event:
    """What is waited for: news of a kind, a clock time, or the first of both."""
    plan = front.calling
    if not plan.awaited:
        return wake_at(day.env, plan.until)
    news = front.news.wait(plan.awaited)
    if math.isinf(plan.until):
        return news
    return day.env.any_of((news, wake_at(day.env, plan.until)))


def _await(day: SiteDay, front: Front, news: str, until: float = math.inf) -> None:
    plan = front.calling
    plan.awaited, plan.until, plan.order = news, until, day.order()


def _decide(day: SiteDay, front: Front) -> tuple[Load, ...]:
    """Call a load now, or say what has to be waited for; the load that is called."""
    plan, now = front.calling, day.env.now
    short = front.need.short()
    if front.stopped:
        plan.held = True
        _await(day, front, NEED)  # its loads would only go elsewhere
    elif not _call_now(day, front, short):
        _await(day, front, NEED)
    elif len(day.fronts) > 1 and borrow(day):
        return ()
    else:
        wanted = _load_size(day, short)
        yard = _yard(front, now, wanted)
        if yard is None:
            _await_truck(day, front)
        elif not _too_early(day, front, yard, volume := min(wanted, yard.load)):
            return (_call(day, front, yard, volume),)
    return ()


def _too_early(day: SiteDay, front: Front, yard: PlantYard, volume: float) -> bool:
    """Whether the load is not called now: it is not due, held back, or the day is over."""
    plan, now = front.calling, day.env.now
    call_at = yard.call_at(plan.due, volume)
    if call_at > now + EPS:
        _await(day, front, "", now + (call_at - now))  # what is needed may change meanwhile
        return True
    if _held_back(day, front):
        plan.held = True
        _await(day, front, ROOM)
        return True
    plan.over = now > front.plan.start + LONGEST_DAY
    return plan.over


def _await_truck(day: SiteDay, front: Front) -> None:
    now = day.env.now
    if all(yard.mixer.closed(now) for yard in front.yards):
        front.calling.over = True
        return
    reopens = _reopens(front, now)
    if math.isinf(reopens):
        _await(day, front, TRUCK)
    else:
        front.calling.held = True
        _await(day, front, TRUCK, now + (reopens - now))


def _call(day: SiteDay, front: Front, yard: PlantYard, volume: float) -> Load:
    """Call a load: the mixer takes it on, and its truck is on its way."""
    plan, need, now = front.calling, front.need, day.env.now
    if plan.held:
        # What was held back is not sent all at once: the spacing counts from now on.
        plan.due, plan.held = max(plan.due, yard.due(now, volume)), False
    load = Load(day.loads_called, need.loads_called, front.number, yard.number, yard.trips, volume)
    begun, load.leaves = yard.mixer.book(now, volume)
    # A load whose batching was stopped half way is as old as its first part.
    load.batched = min(load.leaves, begun + volume / yard.plant.batch)
    load.limit = load.batched + day.life
    yard.trucks -= 1
    yard.trips += 1
    need.called += volume
    front.in_flight += 1
    plan.balance_called = plan.balance_called or volume < yard.load - EPS
    day.loads[load.number] = load
    plan.due += _spacing(front)
    need.loads_called += 1
    day.loads_called += 1
    return load


def _call_now(day: SiteDay, front: Front, short: float) -> bool:
    """Whether another load is wanted: never a top-up on a guess once the balance load is called."""
    if short <= EPS:
        return False
    need = front.need
    in_hand = need.called - need.rejected < need.in_hand() - EPS
    runs_dry = in_hand or front.in_flight == 0
    must = runs_dry or front.last_strip_begun or short >= day.load_volume / 2
    return must or not front.calling.balance_called


def _spacing(front: Front) -> float:
    """Time to the next load (s): the stage's where the plan has stages, else the plan's."""
    need, chance = front.need, front.chance
    if not chance.stages:
        return chance.spacing(need.loads_called)
    stage = stage_at(need.called / need.in_all(), chance.stages)
    return chance.stages[stage][1](need.loads_called)


def _load_size(day: SiteDay, short: float) -> float:
    """A full load, or the balance load: what is short, a margin, rounded up to the plant's step."""
    supply = day.scenario.supply
    wanted = math.ceil((short + supply.margin) / supply.load_step - EPS) * supply.load_step
    return min(day.load_volume, max(wanted, supply.smallest_load))


def _yard(front: Front, now: float, volume: float) -> PlantYard | None:
    """Of the plants that are open, work and have a truck in, the one that can deliver first."""
    ready = [
        y
        for y in front.yards
        if y.trucks > 0 and not y.mixer.closed(now) and y.mixer.works_again(now) <= now
    ]
    if len(ready) < 2:
        return ready[0] if ready else None
    return min(ready, key=lambda y: y.mixer.expected_at(now) + y.lead(volume))


def _reopens(front: Front, now: float) -> float:
    """When the first plant that has stopped, with a truck in, works again (s); inf for none."""
    stopped = [y.mixer.works_again(now) for y in front.yards if y.trucks > 0]
    return min((again for again in stopped if again > now), default=math.inf)


def _held_back(day: SiteDay, front: Front) -> bool:
    """Whether the plan lets nobody call now; trucks at another front that stands do not count."""
    plan = day.plan
    on_site = sum(f.on_site for f in day.fronts if f is front or not f.stopped)
    too_many_wait = plan.hold_back_at is not None and front.waiting >= plan.hold_back_at
    full = plan.most_on_site is not None and on_site >= plan.most_on_site
    return too_many_wait or full
