"""Loads at the pump, from on to off: what the truck and what the crew would have taken by plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourday.day.front.pace import Pace
from pourday.study.forecast.ground import FrontGround, share_of_pace
from pourday.study.forecast.laid import LINE, Laid, lay
from pourday.study.forecast.past import FrontPast, flows_of
from pourday.study.learn.seen import AtPump, Length, Seen
from pourday.tickets import line as say
from pourday.tickets.loads import OFF, ON
from pourday.tickets.read import Tickets

# Loads under this share of a full one tell little of it: rounding counts too much (chosen here).
_LEAST_SHARE = 0.4
# A crew that has people away or on a break, beyond this share of its pace, is another crew.
_WHOLE = 0.97
# A pour of this share more or less than the plan's floor is another floor (chosen here).
_OTHER = 0.15
_SHORTEST = 90.0


@dataclass(frozen=True)
class OfPour:
    """A pour: its number, to what step (s) its times were noted on site, its lines, its end."""

    pour: int
    step: float
    tickets: Tickets
    at: float

    def strip_times(self, ground: FrontGround) -> list[float]:
        """When anything was told of a strip of a front (s)."""
        mine = {strip + 1 for strip in ground.strips}
        return [n.when for n in self.tickets.lines if n.strip in mine and n.timed]

    def between(self, ground: FrontGround) -> list[tuple[int, float, float]]:
        """Turns, with when the strip before was full and when their own was begun (s)."""
        full: dict[int, float] = {}
        start: dict[int, float] = {}
        for line in self.tickets.in_order:
            if line.timed and line.strip:
                if line.kind == say.STRIP_FULL:
                    full.setdefault(line.strip - 1, line.when)
                elif line.kind == say.STRIP_START:
                    start.setdefault(line.strip - 1, line.when)
        return [
            (turn, full[ground.strips[turn - 1]], start[strip])
            for turn, strip in enumerate(ground.strips)
            if turn and strip in start and ground.strips[turn - 1] in full
        ]

    def stands(self, front: FrontPast, begin: float, end: float) -> bool:
        """Whether a told stop or break touches a time."""
        return any(low <= end and begin <= high for low, high in front.gaps(self.at))


def loads_at_pump(
    seen: Seen, number: int, of_front: tuple[FrontPast, FrontGround, Pace], of: OfPour
) -> None:
    """Add the loads of a front that were at the pump from a told on to a told off."""
    front, ground, pace = of_front
    laid = lay(ground, flows_of(front, of.at), front.marks, lambda turn, _: ground.planned[turn])
    other = _other_floor(front, ground)
    if other:
        seen.leave_out("pours of another floor: strips taken as the plan's mean")
    gaps = [(full, start) for _, full, start in of.between(ground)] if not other else []
    whole = max((n.volume for _, n in front.loads), default=1.0)
    for key, load in front.loads:
        if load.on is None or load.off is None or load.away or {ON, OFF} & load.guessed:
            seen.leave_out("loads without on or off")
            continue
        placed = load.volume - load.back
        took = load.off - load.on
        if of.stands(front, load.on, load.off):
            seen.leave_out("loads with a stop or break while they were at the pump")
            continue
        by_plan = _mean(ground, placed) if other else _by_plan(ground, laid, key)
        if by_plan is None or placed < _LEAST_SHARE * whole or took < _SHORTEST:
            seen.leave_out("loads for pump and line, small ones, and those that found no room")
            continue
        share = share_of_pace(pace, load.on, load.off)
        if share < _WHOLE and not pace_varies_with_heat(pace, load.on):
            seen.leave_out("loads while people were away")
            continue
        inside = [(a, b) for a, b in gaps if load.on <= a and b <= load.off]
        moved = sum(b - a for a, b in inside) if inside else by_plan[1]
        # Two more noted times for every move: the triangle is taken as much wider.
        step = of.step * math.sqrt(1 + len(inside))
        length = Length(of.pour, max(1.0, took - moved), (step, step))
        seen.at_pump.setdefault(number, []).append(
            AtPump(length, placed / whole, by_plan[0] / share)
        )


def pace_varies_with_heat(pace: Pace, at: float) -> bool:
    """Whether the crew is slower just by the heat: everybody is there."""
    return pace.varies and not pace.people.missing(at) and not pace.people.away(at)


def _other_floor(front: FrontPast, ground: FrontGround) -> bool:
    placed = sum(n.volume - n.back for _, n in front.loads if n.on is not None and not n.away)
    planned = sum(ground.planned) + sum(ground.fill)
    return abs(placed - planned) > _OTHER * planned


def _mean(ground: FrontGround, placed: float) -> tuple[float, float]:
    """What the crew takes for so much (m³), and the moves in it (s), as in the mean of the plan."""
    total = sum(ground.planned)
    crew = sum(v / rate for v, rate in zip(ground.planned, ground.crew, strict=True))
    return placed * crew / total, placed * sum(ground.before) / total


def _by_plan(ground: FrontGround, laid: Laid, load: int) -> tuple[float, float] | None:
    """What the full crew takes for a load, strip by strip, and the planned moves in it (s)."""
    if load in laid.left_over:
        return None
    turn_of = {strip: turn for turn, strip in enumerate(ground.strips)}
    mine = [s for s in laid.stretches if s.truck == load]
    if not mine or any(s.strip == LINE for s in mine):
        return None
    crew = moved = 0.0
    last = turn_of[mine[0].strip]
    for piece in mine:
        turn = turn_of[piece.strip]
        moved += ground.before[turn] if turn != last else 0.0
        crew += (piece.volume_end - piece.volume_start) / ground.crew[turn]
        last = turn
    return crew, moved
