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
from pourday.outcome.scene import FrontScene, Scene
from pourday.study.choices.lasts import Filling, Means, last_moment, time_by

Floats = NDArray[np.float64]
HERE, STRIP, LINE = "here", "strip", "line"
_HOUR = 3600.0
_NEAR = 1e-6
# A strip that lacks less than this (m³) is as good as full.
_BARROW = 0.1


@dataclass(frozen=True)
class Way:
    """One way to end the pour of a front.

    ``kind`` is "here" (stop end where the front stands), "strip" (once ``strip`` is full) or
    "line" (the rule's ``places``, for the lanes from ``low`` to ``high`` m). ``needed`` (m³) goes
    in before, ``removed`` (m³) lies beyond and comes out while it is fresh. ``means`` places it,
    None where nothing can be had for it; ``time`` (s) is how long that takes from now, waiting
    for it counted. ``decide_by`` (s) is the last moment to decide on it so that the first open edge
    that it has to meet, lost at ``lost``, is met by the concrete that there is from then on.
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
                Means(
                    s.name, max(scene.time, order.at + s.ready), min(s.output, pace), True, s.output
                )
                for s in named
            )
    return tuple(
        Means(s.name, scene.time + s.ready, min(s.output, pace), output=s.output) for s in near
    )


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
        filling = Filling(outcome, scene, front, needed, len(fill))
        found.append(_way(filling, had, own[last], lost))
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


def _way(fill: Filling, had: tuple[Means, ...], strip: int, lost: float) -> Way:
    """A way that fills on to the end of ``strip``, with what is done first of what can be had."""
    means, time, by = _soonest(fill, had, lost)
    number, needed = fill.front.number, fill.needed
    return Way(number, STRIP, strip, (), 0.0, 0.0, needed, 0.0, means, time, lost, by)


def _soonest(
    fill: Filling, had: tuple[Means, ...], lost: float
) -> tuple[Means | None, float, float]:
    """What is done first of what can be had, how long it takes, by when (s) to decide on it."""
    timed = [(time_by(fill, each, fill.scene.time), each) for each in had]
    time, means = min(timed, key=lambda each: each[0], default=(math.inf, None))
    if means is None or not math.isfinite(time):
        return None, math.inf, -math.inf
    return means, time, last_moment(fill, means, lost)


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
            means: Means | None = Means("", scene.time, math.inf)
            time, by = 0.0, lost
            if each.needed > _NEAR:
                means, time, by = _soonest(Filling(outcome, scene, front, each.needed), had, lost)
            found.append(
                Way(
                    front.number, LINE, strip, each.places, each.low, each.high, each.needed,
                    each.removed, means, time, lost, by,
                )
            )  # fmt: skip
    return tuple(found)


def stands(front: FrontScene) -> bool:
    """Whether a front does not place now, for whatever reason."""
    return front.rate <= 0.0 and front.doing in STOPS
