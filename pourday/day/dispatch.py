"""Calling concrete for a front: when the next load is batched, by which plant, and how large."""

from __future__ import annotations

import math

from pourday.day.front import FrontDay
from pourday.day.site import EPS, Load, PlantYard, SiteDay, Story
from pourday.day.stages import stage_at
from pourday.day.truck import truck

# A pour that has not ended a day after its start never will; what is left is reported.
LONGEST_DAY = 24 * 3600.0


def dispatch(day: SiteDay, front: FrontDay) -> Story:
    """Call loads at the planned spacing until what is called covers what the front will take."""
    env, start = day.env, front.plan.start
    due_on_site = start
    balance_called = held = False
    while not front.finished:
        if front.stopped:
            yield front.pause("need")  # its loads would only go elsewhere
            held = True
            continue
        short = front.short()
        if not _call_now(day, front, short, balance_called):
            yield front.pause("need")
            continue
        if len(day.fronts) > 1 and front.borrow():
            continue
        wanted = _load_size(day, short)
        yard = _yard(front, env.now, wanted)
        if yard is None:
            if all(yard.mixer.closed(env.now) for yard in front.yards):
                break
            reopens = _reopens(front, env.now)
            news = front.pause("truck")
            if math.isinf(reopens):
                yield news
            else:
                held = True
                yield env.any_of((news, env.timeout(reopens - env.now)))
            continue
        volume = min(wanted, yard.load)
        call_at = yard.call_at(due_on_site, volume)
        if call_at > env.now + EPS:
            yield env.timeout(call_at - env.now)
            continue  # what is needed may have changed meanwhile
        if _held_back(day, front):
            yield front.pause("room")
            held = True
            continue
        if env.now > start + LONGEST_DAY:
            break
        if held:
            # What was held back is not sent all at once: the spacing counts from now on.
            due_on_site, held = max(due_on_site, yard.due(env.now, volume)), False
        begun, leaves = yard.mixer.book(env.now, volume)
        # A load whose batching was stopped half way is as old as its first part.
        batched = min(leaves, begun + volume / yard.plant.batch)
        yard.trucks -= 1
        front.called += volume
        front.in_flight += 1
        balance_called = balance_called or volume < yard.load - EPS
        load = Load(day.loads_called, front, volume, batched, leaves, day.life)
        env.process(truck(day, yard, load, yard.trips))
        yard.trips += 1
        due_on_site += _spacing(front)
        front.loads_called += 1
        day.loads_called += 1
    front.supply_over = True
    if front.in_flight == 0:
        front.hopper.close()


def _call_now(day: SiteDay, front: FrontDay, short: float, balance_called: bool) -> bool:
    """Whether another load is wanted: never a top-up on a guess once the balance load is called."""
    if short <= EPS:
        return False
    in_hand = front.called - front.rejected < front.need_in_hand() - EPS
    runs_dry = in_hand or front.in_flight == 0
    must = runs_dry or front.last_strip_begun or short >= day.load_volume / 2
    return must or not balance_called


def _spacing(front: FrontDay) -> float:
    """Time to the next load (s): the stage's where the plan has stages, else the plan's."""
    if not front.stages:
        return front.spacing(front.loads_called)
    stage = stage_at(front.called / front.need(), front.stages)
    return front.stages[stage][1](front.loads_called)


def _load_size(day: SiteDay, short: float) -> float:
    """A full load, or the balance load: what is short, a margin, rounded up to the plant's step."""
    supply = day.scenario.supply
    wanted = math.ceil((short + supply.margin) / supply.load_step - EPS) * supply.load_step
    return min(day.load_volume, max(wanted, supply.smallest_load))


def _yard(front: FrontDay, now: float, volume: float) -> PlantYard | None:
    """Of the plants that are open, work and have a truck in, the one that can deliver first."""
    ready = [
        y
        for y in front.yards
        if y.trucks > 0 and not y.mixer.closed(now) and y.mixer.works_again(now) <= now
    ]
    if len(ready) < 2:
        return ready[0] if ready else None
    return min(ready, key=lambda y: y.mixer.expected_at(now) + y.lead(volume))


def _reopens(front: FrontDay, now: float) -> float:
    """When the first plant that has stopped, with a truck in, works again (s); inf for none."""
    stopped = [y.mixer.works_again(now) for y in front.yards if y.trucks > 0]
    return min((again for again in stopped if again > now), default=math.inf)


def _held_back(day: SiteDay, front: FrontDay) -> bool:
    """Whether the plan lets nobody call now; trucks at another front that stands do not count."""
    plan = day.plan
    on_site = sum(f.on_site for f in day.fronts if f is front or not f.stopped)
    too_many_wait = plan.hold_back_at is not None and front.waiting >= plan.hold_back_at
    full = plan.most_on_site is not None and on_site >= plan.most_on_site
    return too_many_wait or full
