"""What helps in a long stop: how long the open edges last, and where the pour could end.

Beside that: what the day did with the edge that is lost first, and what it left open at its end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pourday.day.log import MOVING, DayLog
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.edge_clock import EdgeClock, edge_clock
from pourday.outcome.base.fronts import Fronts, Lying, lying, volumes_at
from pourday.outcome.edges.edge_pairs import EdgeOutcome
from pourday.outcome.edges.end_places import Progress, StopEnd, open_sides, stop_ends

Bools = NDArray[np.bool_]
LONG_STOP = 20 * 60.0
"""Shortest stop that is worth advice, s (common practice, no source)."""
UNFINISHED = "unfinished"
"""Kind of the stop that never ends: concrete is missing and no load comes any more."""
_HOUR = 3600.0
_NEAR = 1e-6
_NOTHING = 1e-9


class Judged(Protocol):
    """What advice on a stop is read from: a day, where its fronts stood, and what its edges did."""

    @property
    def basis(self) -> Basis:
        """What every day of the plan is measured against."""

    @property
    def log(self) -> DayLog:
        """The day."""

    @property
    def fronts(self) -> Fronts:
        """Where the fronts stood."""

    @property
    def edges(self) -> EdgeOutcome:
        """How long fresh edges waited."""


@dataclass(frozen=True)
class StopAdvice:
    """A long stop of a front, how long its open edges last, and the ways to end the pour there.

    ``kinds`` are those of the stops it is made of. ``begin``, ``until`` (s, ``inf`` where placing
    never went on); ``strip``, ``y``, ``x`` where the front stood (m): across x at
    y, or in a band at one x, y its middle. ``lost`` (s) is when the
    first edge still open at the stop's begin is cold, ``inf`` where none is open, ``stiff`` (s)
    when the same edge is stiff: that between strips ``older`` (has concrete) and ``newer`` (has
    none there), or the stopped front itself where ``newer`` is -1. ``lost_before`` counts edges
    that were lost before the stop began. ``covered`` (s), ``ratio`` and ``whole`` are what the day
    did with that very edge: when it was covered where it was oldest (the share of its time used is
    ``ratio``; over 1 it is cold, over ``stiff_from`` stiff), both nan where it never was, and
    whether all of it was; of a stopped front, when it went on. ``rate`` (m³/s) is the pace before
    it. ``ends`` has at most two ways, the one that moves least concrete first; none where the rule
    has no place. ``sides`` are primary beams (y, m) along which concrete ends in the open; the rule
    says nothing about them.
    """

    front: int
    kinds: tuple[str, ...]
    begin: float
    until: float
    strip: int
    y: float
    x: tuple[float, float]
    stiff: float
    lost: float
    older: int
    newer: int
    lost_before: int
    covered: float
    ratio: float
    stiff_from: float
    whole: bool
    rate: float
    ends: tuple[StopEnd, ...]
    sides: tuple[float, ...]

    @property
    def left(self) -> float:
        """Time from the stop's begin until the first open edge is lost (s)."""
        return self.lost - self.begin

    @property
    def was_stiff(self) -> bool:
        """Whether that edge was stiff in the day, and not cold."""
        return self.stiff_from < self.ratio <= 1.0

    @property
    def outlasted(self) -> bool:
        """Whether the stop lasted longer than the first open edge."""
        return self.until > self.lost

    @property
    def cold(self) -> bool:
        """Whether that edge went cold in the day."""
        return self.ratio > 1.0


@dataclass(frozen=True)
class _Standing:
    kinds: tuple[str, ...]
    begin: float
    until: float


@dataclass(frozen=True, eq=False)
class _Front:
    """A front: its strips, when it placed in them, and all its long times of standing."""

    number: int
    own: Bools
    start: Floats
    end: Floats
    volume: Floats
    standing: tuple[_Standing, ...]


def long_stops(outcome: Judged, at_least: float = LONG_STOP) -> tuple[StopAdvice, ...]:
    """Advice for every stop of a front of ``at_least`` seconds, and for a day left unfinished.

    Stops that follow each other without concrete between them are one; moving between strips
    belongs to it but does not count for its length. Before a front's first concrete and after its
    last strip nothing is open, so nothing is advised. In order of their begin.
    """
    basis, found = outcome.basis, outcome.fronts
    clock = edge_clock(basis, found)
    bare = left_open(outcome)
    out = [
        _advice(outcome, front, standing, clock, bare)
        for front in _fronts(basis, outcome.log, at_least)
        for standing in front.standing
    ]
    return tuple(sorted(out, key=lambda each: (each.begin, each.front)))


def left_open(outcome: Judged) -> Bools:
    """Edge pairs (P,) that have concrete on one side only, all along or in part, at the day's end.

    What is open there is never judged: ``outcome.edges`` has a ratio for what was covered, nan
    where nothing was.
    """
    basis, found = outcome.basis, outcome.fronts
    every = np.ones(len(basis.layout.strips), dtype=bool)
    clock = edge_clock(basis, found)
    out = np.zeros(len(basis.pair_first), dtype=bool)
    out[_open_edges(basis, clock, every, lying(found, np.inf)).pair] = True
    return out


