"""Play many days of many plans, the same seeds for every plan, in parallel processes."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.play import play
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import group_peaks
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.base.upsets import Upset
from pourday.study.metrics import NAMES, day_row

_CHUNK = 25


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


def one_day(basis: Basis, seed: int, upsets: tuple[Upset, ...] | None = None) -> Outcome:
    """Play and measure the day with this seed, with its own upsets or with just these."""
    return measure(basis, play(basis.scenario, basis.plan, basis.layout, seed, upsets))


def measured(basis: Basis, seeds: Iterable[int]) -> Iterator[Outcome]:
    """Play and measure the days with these seeds, one after another."""
    fixed = basis.scenario.loads.heap_height_factor.is_fixed
    known = group_peaks(basis, None) if fixed else None
    for seed in seeds:
        yield measure(basis, play(basis.scenario, basis.plan, basis.layout, seed), known)


def process_pool(workers: int) -> ProcessPoolExecutor:
    """Processes to play days in."""
    # A forked worker has the program in memory already; elsewhere it has to import it anew.
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("fork" if "fork" in methods else methods[0])
    return ProcessPoolExecutor(workers, mp_context=context)


def play_days(basis: Basis, seeds: Sequence[int]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Metrics (days, metrics) of the days with these seeds, and on how many each pair went cold."""
    rows = []
    cold = np.zeros(len(basis.pair_first), dtype=np.int64)
    for outcome in measured(basis, seeds):
        rows.append(day_row(outcome))
        cold += np.nan_to_num(outcome.edges.ratio) > 1.0
    return np.array(rows), cold


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
    """
    last = first_seed + days
    seeds = [range(k, min(k + _CHUNK, last)) for k in range(first_seed, last, _CHUNK)]
    jobs = [(plan, part) for part in range(len(seeds)) for plan in range(len(plans))]
    parts: dict[tuple[int, int], tuple[NDArray[np.float64], NDArray[np.int64]]] = {}
    count = workers or os.cpu_count() or 1
    if count == 1 or len(jobs) == 1:
        for plan, part in jobs:
            parts[plan, part] = play_days(plans[plan], seeds[part])
            told(len(seeds[part]))
    else:
        _play_in_processes(plans, seeds, jobs, min(count, len(jobs)), parts, told)
    out = []
    for number, each in enumerate(plans):
        mine = [parts[number, part] for part in range(len(seeds))]
        values = np.concatenate([rows for rows, _ in mine])
        cold = sum(count for _, count in mine) / days
        out.append(PlanDays(each.plan.name, first_seed, values, np.asarray(cold)))
    return tuple(out)


def _play_in_processes(
    plans: Sequence[Basis],
    seeds: Sequence[range],
    jobs: Sequence[tuple[int, int]],
    workers: int,
    parts: dict[tuple[int, int], tuple[NDArray[np.float64], NDArray[np.int64]]],
    told: Callable[[int], None],
) -> None:
    with process_pool(workers) as pool:
        asked: dict[Future[tuple[NDArray[np.float64], NDArray[np.int64]]], tuple[int, int]] = {
            pool.submit(play_days, plans[plan], seeds[part]): (plan, part) for plan, part in jobs
        }
        for done in as_completed(asked):
            plan, part = asked[done]
            parts[plan, part] = done.result()
            told(len(seeds[part]))
