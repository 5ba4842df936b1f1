"""A truck: batched, drives, waits, positions, is tested, discharges, washes, returns."""

from __future__ import annotations

import math

from pourday.day.log import Visit
from pourday.day.site import EPS, Load, PlantYard, SiteDay, Story


def truck(day: SiteDay, yard: PlantYard, load: Load, trip: int) -> Story:
    """One load from batching until the truck is back in its yard."""
    env, k = day.env, load.number
    yield env.timeout(load.batched - env.now + yard.travel(trip))

    arrived = load.arrived = env.now
    day.on_site += 1
    day.waiting += 1
    turn = day.places.enter()
    if turn is not None:
        yield turn
    gate = day.gate(k)
    if gate:
        yield env.timeout(gate)
    turn = day.positions.enter()
    if turn is not None:
        yield turn
    handled = gate
    outcome = "returned"
    if not day.finished:
        positioning, testing = day.position(k), day.test(k)
        handled += positioning + testing
        if handled > gate:
            yield env.timeout(positioning + testing)
        outcome = _verdict(day, load)
    if outcome == "placed":
        load.rate = _rate(day, load)
        load.done = env.event()
        day.hopper.back_up(load)
        yield load.done
        outcome = _outcome(day, load)
    day.waiting -= math.isnan(load.start)
    day.positions.leave()

    rejected = load.left if "rejected" in outcome else 0.0
    day.rejected += rejected
    day.landed()
    if rejected:
        day.tell("need")
    day.tell("room")
    wash = day.wash(k)
    if wash:
        yield env.timeout(wash)
    day.places.leave()
    day.on_site -= 1
    day.tell("room")
    waited_until = env.now - wash if math.isnan(load.start) else load.start
    day.visits.append(
        Visit(
            number=k,
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
        )
    )
    yield env.timeout(yard.back(trip))
    yard.trucks += 1
    day.tell("truck")


def _verdict(day: SiteDay, load: Load) -> str:
    """What test and delivery note say: "placed" to go ahead, or why the load is sent away."""
    if day.finished:
        return "returned"
    if day.env.now > load.limit + EPS:
        return day.too_old
    share = day.scenario.mix.reject_share
    if share and day.slump_test(load.number) < share:
        return "rejected: test"
    return "placed"


def _rate(day: SiteDay, load: Load) -> float:
    """How fast this truck lets concrete go (m³/s); the stated time is for a full load."""
    full_discharge = day.discharge(load.number)
    return day.load_volume / full_discharge if full_discharge else math.inf


def _outcome(day: SiteDay, load: Load) -> str:
    if load.left <= EPS:
        return "placed"
    if load.left >= load.volume - EPS:
        return "returned" if day.finished else day.too_old
    return "part returned" if day.finished else "part rejected"
