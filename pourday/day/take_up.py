"""From a day to its state, and from a state to a day that goes on from there."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any, TypeVar

from pourday.day.chance.streams import Stream
from pourday.day.filling import line_job, strip_job
from pourday.day.front import work as steps
from pourday.day.front.front import Front
from pourday.day.front.ready import ready
from pourday.day.front.work import Behind
from pourday.day.site import load as at
from pourday.day.site.ground import Ground
from pourday.day.site.hopper import Hopper
from pourday.day.site.load import Load
from pourday.day.site.places import Places, Positions
from pourday.day.site_day import SiteDay
from pourday.day.state import (
    CallingState,
    DayState,
    FrontState,
    LoadState,
    NeedState,
    WorkState,
    YardState,
)
from pourday.floor.access.zones import Shared
from pourday.floor.layout import Layout
from pourday.scenario.base.upsets import Upset
from pourday.scenario.model.scenario import Plan, Scenario

Value = TypeVar("Value")


def morning(
    scenario: Scenario, plan: Plan, layout: Layout, seed: int, upsets: tuple[Upset, ...] = ()
) -> DayState:
    """How the day with this seed stands before anything has happened."""
    return snapshot(SiteDay(ready(scenario, plan, layout), seed, upsets))


def snapshot(day: SiteDay) -> DayState:
    """How a day stands now, between two events: run its clock up to a moment, then ask."""
    return DayState(
        at=day.env.now,
        visits=tuple(day.visits),
        stretches=tuple(day.stretches),
        stops=tuple(day.stops),
        calls=tuple(day.calls),
        strip_volumes=tuple(day.strip_volumes),
        strips_over=tuple(sorted(day.strips_over)),
        loads_called=day.loads_called,
        yards=tuple(YardState(y.trucks, y.trips, y.mixer.queue) for y in day.yards),
        loads=tuple(_copied(LoadState, load) for load in day.loads.values()),
        fronts=tuple(_front_state(day, front) for front in day.fronts),
        there=day.places.there,
        road=day.places.queue,
        ground=tuple((f, *_place_of(day.layout, g)) for f, g in day.ground.queue),
        order=day.orders,
        breakdowns=day.upset_plan.breakdowns,
        rejections=day.upset_plan.rejections,
        factors=day.factors,
        blind=day.blind,
        given=day.given,
        given_up=tuple(day.given_up.items()),
    )


def take_up(day: SiteDay, state: DayState) -> None:
    """Put a new day where ``state`` says that it stands."""
    day.visits, day.stretches = list(state.visits), list(state.stretches)
    day.stops, day.calls = list(state.stops), list(state.calls)
    day.blind, day.given, day.given_up = state.blind, state.given, dict(state.given_up)
    day.strip_volumes = list(state.strip_volumes)
    for strip in state.strips_over:
        day.end_strip(strip)
    day.loads_called, day.orders = state.loads_called, state.order
    day.upset_plan.breakdowns = state.breakdowns
    day.upset_plan.rejections = state.rejections
    for yard, known in zip(day.yards, state.yards, strict=True):
        yard.go_on_from(known.trucks, known.trips, known.queue)
    for each in state.loads:
        day.loads[each.number] = _load(day, each)
    env, site = day.env, day.scenario.site
    queue = [day.loads[number] for number in state.road]
    day.places = Places(env, site.positions, site.holding_places, state.there, queue)
    held = {
        number: _ground_at(day.layout, front.ground)
        for number, front in enumerate(state.fronts)
        if front.ground is not None
    }
    waiting = [(f, _ground_at(day.layout, (strip, part))) for f, strip, part in state.ground]
    day.ground = Ground(env, site, held, waiting)
    for front, before in zip(day.fronts, state.fronts, strict=True):
        _take_up_front(day, front, before)
        front.ground = held.get(front.number)


def _front_state(day: SiteDay, front: Front) -> FrontState:
    work, behind = front.work, front.work.behind
    told = None
    if behind is not None:
        number = None if behind.load is None else behind.load.number
        told = (behind.truck, behind.begin, behind.came, number)
    return _copied(
        FrontState,
        front,
        need=_copied(NeedState, front.need),
        calling=_copied(CallingState, front.calling),
        work=_copied(
            WorkState, work, load=None if work.load is None else work.load.number, behind=told
        ),
        line=tuple(load.number for load in front.hopper.line),
        closed=front.hopper.closed,
        positions=day.scenario.site.positions - front.positions.free,
        queue=front.positions.queue,
        ground=None if front.ground is None else _place_of(day.layout, front.ground),
    )


_PLAIN = [
    field.name
    for field in fields(FrontState)
    if field.name
    not in ("need", "calling", "work", "line", "closed", "positions", "queue", "ground")
]


def _take_up_front(day: SiteDay, front: Front, state: FrontState) -> None:
    for name in _PLAIN:
        setattr(front, name, getattr(state, name))
    _put(front.need, state.need)
    _put(front.calling, state.calling)
    _put(front.work, state.work)
    loads, work = day.loads, front.work
    work.load = None if state.work.load is None else loads[state.work.load]
    if state.work.behind is not None:
        truck, begin, came, number = state.work.behind
        # A load that has gone home meanwhile is no more than a number to compare by.
        load = None if number is None else loads.get(number) or _gone(number, came)
        work.behind = Behind(truck, begin, came, load)
    if work.step in (steps.PRIME, steps.LINE, steps.REFILL):
        work.job = line_job(front)
    elif work.step == steps.STRIP:
        work.job = strip_job(day, front)
    front.hopper = Hopper(day.env, [loads[n] for n in state.line], state.closed)
    queue = [loads[n] for n in state.queue]
    front.positions = Positions(day.env, day.scenario.site.positions, state.positions, queue)


def _gone(number: int, arrived: float) -> Load:
    load = Load(number, 0, 0, 0, 0, 0.0)
    load.arrived = arrived
    return load


def _load(day: SiteDay, state: LoadState) -> Load:
    load = Load(state.number, state.turn, state.called_by, state.yard, state.trip, state.volume)
    _put(load, state)
    if state.until is None:
        load.until = _drawn(day, load)
    if load.stage == at.READY:
        load.comes = day.env.event()
    return load


def _drawn(day: SiteDay, load: Load) -> float:
    """When a stage ends that nobody knows the end of, given how long it has lasted (s)."""
    yard, own = day.yards[load.yard], day.fronts[load.called_by].chance
    streams: dict[str, tuple[Stream, int, float]] = {
        at.ROAD: (yard.travel, load.trip, day.factors.travel),
        at.BACK: (yard.back, load.trip, day.factors.travel),
        at.GATE: (own.gate, load.turn, 1.0),
        at.READYING: (own.position, load.turn, 1.0),
        at.WASHING: (own.wash, load.turn, 1.0),
    }
    if load.stage not in streams:
        return math.inf
    stream, k, factor = streams[load.stage]
    begun = load.leaves if load.stage == at.ROAD else load.since
    elapsed = max(0.0, day.env.now - begun)
    return max(day.env.now, begun + factor * stream.beyond(k, elapsed / factor))


def _place_of(layout: Layout, ground: Shared) -> tuple[int, int]:
    """Strip and part whose shared ground this is."""
    return next(
        (strip, n)
        for strip, parts in enumerate(layout.parts)
        for n, part in enumerate(parts)
        if part.shared is ground
    )


def _ground_at(layout: Layout, place: tuple[int, int]) -> Shared:
    shared = layout.parts[place[0]][place[1]].shared
    assert shared is not None
    return shared


def _copied(kind: Callable[..., Value], source: Any, **own: Any) -> Value:
    """A frozen value with the fields of ``source``, but for its ``own``."""
    names = [each.name for each in fields(kind)]  # type: ignore[arg-type]
    return kind(**{name: own[name] if name in own else getattr(source, name) for name in names})


def _put(target: Any, state: Any, but: Sequence[str] = ("load", "behind")) -> None:
    for each in fields(state):
        if each.name not in but:
            setattr(target, each.name, getattr(state, each.name))
