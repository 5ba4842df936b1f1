"""A truck: it drives, comes in, waits, is at the pump, washes, goes back.

A load is in one stage at a time. When the stage is over, one short function does what is to be done
then and says which stage comes next; so a load can begin at any of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from pourday.day.clock import Story, first_of, wake_at
from pourday.day.front.news import NEED, ROOM, STOP, TRUCK
from pourday.day.hand_over import better_front, give, landed
from pourday.day.log import EPS, Visit
from pourday.day.site import load as at
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.day.stands import sent_away
from pourday.day.supply.stages import is_tested
from pourday.day.supply.yard import slump_life

# Outcome of a load of which some is placed.
PART = {
    "returned": "part returned",
    "rejected: age": "part rejected",
    "rejected: slump": "part rejected",
    "sent away": "part sent away",
}
SENT_AWAY = ("sent away", "part sent away")
"""Outcome of a load that left by order."""


def truck(day: SiteDay, load: Load) -> Story:
    """One load from the stage it is in until the truck is back in its yard."""
    env = day.env
    if load.stage == at.CALLED:
        _set_off(day, load)
    while load.stage != at.HOME:
        if load.until < math.inf:
            yield wake_at(env, load.until)
        else:
            assert load.comes is not None
            if math.isinf(load.limit):
                yield load.comes
            else:
                yield first_of(env, load.comes, wake_at(env, max(env.now, load.limit)))
                if not load.comes.triggered:
                    if load.stage != at.READY:
                        _give_up(day, load)
                        continue
                    _out_of_the_line(day, load)
                    yield load.comes
        _THEN[load.stage](day, load)


def _enter(day: SiteDay, load: Load, stage: str, time: float = math.inf) -> None:
    """Begin a stage that takes so long (s); ``inf`` where it waits for somebody."""
    now = day.env.now
    day.orders += 1
    load.stage, load.since, load.until, load.order = stage, now, now + time, day.orders


def book(day: SiteDay, load: Load, notice: float) -> None:
    """Put a load into the mixer's queue; it can begin ``notice`` (s) from now."""
    load.batched, load.leaves = day.yards[load.yard].mixer.book(day.env.now + notice, load.volume)
    load.limit = day.limit_of(load.batched)


def _found_a_truck(day: SiteDay, load: Load) -> None:
    book(day, load, day.scenario.call_off.hold_notice)
    _set_off(day, load)


def _set_off(day: SiteDay, load: Load) -> None:
    if day.upset_plan.may_break(load.leaves):
        # Which truck breaks down is known when it leaves, not when it is called.
        _enter(day, load, at.BATCHING, load.leaves - day.env.now)
    else:
        _take_the_road(day, load)


def _take_the_road(day: SiteDay, load: Load) -> None:
    way = day.yards[load.yard].way_there(load.leaves, load.trip)
    _enter(day, load, at.ROAD, load.leaves - day.env.now + way)


def _batched(day: SiteDay, load: Load) -> None:
    load.leaves += day.upset_plan.breakdown(load.leaves)
    _take_the_road(day, load)


def _arrive(day: SiteDay, load: Load) -> None:
    load.arrived = day.env.now
    if day.scenario.supply.age_rule.ends_at == "arrival" and load.arrived <= load.limit:
        load.limit = load.batched + slump_life(day.scenario)
    front = day.fronts[load.front]
    front.on_site += 1
    front.waiting += 1
    _come(day, load)


def _come(day: SiteDay, load: Load) -> None:
    """On the road before the site: round the block where there is no room, else in."""
    if day.round_the_block is not None and not day.places.open_to(load.front):
        way = day.round_the_block(64 * load.number + min(load.rounds, 63))
        if way > 0.0:  # else nowhere to drive round: it waits on the road
            _enter(day, load, at.ROUND, way)
            return
    if day.places.enter(load):
        _pass_gate(day, load)
    else:
        _enter(day, load, at.WAITING)


