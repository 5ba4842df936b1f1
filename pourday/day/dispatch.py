"""Calling concrete: when the next load is batched, by which plant, and how large it is."""

from __future__ import annotations

import math

from pourday.day.site import EPS, Load, PlantYard, SiteDay, Story
from pourday.day.truck import truck

# A pour that has not ended a day after its start never will; what is left is reported.
LONGEST_DAY = 24 * 3600.0


def dispatch(day: SiteDay) -> Story:
    """Call loads at the planned spacing until what is called covers what the floor will take."""
    env, plan = day.env, day.plan
    number = 0
    due_on_site = plan.start
    balance_called = False
    while not day.finished:
        short = day.need() - (day.called - day.rejected)
        if not _call_now(day, short, balance_called):
            yield day.pause("need")
            continue
        volume = _load_size(day, short)
        yard = _yard(day, volume)
        if yard is None:
            if all(_closed(env.now, each) for each in day.yards):
                break
            yield day.pause("truck")
            continue
        call_at = due_on_site - yard.lead(volume)
        if call_at > env.now + EPS:
            yield env.timeout(call_at - env.now)
            continue  # what is needed may have changed meanwhile
        if _held_back(day):
            yield day.pause("room")
            continue
        begin = max(env.now, yard.free_at)
        if env.now > plan.start + LONGEST_DAY:
            break
        yard.free_at = begin + volume / yard.plant.batch
        yard.trucks -= 1
        batched = yard.free_at
        day.called += volume
        day.in_flight += 1
        balance_called = balance_called or volume < day.load_volume - EPS
        load = Load(number, volume, batched, batched + day.life)
        env.process(truck(day, yard, load, yard.trips))
        yard.trips += 1
        due_on_site += day.spacing(number)
        number += 1
    day.supply_over = True
    if day.in_flight == 0:
        day.hopper.back_up(None)


def _call_now(day: SiteDay, short: float, balance_called: bool) -> bool:
    """Whether another load is wanted: never a top-up on a guess once the balance load is called."""
    if short <= EPS:
        return False
    runs_dry = day.called - day.rejected < day.need_in_hand() - EPS or day.in_flight == 0
    must = runs_dry or day.last_strip_begun or short >= day.load_volume / 2
    return must or not balance_called


def _load_size(day: SiteDay, short: float) -> float:
    """A full load, or the balance load: what is short, a margin, rounded up to the plant's step."""
    supply = day.scenario.supply
    wanted = math.ceil((short + supply.margin) / supply.load_step - EPS) * supply.load_step
    return min(day.load_volume, max(wanted, supply.smallest_load))


def _yard(day: SiteDay, volume: float) -> PlantYard | None:
    """Of the plants that are open and have a truck in, the one that can deliver first."""
    now = day.env.now
    ready = [y for y in day.yards if y.trucks > 0 and not _closed(now, y)]
    if not ready:
        return None
    return min(ready, key=lambda y: max(now, y.free_at) + y.lead(volume))


def _closed(now: float, yard: PlantYard) -> bool:
    closes = yard.plant.closes
    return closes is not None and max(now, yard.free_at) > closes


def _held_back(day: SiteDay) -> bool:
    plan = day.plan
    too_many_wait = plan.hold_back_at is not None and day.waiting >= plan.hold_back_at
    full = plan.most_on_site is not None and day.on_site >= plan.most_on_site
    return too_many_wait or full
