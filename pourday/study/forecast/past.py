"""What tickets say of each front up to a moment, in the terms of the plan; the odd is named."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.day import log
from pourday.outcome.base.basis import Basis
from pourday.study.forecast.ground import FrontGround
from pourday.study.forecast.laid import Flow, Mark, lay, volume_by, without
from pourday.tickets import line as say
from pourday.tickets.early import LEFT_OUT
from pourday.tickets.line import Line, Remark, clock
from pourday.tickets.loads import LoadTicket, loads_of
from pourday.tickets.read import OUT_OF_ORDER, Tickets

BLOCKED = "blocked"
# Off and strips full may differ by this share before it is named, and by so much (m³): where in a
# load a strip was full is known no better (common practice, no source).
_DIFFER, _BARROW = 0.05, 1.0


@dataclass(frozen=True)
class ToldStop:
    """A stop that was told: why, from, to (s; None while it lasts), and when somebody guesses that
    it ends. ``kind`` is "blocked", or one of ``day.log``."""

    kind: str
    why: str
    since: float
    until: float | None = None
    guess: float | None = None


@dataclass(frozen=True)
class FrontPast:
    """What is known of a front: ``loads`` by number of the load, stops and breaks by time, marks of
    strips by turn. ``begun`` is the turn called started last, and when. ``people`` place now, as
    told at a time. ``held`` is since when loads are held. ``place`` is where the pump moved."""

    loads: tuple[tuple[int, LoadTicket], ...]
    stops: tuple[ToldStop, ...]
    marks: tuple[Mark, ...]
    begun: tuple[int, float] | None = None
    people: tuple[int, float] | None = None
    held: float | None = None
    place: int | None = None

    @property
    def stop(self) -> ToldStop | None:
        """The stop or break that lasts now."""
        return self.stops[-1] if self.stops and self.stops[-1].until is None else None

    def gaps(self, at: float) -> list[tuple[float, float]]:
        """From, to (s) of all stops up to now."""
        return [(s.since, at if s.until is None else s.until) for s in self.stops]


@dataclass(frozen=True)
class Past:
    """A pour up to ``at`` (s): fronts, loads called (for when, m³, for which front), remarks."""

    at: float
    fronts: tuple[FrontPast, ...]
    called: tuple[tuple[float, float, int], ...]
    remarks: tuple[Remark, ...]
    loads: tuple[LoadTicket, ...]
    lines: int

    @property
    def empty(self) -> bool:
        """Whether nothing has been told yet."""
        return not self.lines


def past_of(basis: Basis, ground: Sequence[FrontGround], tickets: Tickets, at: float) -> Past:
    """The past as the lines up to ``at`` (s since midnight) tell it."""
    remarks = list(tickets.remarks)
    late = [n for n in tickets.lines if n.when > at and n.kind not in say.AHEAD]
    remarks += _after(at, late)
    known = replace(tickets, lines=tuple(n for n in tickets.lines if n not in late))
    loads, odd = loads_of(known, basis.scenario, basis.plan, at)
    gone = {each.row for each in odd if LEFT_OUT in each.text}
    remarks = [n for n in remarks if n.row not in gone or not n.text.startswith(OUT_OF_ORDER)]
    remarks += odd
    strips = len(basis.layout.strips)
    for line in known.lines:
        if line.strip > strips or (line.kind.startswith("strip") and not line.strip):
            said = f"the plan has no strip {line.strip}, they go from 1 to {strips}: not used"
            remarks.append(Remark(line.row, said))
    fronts = []
    for number, mine in enumerate(ground):
        lines = [n for n in known.in_order if _is_of(n, number, basis)]
        own = tuple((k, load) for k, load in enumerate(loads) if load.front == number)
        fronts.append(_front(basis, number, mine, lines, own, remarks))
    called = tuple(
        (n.time, float(n.volume or 0.0), n.front) for n in known.in_order if n.kind == say.CALL
    )
    found = Past(at, tuple(fronts), called, (), loads, len(known.lines))
    for mine, front in zip(ground, fronts, strict=True):
        _check_volumes(mine, front, found, remarks)
    unique = tuple(sorted(dict.fromkeys(remarks), key=lambda each: each.row))
    return replace(found, remarks=unique)


def _after(at: float, late: Sequence[Line]) -> list[Remark]:
    """One remark on all lines that tell of times after the moment asked about."""
    rows = sorted({line.row for line in late})
    if len(rows) < 2:
        return [Remark(row, f"after {clock(at)}: not looked at") for row in rows]
    said = f"it and {len(rows) - 1} more up to line {rows[-1]} tell of times after {clock(at)}"
    return [Remark(rows[0], f"{said}: not looked at")]


def _is_of(line: Line, front: int, basis: Basis) -> bool:
    """Whether a line that is of no load is about this front: strips say by themselves."""
    if line.kind in say.OF_LOADS:
        return False
    if line.strip:
        of = basis.layout.front_of
        return line.strip <= len(of) and of[line.strip - 1] == front
    return line.front == front


def _front(
    basis: Basis,
    number: int,
    ground: FrontGround,
    lines: Sequence[Line],
    loads: tuple[tuple[int, LoadTicket], ...],
    remarks: list[Remark],
) -> FrontPast:
    marks, begun = _marks(basis, ground, lines, remarks)
    people = held = place = None
    places = [each.name.lower() for each in basis.layout.access[number].places]
    for line in lines:
        if line.kind == say.PEOPLE:
            people = (line.number, line.when)
        elif line.kind == say.HOLD:
            held = line.when
        elif line.kind == say.SEND:
            held = None
        elif line.kind == say.MOVED:
            if line.why in places:
                place = places.index(line.why)
            else:
                said = f'the plan has no place "{line.why}" for this pump: not used'
                remarks.append(Remark(line.row, said))
        elif line.kind == say.STOP_END:
            said = "noted; the forecast goes on to the end of the plan's strips"
            remarks.append(Remark(line.row, f"stop end in strip {line.strip}: {said}"))
    stops = _stops(lines, [load for _, load in loads], basis, remarks)
    return FrontPast(loads, stops, marks, begun, people, held, place)


def _marks(
    basis: Basis, ground: FrontGround, lines: Sequence[Line], remarks: list[Remark]
) -> tuple[tuple[Mark, ...], tuple[int, float] | None]:
    """Words on strips as marks that rise in turn; those out of the plan's order are named."""
    marks: list[Mark] = []
    begun: tuple[int, float] | None = None
    for line in lines:
        if not line.strip:
            continue
        turn = ground.strips.index(line.strip - 1)
        if line.kind == say.STRIP_START:
            begun = (turn, line.when)
            continue
        if line.kind == say.STOP_END:
            continue
        share = 1.0 if line.kind == say.STRIP_FULL else _share(basis, line, remarks)
        last = max((m.turn for m in marks if m.share >= 1.0), default=-1)
        if turn <= last:
            said = f"strip {line.strip} is called full again, or after a later one: not used"
            remarks.append(Remark(line.row, said))
            continue
        if share >= 1.0 and turn > last + 1:
            missed = [ground.strips[t] + 1 for t in range(last + 1, turn)]
            names = (
                " and ".join(map(str, missed[:2]))
                if len(missed) < 3
                else f"{missed[0]} to {missed[-1]}"
            )
            said = f"strip {line.strip} is full: {names} before it taken as full too"
            remarks.append(Remark(line.row, said))
        marks.append(Mark(turn, share, line.when))
    return tuple(marks), begun