def _been_round(day: SiteDay, load: Load) -> None:
    load.rounds += 1
    _come(day, load)


def _pass_gate(day: SiteDay, load: Load) -> None:
    own, k, site = day.fronts[load.called_by].chance, load.turn, day.scenario.site
    if is_tested(k, site.tests_first, site.test_every):
        load.testing = own.test(k)
    load.handled = own.gate(k)
    load.gated = day.env.now + load.handled
    if load.handled:
        _enter(day, load, at.GATE, load.handled)
    else:
        _seek_position(day, load)


def _give_up(day: SiteDay, load: Load) -> None:
    """Too old while it waits for a place or a position: away at once."""
    front = day.fronts[load.front]
    if load.stage == at.QUEUE:
        day.fronts[load.at].positions.drop(load)
        _count_rest(day, load, load.outcome or day.too_old)
        _drive_off(day, load)
        return
    day.places.drop(load)
    load.at = load.front
    _count_rest(day, load, load.outcome or day.too_old)
    front.on_site -= 1
    _on_the_way_back(day, load)


def _out_of_the_line(day: SiteDay, load: Load) -> None:
    """Too old while it stands ready behind another: away; the crew sees to the one in hand."""
    line = day.fronts[load.at].hopper.line
    if load in line:
        line.remove(load)
        load.go()


def _seek_position(day: SiteDay, load: Load) -> None:
    """At its own front, or another where its own is done or stands for long."""
    if day.env.now > load.limit + EPS and not day.fronts[load.front].finished:
        load.at = load.front
        _count_rest(day, load, load.outcome or day.too_old)  # it never takes the place at the pump
        _drive_off(day, load)
        return
    own = day.fronts[load.front]
    other = better_front(day, own)
    if other is not None:
        give(day, own, load, other)
    load.at = load.front
    if day.fronts[load.at].positions.enter(load):
        _back_up(day, load)
    else:
        _enter(day, load, at.QUEUE)


def _back_up(day: SiteDay, load: Load) -> None:
    front = day.fronts[load.at]
    if front.finished:
        _go_to_pump_or_leave(day, load, "returned")
        return
    time = front.chance.position(load.turn) + _still_tested(day, load)
    if time:
        _enter(day, load, at.READYING, time)
    else:
        _look_at(day, load)


def _still_tested(day: SiteDay, load: Load) -> float:
    """Time that the test still takes in position (s): it is done while the truck waits.

    Everybody stands by the first truck.
    """
    if not load.testing or load.turn == 0:
        return load.testing
    waited = day.env.now - (load.since if math.isnan(load.gated) else load.gated)
    return max(0.0, load.testing - waited)


def _stand_in_position(day: SiteDay, load: Load) -> None:
    _look_at(day, load)


def _look_at(day: SiteDay, load: Load) -> None:
    if math.isnan(load.start) and load.stage == at.READYING:
        load.handled += load.until - load.since
    load.testing = 0.0  # once is enough
    outcome = _verdict(day, load)
    load.looked_at = True
    _go_to_pump_or_leave(day, load, outcome)


def _go_to_pump_or_leave(day: SiteDay, load: Load, outcome: str) -> None:
    front = day.fronts[load.at]
    if outcome in ("placed", "returned") and better_front(day, front) is not None:
        front.positions.leave()
        _seek_position(day, load)
    elif outcome == "placed":
        load.rate = _rate(day, load)
        load.comes = day.env.event()
        _enter(day, load, at.READY)
        front.hopper.back_up(load)
    else:
        _leave(day, load, outcome)


def _go_from_pump(day: SiteDay, load: Load) -> None:
    front = day.fronts[load.at]
    if load.front != load.at:
        front.positions.leave()
        _seek_position(day, load)
        return
    outcome = "placed"
    if load.left > EPS:
        outcome = "returned" if front.finished else load.outcome or day.too_old
    _leave(day, load, outcome)


