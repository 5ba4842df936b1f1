"""The site at one moment of a day: floor, fronts, trucks, deck, open edges, concrete counted.

All of it is read from the day's log and outcome; nothing is played again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.day.chance.upset_plan import UpsetPlan
from pourday.day.front.people import break_times, people_of
from pourday.day.log import IDLE, STOPS, DayLog, Visit
from pourday.day.supply.yard import gives_up, load_life
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts, lying, volumes_at
from pourday.outcome.deck.peaks import use_of_lines
from pourday.outcome.edges.open_edges import STIFF, OpenEdge, StripScene, open_edges
from pourday.outcome.events import emptied, rate_of, upsets_at
from pourday.outcome.measure import Outcome
from pourday.scenario.base.upsets import Upset

NOT_READY, FIRST_TRUCK, WASHING, FINISHED = "not ready", "first truck", "washing", "finished"
PLACING, FILLING, STANDING = "placing", "filling", "standing"
ON_ROAD, WAITING, AT_PUMP, LEAVING, GONE = (
    "on the road",
    "waiting",
    "at the pump",
    "leaving",
    "gone",
)
TO_COME, HERE, LEFT = "to come", "here", "left"
_NEAR = 1e-6
# Nobody asks what to do in a shorter stop (s); common practice, no source.
_ASKS = 5 * 60.0


@dataclass(frozen=True)
class PeopleScene:
    """The people of one crew at one moment.

    Of its placers ``placing`` are at work, ``away`` on a break and ``missing``; ``placers`` says
    whether they are "to come", "here" or have "left", ``finishers`` the same of its finishers.
    """

    placing: int
    away: int
    missing: int
    placers: str
    finishers: str


@dataclass(frozen=True)
class FrontScene:
    """A pump and its crew at one moment.

    ``doing`` is "placing", "filling" (pump and line), the kind of the stop it is in ("starved",
    "moving", ...), "not ready", "first truck" (waits for it), "standing" (between two things),
    "washing" (after its last concrete) or "finished"; ``since`` (s) is when that began. ``strip``
    (index, -1 for none) is the one in hand or the one it moves to; ``x``, ``y`` (m) where the
    front stands, nan before the first strip.
    ``rate`` in m³/s, ``truck`` the one that discharges (-1 for none). ``stands_since`` (s) counts
    from its last concrete, whatever the reason became; ``why`` says more of one that is "down".
    """

    number: int
    pump: str
    crew: str
    doing: str
    since: float
    strip: int
    share: float
    x: float
    y: float
    rate: float
    truck: int
    people: PeopleScene
    stands_since: float = math.nan
    why: str = ""

    def stands_long(self, time: float) -> bool:
        """Whether it has stood long enough for somebody to ask what to do."""
        return self.rate <= 0.0 and time - self.stands_since >= _ASKS and self.doing in STOPS


@dataclass(frozen=True)
class TruckScene:
    """A truck that was batched before now.

    ``state`` is "on the road" (to the site), "waiting" (on the site: gate, line, positioning or
    test), "at the pump" (discharging, or not empty yet), "leaving" (empty, washing) or "gone".
    ``age`` (s) counts from loading, ``left`` (m³) is what is still on it, ``gives_up`` (s) until
    when it may be discharged: a load that is begun a little longer.
    """

    number: int
    plant: str
    state: str
    age: float
    left: float
    gives_up: float = math.inf


@dataclass(frozen=True)
class DeckScene:
    """Greatest share of resistance used now and so far, the strip behind each, and when (s).

    Strip -1 stands for the bare deck.
    """

    use: float
    strip: int
    peak: float
    peak_strip: int
    peak_time: float


@dataclass(frozen=True)
class Scene:
    """One moment of a day. Times in s since midnight, volumes in m³.

    ``batched`` so far is ``placed`` in the strips, ``in_line`` (pump and line), ``on_trucks`` and
    ``carted_off`` (rejected or returned). ``edges`` are the open ones, the nearest to be lost
    first; ``stiff`` counts those that are, ``cold`` edge pairs and stopped fronts lost so far.
    ``finishing`` are the
    passes in work, as (strip, pass from 1). ``upsets`` are those that last, ``to_come`` those that
    somebody has let happen later: what chance will bring nobody knows. ``oldest`` (s) is the age
    of the oldest load on the site, nan where none is; ``load_life`` (s) what it may reach. ``end``
    is when the last concrete comes as this day goes. ``given_up`` are strips that get no more by
    order: sides towards them are stop ends, and no open edges.
    """

    time: float
    strips: tuple[StripScene, ...]
    fronts: tuple[FrontScene, ...]
    trucks: tuple[TruckScene, ...]
    edges: tuple[OpenEdge, ...]
    stiff: int
    cold: int
    deck: DeckScene
    finishing: tuple[tuple[int, int], ...]
    upsets: tuple[Upset, ...]
    to_come: tuple[Upset, ...]
    batched: float
    placed: float
    total: float
    in_line: float
    on_trucks: float
    carted_off: float
    oldest: float
    load_life: float
    end: float
    given_up: tuple[int, ...] = ()

    def trucks_that(self, state: str) -> tuple[TruckScene, ...]:
        """The trucks in one state, by number."""
        return tuple(truck for truck in self.trucks if truck.state == state)


def scene(outcome: Outcome, time: float) -> Scene:
    """The site at ``time`` (s since midnight); what begins at that very moment has begun."""
    basis, log = outcome.basis, outcome.log
    stretch_in, strip_in = volumes_at(log, time)
    strips = _strips(basis, log, outcome.fronts, strip_in, time)
    trucks = _trucks(basis, log, stretch_in, time)
    given_up = tuple(strip for strip, since in log.given_up if since <= time)
    edges = open_edges(basis, outcome.fronts, strips, time)
    edges = tuple(edge for edge in edges if edge.younger not in given_up)
    on_site = [t.age for t in trucks if t.state in (WAITING, AT_PUMP) and t.left > _NEAR]
    finish = outcome.finishing
    at_work = np.flatnonzero((finish.start <= time) & (time < finish.work_end))
    filled = sum(v for v, s in zip(stretch_in, log.stretches, strict=True) if s.strip < 0)
    return Scene(
        time=time,
        strips=strips,
        fronts=tuple(_front(outcome, strips, n, time) for n in range(len(basis.plan.fronts))),
        trucks=trucks,
        edges=edges,
        stiff=sum(edge.state(time) == STIFF for edge in edges),
        cold=_cold(outcome, edges, time),
        deck=_deck(outcome, time),
        finishing=tuple((int(finish.strip[n]), int(finish.pass_no[n])) for n in at_work),
        upsets=upsets_at(outcome, time),
        to_come=tuple(u for u in log.upsets if u.at > time and not u.drawn),
        batched=sum(v.volume for v in log.visits if v.batched <= time),
        placed=float(strip_in.sum()),
        total=float(sum(log.strip_volumes)),
        in_line=filled,
        on_trucks=sum(t.left for t in trucks if t.state != GONE),
        carted_off=sum(v.rejected + v.returned for v in log.visits if v.left_site <= time),
        oldest=max(on_site, default=math.nan),
        load_life=load_life(basis.scenario),
        end=log.end,
        given_up=given_up,
    )


def _strips(
    basis: Basis, log: DayLog, found: Fronts, volume: Floats, time: float
) -> tuple[StripScene, ...]:
    count = len(log.strip_volumes)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    here = np.flatnonzero(np.minimum(found.time_low, found.time_high) <= time)
    lies = lying(found, time)
    np.minimum.at(low, found.strip[here], lies.low[here])
    np.maximum.at(high, found.strip[here], lies.high[here])
    low[np.isinf(low)] = np.nan
    high[np.isinf(high)] = np.nan
    shares = np.clip(volume / np.array(log.strip_volumes), 0.0, 1.0)
    return tuple(
        StripScene(*row) for row in zip(shares.tolist(), low.tolist(), high.tolist(), strict=True)
    )


def _front(
    outcome: Outcome, strips: tuple[StripScene, ...], number: int, time: float
) -> FrontScene:
    basis, log = outcome.basis, outcome.log
    mine = [s for s in log.stretches if s.front == number]
    plan = basis.plan.fronts[number]
    before = [s for s in mine if s.start <= time]
    now = next((s for s in reversed(before) if time < s.end), None)
    strip = next((s.strip for s in reversed(before)), -1)
    rate, truck = 0.0, -1
    if now is not None:
        doing, since = (PLACING if now.strip >= 0 else FILLING), now.start
        rate, truck = rate_of(now), now.truck
    else:
        doing, since = _doing(outcome, number, time)
        if doing == "moving" or strip < 0:
            strip = next((s.strip for s in mine if s.start > time and s.strip >= 0), strip)
    x = y = math.nan
    if strip >= 0:
        x, y = basis.layout.strips[strip].at(_place(basis, strips[strip], strip))
    share = strips[strip].share if strip >= 0 else 0.0
    people = _people(outcome, number, doing, time)
    stood = max((s.end for s in before if s.end <= time), default=since)
    its = [s for s in log.stops if s.front == number and s.start <= time < s.end]
    why = next((s.why for s in its if s.kind == doing), "")
    relieved = log.fronts[number].relieved
    stands_in = bool(relieved) and relieved[0] <= time < relieved[1]
    pump = log.fronts[number].relief if stands_in else plan.pump
    return FrontScene(
        number, pump, plan.crew, doing, since, strip, share, x, y, rate, truck, people,
        stood, why,
    )  # fmt: skip


def _people(outcome: Outcome, number: int, doing: str, time: float) -> PeopleScene:
    """Who of a crew is at work, on a break, or missing."""
    scenario, hours = outcome.basis.scenario, outcome.hours[number]
    crew = scenario.crews[outcome.basis.plan.fronts[number].crew]
    start = outcome.basis.plan.fronts[number].start
    upsets = UpsetPlan(outcome.log.upsets, outcome.basis.plan, scenario)
    people = people_of(crew, break_times(scenario.site, start), upsets.short(number))
    present = max(0, crew.placers - people.missing(time))
    away = min(present, people.away(time) + (present if doing == IDLE else 0))
    return PeopleScene(
        present - away,
        away,
        crew.placers - present,
        _attendance(hours.pump_from, hours.pump_until, time),
        _attendance(hours.finishers_from, hours.finishers_until, time),
    )


def _attendance(begin: float, end: float, time: float) -> str:
    return LEFT if time >= end else TO_COME if time < begin else HERE


def _doing(outcome: Outcome, number: int, time: float) -> tuple[str, float]:
    """What a front that does not place is at, and since when (s)."""
    log = outcome.log
    mine = [s for s in log.stretches if s.front == number]
    for stop in reversed(log.stops):
        if stop.front == number and stop.start <= time < stop.end:
            return stop.kind, stop.start
    front = log.fronts[number]
    if time < front.ready:
        begun = outcome.hours[number].pump_from
        return NOT_READY, begun if begun <= time else -math.inf
    if not mine or time < mine[0].start:
        return FIRST_TRUCK, front.ready
    if time >= front.wash_out_end:
        return FINISHED, front.wash_out_end
    if time >= mine[-1].end:
        return WASHING, mine[-1].end
    return STANDING, max(s.end for s in mine if s.end <= time)


def _place(basis: Basis, state: StripScene, strip: int) -> float:
    """Place of the front along its way (m): the strip's starting end where it holds nothing yet."""
    shape, up = basis.layout.strips[strip], basis.layout.upward[strip]
    if math.isnan(state.low):
        return shape.low if up else shape.high
    return state.high if up else state.low


