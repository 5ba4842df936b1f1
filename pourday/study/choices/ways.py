"""Where a pour that stands could be ended now, what each place takes, and by when to decide.

Only what people on the site know goes in: what lies where, how old it is, who can be had. The
engineer decides whether a stop end may be where the list has one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.front.reach import reaches
from pourday.day.log import DOWN, END, STANDBY, STOPS, Order
from pourday.outcome.base.fronts import volumes_at
from pourday.outcome.edges.end_places import EndPlace, Progress, stop_ends
from pourday.outcome.edges.open_edges import OpenEdge
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import AT_PUMP, ON_ROAD, WAITING, FrontScene, Scene
from pourday.scenario.base.upsets import PLANT_STOPPED, ROAD_CLOSED

Floats = NDArray[np.float64]
HERE, STRIP, LINE = "here", "strip", "line"
_HOUR = 3600.0
_NEAR = 1e-6
# A strip that lacks less than this (m³) is as good as full.
_BARROW = 0.1


@dataclass(frozen=True)
class Means:
    """What could place now: ``name`` ("" for the own pump), from when (s), how fast (m³/s).

    ``called`` says that it is a stand-by that was ordered already.
    """

    name: str
    ready: float
    rate: float
    called: bool = False


@dataclass(frozen=True)
class Way:
    """One way to end the pour of a front.

    ``kind`` is "here" (stop end where the front stands), "strip" (once ``strip`` is full) or
    "line" (the rule's ``places``, for the lanes from ``low`` to ``high`` m). ``needed`` (m³) goes
    in before, ``removed`` (m³) lies beyond and comes out while it is fresh. ``means`` places it,
    None where nothing can be had for it; ``time`` (s) is how long that takes from now, waiting
    for it counted. ``decide_by`` (s) is the last moment to begin so that the first open edge that
    it has to meet, lost at ``lost``, is met in time.
    """

    front: int
    kind: str
    strip: int
    places: tuple[EndPlace, ...]
    low: float
    high: float
    needed: float
    removed: float
    means: Means | None
    time: float
    lost: float
    decide_by: float

    def in_time(self, now: float) -> bool:
        """Whether it can be done, and the edge met, if it is begun now (s)."""
        return self.means is not None and self.decide_by >= now

    def orders(self, now: float) -> tuple[Order, ...]:
        """What to order for it at ``now`` (s); none for a line inside strips."""
        if self.kind == LINE:
            return ()
        end = Order(now, END, self.front, strip=self.strip if self.kind == STRIP else -1)
        means = self.means
        if means is not None and means.name and not means.called and self.needed > 0.0:
            return Order(now, STANDBY, self.front, name=means.name), end
        return (end,)


@dataclass(frozen=True)
class Ending:
    """A front that stands long, and how its pour could be ended.

    ``edge`` is the first of its open edges that is not lost yet, None where there is none;
    ``lost`` are strips with an edge that is. ``nothing`` says that there is nothing to place
    with: the own pump does not work, and no stand-by can be had.
    """

    front: int
    edge: OpenEdge | None
    lost: tuple[int, ...]
    nothing: bool
    ways: tuple[Way, ...]

    def advice(self, now: float) -> Way | None:
        """The first way that meets the edge in time; None where the edge cannot be saved."""
        return next((way for way in self.ways if way.in_time(now)), None)


def endings(outcome: Outcome, scene: Scene) -> tuple[Ending, ...]:
    """How the pour of each front that stands long at the moment of ``scene`` could be ended."""
    standing = [front for front in scene.fronts if front.stands_long(scene.time)]
    return tuple(_ending(outcome, scene, front) for front in standing if front.strip >= 0)


def _ending(outcome: Outcome, scene: Scene, front: FrontScene) -> Ending:
    layout, now = outcome.basis.layout, scene.time
    mine = [e for e in scene.edges if layout.front_of[e.younger] == front.number]
    ahead = [edge for edge in mine if edge.lost_at >= now]
    lost = tuple(sorted({edge.older for edge in mine if edge.lost_at < now}))
    pace = pace_before(outcome, front.number, front.stands_since)
    had = _means(outcome, scene, front, pace)
    edge = ahead[0] if ahead else None
    ways = _ways(outcome, scene, front, ahead, had) if edge is not None else ()
    return Ending(front.number, edge, lost, not had, ways)


def pace_before(outcome: Outcome, front: int, time: float) -> float:
    """What a front placed in the hour before ``time`` (s), its stops in it (m³/s).

    Where it placed nothing in that hour, since its first concrete; 0 where it has none.
    """
    mine = [s for s in outcome.log.stretches if s.front == front and s.strip >= 0]
    mine = [s for s in mine if s.start < time]
    if not mine:
        return 0.0
    for since in (max(time - _HOUR, mine[0].start), mine[0].start):
        placed = sum(
            (s.volume_end - s.volume_start)
            * max(0.0, min(s.end, time) - max(s.start, since))
            / max(s.end - s.start, _NEAR)
            for s in mine
        )
        if placed > _NEAR and time > since:
            return placed / (time - since)
    return 0.0


def _means(outcome: Outcome, scene: Scene, front: FrontScene, pace: float) -> tuple[Means, ...]:
    """What could place for a front: its own pump where that works, else the stand-bys."""
    if pace <= 0.0:
        return ()
    if front.doing != DOWN:
        return (Means("", scene.time, pace),)
    scenario, strips = outcome.basis.scenario, outcome.basis.layout.strips
    near = [s for s in scenario.standbys if reaches(s, scenario.floor, strips[front.strip])]
    for order in outcome.log.orders:
        mine = order.kind == STANDBY and order.front == front.number
        if mine and front.stands_since <= order.at <= scene.time:
            named = [s for s in near if s.name == order.name] or near[:1]
            return tuple(
                Means(s.name, max(scene.time, order.at + s.ready), min(s.output, pace), True)
                for s in named
            )
    return tuple(Means(s.name, scene.time + s.ready, min(s.output, pace)) for s in near)


def _ways(
    outcome: Outcome,
    scene: Scene,
    front: FrontScene,
    ahead: list[OpenEdge],
    had: tuple[Means, ...],
) -> tuple[Way, ...]:
    """Filling on to the end of the strip, or of its bay, then the front itself, then the rule's
    lines; of those that are done in time the first is the advice."""
    layout, now = outcome.basis.layout, scene.time
    own = [i for i, number in enumerate(layout.front_of) if number == front.number]
    turn = own.index(front.strip)
    lacks = takes(outcome, scene) * (1.0 - np.array([each.share for each in scene.strips]))
    bay = layout.strips[front.strip].bay
    begun = scene.strips[front.strip].share > 0.0
    ends = [turn] if begun and lacks[front.strip] > _BARROW else []
    in_bay = [n for n, i in enumerate(own) if n >= turn and layout.strips[i].bay == bay]
    ends += [n for n in in_bay[-1:] if n not in ends and lacks[own[n]] > _BARROW]
    found = []
    for last in ends:
        fill = own[turn : last + 1]
        needed = float(sum(lacks[i] for i in fill))
        lost = min((e.lost_at for e in ahead if e.younger in fill), default=math.inf)
        found.append(_way(outcome, scene, front, had, (STRIP, own[last], needed, lost)))
    here = min((e.lost_at for e in ahead), default=math.inf)
    at_hand = Means("", now, math.inf)
    found.append(
        Way(front.number, HERE, front.strip, (), 0.0, 0.0, 0.0, 0.0, at_hand, 0.0, here, here)
    )
    return (*found, *_lines(outcome, scene, front, here, had))


def takes(outcome: Outcome, scene: Scene) -> Floats:
    """What each strip takes (m³): measured where it is begun, else planned, as people know it."""
    begun = np.array([strip.share > 0.0 for strip in scene.strips])
    return np.where(begun, np.array(outcome.log.strip_volumes), outcome.basis.layout.volume)


def _way(
    outcome: Outcome,
    scene: Scene,
    front: FrontScene,
    had: tuple[Means, ...],
    end: tuple[str, int, float, float],
) -> Way:
    """A way that fills on, with what is done first of what can be had."""
    kind, strip, needed, lost = end
    timed = [(_time(outcome, scene, front, each, needed), each) for each in had]
    time, means = min(timed, key=lambda each: each[0], default=(math.inf, None))
    means = means if math.isfinite(time) else None
    return Way(
        front.number, kind, strip, (), 0.0, 0.0, needed, 0.0, means, time, lost, lost - time
    )  # fmt: skip


def _time(outcome: Outcome, scene: Scene, front: FrontScene, means: Means, needed: float) -> float:
    """How long so much takes from now (s); inf where no concrete can be had for it.

    Trucks that have given up by the time somebody places do not count, nor does what is on a road
    that is closed; where another front places, the trucks go there. What is missing is called now,
    where a plant works and its road is open.
    """
    now, scenario = scene.time, outcome.basis.scenario
    begin = max(0.0, means.ready - now)
    plants = [p for p in scenario.supply.plants if not _shut(scene, p.name, PLANT_STOPPED)]
    open_road = [p for p in scenario.supply.plants if not _shut(scene, p.name, ROAD_CLOSED)]
    roads = {plant.name for plant in open_road}
    taken = any(f.number != front.number and f.rate > 0.0 for f in scene.fronts)
    fresh = [t for t in scene.trucks if t.age + begin < scene.load_life and not taken]
    here = sum(t.left for t in fresh if t.state in (WAITING, AT_PUMP))
    road = sum(t.left for t in fresh if t.state == ON_ROAD and t.plant in roads)
    if needed > here + road + _NEAR:
        drives = [p.travel.mean for p in plants if p.name in roads]
        if not drives:
            return math.inf
        load = scenario.supply.load / min(p.batch for p in plants)
        begin = max(begin, scenario.call_off.hold_notice + load + min(drives))
    elif needed > here + _NEAR and open_road:
        begin = max(begin, min(p.travel.mean for p in open_road))
    return begin + needed / means.rate


def _shut(scene: Scene, plant: str, kind: str) -> bool:
    """Whether a plant stands, or its road is closed, now."""
    return any(upset.kind == kind and upset.who in ("", plant) for upset in scene.upsets)


def _lines(
    outcome: Outcome,
    scene: Scene,
    front: FrontScene,
    lost: float,
    had: tuple[Means, ...],
) -> tuple[Way, ...]:
    """The rule's places, bay by bay across the floor: 600 mm from the beam of a sheet joint."""
    layout = outcome.basis.layout
    volume = takes(outcome, scene)
    placed = volumes_at(outcome.log, scene.time)[1]
    mine = np.array(layout.front_of) == front.number
    lanes = {bay.name: (bay.y0, bay.y1) for bay in layout.cut.bays}
    lane = np.array([lanes[strip.bay][0] for strip in layout.strips])
    best = max((each.rate for each in had), default=0.0)
    found = []
    for low in sorted({float(lane[i]) for i in np.flatnonzero(mine & (placed > _NEAR))}):
        own = mine & (lane == low)
        if not np.any(own & (placed < volume - _NEAR)):
            continue
        strip = int(np.flatnonzero(own & (placed > _NEAR))[-1])
        progress = Progress(own, strip, volume, placed, best or 1.0)
        for each in stop_ends(outcome.basis, progress, lost)[:1]:
            timed = [(_time(outcome, scene, front, m, each.needed), m) for m in had]
            nothing = Means("", scene.time, math.inf) if each.needed <= _NEAR else None
            time, means = min(timed, key=lambda t: t[0], default=(math.inf, nothing))
            if each.needed <= _NEAR:
                time, means = 0.0, nothing
            means = means if math.isfinite(time) else None
            found.append(
                Way(
                    front.number, LINE, strip, each.places, each.low, each.high, each.needed,
                    each.removed, means, time, lost, lost - time,
                )
            )  # fmt: skip
    return tuple(found)


def stands(front: FrontScene) -> bool:
    """Whether a front does not place now, for whatever reason."""
    return front.rate <= 0.0 and front.doing in STOPS
