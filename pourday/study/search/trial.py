"""Candidates on trial: their rows as they come in, and what these say of limits and of cost.

Limits are decided by ``verdict.evidence``, costs by the widths of ``verdict.selection``, both right
at any number of looks. Other than in a comparison, candidates need not have the same days: two are
told apart on the days that both have played, from the first on. So a few leaders can be played
ahead until one of them is known to keep its limits, and then put out at once whatever costs more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.level import AT_COLUMNS
from pourday.scenario.model.scenario import Limits
from pourday.study.choice import of_the_deck, struck_off
from pourday.study.days import PlanDays
from pourday.study.engine.jobs import Work, work_on
from pourday.study.metrics import NAMES, day_rows
from pourday.study.verdict.evidence import BEYOND, NOT_DECIDED, WITHIN, standing
from pourday.study.verdict.limits import DayLimit, bad_days, day_limits, known_of, rules_for
from pourday.study.verdict.rounds import Rules
from pourday.study.verdict.selection import h_squared

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

FIRST = 25
"""Days of the first look at costs; KN's first stage. Limits are looked at from the first day on."""
NOBODY = -1
_COST = NAMES.index("cost_total")


class Trial:
    """All candidates, by number in the order of ``bases``.

    ``out`` (n,): ruled out without days. ``like`` (n,): the candidate with the same rows as which
    it counts, itself where there is none. ``given_up`` (n,): for whom it was given up by cost, else
    :data:`NOBODY`. ``delta``: the difference in cost that nobody would act on, nan before the first
    look. ``steps`` (n,): how far each is above the least of what has no price (``keys.steps_of``);
    a step more has to save ``delta``, or it is not worth naming.
    """

    def __init__(
        self, bases: Sequence[Basis], first_seed: int = 0, steps: Sequence[int] | None = None
    ) -> None:
        self.bases, self.first_seed = tuple(bases), first_seed
        self.steps = np.array(steps if steps is not None else [0] * len(bases), dtype=float)
        self.work: Work = work_on(bases, day_rows)
        self.limits: Limits = bases[0].scenario.limits
        self.every: tuple[DayLimit, ...] = day_limits(self.limits)
        self.rules = _rules(bases, self.limits)
        count = len(bases)
        self.values: list[Floats] = [np.zeros((0, len(NAMES)))] * count
        self.bad = np.zeros((count, len(self.every)), dtype=int)
        self.like: Ints = np.arange(count)
        self.given_up: Ints = np.full(count, NOBODY)
        self.delta = float("nan")
        shares = self.rules.shares
        self.standings = np.full(shares.shape, NOT_DECIDED, dtype=object)
        self.standings[np.isnan(shares) | (shares == 1.0)] = WITHIN
        self.standings[shares < 0.0] = BEYOND
        self.out: Bools = self.rules.out | (self.standings == BEYOND).any(axis=1)
        self._h2 = h_squared(int((~self.out).sum()), FIRST)

    @property
    def days(self) -> Ints:
        """Days that each candidate has played, (n,)."""
        return np.array([len(each) for each in self.values], dtype=np.intp)

    @property
    def played(self) -> int:
        """Days of candidates played in all."""
        return int(self.days.sum())

    @property
    def beyond(self) -> Bools:
        """Candidates that break a limit, by days or known without, (n,)."""
        return np.asarray(self.out | (self.standings == BEYOND).any(axis=1))

    @property
    def within(self) -> Bools:
        """Those that keep all limits as surely as asked; at 0, as far as no day was bad."""
        unseen = (self.rules.shares == 0.0) & (self.bad == 0) & (self.days >= FIRST)[:, None]
        return np.asarray(~self.out & ((self.standings == WITHIN) | unseen).all(axis=1))

    @property
    def alive(self) -> list[int]:
        """Candidates that may still be preferred."""
        own = self.like == np.arange(len(self.like))
        return [int(n) for n in np.flatnonzero(~self.beyond & own & (self.given_up == NOBODY))]

    def costs(self, number: int, days: int | None = None) -> Floats:
        """Cost of each day of a candidate, of the first ``days`` unless all."""
        return self.values[number][:days, _COST]

    def plan_days(self, number: int, days: int | None = None) -> PlanDays:
        """The days of a candidate as a comparison has them; edge pairs are not kept."""
        name = self.bases[number].plan.name
        return PlanDays(name, self.first_seed, self.values[number][:days], np.zeros(0))

    def found(self, number: int) -> Floats:
        """Share of days on which a candidate broke each limit, (limits,); nan before its first."""
        days = len(self.values[number])
        return np.asarray(self.bad[number] / days if days else np.full(len(self.every), np.nan))

    def enter(self, numbers: Sequence[int], values: Floats) -> None:
        """Enter the next days of these candidates, (candidates, days, figures)."""
        for number, rows in zip(numbers, values, strict=True):
            self.values[number] = np.concatenate([self.values[number], rows])
            some = replace(self.plan_days(number), values=rows)
            self.bad[number] += bad_days(some, self.limits).sum(axis=1)

    def judge(self) -> None:
        """Look at all that is entered: limits, then those with the same rows, then costs."""
        days = self.days
        for number in self.alive:
            for k, share in enumerate(self.rules.shares[number]):
                if self.standings[number, k] == NOT_DECIDED and days[number]:
                    bad = int(self.bad[number, k])
                    found = standing(bad, int(days[number]), float(share), self.rules.level)
                    self.standings[number, k] = found
        alive = self.alive
        if not alive or min(days[alive]) < FIRST:
            return
        if np.isnan(self.delta):
            self._join_alike(alive)
            least = min(float(self.costs(n).mean()) for n in alive)
            self.delta = max(self.rules.worth_knowing * abs(least), 1e-9)
        self._by_cost()

    def _join_alike(self, alive: Sequence[int]) -> None:
        """Rows that are the same on every day are one plan; the first in number stands for it."""
        first: dict[bytes, int] = {}
        for number in alive:
            self.like[number] = first.setdefault(self.values[number].tobytes(), number)

    def _by_cost(self) -> None:
        # Who was given up for one that has turned out beyond a limit is in again.
        beyond = self.beyond
        lost = self.given_up != NOBODY
        lost[lost] = beyond[self.given_up[lost]]
        self.given_up[lost] = NOBODY
        within = self.within
        for number in self.alive:
            for other in self.alive:
                if other != number and within[other] and self._dearer(number, other):
                    self.given_up[number] = other
                    break

    def _dearer(self, number: int, other: int) -> bool:
        """Whether a candidate surely costs more than another, by KN on the days of both."""
        days = min(len(self.values[number]), len(self.values[other]))
        more = self.costs(number, days) - self.costs(other, days)
        more = more + self.handicap(number) - self.handicap(other)
        # The larger of the variance that the paper takes and that of all days so far.
        variance = max(float(more[:FIRST].var(ddof=1)), float(more.var(ddof=1)))
        width = max(0.0, self.delta / 2.0 * (self._h2 * variance / self.delta**2 - days))
        total = float(more.sum())
        return total > width and total > 1e-9 * abs(float(self.costs(other, days).sum()))

    def handicap(self, number: int) -> float:
        """Money that a candidate has to save for what it needs more of and nothing prices."""
        return 0.0 if np.isnan(self.delta) else float(self.steps[number] * self.delta)

    def cheapest(self, numbers: Sequence[int]) -> list[int]:
        """These candidates by mean cost (and handicap) on the days of all, the least first."""
        days = min((len(self.values[n]) for n in numbers), default=0)
        if not days:
            return list(numbers)

        def _cost(number: int) -> tuple[float, int]:
            return float(self.costs(number, days).mean()) + self.handicap(number), number

        return sorted(numbers, key=_cost)


def _rules(bases: Sequence[Basis], limits: Limits) -> Rules:
    """What is known without days; what hangs on the layout alone is worked out once for each."""
    off: dict[int, bool] = {}
    for each in bases:
        if id(each.layout) not in off:
            struck = struck_off([each])[each.plan.name] > AT_COLUMNS
            off[id(each.layout)] = struck or bool(of_the_deck([each])[each.plan.name])
    return rules_for(limits, [known_of(each) for each in bases], [off[id(b.layout)] for b in bases])
