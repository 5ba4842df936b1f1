"""The loads of a pour under way as a day's state has them: gone, on the site, on the road."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from pourday.day.front.chance import FrontChance
from pourday.day.front.ready import Ready
from pourday.day.log import EPS, Visit
from pourday.day.site import load as stage
from pourday.day.state import LoadState
from pourday.day.supply.yard import PlantYard, gives_up
from pourday.study.forecast.known import Known
from pourday.study.forecast.laid import Laid
from pourday.tickets.loads import LoadTicket

# A load comes within so long (s) of the time it was called for, or it is another one; one that is
# overdue for longer than this (s) is held (both chosen here).
_ANSWERS, _HELD = 1800.0, 600.0


@dataclass(frozen=True)
class Draw:
    """What one rest draws of what nobody knows: its seed, the day's factors, chance of the fronts,
    and yards that hold the streams of the roads."""

    seed: int
    plan: Ready
    travel: float
    crew: float
    fronts: tuple[FrontChance, ...]
    yards: tuple[PlantYard, ...]


@dataclass
class LoadsNow:
    """Loads as a state has them: ``visits`` of those gone, ``states`` of the others; of each front
    who stands ready in line, who has a position, who waits for one, how many are ``there``, begun
    or not; ``road`` wait before the site. ``trips`` of each yard; ``out`` trucks of each."""

    visits: list[Visit] = field(default_factory=list)
    states: list[LoadState] = field(default_factory=list)
    line: dict[int, list[int]] = field(default_factory=dict)
    positions: dict[int, int] = field(default_factory=dict)
    queue: dict[int, list[int]] = field(default_factory=dict)
    there: dict[int, int] = field(default_factory=dict)
    waiting: dict[int, int] = field(default_factory=dict)
    in_flight: dict[int, int] = field(default_factory=dict)
    turns: dict[int, int] = field(default_factory=dict)
    road: list[int] = field(default_factory=list)
    trips: list[int] = field(default_factory=list)
    out: list[int] = field(default_factory=list)


def load_states(known: Known, draw: Draw, laid: Sequence[Laid]) -> LoadsNow:
    """Every load that the tickets tell of, at the end of what they say."""
    plants = known.basis.scenario.supply.plants
    now = LoadsNow(trips=[0] * len(plants), out=[0] * len(plants))
    at = known.past.at
    for number, front in enumerate(known.past.fronts):
        placed: dict[int, float] = {}
        for s in laid[number].stretches:
            placed[s.truck] = placed.get(s.truck, 0.0) + s.volume_end - s.volume_start
        on_site: list[tuple[LoadState, float]] = []
        free_at: list[float] = []
        for turn, (k, load) in enumerate(front.loads):
            base = _state(known, (k, turn, now.trips[load.plant]), load)
            now.trips[load.plant] += 1
            base = _with(base, left=max(0.0, load.volume - placed.get(k, 0.0)))
            if load.off is not None:
                _gone(known, draw, now, base, load, laid[number].finished)
                if not load.away:
                    free_at.append(load.off)
            elif load.arrived is not None and load.arrived <= at:
                on_site.append((base, math.inf if load.on is None else load.on))
            else:
                now.states.append(base)
                now.out[load.plant] += 1
        now.turns[number] = len(front.loads)
        now.in_flight[number] = sum(load.off is None for _, load in front.loads)
        _at_the_site(known, draw, now, on_site, free_at)
        if laid[number].finished:
            _let_go(known.past.at, now, number)
    return now


def _with(state: LoadState, **changes: float | int | str | bool | None) -> LoadState:
    from dataclasses import replace

    return replace(state, **changes)  # type: ignore[arg-type]


def _state(known: Known, counts: tuple[int, int, int], load: LoadTicket) -> LoadState:
    """A load on the road, whatever it did later; ``counts`` are its number, turn and trip."""
    scenario = known.basis.scenario
    number, turn, trip = counts
    leaves = load.left
    if leaves is None:
        leaves = load.loaded + load.volume / scenario.supply.plants[load.plant].batch
    nan = math.nan
    arrived = nan if load.arrived is None else load.arrived
    return LoadState(
        number=number, turn=turn, trip=trip, yard=load.plant, called_by=load.front,
        front=load.front, at=load.front, volume=load.volume, left=load.volume,
        batched=load.loaded, leaves=leaves,
        limit=gives_up(scenario, load.loaded, arrived, load.on is not None and not load.away),
        arrived=arrived, start=nan if load.on is None else load.on, end=nan, rate=math.inf,
        stage=stage.ROAD, since=leaves, until=None, order=number + 1, rounds=0, handled=0.0,
        testing=0.0, gated=nan, wash=0.0, looked_at=False, outcome="", rejected=0.0,
    )  # fmt: skip


def _outcome(load: LoadTicket, left: float, finished: bool) -> str:
    if load.away:
        for word, outcome in (("test", "test"), ("slump", "slump"), ("old", "age"), ("age", "age")):
            if word in load.away:
                return f"rejected: {outcome}"
        return "returned"
    if left <= EPS:
        return "placed"
    return "part returned" if finished else "part rejected"


def _gone(
    known: Known, draw: Draw, now: LoadsNow, base: LoadState, load: LoadTicket, finished: bool
) -> None:
    """A load that is off or away: it washes, is on its way back, or home."""
    assert load.off is not None
    at, own = known.past.at, draw.fronts[load.front]
    outcome = _outcome(load, base.left, finished)
    rejected = base.left if "rejected" in outcome else 0.0
    begun = not load.away and not math.isnan(base.start)
    wash = own.wash(base.turn) if begun else 0.0
    leaves = load.off + wash
    end = load.off if begun or rejected else math.nan
    site = known.basis.scenario.site
    handled = site.gate.mean + site.position.mean
    base = _with(
        base, end=end, outcome=outcome, rejected=rejected, wash=wash, handled=handled,
        looked_at=True, start=base.start if begun else math.nan,
    )  # fmt: skip
    if leaves > at:
        now.states.append(_with(base, stage=stage.WASHING, since=load.off, until=leaves))
        now.there[load.front] = now.there.get(load.front, 0) + 1
        now.out[load.plant] += 1
        return
    until = base.start if begun else leaves
    now.visits.append(
        Visit(
            number=base.number,
            plant=known.basis.scenario.supply.plants[load.plant].name,
            batched=base.batched,
            arrived=base.arrived,
            discharge_start=base.start,
            discharge_end=end,
            left_site=leaves,
            wait=max(0.0, until - base.arrived - handled),
            volume=base.volume,
            placed=base.volume - base.left,
            rejected=rejected,
            returned=base.left - rejected,
            outcome=outcome,
            front=load.front,
        )
    )
    home = leaves + draw.yards[load.plant].way_back(leaves, base.trip) * draw.travel
    if home > at:
        now.states.append(_with(base, stage=stage.BACK, since=leaves, until=home))
        now.out[load.plant] += 1


def _at_the_site(
    known: Known,
    draw: Draw,
    now: LoadsNow,
    on_site: list[tuple[LoadState, float]],
    free_at: list[float],
) -> None:
    """Trucks that are in and not off: at the pump, in position, in the line for one, on the road.

    A position is free when the truck so many places ahead, as there are positions, is off.
    """
    if not on_site:
        return
    site, at = known.basis.scenario.site, known.past.at
    on_site.sort(key=lambda each: (each[1], each[0].arrived))
    front = on_site[0][0].front
    own = draw.fronts[front]
    free_at = sorted(free_at)
    for n, (base, on) in enumerate(on_site):
        now.out[base.yard] += 1
        ahead = len(free_at) + n - site.positions
        rate = _rate(draw, own, base.turn)
        if on <= at:
            limit = base.limit if base.limit > at else math.inf  # they are at it, whatever its age
            base = _with(
                base, stage=stage.READY, until=math.inf, since=on, rate=rate, limit=limit,
                looked_at=True,
            )  # fmt: skip
            now.positions[front] = now.positions.get(front, 0) + 1
        elif now.positions.get(front, 0) < site.positions:
            free = -math.inf if ahead < 0 else [*free_at, at][min(ahead, len(free_at))]
            base = _in_position(own, base, at, free)
            if base.stage != stage.GATE:
                now.positions[front] = now.positions.get(front, 0) + 1
            if base.stage == stage.READY:
                base = _with(base, rate=rate)
                now.line.setdefault(front, []).append(base.number)
        elif sum(max(0, x - site.positions) for x in now.there.values()) < site.holding_places:
            base = _with(base, stage=stage.QUEUE, since=base.arrived, until=math.inf)
            now.queue.setdefault(front, []).append(base.number)
        else:
            base = _with(base, stage=stage.WAITING, since=base.arrived, until=math.inf)
            now.road.append(base.number)
        if base.stage != stage.WAITING:
            now.there[front] = now.there.get(front, 0) + 1
        if on > at:
            now.waiting[front] = now.waiting.get(front, 0) + 1
        now.states.append(base)


def _let_go(at: float, now: LoadsNow, front: int) -> None:
    """Where the last strip is full, whoever stands at the pump or before it is told to go."""
    for n, base in enumerate(now.states):
        if base.front == front and base.stage == stage.READY:
            now.states[n] = _with(base, stage=stage.READYING, since=at, until=at)
    now.line[front] = []


def _rate(draw: Draw, own: FrontChance, turn: int) -> float:
    takes = own.discharge(turn)
    load = draw.plan.plan.load or draw.plan.scenario.supply.load
    return load / takes if takes else math.inf


def _in_position(own: FrontChance, base: LoadState, at: float, free: float) -> LoadState:
    """At the gate, backing up, or ready, by how long it has been there."""
    gate = own.gate(base.turn)
    gated = base.arrived + gate
    if gated > at:
        return _with(base, stage=stage.GATE, since=base.arrived, until=gated, handled=gate,
                     gated=gated)  # fmt: skip
    backs = max(gated, free)
    ready = backs + own.position(base.turn)
    if ready > at:
        return _with(base, stage=stage.READYING, since=min(backs, at), until=ready, handled=gate,
                     gated=gated)  # fmt: skip
    return _with(
        base, stage=stage.READY, since=ready, until=math.inf, looked_at=True,
        handled=gate + ready - backs,
    )  # fmt: skip


def loads_ahead(known: Known, now: LoadsNow) -> int:
    """Put loads on the road that nobody told of; how many were taken for granted.

    Loads called for a time to come are on their way to it. Where no line tells what left the
    plant, those that the booking wants by now are taken to have left.
    """
    number_of_loads, granted = len(known.past.loads), 0
    for number in range(len(known.past.fronts)):
        plant, ahead = _ahead(known, now, number)
        batch = known.basis.scenario.supply.plants[plant].batch
        road = known.basis.scenario.supply.plants[plant].travel.mean
        for due, volume in ahead:
            leaves = due - road
            ticket = LoadTicket("", number, plant, volume, leaves - volume / batch, leaves)
            counts = number_of_loads + granted, now.turns.get(number, 0), now.trips[plant]
            now.states.append(_state(known, counts, ticket))
            now.turns[number] = now.turns.get(number, 0) + 1
            now.in_flight[number] = now.in_flight.get(number, 0) + 1
            now.trips[plant] += 1
            now.out[plant] += 1
            granted += 1
    return granted


def _ahead(known: Known, now: LoadsNow, number: int) -> tuple[int, list[tuple[float, float]]]:
    """The plant of a front, and when loads that nobody told of are due, with their volume."""
    plan, scenario, at = known.basis.plan, known.basis.scenario, known.past.at
    front, names = known.past.fronts[number], plan.fronts[number].plants
    plants = scenario.supply.plants
    plant = next((k for k, p in enumerate(plants) if not names or p.name in names), 0)
    if any(each[2] == number for each in known.past.called):
        return plant, _called(known, number)
    if front.stop is not None or front.held is not None:
        return plant, []
    full = plan.load or scenario.supply.load
    road, batch = plants[plant].travel.mean, full / plants[plant].batch
    due = next_due(known, number)
    if any(load.left is not None for load in known.past.loads):
        # What has left is told: one may be under the mixer, unless he holds it.
        under_way = at - _HELD < due - road - batch < at
        return plant, [(max(due, at + road), full)] if under_way else []
    ahead: list[tuple[float, float]] = []
    while due - road - batch < at and now.out[plant] + len(ahead) < known.plan.trucks[plant]:
        ahead.append((due, full))
        due += max(60.0, plan.fronts[number].spacing.mean)
    return plant, ahead


def _called(known: Known, number: int) -> list[tuple[float, float]]:
    """Calls that no load has answered yet: the load that comes nearest to its time answers one."""
    calls = [(due, volume) for due, volume, front in known.past.called if front == number]
    plants = known.basis.scenario.supply.plants
    comes = []
    for _, load in known.past.fronts[number].loads:
        plant = plants[load.plant]
        leaves = load.left if load.left is not None else load.loaded + load.volume / plant.batch
        comes.append(leaves + plant.travel.mean)
    pairs = sorted(
        (abs(due - time), k, n)
        for k, (due, _) in enumerate(calls)
        for n, time in enumerate(comes)
        if abs(due - time) < _ANSWERS
    )
    answered: set[int] = set()
    used: set[int] = set()
    for _, k, n in pairs:
        if k not in answered and n not in used:
            answered.add(k)
            used.add(n)
    late = known.past.at - _ANSWERS
    return [each for k, each in enumerate(calls) if k not in answered and each[0] > late]


def next_due(known: Known, number: int) -> float:
    """When the load after the last that was called is due on the site (s), as booked.

    A plant that is behind by more than half a spacing comes a little closer load by load, as in
    ``day.calling``.
    """
    front, plan = known.past.fronts[number], known.basis.plan.fronts[number]
    spacing = plan.spacing.mean
    lost = sum("old" in n.away or "test" in n.away for _, n in front.loads)
    booked = plan.start + max(0, len(front.loads) - lost) * spacing
    if not front.loads:
        return booked
    last = front.loads[-1][1]
    plant = known.basis.scenario.supply.plants[last.plant]
    leaves = last.left if last.left is not None else last.loaded + last.volume / plant.batch
    return max(booked, leaves + plant.travel.mean + 0.6 * spacing)
