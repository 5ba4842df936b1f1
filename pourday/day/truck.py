"""A truck: batched, drives, waits, positions, is tested, discharges, washes, returns."""

from __future__ import annotations

import math

from pourday.day.front import FrontDay
from pourday.day.log import Visit
from pourday.day.site import EPS, Load, PlantYard, SiteDay, Story
from pourday.day.stages import is_tested

# Outcome of a load of which some is placed.
PART = {
    "returned": "part returned",
    "rejected: age": "part rejected",
    "rejected: slump": "part rejected",
}


def truck(day: SiteDay, yard: PlantYard, load: Load, trip: int) -> Story:
    """One load from batching until the truck is back in its yard."""
    env, k, own = day.env, load.turn, load.called_by
    yield from _drive_there(day, yard, load, trip)

    arrived = load.arrived = env.now
    load.front.on_site += 1
    load.front.waiting += 1
    rounds = 0
    if day.round_the_block is not None:
        while not day.places.open_to(load.front.number):
            way = day.round_the_block(64 * load.number + min(rounds, 63))
            if way <= 0.0:
                break  # nowhere to drive round: it waits on the road
            yield env.timeout(way)
            rounds += 1
    turn = day.places.enter(load.front.number)
    if turn is not None:
        yield turn
    gate = own.gate(k)
    if gate:
        yield env.timeout(gate)
    handled = gate
    testing = own.test(k) if is_tested(k, day.scenario.site.test_every) else 0.0
    looked_at = False
    while True:
        front = _front_for(load)
        turn = front.positions.enter()
        if turn is not None:
            yield turn
        outcome = "returned"
        if not front.finished:
            at_pump = front.position(k) + testing
            if at_pump:
                yield env.timeout(at_pump)
            if math.isnan(load.start):
                handled += at_pump
            testing = 0.0  # once is enough
            outcome = _verdict(day, front, load, looked_at)
            looked_at = True
        if outcome in ("placed", "returned") and front.better_front() is not None:
            front.positions.leave()
            continue
        if outcome == "placed":
            load.rate = _rate(day, load)
            load.done = env.event()
            front.hopper.back_up(load)
            yield load.done
            if load.front is not front:
                front.positions.leave()
                continue
            outcome = _outcome(day, front, load)
        break
    if math.isnan(load.start):
        front.waiting -= 1
    elif load.left < load.volume - EPS:
        outcome = PART.get(outcome, outcome)
    front.positions.leave()

    rejected = load.left if "rejected" in outcome else 0.0
    front.rejected += rejected
    front.landed()
    if rejected:
        front.tell("need")
    day.tell("room")
    wash = own.wash(k)
    if wash:
        yield env.timeout(wash)
    day.places.leave(front.number)
    front.on_site -= 1
    day.tell("room")
    waited_until = env.now - wash if math.isnan(load.start) else load.start
    day.visits.append(
        Visit(
            number=load.number,
            plant=yard.plant.name,
            batched=load.batched,
            arrived=arrived,
            discharge_start=load.start,
            discharge_end=load.end,
            left_site=env.now,
            wait=max(0.0, waited_until - arrived - handled),
            volume=load.volume,
            placed=load.volume - load.left,
            rejected=rejected,
            returned=load.left - rejected,
            outcome=outcome,
            front=front.number,
            rounds=rounds,
        )
    )
    yield env.timeout(yard.on_the_road(env.now, yard.back(trip)))
    yard.trucks += 1
    day.tell("truck")


def _drive_there(day: SiteDay, yard: PlantYard, load: Load, trip: int) -> Story:
    env, leaves = day.env, load.leaves
    if day.upset_plan.may_break(leaves):
        # Which truck breaks down is known when it leaves, not when it is called.
        yield env.timeout(leaves - env.now)
        leaves += day.upset_plan.breakdown(leaves)
    yield env.timeout(leaves - env.now + yard.on_the_road(leaves, yard.travel(trip)))


def _front_for(load: Load) -> FrontDay:
    """The front this load goes to: its own, or another where its own is done or stands for long."""
    other = load.front.better_front()
    if other is not None:
        load.front.give(load, other)
    return load.front


def _verdict(day: SiteDay, front: FrontDay, load: Load, looked_at: bool) -> str:
    """What test and delivery note say: "placed" to go ahead, or why the load is sent away."""
    if front.finished:
        return "returned"
    if day.env.now > load.limit + EPS:
        return day.too_old
    if looked_at:
        return "placed"
    if day.upset_plan.rejected(day.env.now):
        return "rejected: test"
    share = day.scenario.mix.reject_share
    tested = is_tested(load.turn, day.scenario.site.test_every)
    if share and tested and load.called_by.slump_test(load.turn) < share:
        return "rejected: test"
    return "placed"


def _rate(day: SiteDay, load: Load) -> float:
    """How fast this truck lets concrete go (m³/s); the stated time is for a full load."""
    full_discharge = load.called_by.discharge(load.turn)
    return day.load_volume / full_discharge if full_discharge else math.inf


def _outcome(day: SiteDay, front: FrontDay, load: Load) -> str:
    if load.left <= EPS:
        return "placed"
    return "returned" if front.finished else day.too_old
