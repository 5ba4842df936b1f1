"""The same plan begun at another hour: what the air takes, when all is done, what goes cold."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.concrete.drying import peak_evaporation
from pourday.outcome.measure import Outcome
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.days import measured, process_pool
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
        ValueError: for no start or no day.
        pourday.floor.order.graph.OrderError, pourday.deck.ponding.DeckTooSoftError,
        pourday.deck.grillage.BeamTooSoftError: as in :func:`pourday.floor.layout.lay_out`.
    """
    days = len(seeds)
    if not starts or not days:
        raise ValueError(f"{len(starts)} starts and {days} days: at least one of each")
    layout = lay_out(scenario, plan)
    bases = [basis(scenario, plan.starting_at(start), layout) for start in starts]
    rows = []
    for each in _played(bases, seeds, min(workers or os.cpu_count() or 1, len(bases))):
        told(days)
        rows.append(each)
    return StartTimes(
        plan=plan.name,
        days=days,
        first_seed=seeds.start,
        starts=tuple(_summary(start, row) for start, row in zip(starts, rows, strict=True)),
    )


def _played(
    bases: Sequence[Basis], seeds: range, workers: int
) -> Sequence[NDArray[np.float64]] | map[NDArray[np.float64]]:
    """Rows of every basis in turn, in other processes where there is more than one worker."""
    job = partial(_days, seeds=seeds)
    if workers == 1:
        return map(job, bases)
    with process_pool(workers) as pool:
        return list(pool.map(job, bases))


def _days(plan: Basis, seeds: range) -> NDArray[np.float64]:
    """One row a day: see `_row`."""
    return np.array([_row(outcome) for outcome in measured(plan, seeds)])


def _row(outcome: Outcome) -> tuple[float, ...]:
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