def _trucks(
    basis: Basis, log: DayLog, stretch_in: list[float], time: float
) -> tuple[TruckScene, ...]:
    discharged: dict[int, float] = {}
    for stretch, volume in zip(log.stretches, stretch_in, strict=True):
        discharged[stretch.truck] = discharged.get(stretch.truck, 0.0) + volume
    return tuple(
        TruckScene(
            visit.number,
            visit.plant,
            _state(visit, time),
            time - visit.batched,
            max(0.0, visit.volume - discharged.get(visit.number, 0.0)),
            _gives_up(basis, visit, time),
        )
        for visit in log.visits
        if visit.batched <= time
    )


def _gives_up(basis: Basis, visit: Visit, time: float) -> float:
    """Until when (s) a load may be discharged, as it is known at ``time``."""
    arrived = visit.arrived if visit.arrived <= time else math.nan
    return gives_up(basis.scenario, visit.batched, arrived, visit.discharge_start <= time)


def _state(visit: Visit, time: float) -> str:
    if time >= visit.left_site:
        return GONE
    if time < visit.arrived:
        return ON_ROAD
    if time >= visit.discharge_end and emptied(visit):  # False for nan
        return LEAVING
    return AT_PUMP if time >= visit.discharge_start else WAITING


def _deck(outcome: Outcome, time: float) -> DeckScene:
    basis = outcome.basis
    line = outcome.use_over_time
    bare = max((float(use[0]) for use in use_of_lines(basis, outcome.by_group)), default=0.0)
    last = int(np.searchsorted(line.times, time, side="right"))
    if last == 0 or math.isnan(bare):
        return DeckScene(bare, -1, bare, -1, -math.inf)
    worst = int(np.argmax(line.steps[:last]))
    now = float(line.steps[last - 1]), line.strips[last - 1]
    if bare >= line.steps[worst]:
        return DeckScene(*now, bare, -1, -math.inf)
    return DeckScene(*now, float(line.steps[worst]), line.strips[worst], float(line.times[worst]))


def _cold(outcome: Outcome, edges: tuple[OpenEdge, ...], time: float) -> int:
    """Edge pairs and stopped fronts that are lost by now, open or covered."""
    done = outcome.edges
    lost = [edge for edge in edges if edge.lost_at < time]
    covered = np.flatnonzero((done.ratio > 1.0) & (done.time <= time)).tolist()
    pairs = {*covered, *(edge.pair for edge in lost if edge.pair >= 0)}
    stops = int(np.sum((done.stop_ratio > 1.0) & (done.stop_time <= time)))
    return len(pairs) + stops + sum(edge.pair < 0 for edge in lost)
