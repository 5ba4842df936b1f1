"""A plan's day with some of what happened imposed on it: the start, trips, pace, stops and so on.

What is imposed is as the tickets say it; all else is as the file has it, drawn by the day's number.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.day.chance.factors import day_factors
from pourday.day.chance.streams import DaySeed
from pourday.day.front.ready import Ready, ready
from pourday.day.log import DayLog
from pourday.day.play import play_ready, upsets_of_day
from pourday.day.supply.road import arrival
from pourday.floor.layout import Layout
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.trade import SKIP
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    LOAD_REJECTED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
)
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.scenario.model.site import Break
from pourday.study.afterwards.seen import Seen, seen_of_log
from pourday.tickets.loads import LoadTicket

START, TRIPS, PACE, STOPS, BREAKS = "start", "trips", "pace", "stops", "breaks"
CHANGES, VOLUME, AWAY = "changes", "volume", "away"
CAUSES = (START, TRIPS, PACE, STOPS, BREAKS, CHANGES, VOLUME, AWAY)
"""What can be imposed, each on its own: see ``docs/afterwards.md``."""
LOST = ("test", "old", "slump")
"""Words of a load that was lost, and not just sent home."""

# Beyond the loads that were told the mean of them holds for so many more.
_MORE = 200
# A start that is less out (s), and changes of truck, are as planned.
_A_MINUTE, _A_BIT = 60.0, 6.0
_FOR_EVER = 48 * 3600.0  # older than any load gets (s)
# Rounds, and days in each, in which pace, changes, volume and start are brought to what was seen.
_ROUNDS, _DAYS = 4, 4
_OF = {
    TRIPS: (ROAD_CLOSED, TRUCK_BROKEN),
    PACE: (CREW_SHORT,),
    STOPS: (PUMP_DOWN, CRANE_LOST, RAIN),
    AWAY: (LOAD_REJECTED,),
}
"""Upsets that what is imposed stands for: those of the file and of chance are left out."""


@dataclass(frozen=True)
class Fit:
    """What brings the model to what was seen: start later (s), change + (s), m³ x, pace x.

    ``pace`` is that of each front in order.
    """

    pace: tuple[float, ...]
    later: float = 0.0
    change: float = 0.0
    use: float = 1.0


@dataclass(frozen=True)
class Told:
    """A pour seen, made ready to be imposed on the days of its plan."""

    plan: Ready
    seen: Seen
    trips: dict[str, tuple[float, ...]]
    slower: float
    fit: Fit

    def makes_a_difference(self, cause: str) -> bool:
        """Whether a cause is worth imposing: a start or changes as planned are not."""
        if cause == START:
            return abs(self.fit.later) > _A_MINUTE
        return cause != CHANGES or abs(self.fit.change) > _A_BIT

    def play(self, causes: Sequence[str], seeds: Sequence[int]) -> list[Seen]:
        """The days with these seeds, with these causes imposed."""
        here = self._with(frozenset(causes))
        return [seen_of_log(here, self._day(here, frozenset(causes), seed)) for seed in seeds]

    def _with(self, causes: frozenset[str]) -> Ready:
        if not causes:
            return self.plan
        scenario, plan, layout = self.plan.scenario, self.plan.plan, self.plan.layout
        if START in causes:
            plan = plan.starting_at(plan.start + self.fit.later)
        if PACE in causes:
            scenario, plan, layout = _with_pace(scenario, plan, layout, self.fit.pace)
        if STOPS in causes:
            plan = replace(plan, standby_after=None)
            scenario = _without_stops(scenario)
        if BREAKS in causes:
            scenario = _with_breaks(scenario, self.seen)
        if CHANGES in causes:
            change = fixed(max(1.0, scenario.site.change.mean + self.fit.change))
            scenario = replace(scenario, site=replace(scenario.site, change=change))
        if VOLUME in causes:
            use = fixed(scenario.slab.use_factor.mean * self.fit.use)
            scenario = replace(scenario, slab=replace(scenario.slab, use_factor=use))
        if AWAY in causes:
            scenario = _without_losses(scenario)
        here = ready(scenario, plan, layout)
        # The foreman calls by the plan's pace: how slow the day is he does not know beforehand.
        fronts = zip(here.fronts, self.plan.fronts, strict=True)
        return replace(
            here, fronts=tuple(replace(mine, expected=own.expected) for mine, own in fronts)
        )

    def _day(self, here: Ready, causes: frozenset[str], seed: int) -> DayLog:
        factors = day_factors(self.plan.scenario.day_to_day, seed)
        number: int = seed
        if TRIPS in causes:
            factors = factors._replace(travel=1.0)
            number = DaySeed(seed).with_told(self.trips)
        if PACE in causes:
            factors = factors._replace(crew=1.0)
        without = {kind for cause in causes for kind in _OF.get(cause, ())}
        upsets = [u for u in upsets_of_day(here.scenario, here.plan, seed) if u.kind not in without]
        upsets += self._told_upsets(here, causes)
        return play_ready(here, number, tuple(sorted(upsets, key=lambda u: u.at)), factors=factors)

    def _told_upsets(self, here: Ready, causes: frozenset[str]) -> list[Upset]:
        out = []
        means = here.scenario.means(here.plan)
        if STOPS in causes:
            for stop in self.seen.stops:
                if not stop.is_break:
                    kind = CRANE_LOST if means[stop.front] == SKIP else PUMP_DOWN
                    length = stop.until - stop.since
                    out.append(Upset(stop.since, kind, length, str(stop.front + 1)))
        if AWAY in causes:
            out += [Upset(load.off or 0.0, LOAD_REJECTED, 0.0) for load in lost(self.seen)]
        return out


def lost(seen: Seen) -> list[LoadTicket]:
    """Loads that were sent away lost."""
    return [load for load in seen.loads if any(word in load.away for word in LOST)]


def told_of(plan: Ready, seen: Seen) -> Told:
    """A pour made ready, its pace, changes, volume and start fitted with all else imposed."""
    trips, slower = _trips(plan, seen)
    told = Told(plan, seen, trips, slower, Fit((1.0,) * len(plan.plan.fronts)))
    for _ in range(_ROUNDS):
        days = told.play(causes_of(seen), range(_DAYS))
        told = replace(told, fit=_better(told, days))
    return told


def causes_of(seen: Seen) -> tuple[str, ...]:
    """Causes of which the tickets tell; a break that nobody wrote is as the file has it."""
    has_trips = any(math.isfinite(trip) for trip in seen.trips)
    has_breaks = any(stop.is_break for stop in seen.stops)
    left_out = ([] if has_trips else [TRIPS]) + ([] if has_breaks else [BREAKS])
    return tuple(cause for cause in CAUSES if cause not in left_out)


def _better(told: Told, days: Sequence[Seen]) -> Fit:
    """One step nearer to what was seen."""
    seen, fit, n = told.seen, told.fit, len(days)
    pace = tuple(
        was * _ratio(seen.flow_rate_of(k), [day.flow_rate_of(k) for day in days])
        for k, was in enumerate(fit.pace)
    )
    changes = [day.change for day in days if math.isfinite(day.change)]
    known = changes and math.isfinite(seen.change)
    change = seen.change - sum(changes) / len(changes) if known else 0.0
    placed = sum(day.volume("placed") for day in days) / n
    loaded = sum(day.loaded for day in days) / n
    return Fit(
        pace,
        fit.later + seen.loaded - loaded,
        fit.change + change,
        fit.use * seen.volume("placed") / placed,
    )


def _ratio(seen: float, days: Sequence[float]) -> float:
    """What was seen over the mean of the days; 1 where either is not known."""
    known = [value for value in days if math.isfinite(value)]
    return seen * len(known) / sum(known) if known and math.isfinite(seen) else 1.0


def _trips(plan: Ready, seen: Seen) -> tuple[dict[str, tuple[float, ...]], float]:
    """Trips on a free road by name of their stream, out and back, and how much slower they were.

    The way back nobody writes: it is as planned, times what the day's road was slower, as far as
    the ways there tell that from the chance of each trip (Bayes' rule, as in a forecast).
    """
    supply = plan.scenario.supply
    rush = tuple((r.begins, r.ends, r.factor) for r in supply.rush_hours)
    out: dict[str, tuple[float, ...]] = {}
    took = planned = 0.0
    for number, plant in enumerate(supply.plants):
        mean = max(1.0, plant.travel.mean)
        mine: list[float] = []
        for load, trip in zip(seen.loads, seen.trips, strict=True):
            if load.plant != number:
                continue
            if math.isnan(trip) or load.arrived is None:
                mine.append(math.nan)
                continue
            leaves = load.arrived - trip
            slower = (arrival(leaves, mean, rush, ()) - leaves) / mean
            mine.append(trip / slower)
            took, planned = took + trip / slower, planned + mean
        known = [trip for trip in mine if math.isfinite(trip)]
        usual = sum(known) / len(known) if known else mean
        there = [trip if math.isfinite(trip) else usual for trip in mine]
        out[f"travel from {plant.name}"] = (*there, *[usual] * _MORE)
        weight = _of_the_day(plan, plant.travel, len(known))
        back = plant.back.mean * (usual / mean) ** weight
        out[f"way back to {plant.name}"] = (back,) * _MORE
    return out, took / planned if planned else 1.0


def _of_the_day(plan: Ready, travel: Distribution, trips: int) -> float:
    """How much of what trips were slower is the day's and not chance of so many trips (0 to 1)."""
    day = plan.scenario.day_to_day.travel_sd
    noise = (travel.value_at(0.84) - travel.value_at(0.16)) / 2 / max(1.0, travel.mean)
    return day**2 / (day**2 + noise**2 / trips) if day and trips else 0.0


def _with_pace(
    scenario: Scenario, plan: Plan, layout: Layout, pace: Sequence[float]
) -> tuple[Scenario, Plan, Layout]:
    """Pump, crew and trucks of each front so many times as fast, the pump without a chance of its
    own for the day: who of them holds the others up stays as planned."""
    pumps, crews = dict(scenario.pumps), dict(scenario.crews)
    fronts, access = [], []
    for number, (front, way, x) in enumerate(zip(plan.fronts, layout.access, pace, strict=True)):
        pump, crew = pumps[front.pump], crews[front.crew]
        names = f"{front.pump} {number}", f"{front.crew} {number}"
        pumps[names[0]] = replace(
            pump,
            output=fixed(pump.output.mean * x),
            skip_fill=pump.skip_fill.scaled(1.0 / x),
            skip_empty=pump.skip_empty.scaled(1.0 / x),
        )
        crews[names[1]] = replace(
            crew,
            rate_per_placer=crew.rate_per_placer * x,
            screed=None if crew.screed is None else crew.screed * x,
            front_speed=None if crew.front_speed is None else crew.front_speed * x,
        )
        fronts.append(replace(front, pump=names[0], crew=names[1]))
        access.append(replace(way, lift=tuple(lift / x for lift in way.lift)))
    mean = sum(pace) / len(pace)
    supply = replace(scenario.supply, discharge=scenario.supply.discharge.scaled(1.0 / mean))
    scenario = replace(scenario, pumps=pumps, crews=crews, supply=supply)
    return (
        scenario,
        replace(plan, fronts=tuple(fronts)),
        replace(layout, access=tuple(access)),
    )


def _without_stops(scenario: Scenario) -> Scenario:
    """Nothing blocks or breaks down and no rain falls but what is told."""
    pumps = {n: replace(p, between_blockages=None) for n, p in scenario.pumps.items()}
    return replace(scenario, pumps=pumps, weather=replace(scenario.weather, rain=()))


def _without_losses(scenario: Scenario) -> Scenario:
    """No load is lost but those told: none fails a test, none gets too old."""
    rule = replace(scenario.supply.age_rule, limit=_FOR_EVER, warm_from=None)
    mix = replace(scenario.mix, reject_share=0.0, slump_loss=0.0)
    return replace(scenario, supply=replace(scenario.supply, age_rule=rule), mix=mix)


def _with_breaks(scenario: Scenario, seen: Seen) -> Scenario:
    """The breaks that were told, when they were taken."""
    breaks = tuple(
        Break(stop.since, None, stop.until - stop.since)
        for stop in sorted(seen.stops, key=lambda stop: stop.since)
        if stop.is_break
    )
    return replace(scenario, site=replace(scenario.site, breaks=breaks, late_by=0.0, early=0.0))
