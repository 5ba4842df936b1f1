"""How long it takes to fill on in a stop, decided now or later, as people on the site reckon it.

Load after load: what stands there and has not given up, what comes, then what has to be called.
Nothing here knows how long the stop lasts; what is on the road takes the plant's usual time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from pourday.day.chance.upset_plan import UpsetPlan
from pourday.day.front.pace import Pace
from pourday.day.front.people import break_times
from pourday.day.supply.yard import gives_up
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import AT_PUMP, ON_ROAD, WAITING, FrontScene, Scene
from pourday.scenario.base.upsets import PLANT_STOPPED, ROAD_CLOSED
from pourday.scenario.model.scenario import Scenario

_NEAR = 1e-6
_MINUTE = 60.0
# Nobody waits longer than this for a stop to be ended (s), and a crew works on at this share of its
# pace at least, so that a sum always ends.
_A_DAY, _LEAST_SHARE = 24 * 3600.0, 0.1


@dataclass(frozen=True)
class Means:
    """What could place now: ``name`` ("" for the own pump), from when (s), how fast (m³/s).

    ``rate`` is never faster than the pace of the hour before, changes of truck in it; ``output``
    is what it places while a truck discharges. ``called`` says that it is a stand-by that was
    ordered already.
    """

    name: str
    ready: float
    rate: float
    called: bool = False
    output: float = math.inf


@dataclass(frozen=True)
class Coming:
    """A load: there and ready from ``there`` (s), ``left`` m³, discharge begun by ``begin_by`` (s)
    and over by ``end_by`` (s)."""

    there: float
    left: float
    begin_by: float
    end_by: float


@dataclass(frozen=True)
class Filling:
    """What is to be filled: ``needed`` m³ in so many ``strips``, at a front that stands."""

    outcome: Outcome
    scene: Scene
    front: FrontScene
    needed: float
    strips: int = 1

    @property
    def scenario(self) -> Scenario:
        """The scenario of the day."""
        return self.outcome.basis.scenario


def time_by(fill: Filling, means: Means, at: float) -> float:
    """How long it takes (s) where it is decided ``at`` (s); inf where there is no concrete."""
    now = fill.scene.time
    begin = max(at, means.ready) if means.called or not means.name else at + means.ready - now
    work = _work(fill, means)
    needed, clock, first = fill.needed, begin, True
    for load in _loads(fill, at):
        start = max(clock, load.there)
        if start > load.begin_by:
            continue
        take = min(needed, load.left)
        end = work.over(take, start, first)
        if end > load.end_by:  # it gives up on the way: what is in stays in
            take *= (load.end_by - start) / (end - start)
            end = load.end_by
        needed, clock, first = needed - take, end, False
        if needed <= _NEAR:
            own = fill.outcome.basis.plan.fronts[fill.front.number].pump
            return clock - at + (fill.strips - 1) * fill.scenario.pumps[own].move.mean
        if clock - at > _A_DAY:
            break
    return math.inf


def last_moment(fill: Filling, means: Means, lost: float) -> float:
    """The last whole minute (s) at which it can be decided and done before ``lost`` (s).

    Before now where it is too late already. Later is never sooner done, so it is sought by halves.
    """
    now = fill.scene.time
    takes = time_by(fill, means, now)
    if now + takes > lost or math.isinf(lost):
        return lost - takes
    low, first = 0, math.floor(now / _MINUTE) * _MINUTE
    high = math.ceil((lost - first) / _MINUTE) + 1
    while high - low > 1:
        middle = (low + high) // 2
        at = first + middle * _MINUTE
        if at + time_by(fill, means, at) <= lost:
            low = middle
        else:
            high = middle
    return max(now, first + low * _MINUTE)


def _work(fill: Filling, means: Means) -> _Work:
    """How these means place there: a long line slows a stand-by too.

    Where one truck stands at the pump at a time, the next backs up first.
    """
    layout, site, front = fill.outcome.basis.layout, fill.scenario.site, fill.front
    own = [i for i, number in enumerate(layout.front_of) if number == front.number]
    output = means.output * layout.access[front.number].share[own.index(front.strip)]
    more = site.position.mean if site.positions == 1 else 0.0
    return _Work(means.rate, output, _pace(fill), front.stands_since, site.change.mean, more)


@dataclass(frozen=True)
class _Work:
    """Placing at ``rate`` (m³/s), what a crew of this ``pace`` placed before it stood at ``since``
    (s), or at ``output`` (m³/s) and with a ``change`` of truck (s), after the first ``more`` (s).
    """

    rate: float
    output: float
    pace: Pace
    since: float
    change: float
    more: float

    def over(self, take: float, start: float, first: bool) -> float:
        """When so much of one load is in (s) that begins to be placed at ``start`` (s).

        At the pace of the hour before, or at the output and with a change of truck, whichever is
        slower; slower yet while people are on their break. The ``first`` truck stands ready.
        """
        before = max(_LEAST_SHARE, self.pace.at(self.since)[0])
        change = self.change if first else self.change + self.more
        work = max(take * before / self.rate, take / self.output + change)
        clock = start
        while work > _NEAR:
            share, until = self.pace.at(clock)
            share = max(_LEAST_SHARE, share)
            span = min(work / share, until - clock)
            work, clock = work - span * share, clock + span
        return clock


def _loads(fill: Filling, at: float) -> Iterator[Coming]:
    """The loads that there are, in the order of their coming; then those called at ``at`` (s).

    What is on a road that is closed does not count; where another front places, the trucks go
    there. Calling takes a plant that works and whose road is open.
    """
    scene, scenario = fill.scene, fill.scenario
    now, site, supply = scene.time, scenario.site, scenario.supply
    ready_in = site.gate.mean + site.position.mean
    plants = {p.name: p for p in supply.plants if not _shut(scene, p.name, ROAD_CLOSED)}
    taken = any(f.number != fill.front.number and f.rate > 0.0 for f in scene.fronts)
    found = []
    for truck in () if taken else scene.trucks:
        batched, there = now - truck.age, now
        if truck.state == ON_ROAD and truck.plant in plants:
            plant = plants[truck.plant]
            drive = truck.left / plant.batch + plant.travel.mean
            there = max(now, batched + drive) + ready_in
        elif truck.state not in (WAITING, AT_PUMP) or truck.left <= _NEAR:
            continue
        end_by = max(truck.gives_up, gives_up(scenario, batched, there, True))
        found.append(Coming(there, truck.left, truck.gives_up, end_by))
    yield from sorted(found, key=lambda load: load.there)
    working = [p for p in plants.values() if not _shut(scene, p.name, PLANT_STOPPED)]
    if not working:
        return
    nearest = min(working, key=lambda p: supply.load / p.batch + p.travel.mean)
    for number in count(1):
        loaded = at + scenario.call_off.hold_notice + number * supply.load / nearest.batch
        yield Coming(loaded + nearest.travel.mean + ready_in, supply.load, math.inf, math.inf)


def _pace(fill: Filling) -> Pace:
    """The pace of the crew as people know it: its breaks, the heat of the day, who is missing now.

    How long those who are missing stay away nobody knows: they are taken as gone.
    """
    basis, scenario, number = fill.outcome.basis, fill.scenario, fill.front.number
    crew, start = scenario.crews[fill.front.crew], basis.plan.fronts[number].start
    short = UpsetPlan(fill.scene.upsets, basis.plan, scenario).short(number)
    missing = [(begin, math.inf, people) for begin, _, people in short]
    breaks = break_times(scenario.site, start)
    return Pace(scenario, crew, breaks, missing, fill.outcome.log.seed)


def _shut(scene: Scene, plant: str, kind: str) -> bool:
    """Whether a plant stands, or its road is closed, now."""
    return any(upset.kind == kind and upset.who in ("", plant) for upset in scene.upsets)
