"""Loads put together from lines: what is known of each, what is guessed, what cannot be true."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from statistics import median

from pourday.scenario.model.scenario import Plan, Scenario
from pourday.scenario.model.site import Plant
from pourday.tickets import line as say
from pourday.tickets.early import LEFT_OUT, without_early
from pourday.tickets.line import Line, Remark, clock
from pourday.tickets.read import Tickets

# Trucks overtake each other by no more than this (s); common practice, no source.
_LONG_BEFORE = 900.0
_A_BIT = 1.001  # more than the truck carries, beyond rounding
# A truck holds so much more than the file says, or a digit slipped; where so many loads tell what
# they bring the trucks may be larger than the file's, up to twice (chosen here).
_MORE, _TOLD_BY, _LARGER = 1.1, 3, 2.0
# Two people and two clocks put a load's times in the wrong order by no more than this (s).
_TWO_CLOCKS = 300.0
LOADED, LEFT, IN, ON, OFF, VOLUME = "loaded", "left", "in", "on", "off", "m3"


@dataclass(frozen=True)
class LoadTicket:
    """One load, times in s since midnight (None: not yet), volumes in m³.

    ``ticket`` is its number as written, ``plant`` the index of its plant. ``away`` is why it was
    sent away, unplaced, with ``off`` when it went. ``guessed`` names what nobody wrote.
    """

    ticket: str
    front: int = 0
    plant: int = 0
    volume: float = math.nan
    loaded: float = math.nan
    left: float | None = None
    arrived: float | None = None
    on: float | None = None
    off: float | None = None
    back: float = 0.0
    away: str = ""
    guessed: frozenset[str] = frozenset()
    rows: tuple[int, ...] = ()


def loads_of(
    tickets: Tickets, scenario: Scenario, plan: Plan, at: float = math.inf
) -> tuple[tuple[LoadTicket, ...], tuple[Remark, ...]]:
    """The loads that the lines up to ``at`` (s) tell of, in order of loading; and remarks.

    What is missing is derived, and named in ``guessed``: loading is arrival less the planned
    travel and batching; a load without an own "on" was at the pump when the one before had gone.
    """
    remarks: list[Remark] = []
    told: dict[str, list[Line]] = {}
    known = [n for n in tickets.in_order if n.kind in say.OF_LOADS and n.when <= at]
    known = without_early(known, scenario, plan, remarks)
    for line in known:
        told.setdefault(line.load, []).append(line)
    most = _most(known, plan.load or scenario.supply.load)
    loads = [_load(ticket, lines, scenario, plan, most, remarks) for ticket, lines in told.items()]
    loads = _one_after_the_other(loads, scenario, remarks)
    if not any(line.kind == say.ON for lines in told.values() for line in lines):
        loads = _at_the_pump(loads, scenario, at)
    found = [_with_loading(load, scenario) for load in loads]
    return tuple(sorted(found, key=lambda load: load.loaded)), tuple(remarks)


def _most(lines: Iterable[Line], planned: float) -> float:
    """What a truck holds (m³): as planned, or as most of the loads that tell it bring."""
    told = {line.load: line.volume for line in lines if line.volume}
    usual = median(told.values()) if len(told) >= _TOLD_BY else planned
    return _MORE * max(planned, usual if usual <= _LARGER * planned else planned)


def _load(
    ticket: str,
    lines: list[Line],
    scenario: Scenario,
    plan: Plan,
    most: float,
    remarks: list[Remark],
) -> LoadTicket:
    by: dict[str, Line] = {}
    for line in sorted(lines, key=lambda each: each.row):
        if line.kind in by:
            first = by[line.kind]
            both = f"{clock(first.when)} (line {first.row}) and {clock(line.when)}"
            said = f"load {ticket} is {line.kind} twice, {both}: the first counts"
            remarks.append(Remark(line.row, f'{said}; write "wrong {first.row}" if it is not true'))
        else:
            by[line.kind] = line
    load = LoadTicket(
        ticket,
        front=_front(by, plan, ticket, remarks),
        plant=_plant(by.values(), scenario, ticket, remarks),
        left=_when(by, say.LEFT),
        arrived=_when(by, say.IN),
        on=_when(by, say.ON),
        off=_when(by, say.OFF),
        rows=tuple(line.row for line in lines),
        guessed=frozenset(kind for kind, line in by.items() if not line.timed),
    )
    loaded = [line.loaded for line in by.values() if line.loaded is not None]
    load = replace(load, loaded=loaded[0] if loaded else math.nan)
    if say.AWAY in by and say.OFF not in by:
        why = by[say.AWAY].why or "not needed"
        load = replace(load, off=by[say.AWAY].when, away=why)
    load = _in_order(_arrived_in_time(load, remarks), remarks)
    return _with_volume(load, by, plan.load or scenario.supply.load, most, remarks)


def _when(by: dict[str, Line], kind: str) -> float | None:
    return by[kind].when if kind in by else None


def _front(by: dict[str, Line], plan: Plan, ticket: str, remarks: list[Remark]) -> int:
    fronts = [line.front for line in by.values() if line.front] or [0]
    if fronts[-1] < len(plan.fronts):
        return fronts[-1]
    row = next(iter(by.values())).row
    said = f"load {ticket}: the plan has no pump {fronts[-1] + 1}; taken for pump 1"
    remarks.append(Remark(row, said))
    return 0


def _plant(lines: Iterable[Line], scenario: Scenario, ticket: str, remarks: list[Remark]) -> int:
    names = [plant.name.lower() for plant in scenario.supply.plants]
    for line in lines:
        if not line.plant:
            continue
        if line.plant in names:
            return names.index(line.plant)
        said = f'load {ticket}: no plant is called "{line.plant[:30]}"; taken from the first'
        remarks.append(Remark(line.row, said))
        return 0
    return 0


def _arrived_in_time(load: LoadTicket, remarks: list[Remark]) -> LoadTicket:
    """Without an "in" that both "on" and "off" belie."""
    on, off, came = load.on, load.off, load.arrived
    if on is None or off is None or came is None or came - max(on, off) <= _TWO_CLOCKS:
        return load
    said = f"impossible: load {load.ticket} is in {clock(came)}, after it is on {clock(on)} and off"
    remarks.append(Remark(max(load.rows), f"{said} {clock(off)}; {LEFT_OUT}"))
    return replace(load, arrived=None)


def _in_order(load: LoadTicket, remarks: list[Remark]) -> LoadTicket:
    """Loaded, left, in, on, off: a time before the one before it cannot be true.

    By a few minutes it is taken as that one; an "on" or "off" long before places nothing.
    """
    names = (LOADED, LEFT, "arrived", ON, OFF)
    words = {"arrived": IN}
    last, last_name = -math.inf, ""
    for name in names:
        time = getattr(load, name)
        if time is None or math.isnan(time):
            continue
        if time < last:
            was, before = words.get(name, name), words.get(last_name, last_name)
            said = f"impossible: load {load.ticket} is {was} {clock(time)}, before it is {before} "
            said += clock(last)
            if name in (ON, OFF) and not load.away and last - time > _TWO_CLOCKS:
                remarks.append(Remark(max(load.rows), f"{said}; {LEFT_OUT}"))
                load = replace(load, on=None) if name == ON else replace(load, off=None)
                continue
            remarks.append(Remark(max(load.rows), f"{said}; taken as {clock(last)}"))
            load = _with_time(load, name, last)
            load = replace(load, guessed=load.guessed | {was})
            time = last
        last, last_name = time, name
    return load


def _with_time(load: LoadTicket, name: str, time: float) -> LoadTicket:
    match name:
        case "left":
            return replace(load, left=time)
        case "arrived":
            return replace(load, arrived=time)
        case "on":
            return replace(load, on=time)
        case _:
            return replace(load, off=time)


def _with_volume(
    load: LoadTicket, by: dict[str, Line], truck: float, most: float, remarks: list[Remark]
) -> LoadTicket:
    told = [line for line in by.values() if line.volume is not None]
    full = replace(load, volume=truck, guessed=load.guessed | {VOLUME})
    row, volume = (told[0].row, float(told[0].volume or 0.0)) if told else (0, truck)
    load = replace(load, volume=volume) if told else full
    if volume > most:
        said = f"load {load.ticket}: {volume:.1f} m³ is more than a truck of {truck:.1f} m³ holds"
        remarks.append(Remark(row, f"{said}: {truck:.1f} m³ taken"))
        load = full
    elif volume > truck * _A_BIT:
        said = f"load {load.ticket} brings {volume:.1f} m³, more than a truck's {truck:.1f} m³"
        remarks.append(Remark(row, f"{said}; taken as written"))
    elif volume <= 0.0:
        remarks.append(Remark(row, f"load {load.ticket} brings nothing: taken as a full one"))
        load = full
    return replace(load, back=_back(load, by.get(say.OFF), remarks))


def _back(load: LoadTicket, off: Line | None, remarks: list[Remark]) -> float:
    """What went back (m³); of more than the load brought, a slip of a digit, nobody knows."""
    if off is None or off.back is None:
        return 0.0
    if off.back <= load.volume * _MORE:
        return min(off.back, load.volume)
    said = f"load {load.ticket}: {off.back:.1f} m³ back is more than the {load.volume:.1f} m³ it"
    remarks.append(Remark(off.row, f"{said} brought: none taken as back; write it anew"))
    return 0.0


def _one_after_the_other(
    loads: list[LoadTicket], scenario: Scenario, remarks: list[Remark]
) -> list[LoadTicket]:
    """Who stood at a pump when: one load at a time, a missing "on" or "off" guessed."""
    out: list[LoadTicket] = []
    change = scenario.site.change.mean
    for front in sorted({load.front for load in loads}):
        mine = _overtaken([load for load in loads if load.front == front], remarks)
        out += [load for load in mine if load.away or (load.on is None and load.off is None)]
        at_pump = [load for load in mine if not load.away and (load.on or load.off) is not None]
        at_pump.sort(key=lambda load: (_first(load.on, load.off), _first(load.off, math.inf)))
        free = -math.inf
        for n, load in enumerate(at_pump):
            follows = at_pump[n + 1] if n + 1 < len(at_pump) else None
            load = _off_guessed(load, follows, remarks)
            load = _on_guessed(load, free + change, scenario)
            assert load.on is not None
            if load.on < free - 1.0:
                said = (
                    f"load {load.ticket} is on {clock(load.on)}, before the one ahead is off "
                    f"{clock(free)}; taken as {clock(free)}"
                )
                remarks.append(Remark(max(load.rows), said))
                begin = free if load.off is None else min(free, load.off)
                load = replace(load, on=begin, guessed=load.guessed | {ON})
            free = max(free, _first(load.off, math.inf))
            out.append(load)
    return out


def _at_the_pump(loads: list[LoadTicket], scenario: Scenario, at: float) -> list[LoadTicket]:
    """Where nobody writes "on", the first that is in and not off is at the pump by now."""
    site, out = scenario.site, list(loads)
    for front in {load.front for load in loads}:
        mine = [n for n, load in enumerate(out) if load.front == front and not load.away]
        free = max((_first(out[n].off, -math.inf) for n in mine), default=-math.inf)
        waiting = [n for n in mine if out[n].arrived is not None and out[n].off is None]
        first = min(waiting, key=lambda n: _first(out[n].arrived), default=None)
        if first is None:
            continue
        came = _first(out[first].arrived) + site.gate.mean + site.position.mean
        begin = max(came, free + site.change.mean)
        if begin < at < math.inf:
            load = out[first]
            out[first] = replace(load, on=begin, guessed=load.guessed | {ON})
    return out


def _overtaken(loads: list[LoadTicket], remarks: list[Remark]) -> list[LoadTicket]:
    """A load that came long before one that is on was on before it, though nobody wrote it."""
    out = []
    for load in loads:
        came = load.arrived
        if came is None or load.on is not None or load.off is not None:
            out.append(load)
            continue
        later = [
            other.on
            for other in loads
            if other.on is not None
            and other.arrived is not None
            and other.arrived > came + _LONG_BEFORE
        ]
        if later:
            said = (
                f'load {load.ticket} has no "on", and one that came later is on: guessed off '
                f'{clock(min(later))}; write "{load.ticket} away ..." if it was sent away'
            )
            remarks.append(Remark(max(load.rows), said))
            load = replace(load, off=min(later), guessed=load.guessed | {OFF})
        out.append(load)
    return out


def _first(*times: float | None) -> float:
    return next(time for time in times if time is not None)


def _off_guessed(load: LoadTicket, follows: LoadTicket | None, remarks: list[Remark]) -> LoadTicket:
    """A load that never was off has gone where the next is on."""
    if load.off is not None or follows is None:
        return load
    assert load.on is not None
    off = max(load.on, _first(follows.on, follows.off))
    said = f'load {load.ticket} has no "off", and {follows.ticket} is on: guessed {clock(off)}'
    remarks.append(Remark(max(load.rows), said))
    return replace(load, off=off, guessed=load.guessed | {OFF})


def _on_guessed(load: LoadTicket, free: float, scenario: Scenario) -> LoadTicket:
    site = scenario.site
    ready = site.gate.mean + site.position.mean
    if load.on is None:
        assert load.off is not None
        came = -math.inf if load.arrived is None else load.arrived + ready
        begin = max(free, came)
        if math.isinf(begin):
            begin = load.off - scenario.supply.discharge.mean
        load = replace(load, on=min(begin, load.off), guessed=load.guessed | {ON})
    if load.arrived is None:
        assert load.on is not None
        came = load.on - ready if load.left is None else max(load.left, load.on - ready)
        load = replace(load, arrived=min(came, load.on), guessed=load.guessed | {IN})
    return load


def batching_time(plant: Plant, volume: float) -> float:
    """How long a load is batched as planned (s)."""
    return volume / plant.batch


def _with_loading(load: LoadTicket, scenario: Scenario) -> LoadTicket:
    if load.away and load.arrived is None:
        load = replace(load, arrived=load.off, guessed=load.guessed | {IN})
    if not math.isnan(load.loaded):
        return load
    plant = scenario.supply.plants[load.plant]
    left = load.left
    if left is None:
        left = _first(load.arrived, load.on, load.off) - plant.travel.mean
    loaded = left - batching_time(plant, load.volume)
    return replace(load, loaded=loaded, guessed=load.guessed | {LOADED})