def _fronts(basis: Basis, log: DayLog, at_least: float) -> Iterator[_Front]:
    front_of = np.array(basis.layout.front_of)
    for number in np.unique(front_of).tolist():
        own = front_of == number
        mine = [s for s in log.stretches if s.strip >= 0 and own[s.strip]]
        if not mine:
            continue
        start, end = np.array([s.start for s in mine]), np.array([s.end for s in mine])
        volume = np.array([s.volume_end - s.volume_start for s in mine])
        full = volume.sum() >= np.array(log.strip_volumes)[own].sum() - _NEAR
        first, last = float(start.min()), float(end.max())
        stops = [
            (stop.start, stop.end, stop.kind)
            for stop in log.stops
            if stop.front == number and stop.start >= first
        ]
        if full:
            stops = [stop for stop in stops if stop[0] < last]
        else:
            stops.append((last, np.inf, UNFINISHED))
        standing = tuple(_long(sorted(stops), at_least))
        yield _Front(number, own, start, end, volume, standing)


def _long(stops: list[tuple[float, float, str]], at_least: float) -> Iterator[_Standing]:
    """Stops (start, end, kind; by start) that touch made one; moving neither begins nor ends it."""
    groups: list[list[tuple[float, float, str]]] = []
    reached = -np.inf
    for stop in stops:
        if stop[0] > reached + _NEAR:
            groups.append([])
        groups[-1].append(stop)
        reached = max(reached, stop[1])
    for group in groups:
        standing = [each for each in group if each[2] != MOVING]
        spent, done = 0.0, -np.inf
        for start, end, _ in standing:
            spent += max(0.0, end - max(start, done))
            done = max(done, end)
        if spent >= at_least - _NEAR:
            yield _Standing(tuple(dict.fromkeys(s[2] for s in standing)), standing[0][0], done)


def _advice(
    outcome: Judged, front: _Front, standing: _Standing, clock: EdgeClock, bare: Bools
) -> StopAdvice:
    basis, log, found = outcome.basis, outcome.log, outcome.fronts
    begin = standing.begin
    lies = lying(found, begin)
    here = lies.begun & front.own[found.strip]
    last = int(np.argmax(np.where(here, np.maximum(found.time_low, found.time_high), -np.inf)))
    strip = int(found.strip[last])
    shape = basis.layout.strips[strip]
    place = float(lies.high[last] if basis.layout.upward[strip] else lies.low[last])
    volume, placed = np.array(log.strip_volumes), volumes_at(log, begin)[1]
    edges = _open_edges(basis, clock, front.own, lies)
    if placed[strip] < volume[strip] - _NOTHING:
        here_at = np.array([place])
        edges = edges.and_the_front(strip, *clock.at(np.array([last]), here_at, here_at))
    gone_on = _gone_on(outcome, strip, place, begin)
    first = edges.first_lost(begin, _covered(outcome, edges, gone_on[0]))
    stiff, gone, older, newer = float("inf"), float("inf"), -1, -1
    covered, ratio, whole = float("nan"), float("nan"), False
    if first is not None:
        stiff, gone = float(edges.stiff[first]), float(edges.lost[first])
        older, newer = edges.strips(first)
        covered, ratio, whole = _fate(outcome, int(edges.pair[first]), gone_on, bare)
    rate = _pace(front, begin)
    return StopAdvice(
        front=front.number,
        kinds=standing.kinds,
        begin=begin,
        until=standing.until,
        strip=strip,
        y=shape.at(place)[1],
        x=(place, place) if shape.along == "x" else (shape.x0, shape.x1),
        stiff=stiff,
        lost=gone,
        older=older,
        newer=newer,
        lost_before=int(np.sum(edges.lost <= begin)),
        covered=covered,
        ratio=ratio,
        stiff_from=outcome.edges.stiff_from,
        whole=whole,
        rate=rate,
        ends=stop_ends(basis, Progress(front.own, strip, volume, placed, rate), gone),
        sides=open_sides(basis, placed),
    )


def _covered(outcome: Judged, edges: _Edges, gone_on: float) -> Floats:
    """When each open edge was covered where it was oldest (s); the front itself when it went on."""
    out = np.full(len(edges.pair), gone_on)
    sides = edges.pair >= 0
    out[sides] = outcome.edges.time[edges.pair[sides]]
    return out


def _fate(
    outcome: Judged, pair: int, gone_on: tuple[float, float], bare: Bools
) -> tuple[float, float, bool]:
    """When an edge was covered (s), the share of its time used then, whether all of it was."""
    if pair < 0:
        return (*gone_on, bool(np.isfinite(gone_on[0])))
    return float(outcome.edges.time[pair]), float(outcome.edges.ratio[pair]), not bare[pair]