def _leave(day: SiteDay, load: Load, outcome: str) -> None:
    """Away from the pump; what is not placed is counted."""
    day.fronts[load.at].positions.leave()
    _count_rest(day, load, outcome)
    load.wash = day.fronts[load.called_by].chance.wash(load.turn)
    if load.wash:
        _enter(day, load, at.WASHING, load.wash)
    else:
        _drive_off(day, load)


def _count_rest(day: SiteDay, load: Load, outcome: str) -> None:
    """What of a load is not placed, and who has to know."""
    front = day.fronts[load.at]
    if math.isnan(load.start):
        front.waiting -= 1
        sent_away(day, front, load)
    elif load.left < load.volume - EPS:
        outcome = PART.get(outcome, outcome)
    load.outcome = outcome
    load.rejected = 0.0
    if "rejected" in outcome:
        load.rejected, load.end = load.left, day.env.now
    front.need.rejected += load.rejected
    if outcome in SENT_AWAY:
        front.need.rejected += load.left  # not placed, so it is to be called once more
    landed(front)
    if load.rejected:
        front.calling.lost += 1
        front.news.tell(NEED, STOP)
    day.tell(ROOM)


def _drive_off(day: SiteDay, load: Load) -> None:
    front = day.fronts[load.at]
    day.places.leave(front.number)
    front.on_site -= 1
    _on_the_way_back(day, load)


def _on_the_way_back(day: SiteDay, load: Load) -> None:
    day.tell(ROOM)
    day.visits.append(_visit(day, load))
    _enter(day, load, at.BACK, day.yards[load.yard].way_back(day.env.now, load.trip))


def _come_home(day: SiteDay, load: Load) -> None:
    load.stage = at.HOME
    del day.loads[load.number]
    day.yards[load.yard].trucks += 1
    day.tell(TRUCK)


def _visit(day: SiteDay, load: Load) -> Visit:
    now = day.env.now
    waited_until = now - load.wash if math.isnan(load.start) else load.start
    return Visit(
        number=load.number,
        plant=day.yards[load.yard].plant.name,
        batched=load.batched,
        arrived=load.arrived,
        discharge_start=load.start,
        discharge_end=load.end,
        left_site=now,
        wait=max(0.0, waited_until - load.arrived - load.handled),
        volume=load.volume,
        placed=load.volume - load.left,
        rejected=load.rejected,
        returned=load.left - load.rejected,
        outcome=load.outcome,
        front=load.at,
        rounds=load.rounds,
    )


def _verdict(day: SiteDay, load: Load) -> str:
    """What test and delivery note say: "placed" to go ahead, or why the load is sent away."""
    if day.fronts[load.at].finished:
        return "returned"
    if day.env.now > load.limit + EPS:
        return load.outcome or day.too_old
    if load.looked_at:
        return "placed"
    if day.upset_plan.rejected(day.env.now):
        return "rejected: test"
    share = day.scenario.mix.reject_share
    site = day.scenario.site
    tested = is_tested(load.turn, site.tests_first, site.test_every)
    if share and tested and day.fronts[load.called_by].chance.slump_test(load.turn) < share:
        return "rejected: test"
    return "placed"


def _rate(day: SiteDay, load: Load) -> float:
    """How fast this truck lets concrete go (m³/s); the stated time is for a full load."""
    full_discharge = day.fronts[load.called_by].chance.discharge(load.turn)
    if not full_discharge:
        return math.inf
    return day.load_volume / full_discharge


_THEN: dict[str, Callable[[SiteDay, Load], None]] = {
    at.BOOKED: _found_a_truck,
    at.BATCHING: _batched,
    at.ROAD: _arrive,
    at.ROUND: _been_round,
    at.WAITING: _pass_gate,
    at.GATE: _seek_position,
    at.QUEUE: _back_up,
    at.READYING: _stand_in_position,
    at.READY: _go_from_pump,
    at.WASHING: _drive_off,
    at.BACK: _come_home,
}
"""What a truck does when a stage is over: it says which comes next."""
