"""Calling concrete for a front: when the next load is batched, by which plant, and how large.

The last load (balance load) is sized in ``_load_size``, from what the front still needs.
"""

from __future__ import annotations

import math

import simpy

from pourday.day.clock import Story, first_of, tell, wake_at
from pourday.day.front.front import Front
from pourday.day.front.news import NEED, ROOM, STOP, TRUCK
from pourday.day.hand_over import borrow
from pourday.day.log import EPS, PhoneCall
from pourday.day.site import load as stage
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.day.supply.stages import stage_at
from pourday.day.supply.yard import PlantYard
from pourday.day.telephone import (
    before_change,
    emptying,
    free_at,
    on_its_way,
    outlook,
    rings_at,
    still_held,
    stop_told,
)
from pourday.day.truck import book, truck

# A pour that has not ended a day after its start never will; what is left is reported.
LONGEST_DAY = 24 * 3600.0
# Behind by more than this share of a spacing, the spacing counts from now.
_MUCH = 0.5
# And loads come closer by this share of it until the plant has caught up (common practice, no
# source).
_CLOSER = 0.4
_HAIR = 1.0
_A_MINUTE, _LOOK_AGAIN = 60.0, 600.0
# A second truck at a slow front would stand longer than anybody waits (common practice, no source).
_LONGEST_STAND = 25 * 60.0


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
    return first_of(day.env, news, wake_at(day.env, plan.until))


def _await(day: SiteDay, front: Front, news: str, until: float = math.inf) -> None:
    plan = front.calling
    plan.awaited, plan.until, plan.order = news, until, day.order()


def _decide(day: SiteDay, front: Front) -> tuple[Load, ...]:
    """Call a load now, or say what has to be waited for; the load that is called."""
    plan = front.calling
    if day.phones:
        _ring(day, front)
    short = _short(day, front)
    if front.stopped:
        plan.held = True
        _await(day, front, NEED)  # its loads would only go elsewhere
    elif plan.told_to_hold and still_held(front):
        plan.held = True
        _await(day, front, ROOM, day.env.now + _LOOK_AGAIN / 2)
    elif not _call_now(day, front, short):
        _await(day, front, NEED)
    elif len(day.fronts) > 1 and borrow(day):
        return ()
    else:
        wanted = _load_size(day, min(short, _before_change(day, front)))
        asked = _asked_for(day, front, wanted)
        yard = _yard(front, day.env.now, asked, wanted)
        if yard is None:
            _await_truck(day, front)
            return ()
        volume = min(wanted, yard.load)
        if volume < wanted:
            asked = _asked_for(day, front, volume)
        if not _too_early(day, front, yard, volume, asked):
            return (_call(day, front, yard, volume),)
    return ()


def _short(day: SiteDay, front: Front) -> float:
    """What is still to be called (m³); with two loads to go the rest is measured, with an error."""
    need = front.need
    short = need.short()
    if not day.phones or front.last_strip_begun or not EPS < short <= 2.0 * day.load_volume:
        return short  # far off, or the end is in sight
    to_place = need.current + need.to_begin * need.expected_use
    share = day.scenario.call_off.measure_error_share
    if not share:
        return short
    # He knows that he measures badly, and orders for it: nobody waits an hour for a barrow.
    error = (1.0 + front.chance.normal("measured", need.loads_called)) * share
    return max(2.0 * EPS, short + error * to_place)


def _before_change(day: SiteDay, front: Front) -> float:
    """What is to be called before a change of place (m³): no load waits for that half full.

    ``inf`` where that is called already, or there is no change.
    """
    if not (day.phones and front.changes_place):
        return math.inf
    ahead = on_its_way(day, front)
    # A change that is more than a full load away makes no load smaller.
    full = day.load_volume + day.scenario.supply.load_step
    rest = before_change(day, front, ahead + full) - ahead
    return rest if rest > day.scenario.supply.margin else math.inf


