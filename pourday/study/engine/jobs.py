"""What is played at a time: a range of days of all plans, cut in the same places on every run.

Days are cut at every 25th from the first seed, whatever the number of workers and wherever a study
is taken up again; where 25 days of all plans would take too long, each 25 are cut into even parts.
So every row comes out of the same piece of work, and has the same bits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from pourday.day.chance.streams import DaySeed
from pourday.day.front.ready import Ready, ready
from pourday.day.play import play_ready
from pourday.outcome.base.basis import Basis
from pourday.outcome.base.weather import Weather, same_weather, weather_of
from pourday.outcome.days import DaysOutcome, measure_days
from pourday.outcome.deck.envelope import Envelope, envelope
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.prepare import prepare_each

BLOCK = 25
"""Jobs are cut at every so many days from the first seed."""
_JOB = 0.5
# Rough cost of a day (s): of itself, of each load, of each strip (measured, docs/speed.md). A
# number that everybody works out alike, not a clock: the cut must not depend on the machine.
_DAY, _LOAD, _STRIP = 1e-3, 1.2e-4, 3.5e-5

Numbers = tuple[int, ...] | None
"""Plans of a work, by their place in it, in that order; None is all of them."""
Row = Callable[[DaysOutcome], NDArray[np.float64]]
"""The figures of days, (days, figures); a function at the top of a module, so that other processes
find it."""
Again = Callable[[DaySeed], Sequence[DaySeed | None]]
"""As what a day is played again, as many for every day; a function at the top of a module too."""


@dataclass(frozen=True)
class Piece:
    """What is asked for at once: ``days`` (their seeds) of the plans ``of``."""

    days: range
    of: Numbers = None


@dataclass(frozen=True, eq=False)
class Rows:
    """What a job brings.

    ``values`` (plans, days, figures); ``cold`` for each plan on how many of the days each of its
    edge pairs went cold, (pairs,).
    """

    values: NDArray[np.float64]
    cold: tuple[NDArray[np.int64], ...]


@dataclass(frozen=True, eq=False)
class _Ready:
    """A plan, and what is the same on all its days: ``deck`` is what it may feel on any of them."""

    basis: Basis
    plan: Ready
    deck: Envelope


def _made_ready(bases: Sequence[Basis]) -> tuple[_Ready, ...]:
    """Plans made ready; those that share a layout share what the deck may feel on it."""
    decks: dict[int, Envelope] = {}
    out = []
    for each in bases:
        if id(each.groups) not in decks:
            decks[id(each.groups)] = envelope(each)
        plan = ready(each.scenario, each.plan, each.layout)
        out.append(_Ready(each, plan, decks[id(each.groups)]))
    return tuple(out)


def _measured(
    plan: _Ready, seeds: Sequence[DaySeed], weather: Weather | None = None
) -> DaysOutcome:
    """Days of a plan, played one after another and measured in one go."""
    logs = [play_ready(plan.plan, seed) for seed in seeds]
    return measure_days(plan.basis, logs, plan.deck, weather)


@dataclass(frozen=True, eq=False)
class Work:
    """What all jobs of a study share: plans of a scenario, and the figures wanted of a day.

    Where it is sent to another process only this goes there, and the plans are laid out there,
    once. ``scenarios`` are those of the plans where they are not all ``scenario``: the same floor
    with other times, trucks or places, so that they share its layouts, or parts of a floor.

    ``again`` says as what each day is played once more, after it was played: a day with the same
    number and other chance, or ``None`` where that would be the same day. Its figures stand behind
    those of the day.
    """

    scenario: Scenario
    plans: tuple[Plan, ...]
    row: Row
    scenarios: tuple[Scenario, ...] = ()
    again: Again | None = None

    @cached_property
    def bases(self) -> tuple[Basis, ...]:
        """The plans prepared, when first asked."""
        own = self.scenarios or (self.scenario,) * len(self.plans)
        return prepare_each(list(zip(own, self.plans, strict=True)))

    def __getstate__(self) -> dict[str, Any]:
        """Without what was prepared: it is large, and made anew in less time than it is sent."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    def rows(self, days: range, of: Numbers = None) -> Rows:
        """Play and measure these days (their seeds) of these plans, every plan unless told."""
        plans = self._ready if of is None else [self._ready[number] for number in of]
        seeds = [DaySeed(day) for day in days]  # chance is drawn once a day, for all plans
        values, cold, first = [], [], plans[0].basis
        weather = weather_of(first, seeds)
        for each in plans:
            its = weather if same_weather(first, each.basis) else None
            outcome = _measured(each, seeds, its)
            row = self.row(outcome)
            # Not before: what a day has drawn is known once it is played and measured.
            others = [] if self.again is None else list(zip(*map(self.again, seeds), strict=True))
            values.append(np.hstack([row, *(self._again(each, other, row) for other in others)]))
            cold.append((outcome.by_pair(outcome.edges.ratio) > 1.0).sum(axis=0, dtype=np.int64))
        return Rows(np.array(values), tuple(cold))

    def _again(
        self, plan: _Ready, seeds: Sequence[DaySeed | None], row: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """The figures of the days played again; as they were where there is no other day."""
        changed = [n for n, seed in enumerate(seeds) if seed is not None]
        values = row.copy()
        if changed:
            values[changed] = self.row(_measured(plan, [s for s in seeds if s is not None]))
        return values

    @cached_property
    def _ready(self) -> tuple[_Ready, ...]:
        return _made_ready(self.bases)


def work_on(bases: Sequence[Basis], row: Row) -> Work:
    """The work on plans that are prepared already; all of one floor, or of parts of it."""
    own = tuple(each.scenario for each in bases)
    scenarios = own if any(each != own[0] for each in own) else ()
    work = Work(own[0], tuple(each.plan for each in bases), row, scenarios)
    work.__dict__["bases"] = tuple(bases)
    return work


class Engine(Protocol):
    """Where jobs are worked out.

    ``at_once`` is how many should be asked for at a time, so that nobody waits for work.
    """

    at_once: int

    def share(self, work: Work) -> Any:
        """Hand out the work; what comes back is to be given with every job of it.

        The same work shared again is the same thing, and is not sent again.
        """

    def rows(self, handle: Any, days: range, of: Numbers = None) -> Future[Rows]:
        """Ask for the rows of these days (their seeds) of these plans, all unless told.

        The future fails with ``concurrent.futures.BrokenExecutor`` where whoever worked it out
        has died.
        """

    def renew(self) -> None:
        """Begin anew after somebody died: handles still hold, jobs have to be asked for again."""

    def stop(self) -> None:
        """Stop at once, whatever is going on; nothing is left running. May be called again."""


def jobs_of(work: Work, first_seed: int, days: int) -> tuple[range, ...]:
    """The jobs of a study, in order: ranges of seeds that together are its days."""
    size, last = job_size(work.bases), first_seed + days
    return tuple(
        range(begin, min(begin + size, block + BLOCK, last))
        for block in range(first_seed, last, BLOCK)
        for begin in range(block, min(block + BLOCK, last), size)
    )


def pieces_of(bases: Sequence[Basis], of: tuple[int, ...], days: range) -> tuple[Piece, ...]:
    """Days of some of many plans as pieces: all days of a few plans, so long as that takes.

    Whoever measures the days of a plan together has more of them so than by the day; a plan whose
    days alone would take too long is cut by days, at every 25th.
    """
    groups: list[list[int]] = []
    left = 0.0
    for number in of:
        cost = _cost(bases[number]) * min(len(days), BLOCK)
        if not groups or cost > left:
            groups.append([])
            left = _JOB
        groups[-1].append(number)
        left -= cost
    return tuple(
        Piece(range(begin, min(begin + size, block + BLOCK, days.stop)), tuple(group))
        for group in groups
        for size in (job_size([bases[number] for number in group]),)
        for block in range(days.start, days.stop, BLOCK)
        for begin in range(block, min(block + BLOCK, days.stop), size)
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
