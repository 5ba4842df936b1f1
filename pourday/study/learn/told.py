"""From the tickets of one pour to the lengths of time in them.

The past is put together as for a forecast (``study.forecast.past``); what was guessed there is
never fitted.
"""

from __future__ import annotations

import math
from itertools import pairwise

from pourday.day.front.pace import Pace
from pourday.day.front.ready import Ready
from pourday.day.supply.road import arrival
from pourday.day.supply.stages import is_tested
from pourday.outcome.base.basis import Basis
from pourday.study.forecast.ground import FrontGround, grounds, paces
from pourday.study.forecast.past import FrontPast, Past, past_of
from pourday.study.learn.at_pump import OfPour, loads_at_pump
from pourday.study.learn.seen import Length, Seen, Tested, clock_step
from pourday.tickets import line as say
from pourday.tickets.line import Remark
from pourday.tickets.loads import IN, LEFT, LOADED, OFF, ON, LoadTicket
from pourday.tickets.read import Tickets

_HOUR = 3600.0
# A change or a move beyond this (s) is none: something else happened (chosen here).
_LONGEST_CHANGE, _LONGEST_MOVE = 900.0, 1800.0
# The next truck is taken as ready where it had so many times what it needs by plan (chosen here).
# Who asks for much more picks changes by how "off" was rounded: only long loads would leave it.
_READY = 1.3


def add_pour(seen: Seen, basis: Basis, plan: Ready, tickets: Tickets) -> tuple[Remark, ...]:
    """Add what the tickets of one pour show; the remarks on its lines."""
    times = [line.latest for line in tickets.lines if math.isfinite(line.latest)]
    ground = grounds(plan)
    past = past_of(basis, ground, tickets, max(times, default=0.0) + _HOUR)
    plant = [n.loaded for n in past.loads if LOADED not in n.guessed]
    site = [
        time
        for n in past.loads
        for name, time in ((IN, n.arrived), (ON, n.on), (OFF, n.off))
        if time is not None and name not in n.guessed
    ]
    of = OfPour(seen.pours, clock_step(site), tickets, past.at)
    seen.pours += 1
    seen.loads += len(past.loads)
    seen.no_strips += not any(line.strip for line in tickets.lines)
    _travel(seen, basis, past, of, clock_step(plant))
    _tests(seen, basis, past, of.pour)
    missing = [_missing(basis, tickets, n) for n in range(len(ground))]
    for number, pace in enumerate(paces(plan, missing)):
        front, mine = past.fronts[number], ground[number]
        _moves(seen, basis, number, (front, mine), of)
        _changes(seen, basis, front, (mine, pace), of)
        loads_at_pump(seen, number, (front, mine, pace), of)
    return past.remarks


def _missing(basis: Basis, tickets: Tickets, front: int) -> list[tuple[float, float, int]]:
    """Who was missing in a crew, as told: from, to (s), how many."""
    placers = basis.scenario.crews[basis.plan.fronts[front].crew].placers
    lines = [n for n in tickets.in_order if n.kind == say.PEOPLE and n.front == front]
    ends = [*(n.when for n in lines[1:]), math.inf]
    return [
        (n.when, end, placers - n.number)
        for n, end in zip(lines, ends, strict=False)
        if n.number < placers
    ]


def _travel(seen: Seen, basis: Basis, past: Past, of: OfPour, plant_step: float) -> None:
    """Trips of which both ends are told, as on a free road."""
    supply = basis.scenario.supply
    rush = tuple((r.begins, r.ends, r.factor) for r in supply.rush_hours)
    for load in past.loads:
        plant = supply.plants[load.plant]
        if load.arrived is None or IN in load.guessed:
            seen.leave_out("trips without an arrival")
            continue
        leaves, step = load.left, of.step
        if leaves is None or LEFT in load.guessed:
            if LOADED in load.guessed:
                seen.leave_out("trips without a loading")
                continue
            leaves, step = load.loaded + load.volume / plant.batch, plant_step
        if load.arrived <= leaves:
            seen.leave_out("trips that end before they begin")
            continue
        slower = (arrival(leaves, plant.travel.mean, rush, ()) - leaves) / plant.travel.mean
        trip = Length(of.pour, load.arrived - leaves, (step, of.step)).over(slower)
        seen.travel.setdefault(load.plant, []).append(trip)


def _tests(seen: Seen, basis: Basis, past: Past, pour: int) -> None:
    """Loads that were due for a test, by the file's rule, and those sent away by one."""
    site = basis.scenario.site
    for front in past.fronts:
        turns = sorted(
            (n for _, n in front.loads if n.arrived is not None), key=lambda n: n.arrived or 0.0
        )
        for turn, load in enumerate(turns):
            failed = "test" in load.away or "slump" in load.away
            if failed or is_tested(turn, site.tests_first, site.test_every):
                seen.tests.append(Tested(pour, load.plant, 1, int(failed)))


def _moves(
    seen: Seen, basis: Basis, number: int, of_front: tuple[FrontPast, FrontGround], of: OfPour
) -> None:
    """From one strip full to the next begun, where one truck was at the pump all the while."""
    front, ground = of_front
    layout = basis.layout
    pump = basis.scenario.pumps[basis.plan.fronts[number].pump]
    for turn, full, start in of.between(ground):
        strip = ground.strips[turn]
        if layout.walks_on[strip] or layout.access[number].pipes[turn]:
            continue
        there = [
            n
            for _, n in front.loads
            if n.on is not None and n.off is not None and n.on <= full and start <= n.off
        ]
        if not there or not 0.0 <= start - full < _LONGEST_MOVE or of.stands(front, full, start):
            seen.leave_out("moves in which a truck changed or something stood")
            continue
        walk = pump.walk * float(layout.moves[strip])
        move = Length(of.pour, start - full - walk, (of.step, of.step))
        seen.moves.setdefault(number, []).append(move)


def _changes(
    seen: Seen, basis: Basis, front: FrontPast, of_front: tuple[FrontGround, Pace], of: OfPour
) -> None:
    """From one truck off to the next on, where that one stood ready and nothing else was done."""
    site = basis.scenario.site
    places = site.positions
    if places == 1:
        return
    ready = _READY * (site.gate.mean + site.position.mean + site.test.mean)
    backed = _READY * (site.position.mean + site.test.mean)
    told = sorted((n for _, n in front.loads if _both(n)), key=lambda n: n.on or 0.0)
    strips = of.strip_times(of_front[0])
    for k, (before, after) in enumerate(pairwise(told)):
        off, on, came = before.off or 0.0, after.on or 0.0, after.arrived
        if came is None or IN in after.guessed or came + ready > off:
            continue
        ahead = told[k + 1 - places].off if k + 1 >= places else None
        if places and ahead is not None and k + 1 >= places and ahead + backed > off:
            continue
        near = any(off <= time <= on for time in strips)
        if near or not 0.0 <= on - off < _LONGEST_CHANGE or of.stands(front, off, on):
            seen.leave_out("changes of truck with a move or a stop in them")
            continue
        seen.changes.append(Length(of.pour, on - off, (of.step, of.step)))


def _both(load: LoadTicket) -> bool:
    told = load.on is not None and load.off is not None and not load.away
    return told and not {ON, OFF} & load.guessed
