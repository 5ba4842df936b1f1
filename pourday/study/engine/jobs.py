"""What is played at a time: a range of days of all plans, cut in the same places on every run.

Days are cut at every 25th from the first seed, whatever the number of workers and wherever a study
is taken up again; where 25 days of all plans would take too long, each 25 are cut into even parts.
So every row comes out of the same piece of work, and has the same bits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from pourday.day.play import play
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import group_peaks
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.prepare import prepare

BLOCK = 25
"""Jobs are cut at every so many days from the first seed."""
_JOB = 0.5
# Rough cost of a day (s): of itself, of each load, of each strip (measured, docs/speed.md). A
# number that everybody works out alike, not a clock: the cut must not depend on the machine.
_DAY, _LOAD, _STRIP = 2e-3, 2e-4, 4e-5

Row = Callable[[Outcome], tuple[float, ...]]
"""The figures of one day; a function at the top of a module, so that other processes find it."""


@dataclass(frozen=True, eq=False)
class Rows:
    """What a job brings.

    ``values`` (plans, days, figures); ``cold`` for each plan on how many of the days each of its
    edge pairs went cold, (pairs,).
    """

    values: NDArray[np.float64]
    cold: tuple[NDArray[np.int64], ...]


@dataclass(frozen=True, eq=False)
class Work:
    """What all jobs of a study share: plans of a scenario, and the figures wanted of a day.

    Where it is sent to another process only this goes there, and the plans are laid out there,
    once.
    """

    scenario: Scenario
    plans: tuple[Plan, ...]
    row: Row

    @cached_property
    def bases(self) -> tuple[Basis, ...]:
        """The plans prepared, when first asked."""
        return prepare(self.scenario, self.plans)

    def __getstate__(self) -> dict[str, Any]:
        """Without what was prepared: it is large, and made anew in less time than it is sent."""
        return {k: v for k, v in self.__dict__.items() if k != "bases"}

    def rows(self, days: range) -> Rows:
        """Play and measure these days (their seeds) of every plan."""
        played = [_played(basis, days, self.row) for basis in self.bases]
        return Rows(np.array([values for values, _ in played]), tuple(cold for _, cold in played))


def work_on(bases: Sequence[Basis], row: Row) -> Work:
    """The work on plans that are prepared already; all of one scenario."""
    work = Work(bases[0].scenario, tuple(basis.plan for basis in bases), row)
    work.__dict__["bases"] = tuple(bases)
    return work


class Engine(Protocol):
    """Where jobs are worked out.

    ``at_once`` is how many should be asked for at a time, so that nobody waits for work.
    """

    at_once: int

    def share(self, work: Work) -> Any:
        """Hand out the work, once; what comes back is to be given with every job of it."""

    def rows(self, handle: Any, days: range) -> Future[Rows]:
        """Ask for the rows of these days (their seeds).

        The future fails with ``concurrent.futures.BrokenExecutor`` where whoever worked it out
        has died.
        """

    def renew(self) -> None:
        """Begin anew after somebody died: handles still hold, jobs have to be asked for again."""

    def stop(self) -> None:
        """Stop at once, whatever is going on; nothing is left running. May be called again."""


def measured(basis: Basis, seeds: Sequence[int]) -> Iterator[Outcome]:
    """Play and measure the days with these seeds, one after another."""
    fixed = basis.scenario.loads.heap_height_factor.is_fixed
    known = group_peaks(basis, None) if fixed else None
    for seed in seeds:
        yield measure(basis, play(basis.scenario, basis.plan, basis.layout, seed), known)


def _played(
    basis: Basis, seeds: Sequence[int], row: Row
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    rows = []
    cold = np.zeros(len(basis.pair_first), dtype=np.int64)
    for outcome in measured(basis, seeds):
        rows.append(row(outcome))
        cold += np.nan_to_num(outcome.edges.ratio) > 1.0
    return np.array(rows), cold


def jobs_of(work: Work, first_seed: int, days: int) -> tuple[range, ...]:
    """The jobs of a study, in order: ranges of seeds that together are its days."""
    size, last = job_size(work.bases), first_seed + days
    return tuple(
        range(begin, min(begin + size, block + BLOCK, last))
        for block in range(first_seed, last, BLOCK)
        for begin in range(block, min(block + BLOCK, last), size)
    )


def job_size(bases: Sequence[Basis]) -> int:
    """Days of a job: 25, or an even part of them where all plans would take over half a second."""
    parts = math.ceil(BLOCK * sum(map(_cost, bases)) / _JOB)
    return math.ceil(BLOCK / min(parts, BLOCK))


def _cost(basis: Basis) -> float:
    """About how long a day of a plan takes (s) to play and measure."""
    load = basis.plan.load or basis.scenario.supply.load
    loads = math.ceil(float(basis.layout.volume.sum()) / load)
    return _DAY + _LOAD * loads + _STRIP * len(basis.layout.strips)