def _share(basis: Basis, line: Line, remarks: list[Remark]) -> float:
    """Share of a strip's volume that is in where its front stands so far (m) from its low end."""
    strip, profile = line.strip - 1, basis.layout.profiles[line.strip - 1]
    way = float(profile.at[-1] - profile.at[0])
    at = float(line.at or 0.0)
    if not 0.0 <= at <= way:
        said = f"strip {line.strip} is {way:.1f} m long, not {at:.1f} m: taken at its end"
        remarks.append(Remark(line.row, said))
        at = min(max(at, 0.0), way)
    inside = float(np.interp(profile.at[0] + at, profile.at, profile.volume))
    share = inside / float(profile.volume[-1])
    return min(0.999, share if basis.layout.upward[strip] else 1.0 - share)


def _stops(
    lines: Sequence[Line], loads: Sequence[LoadTicket], basis: Basis, remarks: list[Remark]
) -> tuple[ToldStop, ...]:
    """Stops and breaks in order; one that nobody ended is over when a truck is on or off again."""
    found: list[ToldStop] = []
    rows: list[int] = []
    for line in lines:
        open_ = found[-1] if found and found[-1].until is None else None
        if line.kind in (say.STOP, say.BREAK):
            if open_ is not None:
                found[-1] = replace(open_, until=line.when)
            kind = log.IDLE if line.kind == say.BREAK else _kind(line.why)
            found.append(ToldStop(kind, line.why, line.when))
            rows.append(line.row)
        elif line.kind == say.GUESS and open_ is not None:
            found[-1] = replace(open_, guess=line.when)
        elif line.kind in (say.GO, say.WORK):
            if open_ is None:
                said = f'"{line.kind}" {clock(line.when)}, and nothing stood: not used'
                remarks.append(Remark(line.row, said))
            else:
                found[-1] = replace(open_, until=max(open_.since, line.when))
    # A truck that leaves with concrete in it may have been sent away in the stop.
    moves = sorted(
        time
        for n in loads
        for time in (n.on, None if n.back else n.off)
        if time is not None and not n.away
    )
    for n, stop in enumerate(found):
        again = next((t for t in moves if t > stop.since + 60.0), None)
        if stop.until is None and again is not None:
            length = _break_length(basis) if stop.kind == log.IDLE else math.inf
            until = min(again, stop.since + length)
            found[n] = replace(stop, until=until)
            said = f"the stop of {clock(stop.since)} was never called over, and a truck was at"
            remarks.append(Remark(rows[n], f"{said} the pump {clock(again)}: over {clock(until)}"))
    return tuple(found)


