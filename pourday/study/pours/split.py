"""A floor on one long day, or in parts on days of their own: limits, money, people, dates.

Every part is played as a day of its own, a floor between its stop ends, with the plan's pump, crew
and spacing. So call-outs, least paid hours, wash-outs and margins count once a day. The edge at a
stop end is a construction joint: nothing is placed against it while it is fresh, so it is not an
edge that could go cold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from pourday.floor.part import part_plan, part_scenario
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.level import AT_COLUMNS
from pourday.scenario.model.scenario import FloorPart, Plan, Scenario
from pourday.study.choice import Breach, of_the_deck, struck_off
from pourday.study.compare import PlanSummary, summarise
from pourday.study.days import PlanDays
from pourday.study.metrics import COST_PARTS
from pourday.study.pours.places import StopPlace, cuts, parts_of, stop_place, stop_places
from pourday.study.prepare import prepare
from pourday.study.statistics import Interval, Spread, paired_difference, spread
from pourday.study.verdict.evidence import BEYOND
from pourday.study.verdict.limits import known_of
from pourday.study.verdict.verdict import looked_at, race_of, verdict_of

COSTS = tuple(name.removeprefix("cost_") for name in COST_PARTS)
"""Kinds of cost of a day, as the metrics name them."""
STOP_ENDS = "stop_ends"


@dataclass(frozen=True, eq=False)
class Pouring:
    """A day on which ``part`` of the floor is to be poured, laid out and not played yet."""

    name: str
    date: date
    part: FloorPart
    basis: Basis

    @property
    def volume(self) -> float:
        """Concrete to place as struck (m³)."""
        return float(self.basis.layout.volume.sum())

    @property
    def area(self) -> float:
        """Area of concrete (m²)."""
        return self.basis.layout.cut.area

    @property
    def people(self) -> int:
        """Everybody who is called for the day; reliefs come on top."""
        crews = self.basis.scenario.crews
        return sum(crews[front.crew].persons for front in self.basis.plan.fronts)


@dataclass(frozen=True, eq=False)
class Poured:
    """A pouring over its days: figures, and the limits that it does not keep."""

    pouring: Pouring
    days: PlanDays
    summary: PlanSummary
    breaches: tuple[Breach, ...]


@dataclass(frozen=True, eq=False)
class Split:
    """Pours that together are the floor, in order of their days, and the stop ends between them.

    ``stop_end_cost`` is what all stop ends cost at ``prices.stop_end_per_m``. ``cost`` is the
    spread of the total, each pour on a day of its own; ``against`` how much more it is than the
    long day, the mean with its interval, paired by day; ``by_kind`` the same difference in means,
    kind by kind.
    """

    pours: tuple[Poured, ...]
    ends: tuple[StopPlace, ...]
    stop_end_cost: float
    cost: Spread
    against: Interval
    by_kind: dict[str, float]

    @property
    def holds(self) -> bool:
        """Whether every pour keeps the limits on the days played."""
        return not any(each.breaches for each in self.pours)

    @property
    def crew_days(self) -> int:
        """People called, added up over the pours."""
        return sum(each.pouring.people for each in self.pours)


@dataclass(frozen=True, eq=False)
class SplitStudy:
    """The long day, the splits tried (best first), or the pours of the file; ``days`` each.

    ``given`` says that the parts are the file's. ``places`` are all places for a stop end that were
    looked at.
    """

    plan: str
    days: int
    long: Poured
    splits: tuple[Split, ...]
    places: tuple[StopPlace, ...]
    given: bool

    @property
    def not_mended(self) -> tuple[str, ...]:
        """Kinds of limit that every pour of every split breaks: less floor does not help."""
        pours = [pour for split in self.splits for pour in split.pours]
        kinds = [{breach.kind for breach in pour.breaches} for pour in pours]
        return tuple(sorted(set.intersection(*kinds))) if kinds else ()

    @property
    def best(self) -> Split | None:
        """The split to prefer; None where there is none at all."""
        return self.splits[0] if self.splits else None


Play = Callable[[Sequence[Basis]], Sequence[PlanDays]]
"""Plays the same days of several bases, of parts of one floor."""


def find_split(
    scenario: Scenario, plan: Plan, play: Play, parts: int | None = None, most: int = 4
) -> SplitStudy:
    """The long day, and the cheapest split whose pours all keep the limits.

    Args:
        scenario: the scenario; its [[pour]] tables are not looked at.
        plan: the plan that pours every part.
        play: plays days.
        parts: how many parts; unless told as few as keep the limits, two or more.
        most: parts beyond which no split is looked for.

    Raises:
        pourday.scenario.base.faults.ScenarioError: where the plan cannot pour the floor or a part.
    """
    forward = plan.begin_at == "low_x"
    places = stop_places(scenario.floor, forward)
    known: dict[FloorPart, Poured] = {}
    whole = FloorPart(scenario.floor.supports[0], scenario.floor.supports[-1])
    found: list[Split] = []
    wanted = (parts,) if parts is not None else tuple(range(2, most + 1))
    for count in wanted:
        ways = [(ends, parts_of(scenario.floor, ends, forward)) for ends in cuts(places, count)]
        needed = dict.fromkeys([whole, *(part for _, each in ways for part in each)])
        _play_missing(scenario, plan, list(needed), known, play)
        found += [
            split_of(scenario, known[whole], [known[part] for part in each], ends)
            for ends, each in ways
        ]
        if any(split.holds for split in found):
            break
    days = known[whole].days.days
    ordered = tuple(sorted((_dated(scenario, each) for each in found), key=_worth))
    return SplitStudy(plan.name, days, known[whole], ordered, places, False)


def given_split(scenario: Scenario, play: Play, plan: Plan | None = None) -> SplitStudy:
    """The pours of the file, and beside them one long day of ``plan``.

    That is the plan of the first pour unless told.

    Raises:
        ValueError: where the file has no pours.
        pourday.scenario.base.faults.ScenarioError: where a plan cannot pour its part.
    """
    if not scenario.pours:
        raise ValueError("the scenario has no pours")
    long_plan = plan or scenario.plan(scenario.pours[0].plan)
    floor = scenario.floor
    whole = FloorPart(floor.supports[0], floor.supports[-1])
    pourings = [_pouring(scenario, long_plan, whole, ("the long day", scenario.date))]
    done: list[tuple[float, float]] = []
    for each in scenario.pours:
        part = FloorPart(
            each.low,
            each.high,
            any(abs(high - each.low) < 1e-6 for _, high in done),
            any(abs(low - each.high) < 1e-6 for low, _ in done),
        )
        done.append((each.low, each.high))
        own = replace(scenario, weather=each.weather or scenario.weather)
        pourings.append(_pouring(own, scenario.plan(each.plan), part, (each.name, each.date)))
    long, *pours = _played(pourings, play)
    inner = sorted({round(x, 6) for low, _ in done for x in (low,)} - {round(whole.low, 6)})
    ends = tuple(stop_place(floor, x) for x in inner)
    split = split_of(scenario, long, pours, ends)
    return SplitStudy(long_plan.name, long.days.days, long, (split,), ends, True)


def split_of(
    scenario: Scenario, long: Poured, pours: Sequence[Poured], ends: Sequence[StopPlace]
) -> Split:
    """Pours added up and held against the long day."""
    form = sum(end.length for end in ends) * scenario.prices.stop_end
    each_day = [pour.days.of("cost_total") for pour in pours]
    # Every pour has a day of its own: day k of the first goes with day k + 1 of the second.
    total = sum((np.roll(cost, -n) for n, cost in enumerate(each_day)), np.zeros(len(each_day[0])))
    alike = sum(each_day, np.zeros(len(each_day[0]))) + form
    by_kind = {kind: sum(_mean(pour, kind) for pour in pours) - _mean(long, kind) for kind in COSTS}
    return Split(
        pours=tuple(pours),
        ends=tuple(ends),
        stop_end_cost=form,
        cost=spread(total + form),
        against=paired_difference(long.days.of("cost_total"), alike),
        by_kind=by_kind | {STOP_ENDS: form},
    )


def _mean(pour: Poured, kind: str) -> float:
    return float(pour.days.of(f"cost_{kind}").mean())


def _worth(split: Split) -> tuple[float, ...]:
    """Least first: a floor left unfinished, limits not kept and by how much, then money."""
    breaches = [breach for pour in split.pours for breach in pour.breaches]
    return (
        float(any(breach.kind == "unfinished" for breach in breaches)),
        float(len(breaches)),
        sum(breach.found - breach.limit for breach in breaches),
        split.cost.mean,
    )


def _dated(scenario: Scenario, split: Split) -> Split:
    """The pours on their days, named in order."""
    apart = scenario.site.days_between_pours
    pours = tuple(
        replace(
            pour,
            pouring=_on(pour.pouring, f"pour {n + 1}", scenario.date + timedelta(days=n * apart)),
        )
        for n, pour in enumerate(split.pours)
    )
    return replace(split, pours=pours)


def _on(pouring: Pouring, name: str, day: date) -> Pouring:
    own = replace(pouring.basis, scenario=replace(pouring.basis.scenario, date=day))
    return replace(pouring, name=name, date=day, basis=own)


def _play_missing(
    scenario: Scenario,
    plan: Plan,
    parts: Sequence[FloorPart],
    known: dict[FloorPart, Poured],
    play: Play,
) -> None:
    new = [part for part in parts if part not in known]
    if new:
        pourings = [_pouring(scenario, plan, part, ("", scenario.date)) for part in new]
        known |= dict(zip(new, _played(pourings, play), strict=True))


def _pouring(scenario: Scenario, plan: Plan, part: FloorPart, named: tuple[str, date]) -> Pouring:
    own = replace(part_scenario(scenario, part), date=named[1])
    return Pouring(*named, part, prepare(own, (part_plan(own, plan),))[0])


def _played(pourings: Sequence[Pouring], play: Play) -> list[Poured]:
    days = play([each.basis for each in pourings])
    return [_judged(pouring, mine) for pouring, mine in zip(pourings, days, strict=True)]


def _judged(pouring: Pouring, days: PlanDays) -> Poured:
    summary = summarise(days)
    return Poured(pouring, days, summary, limits_broken(pouring.basis, days))


def limits_broken(basis: Basis, days: PlanDays) -> tuple[Breach, ...]:
    """Limits of the scenario that a day does not keep: those over days, and those of the deck.

    A limit over days is taken as found on the days played: a split is chosen of dozens, each of
    which would ask for days of its own to be decided.
    """
    name, limits = basis.plan.name, basis.scenario.limits
    race = race_of([name], limits, {name: known_of(basis)})
    looked_at(race, [days], limits)
    standing = verdict_of(race, [name], limits).plans[0]
    found = tuple(
        Breach(each.kind, 1.0 if each.known else each.share.value, each.limit)
        for each in standing.limits
        if each.standing == BEYOND or (not each.known and each.share.value > each.limit)
    )
    off = struck_off([basis])[name]
    level = (Breach("level", off, AT_COLUMNS),) if off > AT_COLUMNS else ()
    return (*found, *level, *of_the_deck([basis])[name])
