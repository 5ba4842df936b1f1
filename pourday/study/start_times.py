"""The same plan begun at another hour: which starts are out, and which of the rest are best.

Every start meets the same days. Out go starts that are beyond a limit of the scenario, as surely as
a plan of a comparison is (:mod:`pourday.study.verdict.evidence`), or leave the pour unfinished on
any day: by :func:`pourday.study.choice.breaches_of`, so a limit that is added there counts here
too. Starts of which the days do not decide a limit stay, and say so. They are told apart by what is
asked, day by day; what the days cannot tell apart is a tie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import basis
from pourday.outcome.base.fronts import fronts_on
from pourday.outcome.concrete.drying import plastic_drying
from pourday.outcome.days import DaysOutcome
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.scenario.model.site import Site
from pourday.study.choice import Breach, breaches_of
from pourday.study.compare import PlanSummary, summarise
from pourday.study.days import PlanDays
from pourday.study.engine.jobs import Work, work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.engine.run import engine_for, run
from pourday.study.metrics import NAMES, day_rows
from pourday.study.statistics import Interval, Spread, paired_difference, spread
from pourday.study.verdict.evidence import NOT_DECIDED
from pourday.study.verdict.limits import known_of
from pourday.study.verdict.rounds import Race
from pourday.study.verdict.verdict import (
    LimitStanding,
    PlanStanding,
    looked_at,
    race_of,
    verdict_of,
)

HOUR, DAY = 3600.0, 86400.0
BY = ("drying", "finish", "cost")
"""By what starts may be told apart: least drying, shortest from start to finish, least cost."""

# Differences that nobody on a site would act on: kg/m²/h, h, and a share of the cost.
ALIKE = {"drying": 0.05, "finish": 0.25, "cost": 0.005}


@dataclass(frozen=True)
class StartTime:
    """One start over its days.

    ``start`` s since midnight of the pour day; from 24 h on it is the next day's.
    ``drying`` kg/m²/h as in :func:`pourday.outcome.concrete.drying.plastic_drying`;
    ``last_concrete`` and ``finished`` h since midnight, the latter the end of the last pass of
    the power float (final set of the last concrete where nobody finishes); ``on_site`` h from the
    start to then; ``cost`` in the scenario's currency; ``missed_area`` m² floated after its window.
    ``cold``, ``stiff`` and ``past_curfew`` are chances with their Wilson interval (of a cold
    joint; of a stiff edge; of work after the curfew by those whom it is for, as in a comparison),
    and so are ``pump_past_curfew`` (wash-out), ``finishing_past_curfew``, ``frost`` (concrete froze
    before it could stand it) and ``unfinished`` (concrete was left to place).
    ``breaches`` are the limits that put it out, ``standings`` what the days say of every limit.
    ``by_day`` has what starts are told apart by
    (:data:`BY`), a value for each day.
    """

    start: float
    drying: Spread
    last_concrete: Spread
    finished: Spread
    on_site: Spread
    cost: Spread
    missed_area: Spread
    cold: Interval
    stiff: Interval
    past_curfew: Interval
    pump_past_curfew: Interval
    finishing_past_curfew: Interval
    frost: Interval
    unfinished: Interval
    breaches: tuple[Breach, ...]
    standings: tuple[LimitStanding, ...]
    by_day: dict[str, tuple[float, ...]]

    @property
    def open(self) -> tuple[LimitStanding, ...]:
        """The limits that are not decided."""
        return tuple(each for each in self.standings if each.standing == NOT_DECIDED)


@dataclass(frozen=True)
class StartTimes:
    """A plan begun at several hours; every start met the same ``days`` seeds."""

    plan: str
    days: int
    first_seed: int
    starts: tuple[StartTime, ...]


@dataclass(frozen=True)
class Ranking:
    """Starts told apart by what was asked (``by``).

    ``best`` are the starts (s) that nothing puts out and that cannot be told from the best of
    them, from least to most; empty where every start is out. ``behind`` is how much each start
    that is not out has more than the first of them (kg/m²/h, h, or money), paired by day.
    """

    by: str
    best: tuple[float, ...]
    behind: dict[float, Interval]


def hours_of_day(first: float, last: float) -> tuple[float, ...]:
    """Every hour from ``first`` to ``last`` (s since midnight), both included where they fit.

    A ``last`` before ``first`` is the next day's: from 20 to 4 h is 20, 21 ... 28 h.
    """
    until = last if last >= first else last + DAY
    return tuple(first + k * HOUR for k in range(int((until - first) / HOUR + 1e-9) + 1))


@dataclass(frozen=True, eq=False)
class StartStudy:
    """A plan begun at ``starts`` (s since midnight): the work, and the ledger of what is played."""

    scenario: Scenario
    plan: str
    starts: tuple[float, ...]
    work: Work
    ledger: Ledger

    @property
    def found(self) -> StartTimes:
        """What the days say that are complete for all starts, one or more of them."""
        ledger, limits = self.ledger, self.scenario.limits
        days = [self._days(n, start) for n, start in enumerate(self.starts)]
        race = self.race
        looked_at(race, days, limits)
        standings = verdict_of(race, [each.plan for each in days], limits).plans
        return StartTimes(
            plan=self.plan,
            days=ledger.complete_days,
            first_seed=ledger.first_seed,
            starts=tuple(map(_summary, self.starts, days, standings)),
        )

    @property
    def race(self) -> Race:
        """The starts and the limits that days have to decide, no day looked at."""
        names = [_name(start) for start in self.starts]
        known = map(known_of, self.work.bases)
        return race_of(names, self.scenario.limits, dict(zip(names, known, strict=True)))

    def _days(self, number: int, start: float) -> PlanDays:
        values = np.array(self.ledger.rows_of(number))
        if _within_curfew(self.scenario.site, start):
            values[:, [NAMES.index("past_curfew"), NAMES.index("pump_past_curfew")]] = 1.0
        return PlanDays(_name(start), self.ledger.first_seed, values, np.zeros(0))


def _name(start: float) -> str:
    return f"begun at {start / HOUR:g} h"


def start_study(
    scenario: Scenario, plan: Plan, starts: Sequence[float], seeds: range
) -> StartStudy:
    """The study of :func:`start_times`, no day of it played yet.

    Raises:
        ValueError: for no start or no day; TooManyDaysError where rows would take more than 1 GB.
        pourday.floor.order.graph.OrderError, pourday.deck.ponding.DeckTooSoftError,
        pourday.deck.grillage.BeamTooSoftError: as in :func:`pourday.floor.layout.lay_out`.
    """
    if not starts or not seeds:
        raise ValueError(f"{len(starts)} starts and {len(seeds)} days: at least one of each")
    layout = lay_out(scenario, plan)  # the same for every start
    bases = [
        basis(_on_its_day(scenario, start), plan.starting_at(start), layout) for start in starts
    ]
    work = work_on(bases, start_rows)
    ledger = Ledger(work, seeds.start, len(seeds), len(NAMES) + 1)
    return StartStudy(scenario, plan.name, tuple(starts), work, ledger)


def start_times(
    scenario: Scenario,
    plan: Plan,
    starts: Sequence[float],
    seeds: range,
    workers: int | None = None,
    told: Callable[[int], None] = lambda days: None,
) -> StartTimes:
    """Begin a plan at each of several times; every start meets the days with the same seeds.

    Args:
        scenario: the scenario; weather and plants keep their clock times. Breaks, curfew and rush
            hours are those of the day on which a start falls.
        plan: the plan, whose own start does not matter.
        starts: clock times (s since midnight), one or more; from 24 h on the next day's.
        seeds: of the days to play with each start, one or more, one after another.
        workers: processes; all cores unless told; 1 plays in this process.
        told: called with the number of days just finished (for a progress bar).

    Raises:
        ValueError: for no start or no day; what else :func:`start_study` raises.
    """
    study = start_study(scenario, plan, starts, seeds)
    with engine_for(workers, len(study.ledger.jobs)) as engine:
        run(engine, study.work, study.ledger, told)
    return study.found


def ranked(found: StartTimes, by: str) -> Ranking:
    """The starts that keep the limits, told apart by one of :data:`BY`, day by day.

    Raises ValueError for an unknown ``by``.
    """
    if by not in BY:
        raise ValueError(f"by {by!r}: one of {', '.join(BY)}")
    left = {each.start: np.array(each.by_day[by]) for each in found.starts if not each.breaches}
    if not left:
        return Ranking(by, (), {})
    order = sorted(left, key=lambda start: (float(left[start].mean()), start))
    first = left[order[0]]
    behind = {start: paired_difference(first, left[start]) for start in order}
    alike = ALIKE[by] * (abs(float(first.mean())) if by == "cost" else 1.0)
    return Ranking(by, tuple(start for start in order if not behind[start].low > alike), behind)


def _on_its_day(scenario: Scenario, start: float) -> Scenario:
    """The scenario with the clock times that repeat daily put to the day of this start."""
    later = DAY * (start // DAY)
    if not later:
        return scenario
    site, supply = scenario.site, scenario.supply
    breaks = tuple(
        each if each.at is None else replace(each, at=each.at + later) for each in site.breaks
    )
    rush = tuple(
        replace(each, begins=each.begins + later, ends=each.ends + later)
        for each in supply.rush_hours
    )
    curfew = None if site.curfew is None else site.curfew + later
    return replace(
        scenario,
        site=replace(site, breaks=breaks, curfew=curfew),
        supply=replace(supply, rush_hours=rush),
    )


def _within_curfew(site: Site, start: float) -> bool:
    """Whether work begins before the curfew of the night is over; a file may not say when."""
    return site.curfew is not None and start % DAY < (site.curfew_ends or 0.0)


def start_rows(outcome: DaysOutcome) -> NDArray[np.float64]:
    """The figures of days by which starts are compared: the metrics, then the drying."""
    basis, covered = outcome.basis, outcome.finishing.covered
    dried = [
        plastic_drying(basis.on(day), fronts_on(basis, outcome.fronts, day), covered[day])
        for day in range(basis.days)
    ]
    return np.column_stack([day_rows(outcome), dried])


def _summary(start: float, days: PlanDays, standing: PlanStanding) -> StartTime:
    summary: PlanSummary = summarise(days)
    figures, chances = summary.figures, summary.chances
    asked = {by: _asked(days, start, by) for by in BY}
    return StartTime(
        start=start,
        drying=spread(asked["drying"]),
        last_concrete=figures["end_h"],
        finished=figures["finishing_end_h"],
        on_site=spread(asked["finish"]),
        cost=figures["cost_total"],
        missed_area=figures["missed_area_m2"],
        cold=chances["cold"],
        stiff=chances["stiff"],
        past_curfew=chances["past_curfew"],
        pump_past_curfew=chances["pump_past_curfew"],
        finishing_past_curfew=chances["finishing_past_curfew"],
        frost=chances["frost"],
        unfinished=chances["unfinished"],
        breaches=breaches_of(standing),
        standings=standing.limits,
        by_day={by: tuple(map(float, values)) for by, values in asked.items()},
    )


def _asked(days: PlanDays, start: float, by: str) -> NDArray[np.float64]:
    """What starts are told apart by, day by day (days,)."""
    if by == "drying":
        return days.values[:, len(NAMES)]
    if by == "finish":
        return days.of("finishing_end_h") - start / HOUR
    return days.of("cost_total")
