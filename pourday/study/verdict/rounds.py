"""Plans on common days, round by round, until it is decided which to prefer.

After the first look every round brings 25 more days of the plans that are still in. Out goes a plan
that is beyond a limit, and one that costs more than a plan that is within all of its own. Nothing
is left to decide once the plans that are still in are all within and none can be given up for
another's sake; what else ends the rounds is the budget.

Whoever plays the days is told which plans and which days; :class:`Race` keeps the count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.study.statistics import Interval
from pourday.study.verdict.evidence import (
    ALPHA_LIMITS,
    BEYOND,
    NOT_DECIDED,
    WITHIN,
    level_of,
    share_interval,
    standing,
)
from pourday.study.verdict.selection import ALPHA_COST, dearer, h_squared, variances

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FIRST_LOOK, ROUND = 50, 25
WORTH_KNOWING = 0.005
"""Share of the cost that nobody would change a plan for, unless a file says otherwise."""


@dataclass(frozen=True, eq=False)
class Rules:
    """What is fixed before a day is played.

    ``shares`` (plans, limits): the share of days on which each plan may break each limit, 0..1; nan
    where it is known without days that the plan keeps it, below 0 where that it does not. ``out``
    (plans,): plans that are ruled out without days; they are not played. ``worth_knowing``: share
    of the cost.
    """

    shares: Floats
    out: Bools
    worth_knowing: float = WORTH_KNOWING
    alpha_limits: float = ALPHA_LIMITS
    alpha_cost: float = ALPHA_COST

    @property
    def tests(self) -> int:
        """K: how many limits of plans days have to decide (not 0, where a bad day is enough)."""
        asked = (self.shares > 0.0) & (self.shares < 1.0) & ~self.out[:, None]
        return int(asked.sum())

    @property
    def level(self) -> float:
        """Level of each of these tests."""
        return level_of(self.tests, self.alpha_limits)


@dataclass(frozen=True, eq=False)
class Played:
    """Days of some plans: ``cost`` (plans, days); ``bad`` (plans, limits, days), a day broke it."""

    cost: Floats
    bad: Bools


Play = Callable[[tuple[int, ...], range], Played]
"""Plays these plans (numbers, ascending) on these days (numbers from 0), in that order."""


class Race:
    """Plans and what their days say so far.

    ``given_up`` (plans,): for which plan each was given up by cost, -1 where it was not.
    ``delta``: the difference in cost that nobody would act on; nan before the first look.
    """

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        plans, limits = rules.shares.shape
        self.days = np.zeros(plans, dtype=int)
        self.bad = np.zeros((plans, limits), dtype=int)
        self.given_up = np.full(plans, -1)
        self.delta = np.nan
        self.standings = np.full((plans, limits), NOT_DECIDED, dtype=object)
        self.standings[np.isnan(rules.shares) | (rules.shares == 1.0)] = WITHIN
        self.standings[rules.shares < 0.0] = BEYOND
        self._low, self._high = np.zeros((plans, limits)), np.ones((plans, limits))
        self._cost: Floats = np.zeros((plans, FIRST_LOOK))
        self._first: Floats | None = None
        self._h2 = h_squared(int((~rules.out).sum()), FIRST_LOOK, rules.alpha_cost)

    @property
    def look(self) -> int:
        """How many days the plans that are furthest have played."""
        return int(self.days.max(initial=0))

    @property
    def beyond(self) -> Bools:
        """Plans that are ruled out, by days or without, (plans,)."""
        return np.asarray(self.rules.out | (self.standings == BEYOND).any(axis=1))

    @property
    def within(self) -> Bools:
        """Plans that keep all their limits as surely as asked; at 0, as far as days were bad."""
        unseen = (self.rules.shares == 0.0) & (self.bad == 0) & (self.days > 0)[:, None]
        kept = ((self.standings == WITHIN) | unseen).all(axis=1)
        return np.asarray(~self.rules.out & kept)

    @property
    def alive(self) -> tuple[int, ...]:
        """Plans still in: neither beyond a limit nor given up by cost."""
        return tuple(int(n) for n in np.flatnonzero(~self.beyond & (self.given_up < 0)))

    @property
    def decided(self) -> bool:
        """Whether more days would change nothing: one plan is left and within, or none is left."""
        alive = self.alive
        if not alive:
            return True
        if self.look < FIRST_LOOK or not all(self.within[n] for n in alive):
            return False
        return len(alive) == 1 or self._alike(alive)

    def _alike(self, alive: Sequence[int]) -> bool:
        """Whether the plans left cost the same on every day."""
        costs = self._cost[list(alive), : self.look]
        return bool((np.ptp(costs, axis=0) <= 1e-9 * np.abs(costs).max()).all())

    def wanted(self, until: int) -> Iterator[tuple[tuple[int, ...], range]]:
        """What to play so that all plans still in have ``until`` days; who is back catches up."""
        alive = np.array(self.alive, dtype=int)
        for days in np.unique(self.days[alive]):
            if days < until:
                group = alive[self.days[alive] == days]
                yield tuple(map(int, group)), range(int(days), until)

    def enter(self, plans: Sequence[int], days: range, played: Played) -> None:
        """Count the days of these plans; :meth:`judge` then looks at them."""
        if days.stop > self._cost.shape[1]:
            wider = np.zeros((len(self._cost), max(days.stop, 2 * self._cost.shape[1])))
            wider[:, : self._cost.shape[1]] = self._cost
            self._cost = wider
        at = list(plans)
        self._cost[at, days.start : days.stop] = played.cost
        self.bad[at] += played.bad.sum(axis=2)
        self.days[at] = days.stop
        # A limit of no day at all is broken by the first: that needs no look.
        self.standings[(self.rules.shares == 0.0) & (self.bad > 0)] = BEYOND

    def judge(self) -> None:
        """Look at all that is counted: decide limits, give up what costs too much."""
        for plan in self.alive:
            for limit, share in enumerate(self.rules.shares[plan]):
                if self.standings[plan, limit] == NOT_DECIDED:
                    self._look_at(plan, limit, float(share))
        if self.look >= FIRST_LOOK:
            self._by_cost()

    def _look_at(self, plan: int, limit: int, share: float) -> None:
        bad, days, level = int(self.bad[plan, limit]), int(self.days[plan]), self.rules.level
        found = standing(bad, days, share, level)
        if found != NOT_DECIDED:
            # The interval that decides is kept: later ones may be no more than part of it.
            now = share_interval(bad, days, level)
            self._low[plan, limit], self._high[plan, limit] = now.low, now.high
        self.standings[plan, limit] = found

    def _by_cost(self) -> None:
        # Who was given up for a plan that has turned out beyond a limit is in again.
        lost = self.given_up >= 0
        lost[lost] = self.beyond[self.given_up[lost]]
        self.given_up[lost] = -1
        alive = [n for n in self.alive if self.days[n] == self.look]
        if len(alive) < 2:
            return
        costs = self._cost[alive, : self.look]
        now = variances(costs)
        if self._first is None:
            self.delta = max(self.rules.worth_knowing * abs(float(costs.mean(axis=1).min())), 1e-9)
            self._first = np.zeros((len(self.days), len(self.days)))
            self._first[np.ix_(alive, alive)] = now
        variance = np.maximum(now, self._first[np.ix_(alive, alive)])
        worse = dearer(costs, variance, self._h2, self.delta)
        worse[:, ~self.within[alive]] = False  # only a plan within its limits gives up others
        means = costs.mean(axis=1)
        for row in np.flatnonzero(worse.any(axis=1)):
            by = np.flatnonzero(worse[row])
            self.given_up[alive[row]] = alive[int(by[means[by].argmin()])]

    def interval(self, plan: int, limit: int) -> Interval:
        """Share of bad days found, and those left open by the look that decided and the last."""
        bad, days = int(self.bad[plan, limit]), int(self.days[plan])
        now = share_interval(bad, days, self.rules.level)
        low = max(float(self._low[plan, limit]), now.low)
        high = min(float(self._high[plan, limit]), now.high)
        return Interval(now.value, low, high)

    def mean_cost(self, plan: int) -> float:
        """Mean over the days that a plan has played; nan before the first."""
        days = self.days[plan]
        return float(self._cost[plan, :days].mean()) if days else float("nan")


def run_rounds(
    race: Race,
    play: Play,
    most_days: int,
    told: Callable[[Race], None] = lambda race: None,
) -> None:
    """Play rounds until it is decided, or until a plan would have more than ``most_days``.

    Whatever interrupts ``play``, what was entered stays in the race. ``told`` hears of every look.
    """
    while not race.decided and race.look < most_days:
        until = min(race.look + ROUND if race.look >= FIRST_LOOK else FIRST_LOOK, most_days)
        for plans, days in tuple(race.wanted(until)):
            race.enter(plans, days, play(plans, days))
        race.judge()
        told(race)
