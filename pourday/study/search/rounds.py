"""Which candidates are played next, and when it is enough.

First everybody, for as many days as costs are first looked at on; after a few of them already a
floor that is left unfinished puts a candidate out. Then the cheapest few are played ahead until one
of them is known to keep its limits; from then on whoever is behind catches up, a round at a time,
as long as it may still be preferred.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.study.search.trial import FIRST, Trial

EARLY, ROUND, LEADERS = 6, 25, 8
DECIDED, NO_DAYS, NO_TIME, NONE_LEFT = "decided", "days", "time", "none"

Play = Callable[[tuple[int, ...], range], NDArray[np.float64]]
"""Plays these candidates on these days (numbers from 0); rows (candidates, days, figures)."""


@dataclass(frozen=True)
class Budget:
    """``most_days`` of any candidate; ``out_of_time`` is asked between rounds."""

    most_days: int
    out_of_time: Callable[[], bool] = lambda: False


def run_search(
    trial: Trial, play: Play, budget: Budget, told: Callable[[Trial], None] = lambda trial: None
) -> str:
    """Play until it is decided which candidate to prefer, or the budget ends; why it ended.

    ``told`` hears of every round. Whatever interrupts ``play``, what was entered stays.
    """
    while True:
        if not trial.alive:
            return NONE_LEFT
        if decided(trial):
            return DECIDED
        wanted = next_round(trial, budget.most_days)
        if wanted is None:
            return NO_DAYS
        if trial.played and budget.out_of_time():
            return NO_TIME
        trial.enter(wanted[0], play(*wanted))
        trial.judge()
        told(trial)


def decided(trial: Trial) -> bool:
    """Whether more days would change nothing: who is left keeps all limits and costs alike."""
    alive, within = trial.alive, trial.within
    if not np.isfinite(trial.delta) or not all(within[n] for n in alive):
        return False
    days = min(len(trial.values[n]) for n in alive)
    costs = np.array([trial.costs(n, days) for n in alive])
    return bool((np.ptp(costs, axis=0) <= 1e-9 * np.abs(costs).max()).all())


def next_round(trial: Trial, most: int) -> tuple[tuple[int, ...], range] | None:
    """Whom to play on which days; ``None`` where everybody who may be preferred has had them."""
    days = trial.days
    alive = [n for n in trial.alive if days[n] < most]
    who = [n for n in alive if days[n] < FIRST]
    sure = [int(days[n]) for n in trial.alive if trial.within[n]]
    if who:
        least = int(days[who].min())
        return _those(trial, who, least, EARLY if least < EARLY else FIRST, most)
    if sure:
        who = [n for n in alive if days[n] < max(sure)] or alive
    else:
        who = trial.cheapest(alive)[:LEADERS]
    if not who:
        return None
    least = int(days[who].min())
    return _those(trial, who, least, least + ROUND, most)


def _those(
    trial: Trial, who: list[int], least: int, until: int, most: int
) -> tuple[tuple[int, ...], range]:
    fewest = tuple(sorted(n for n in who if len(trial.values[n]) == least))
    return fewest, range(least, min(until, most))
