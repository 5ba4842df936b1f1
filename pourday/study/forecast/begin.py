"""From what is known of a pour, and a draw of what is not, to the state its rest begins at."""

from __future__ import annotations

import math
from dataclasses import replace

from pourday.day.chance.streams import Stream
from pourday.day.front.chance import FrontChance
from pourday.day.log import DOWN, DayFactors, Stop
from pourday.day.state import DayState, YardState
from pourday.day.supply.mixer import Queue
from pourday.day.supply.yard import Going, PlantYard
from pourday.scenario.base.distribution import Distribution
from pourday.study.forecast.begin_front import FrontNow, front_state
from pourday.study.forecast.begin_loads import Draw, LoadsNow, load_states, loads_ahead
from pourday.study.forecast.ground import share_of_pace
from pourday.study.forecast.known import EVEN, Known
from pourday.study.forecast.laid import Flow, Laid, Mark, lay
from pourday.study.forecast.past import BLOCKED, hand_flows, in_hand

_MINUTE = Distribution("uniform", (-30.0, 30.0))


def draw_of(known: Known, seed: int) -> Draw:
    """What the rest with this seed draws of what nobody knows."""
    travel, crew, levels = known.draw(seed)
    plan = known.plan_with(levels)
    scenario = plan.scenario
    fronts = tuple(
        FrontChance(scenario, plan.plan, n, scenario.pumps[front.pump], seed)
        for n, front in enumerate(plan.plan.fronts)
    )
    rush = tuple((r.begins, r.ends, r.factor) for r in scenario.supply.rush_hours)
    load = plan.plan.load or scenario.supply.load
    yards = tuple(
        PlantYard(n, plant, plan.trucks[n], load, seed, Going(rush))
        for n, plant in enumerate(scenario.supply.plants)
    )
    return Draw(seed, plan, travel, crew, fronts, yards)


def state_of(known: Known, draw: Draw) -> DayState:
    """How the day stands at the end of what is told, as this draw has it."""
    at = known.past.at
    use = Stream(draw.seed, "use", known.basis.scenario.slab.use_factor)
    volumes = [float(v) * use(i) * known.use for i, v in enumerate(draw.plan.planned)]
    laid = [_laid(known, draw, use, number) for number in range(len(known.ground))]
    for mine, where in zip(known.ground, laid, strict=True):
        for turn, volume in where.volumes.items():
            volumes[mine.strips[turn]] = volume
    loads = load_states(known, draw, laid)
    loads_ahead(known, loads)
    fronts = [
        front_state(known, FrontNow(n, laid[n], volumes, loads, draw))
        for n in range(len(known.ground))
    ]
    order = len(loads.states) + len(loads.visits) + 1
    for n, front in enumerate(fronts):
        work = replace(front.work, order=order + 2 * n)
        calling = replace(front.calling, order=order + 2 * n + 1)
        fronts[n] = replace(front, work=work, calling=calling)
    stretches = [s._replace(front=n) for n, where in enumerate(laid) for s in where.stretches]
    return DayState(
        at=at,
        visits=tuple(sorted(loads.visits, key=lambda visit: visit.left_site)),
        stretches=tuple(sorted(stretches, key=lambda stretch: stretch.end)),
        stops=_stops(known),
        calls=(),
        strip_volumes=tuple(volumes),
        strips_over=tuple(
            sorted(
                mine.strips[turn]
                for mine, where in zip(known.ground, laid, strict=True)
                for turn in range(where.turn)
            )
        ),
        loads_called=sum(loads.turns.values()),
        yards=_yards(known, draw, loads),
        loads=tuple(sorted(loads.states, key=lambda load: load.number)),
        fronts=tuple(fronts),
        there=tuple(loads.there.get(n, 0) for n in range(len(known.ground))),
        road=tuple(loads.road),
        ground=(),
        order=order + 2 * len(fronts),
        breakdowns=0,
        rejections=0,
        factors=DayFactors(crew=draw.crew, travel=draw.travel),
    )


def _laid(known: Known, draw: Draw, use: Stream, number: int) -> Laid:
    """Where the concrete of a front lies, with what this draw has of the load in hand."""
    ground, front = known.ground[number], known.past.fronts[number]
    flows: list[Flow] = list(known.flows[number])
    minute = Stream(draw.seed, f"forecast: minute of strips {number}", _MINUTE)
    marks = [_within(mark, minute, known.past.at) for mark in front.marks]

    def _takes(turn: int, inside: float) -> float:
        strip = ground.strips[turn]
        planned = ground.planned[turn] * known.use
        if inside <= 0.0:
            return planned * use(strip)
        return max(inside * 1.001, planned * use.beyond(strip, inside / planned))

    if in_hand(front) is not None:
        before = lay(ground, flows, marks, _takes)
        flows += hand_flows(
            front, known.past.at, lambda seen: _share(known, draw, number, before, seen)
        )
    return lay(ground, flows, marks, _takes)


def _within(mark: Mark, minute: Stream, at: float) -> Mark:
    """A time noted to the minute is anywhere in it."""
    if mark.time % 60.0:
        return mark
    return replace(mark, time=min(at, mark.time + minute(mark.turn)))


def _share(known: Known, draw: Draw, number: int, before: Laid, seen: float) -> float:
    """Share of the load in hand that is out, given that it has taken so long (s) and is not empty.

    The time it takes is that of its strips with this day's crew and a truck of its own, and noise.
    """
    from scipy.special import ndtr, ndtri

    hand = in_hand(known.past.fronts[number])
    assert hand is not None
    ground = known.ground[number]
    turn = min(before.turn, len(ground.strips) - 1)
    line = max(0.0, ground.fill[turn] - before.line) if before.done == 0.0 else 0.0
    crew = draw.crew * share_of_pace(known.pace[number], known.past.at - seen, known.past.at)
    mean = ground.emptying(turn, before.done, hand[1].volume - line, crew)
    mean += line / ground.line
    noise = known.so_far.noise
    below = float(ndtr(math.log(seen / mean) / noise))
    even = Stream(draw.seed, f"forecast: load in hand {number}", EVEN)(hand[0])
    share = min(1.0 - 1e-9, below + even * (1.0 - below))
    return min(0.995, seen / (mean * math.exp(noise * float(ndtri(max(share, 1e-9))))))


def _stops(known: Known) -> tuple[Stop, ...]:
    return tuple(
        Stop(DOWN if stop.kind == BLOCKED else stop.kind, stop.since, stop.until, number)
        for number, front in enumerate(known.past.fronts)
        for stop in front.stops
        if stop.until is not None and stop.until > stop.since
    )


def _yards(known: Known, draw: Draw, loads: LoadsNow) -> tuple[YardState, ...]:
    """Trucks in, trips, and what stands before each mixer: other customers came as they do."""
    at, out = known.past.at, []
    for number, yard in enumerate(draw.yards):
        yard.mixer.free_at(at)
        ours = [n.leaves for n in loads.states if n.yard == number and n.leaves < at + 3600.0]
        queue = yard.mixer.queue
        free = max([queue.free, *ours])
        queue = Queue(free, queue.busy_from, queue.busy, queue.others, queue.next_other)
        trucks = max(0, draw.plan.trucks[number] - loads.out[number])
        out.append(YardState(trucks, loads.trips[number], queue))
    return tuple(out)
