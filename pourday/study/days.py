"""Play many days of many plans, the same seeds for every plan, in parallel processes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.front.ready import ready
from pourday.day.play import play, play_ready
from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.base.upsets import Upset
from pourday.study.engine.jobs import Work, work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.engine.run import engine_for, run
from pourday.study.metrics import NAMES, day_rows


@dataclass(frozen=True, eq=False)
class PlanDays:
    """The days of one plan: ``values`` (days, metrics), columns as ``metrics.NAMES``.

    ``pair_cold`` (P,) is the share of days on which each edge pair went cold.
    """

    plan: str
    first_seed: int
    values: NDArray[np.float64]
    pair_cold: NDArray[np.float64]

    def of(self, metric: str) -> NDArray[np.float64]:
        """The days of one metric, (days,)."""
        return self.values[:, NAMES.index(metric)]

    @property
    def days(self) -> int:
        """How many days were played."""
        return len(self.values)


def blind_day(basis: Basis, seed: int, upsets: tuple[Upset, ...] | None = None) -> Outcome:
    """As :func:`one_day`, on which nobody knows how long a stop lasts before it is over."""
    plan = ready(basis.scenario, basis.plan, basis.layout)
    return measure(basis, play_ready(plan, seed, upsets, blind=True))


def one_day(basis: Basis, seed: int, upsets: tuple[Upset, ...] | None = None) -> Outcome:
    """Play and measure the day with this seed, with its own upsets or with just these."""
    return measure(basis, play(basis.scenario, basis.plan, basis.layout, seed, upsets))


@dataclass(frozen=True, eq=False)
class Study:
    """Days of plans to be played: the ``work``, and the ``ledger`` of what is played already."""

    work: Work
    ledger: Ledger

    @property
    def plan_days(self) -> tuple[PlanDays, ...]:
        """The days of each plan, as far as they are complete for all plans.

        Raises:
            ValueError: where there is none yet.
        """
        return self.first_days(self.ledger.complete_days)

    def first_days(self, days: int) -> tuple[PlanDays, ...]:
        """The first ``days`` of each plan, which are complete and whole jobs.

        Raises:
            ValueError: for no day.
        """
        ledger = self.ledger
        if not days:
            raise ValueError("no day of the study is complete")
        return tuple(
            PlanDays(
                plan.name,
                ledger.first_seed,
                ledger.rows_of(n)[:days],
                ledger.cold_of(n, days) / days,
            )
            for n, plan in enumerate(self.work.plans)
        )


def study_of(plans: Sequence[Basis], days: int, first_seed: int = 0) -> Study:
    """The study of these plans, no day of it played yet.

    Raises:
        TooManyDaysError: where its rows would take more than 1 GB.
    """
    work = work_on(plans, day_rows)
    return Study(work, Ledger(work, first_seed, days, len(NAMES)))


def study_plans(
    plans: Sequence[Basis],
    days: int,
    first_seed: int = 0,
    workers: int | None = None,
    told: Callable[[int], None] = lambda days: None,
) -> tuple[PlanDays, ...]:
    """Play ``days`` days of every plan; day k has seed ``first_seed + k`` in all of them.

    Args:
        plans: bases of the plans.
        days: how many days, 1 or more.
        first_seed: seed of the first day.
        workers: processes; all cores unless told; 1 plays in this process.
        told: called with the number of days just finished (for a progress bar).

    Raises:
        TooManyDaysError: where the rows would take more than 1 GB.
        WorkersLostError: where processes died, and died again.
    """
    study = study_of(plans, days, first_seed)
    with engine_for(workers, len(study.ledger.jobs)) as engine:
        run(engine, study.work, study.ledger, told)
    return study.plan_days