def _break_length(basis: Basis) -> float:
    breaks = basis.scenario.site.breaks
    return breaks[0].length if breaks else 30 * 60.0


def _kind(why: str) -> str:
    if "block" in why:
        return BLOCKED
    return log.RAIN if "rain" in why else log.DOWN


def flows_of(front: FrontPast, at: float) -> list[Flow]:
    """What flowed from every load that is off, stops left out."""
    flows: list[Flow] = []
    gaps = front.gaps(at)
    at_pump = [(k, n) for k, n in front.loads if n.off is not None and not n.away]
    for number, load in sorted(at_pump, key=lambda each: each[1].on or 0.0):
        assert load.on is not None
        assert load.off is not None
        begin = min(load.on, load.off - 1.0)
        parts = without(begin, load.off, gaps) or [(begin, load.off)]
        whole = sum(b - a for a, b in parts)
        placed = load.volume - load.back
        flows += [Flow(number, load.loaded, a, b, placed * (b - a) / whole) for a, b in parts]
    return flows


def hand_flows(front: FrontPast, at: float, share: Callable[[float], float]) -> list[Flow]:
    """What has flowed from the load at the pump: ``share`` of it by the time it has taken (s)."""
    hand = in_hand(front)
    if hand is None:
        return []
    number, load = hand
    assert load.on is not None
    parts = without(load.on, at, front.gaps(at))
    seen = sum(b - a for a, b in parts)
    if seen <= 0.0:
        return []
    placed = load.volume * share(seen)
    return [Flow(number, load.loaded, a, b, placed * (b - a) / seen) for a, b in parts]


def in_hand(front: FrontPast) -> tuple[int, LoadTicket] | None:
    """The load at the pump now: on, and not off."""
    there = [(k, n) for k, n in front.loads if n.on is not None and n.off is None and not n.away]
    return there[-1] if there else None


def _check_volumes(
    ground: FrontGround, front: FrontPast, past: Past, remarks: list[Remark]
) -> None:
    """Name where m³ off and strips full differ, and words on strips that m³ off belie."""
    flows = flows_of(front, past.at)
    hand = in_hand(front)
    if hand is not None:
        whole_load = ground.emptying(0, 0.0, hand[1].volume)
        flows += hand_flows(front, past.at, lambda seen: seen / max(whole_load, 1.1 * seen))
    laid = lay(ground, flows, front.marks, lambda turn, _: ground.planned[turn])
    for mark in laid.skipped:
        took = volume_by(flows, mark.time)
        said = f"strip {ground.strips[mark.turn] + 1} cannot be so full {clock(mark.time)}"
        remarks.append(Remark(0, f"{said}: {took:.1f} m³ are off by then; not used"))
    whole = [mark for mark in front.marks if mark.share >= 1.0 and mark not in laid.skipped]
    if not whole:
        return
    last = whole[-1]
    planned = sum(ground.planned[: last.turn + 1])
    took = sum(laid.volumes[turn] for turn in range(last.turn + 1))
    if abs(took - planned) > max(_DIFFER * planned, _BARROW):
        said = (
            f"strips up to {ground.strips[last.turn] + 1} took {took:.1f} m³, {planned:.1f} by "
            "plan: a strip or a load may be missing, or the sag takes more; over 5 % look at it"
        )
        remarks.append(Remark(0, said))
