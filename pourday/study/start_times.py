"""The same plan begun at another hour: what the air takes, when all is done, what goes cold."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import basis
from pourday.outcome.concrete.drying import peak_evaporation
from pourday.outcome.measure import Outcome
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.engine.jobs import Work, work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.engine.run import engine_for, run
from pourday.study.statistics import Interval, Spread, spread, wilson

HOUR = 3600.0


@dataclass(frozen=True)
class StartTime:
    """One start over its days.

    ``start`` s since midnight. ``evaporation`` peak rate from screed to cover, kg/m²/h;
    ``last_concrete`` and ``finished`` h since midnight, the latter the end of the last pass of
    the power float (final set of the last concrete where nobody finishes); ``missed_area`` m²
    floated after its window. ``cold``, ``stiff`` and ``past_curfew`` are chances with their Wilson
    interval (of a cold joint; of a stiff edge; of work after the curfew by those whom it is for, as
    in a comparison), and so are ``pump_past_curfew`` (wash-out), ``finishing_past_curfew`` and
    ``unfinished`` (concrete was left to place).
    """

    start: float
    evaporation: Spread
    last_concrete: Spread
    finished: Spread
    missed_area: Spread
    cold: Interval
    stiff: Interval
    past_curfew: Interval
    pump_past_curfew: Interval
    finishing_past_curfew: Interval
    unfinished: Interval


@dataclass(frozen=True)
class StartTimes:
    """A plan begun at several hours; every start met the same ``days`` seeds."""

    plan: str
    days: int
    first_seed: int
    starts: tuple[StartTime, ...]


def hours_of_day(first: float, last: float) -> tuple[float, ...]:
    """Every hour from ``first`` to ``last`` (s since midnight), both included where they fit."""
    return tuple(first + k * HOUR for k in range(int((last - first) / HOUR + 1e-9) + 1))


@dataclass(frozen=True, eq=False)
class StartStudy:
    """A plan begun at ``starts`` (s since midnight): the work, and the ledger of what is played."""

    plan: str
    starts: tuple[float, ...]
    work: Work
    ledger: Ledger

    @property
    def found(self) -> StartTimes:
        """What the days say that are complete for all starts, one or more of them."""
        ledger = self.ledger
        return StartTimes(
            plan=self.plan,
            days=ledger.complete_days,
            first_seed=ledger.first_seed,
            starts=tuple(_summary(start, ledger.rows_of(n)) for n, start in enumerate(self.starts)),
        )


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
    bases = [basis(scenario, plan.starting_at(start), layout) for start in starts]
    work = work_on(bases, start_row)
    ledger = Ledger(work, seeds.start, len(seeds), _FIGURES)
    return StartStudy(plan.name, tuple(starts), work, ledger)


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
        scenario: the scenario; breaks, curfew, weather and plants keep their clock times.
        plan: the plan, whose own start does not matter.
        starts: clock times (s since midnight), one or more.
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


_FIGURES = 10


def start_row(outcome: Outcome) -> tuple[float, ...]:
    """The figures of a day by which starts are compared, in the order of :class:`StartTime`."""
    done, plan = outcome.finishing, outcome.basis
    peak, _ = peak_evaporation(plan, outcome.fronts, done.covered)
    return (
        peak,
        outcome.log.end / HOUR,
        outcome.hours[0].finishers_until / HOUR,
        done.missed_area,
        float(outcome.edges.cold),
        float(outcome.edges.stiff),
        float(outcome.past_curfew),
        float(outcome.pump_past_curfew),
        float(done.past_curfew),
        float(outcome.log.unfinished > 0),
    )


def _summary(start: float, rows: NDArray[np.float64]) -> StartTime:
    evaporation, last, finished, missed = (spread(column) for column in rows[:, :4].T)
    chances = (wilson(int(column.sum()), len(rows)) for column in rows[:, 4:].T)
    return StartTime(start, evaporation, last, finished, missed, *chances)