def _asked_for(day: SiteDay, front: Front, volume: float) -> float:
    """When a load decided on now is thought to begin batching (s): notice, resuming counted."""
    phone = day.scenario.call_off
    if not day.phones:
        return day.env.now
    wait = phone.hold_notice
    if _long_hold(day, front):
        wait = max(wait, phone.resume.mean)
    if _beyond_booking(front):
        wait = max(wait, phone.beyond_booking.mean - front.yards[0].lead(volume))
    return day.env.now + wait


def _long_hold(day: SiteDay, front: Front) -> bool:
    """Whether loads were held so long that the trucks serve others."""
    since = front.calling.hold_since
    return not math.isnan(since) and day.env.now - since > day.scenario.call_off.long_hold


def _beyond_booking(front: Front) -> bool:
    need = front.need
    return need.called - need.rejected > front.calling.booked - EPS


def _ring(day: SiteDay, front: Front) -> None:
    """Tell the plant of a stop, once: nothing more for now."""
    plan, need = front.calling, front.need
    if math.isnan(plan.booked):
        spare = day.scenario.call_off.hold_quantity_loads * day.load_volume
        plan.booked = need.in_all() + day.scenario.supply.margin + spare
    stop = front.work.pauses_taken + front.work.blockages
    if plan.rang_for == stop or not need.loads_called:
        return
    why, until = stop_told(day, front)
    if why and need.short() > EPS:
        plan.holding, plan.hold_since, plan.rang_for = why, day.env.now, stop
        _say(day, front, "hold", f"{why}, thought to last until {_clock(until)}")


def _too_early(day: SiteDay, front: Front, yard: PlantYard, volume: float, asked: float) -> bool:
    """Whether the load is not called now: it is not due, held back, or the day is over.

    ``asked`` is when it would begin batching if it were (s).
    """
    plan, now = front.calling, day.env.now
    if plan.sends:
        return False
    call_at = now if plan.lost else yard.call_at(plan.due, volume) - (asked - now)
    if call_at > now + EPS:
        # What is needed may change meanwhile, and a stop that begins is rung for.
        until = now + (min(call_at, _rings(day, front)) - now)
        _await(day, front, STOP if day.phones else "", until)
        return True
    if now > front.plan.start + LONGEST_DAY:
        plan.over = True
        return True
    look_again = _no_use_before(day, front, yard, volume, asked) if day.phones else now
    if look_again > now + EPS:
        # A stop puts the booking off; a queue does not: the next load comes when it can be used.
        plan.held = plan.held or bool(plan.holding)
        plan.loads_held += plan.held_for != front.need.loads_called
        plan.held_for = front.need.loads_called
        _await(day, front, STOP, look_again)
        return True
    if _held_back(day, front):
        plan.held = True
        _await(day, front, ROOM)
        return True
    return False


def _rings(day: SiteDay, front: Front) -> float:
    """When a stop that is on will be rung for (s); ``inf`` where there is none to ring for."""
    if not day.phones or front.calling.holding:
        return math.inf
    at = rings_at(day, front)
    return at if at > day.env.now + EPS else math.inf


def _no_use_before(
    day: SiteDay, front: Front, yard: PlantYard, volume: float, asked: float
) -> float:
    """When to think again about a load that would only stand if it were called now (s).

    So many trucks are wanted at the pump besides the one that discharges; a load that would be too
    old before it is empty is not called.
    """
    now = day.env.now
    comes = yard.due(asked, volume)
    seen, ahead = outlook(day, front), on_its_way(day, front)
    free = free_at(front, seen, ahead)
    if free <= comes:
        return now  # it need not wait, and gets no younger by being called later
    takes = emptying(front, volume)
    wait = free - comes - _may_stand(day, front, takes)
    if day.life < math.inf:
        emptied = max(comes + takes, free_at(front, seen, ahead + volume))
        wait = max(wait, emptied - (comes - yard.lead(volume)) - day.life)
    if wait <= _HAIR:
        return now
    # The stop may look otherwise in ten minutes.
    return min(now + min(max(wait, _A_MINUTE), _LOOK_AGAIN), _rings(day, front))