def _gone_on(outcome: Judged, strip: int, place: float, begin: float) -> tuple[float, float]:
    """When (s) the front stopped at ``place`` went on, and the share of its time used; or nan."""
    edges = outcome.edges
    there = (edges.stop_strip == strip) & (np.abs(edges.stop_at - place) < 1e-3)
    after = np.flatnonzero(there & (edges.stop_time > begin))
    if not len(after):
        return float("nan"), float("nan")
    return float(edges.stop_time[after[0]]), float(edges.stop_ratio[after[0]])


@dataclass(frozen=True, eq=False)
class _Edges:
    """Edges open at one moment, all (E,).

    ``pair`` is the index of the edge pair, ``older`` its strip with concrete, ``newer`` the one
    without; ``stiff`` and ``lost`` (s) are when each is stiff and cold. The stopped front itself
    has pair and newer -1.
    """

    pair: Ints
    older: Ints
    newer: Ints
    stiff: Floats
    lost: Floats

    def and_the_front(self, strip: int, stiff: Floats, lost: Floats) -> _Edges:
        """The same, the front that stands in ``strip``, stiff and lost then (1,) s, before them.

        Before the pairs: its sides are as old as the front itself, which is what people see.
        """
        return _Edges(
            pair=np.append(-1, self.pair),
            older=np.append(strip, self.older),
            newer=np.append(-1, self.newer),
            stiff=np.append(stiff, self.stiff),
            lost=np.append(lost, self.lost),
        )

    def strips(self, edge: int) -> tuple[int, int]:
        """Its strip with concrete and the one without."""
        return int(self.older[edge]), int(self.newer[edge])

    def first_lost(self, begin: float, covered: Floats) -> int | None:
        """The edge (index) lost first of those still open at ``begin`` (s); None where none is.

        One load lies on many edges: of those lost in the same minute, one that was not covered in
        time (``covered`` (E,) s).
        """
        still = np.flatnonzero(self.lost > begin)
        if not len(still):
            return None
        first = int(still[np.argmin(self.lost[still])])
        ties = still[self.lost[still] < self.lost[first] + 60.0]
        late = ties[covered[ties] > self.lost[ties]]
        if len(late) and covered[first] <= self.lost[first]:
            return int(late[np.argmax(covered[late])])
        return first


def _open_edges(basis: Basis, clock: EdgeClock, own: Bools, lies: Lying) -> _Edges:
    """Edge pairs with concrete on one side only, of what ``lies``.

    Stiff and lost are when the oldest concrete along the open part of the side is, by ``clock``.
    Only pairs whose missing side falls to this front (``own`` strips).
    """
    found = clock.found
    strips = len(basis.layout.strips)
    low, high, live = lies.low, lies.high, lies.begun
    from_y, to_y = np.full(strips, np.inf), np.full(strips, -np.inf)
    np.minimum.at(from_y, found.strip[live], low[live])
    np.maximum.at(to_y, found.strip[live], high[live])
    out = []
    for old, new in (
        (basis.pair_first, basis.pair_second),
        (basis.pair_second, basis.pair_first),
    ):
        count = np.diff(found.first)[old]
        pair = np.repeat(np.arange(len(old)), count)
        offset = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        piece = np.repeat(found.first[old], count) + offset
        side_low, side_high = basis.pair_low[pair], basis.pair_high[pair]
        bottom, top = np.maximum(side_low, low[piece]), np.minimum(side_high, high[piece])
        touch = top - bottom > np.where(side_low == side_high, -_NEAR, _NEAR)
        other = new[pair]
        # The newer side fills from one end, so a part of it is bare where its ends fall short.
        below, above = bottom < from_y[other] - _NEAR, top > to_y[other] + _NEAR
        first = np.full((2, len(old)), np.inf)
        for bare, a, b in (
            (below, bottom, np.minimum(top, from_y[other])),
            (above, np.maximum(bottom, to_y[other]), top),
        ):
            is_open = live[piece] & touch & bare & own[other]
            times = clock.at(piece[is_open], a[is_open], b[is_open])
            for earliest, when in zip(first, times, strict=True):
                np.minimum.at(earliest, pair[is_open], when)
        some = np.isfinite(first[1])
        out.append((np.flatnonzero(some), old[some], new[some], *first[:, some]))
    return _Edges(*(np.concatenate(columns) for columns in zip(*out, strict=True)))


def _pace(front: _Front, begin: float) -> float:
    """Concrete over time in the hour before the stop (m³/s), long stops taken out of the time.

    Changing trucks and moving are in it. Where nothing was placed in that hour: since the first
    concrete.
    """
    for since in (max(float(front.start.min()), begin - _HOUR), float(front.start.min())):
        inside = np.clip(np.minimum(front.end, begin) - np.maximum(front.start, since), 0.0, None)
        placed = float(np.sum(front.volume * inside / (front.end - front.start)))
        stood = sum(
            max(0.0, min(each.until, begin) - max(each.begin, since)) for each in front.standing
        )
        if placed > _NOTHING:
            return placed / (begin - since - stood)
    return 0.0
