"""Where the concrete of a front lies: m³ off, less pump and line, laid along the order of strips.

"Strip n full" sets the place anew and with it what the strips since the last such word took. What
lies after the last of them is laid at the volumes that the day's chance gives.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from pourday.day.log import EPS, Stretch
from pourday.study.forecast.ground import FrontGround

LINE = -1
# What strips took between two words of the foreman lies between these shares of what was planned,
# or one of the words is a slip (chosen here).
_LEAST, _MOST = 0.5, 2.0
# A strip that nobody called full holds no more than this over its plan (chosen here).
_OVERFULL = 1.35


@dataclass(frozen=True)
class Flow:
    """Concrete of one load (by number) out of a truck: from, to (s), m³, evenly in between."""

    load: int
    batched: float
    begin: float
    end: float
    volume: float


@dataclass(frozen=True)
class Mark:
    """A word of the foreman: so much (0 to 1) of the strip of this turn is full at ``time`` (s)."""

    turn: int
    share: float
    time: float


Takes = Callable[[int, float], float]
"""What the strip of a turn takes (m³), given that it takes more than so much."""


@dataclass
class Laid:
    """Where a front stands: in the strip of ``turn``, ``done`` m³ in it, the pump line filled to
    ``line`` m³ of what it takes before it; ``volumes`` (m³) of the strips begun, by turn.

    ``left_over`` is what found no room (m³), by load. ``skipped`` are marks that cannot be true.
    """

    stretches: list[Stretch] = field(default_factory=list)
    volumes: dict[int, float] = field(default_factory=dict)
    turn: int = 0
    done: float = 0.0
    line: float = 0.0
    finished: bool = False
    left_over: dict[int, float] = field(default_factory=dict)
    skipped: list[Mark] = field(default_factory=list)


def volume_by(flows: Sequence[Flow], time: float) -> float:
    """What has flowed up to a time (m³)."""
    total = 0.0
    for flow in flows:
        if flow.end <= time:
            total += flow.volume
        elif flow.begin < time:
            total += flow.volume * (time - flow.begin) / (flow.end - flow.begin)
    return total


def lay(ground: FrontGround, flows: Sequence[Flow], marks: Sequence[Mark], takes: Takes) -> Laid:
    """Lay what has flowed along the order of a front.

    ``marks`` rise in turn. ``takes`` is asked for strips that nobody called full.
    """
    laid = Laid()
    base, before = _measured(ground, flows, marks, laid)
    last = len(ground.strips)
    rest = sum(flow.volume for flow in flows) - before
    told = base > 0 or bool(laid.volumes)
    laid.turn = base
    while laid.turn < last:
        fill = ground.fill[laid.turn]
        inside = rest - fill
        if inside <= EPS:
            # Priming, or on the way to the next strip.
            laid.line = max(0.0, rest)
            break
        known = laid.volumes.get(laid.turn)
        limit = _OVERFULL * ground.planned[laid.turn]
        if known is None:
            open_strip = told and laid.turn == base and inside <= limit
            known = takes(laid.turn, inside if open_strip else 0.0)
        laid.volumes[laid.turn] = known
        if inside < known - EPS:
            laid.done, laid.line = inside, fill
            break
        rest -= fill + known
        laid.turn += 1
    laid.finished = laid.turn == last
    _stretches(ground, flows, laid)
    return laid


def _measured(
    ground: FrontGround, flows: Sequence[Flow], marks: Sequence[Mark], laid: Laid
) -> tuple[int, float]:
    """Volumes of the strips called full; the turn after them, and what had flowed by then (m³)."""
    base, before = 0, 0.0
    whole = [mark for mark in marks if mark.share >= 1.0]
    for mark in whole:
        planned = sum(ground.planned[base : mark.turn + 1])
        flowed = volume_by(flows, mark.time)
        took = flowed - before - sum(ground.fill[base : mark.turn + 1])
        if mark.turn < base or not _LEAST * planned <= took <= _MOST * planned:
            laid.skipped.append(mark)
            continue
        for turn in range(base, mark.turn + 1):
            laid.volumes[turn] = ground.planned[turn] * took / planned
        base, before = mark.turn + 1, flowed
    parts = [mark for mark in marks if mark.share < 1.0 and mark.turn >= base]
    if parts and (not whole or parts[-1].time >= whole[-1].time):
        mark = parts[-1]
        planned = sum(ground.planned[base : mark.turn]) + mark.share * ground.planned[mark.turn]
        took = volume_by(flows, mark.time) - before - sum(ground.fill[base : mark.turn + 1])
        if not (planned > 0.0 and _LEAST * planned <= took <= _MOST * planned):
            laid.skipped.append(mark)
        else:
            for turn in range(base, mark.turn + 1):
                laid.volumes[turn] = ground.planned[turn] * took / planned
    return base, before


def _stretches(ground: FrontGround, flows: Sequence[Flow], laid: Laid) -> None:
    """Cut every flow where a strip is full; what finds no room is left over."""
    bins: list[tuple[int, float]] = []
    for turn in range(min(laid.turn + 1, len(ground.strips))):
        if ground.fill[turn] > EPS:
            bins.append((LINE, ground.fill[turn]))
        if turn in laid.volumes:
            bins.append((ground.strips[turn], laid.volumes[turn]))
    edges = [0.0]
    for _, room in bins:
        edges.append(edges[-1] + room)
    at, n = 0.0, 0
    for flow in flows:
        begin, at = at, at + flow.volume
        if flow.volume <= EPS:
            continue
        pace, here, time = (flow.end - flow.begin) / flow.volume, begin, flow.begin
        while n < len(bins) and here < at - EPS:
            whole = edges[n + 1] <= at + EPS
            upto = min(edges[n + 1], at)
            low, high = here - edges[n], bins[n][1] if whole else upto - edges[n]
            until = flow.end if upto >= at - EPS else flow.begin + (upto - begin) * pace
            if high - low > EPS and until > time:
                strip = bins[n][0]
                laid.stretches.append(
                    Stretch(time, until, strip, low, high, flow.load, flow.batched)
                )
            here, time = upto, until
            if not whole:
                break
            n += 1
        if n == len(bins) and here < at - EPS:
            laid.left_over[flow.load] = laid.left_over.get(flow.load, 0.0) + at - here


def without(
    begin: float, end: float, gaps: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The parts of a time that no gap (from, to) covers."""
    marks = [begin]
    for low, high in sorted(gaps):
        low, high = max(low, begin), min(high, end)
        if high > low and low >= marks[-1]:
            marks += [low, high]
    marks.append(end)
    return [(a, b) for a, b in list(pairwise(marks))[::2] if b > a]