def _may_stand(day: SiteDay, front: Front, takes: float) -> float:
    """How long a load that takes so long to empty may stand (s); longer once he is behind."""
    phone = day.scenario.call_off
    wanted = phone.waiting_wanted * takes
    # After a blockage alone he is hardly behind, and a line that has blocked may block again.
    if front.calling.rang_for < 0 or not front.work.pauses_taken:
        return wanted
    return max(wanted, min(phone.waiting_after_stop * takes, _LONGEST_STAND))


def _await_truck(day: SiteDay, front: Front) -> None:
    now = day.env.now
    begins = _asked_for(day, front, day.load_volume)
    if all(yard.mixer.closed(begins) for yard in front.yards):
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
    again = plan.lost > 0
    asked = _said_to_plant(day, front, volume) if day.phones else now
    comes = yard.due(asked, volume)
    spacing = _spacing(front) * (day.scenario.call_off.wider_spacing if plan.wider else 1.0)
    if plan.held:
        # What was held back is not sent all at once: the spacing counts from now on.
        plan.due, plan.held, plan.late = max(plan.due, comes), False, 0.0
    elif day.phones and comes > plan.due + _MUCH * spacing:
        # Nor is what the plant could not send: it comes a little closer until it is caught up.
        plan.late += comes - plan.due
        plan.due = comes
    caught_up = min(plan.late, _CLOSER * spacing)
    load = Load(day.loads_called, need.loads_called, front.number, yard.number, yard.trips, volume)
    notice = day.scenario.call_off.hold_notice if day.phones else 0.0
    if asked > now + notice + EPS:
        load.stage, load.until = stage.BOOKED, asked - notice  # the plant has to find a truck
    else:
        book(day, load, notice)
    yard.trucks -= 1
    yard.trips += 1
    need.called += volume
    front.in_flight += 1
    plan.balance_called = plan.balance_called or volume < yard.load - EPS
    day.loads[load.number] = load
    plan.lost = max(0, plan.lost - 1)
    if not (again and day.phones):
        plan.due += spacing - caught_up
        plan.late -= caught_up
        plan.wider = max(0, plan.wider - 1)
    need.loads_called += 1
    plan.sends = max(0, plan.sends - 1)
    day.loads_called += 1
    return load


def _said_to_plant(day: SiteDay, front: Front, volume: float) -> float:
    """Say on the telephone what kind of load this is; when its batching can begin (s)."""
    plan, phone, need = front.calling, day.scenario.call_off, front.need
    k, now, wait = need.loads_called, day.env.now, phone.hold_notice
    if plan.holding:
        if _long_hold(day, front):
            wait = max(wait, front.chance.draw("resume", phone.resume, k))
            plan.wider = phone.wider_loads
        on = stop_told(day, front)[1]
        when = f"thought to be over at {_clock(on)}" if on > now + EPS else "over"
        _say(day, front, "send", f"{plan.holding}: {when}", volume)
        plan.holding, plan.hold_since = "", math.nan
    if _beyond_booking(front):
        lead = front.yards[0].lead(volume)
        wait = max(wait, front.chance.draw("beyond booking", phone.beyond_booking, k) - lead)
        plan.loads_beyond += 1
        _say(day, front, "more", "beyond the booking", volume)
    elif plan.lost:
        _say(day, front, "again", "in place of concrete that was lost", volume)
    elif volume < day.load_volume - EPS and not plan.balance_called:
        _say(day, front, "balance", "the rest, measured on the floor", volume)
    return now + wait


def _say(day: SiteDay, front: Front, kind: str, why: str, volume: float = 0.0) -> None:
    day.calls.append(PhoneCall(day.env.now, kind, why, volume, front.number))


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60.0)
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


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
    least = day.scenario.call_off.least_load if day.phones else supply.smallest_load
    return min(day.load_volume, max(wanted, least))


def _yard(front: Front, now: float, begins: float, volume: float) -> PlantYard | None:
    """Of the plants that work and have a truck in, open when it begins, the first to deliver."""
    ready = [
        y
        for y in front.yards
        if y.trucks > 0 and not y.mixer.closed(begins) and y.mixer.works_again(now) <= now
    ]
    if len(ready) < 2:
        return ready[0] if ready else None
    return min(ready, key=lambda y: y.mixer.expected_at(begins) + y.lead(volume))


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
