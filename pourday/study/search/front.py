"""The front of candidates: those that no other beats in cost, finish, stiff and cold edges at once.

Means over the first days that all candidates have, so that all are seen in the same light, in steps
that somebody would notice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourday.study.metrics import NAMES
from pourday.study.search.trial import FIRST, Trial

_BY = ("cost_total", "finishing_end_h", "stiff_length_m", "cold_length_m")
# Steps below which nobody would take another plan: a share of the cost, h, m, m.
_COST_STEP, _STEPS = 0.001, (0.1, 1.0, 1.0)


@dataclass(frozen=True)
class FrontPlan:
    """A candidate of the front: means of cost, finish (clock hours), stiff and cold length (m)."""

    number: int
    cost: float
    finish_h: float
    stiff_m: float
    cold_m: float


def front_of(trial: Trial, numbers: Sequence[int]) -> tuple[FrontPlan, ...]:
    """Those of the candidates that none of the others beats, the cheapest first."""
    if not numbers:
        return ()
    days = min(FIRST, *(len(trial.values[n]) for n in numbers))
    at = [NAMES.index(name) for name in _BY]
    means = np.array([trial.values[n][:days, at].mean(axis=0) for n in numbers])
    means = np.where(np.isnan(means), np.inf, means)
    steps = np.array([max(_COST_STEP * abs(float(means[:, 0].min())), 1e-9), *_STEPS])
    left = [numbers[k] for k in not_beaten(np.round(means / steps))]
    rows = {n: means[list(numbers).index(n)] for n in left}
    return tuple(
        FrontPlan(n, *map(float, rows[n])) for n in sorted(left, key=lambda n: float(rows[n][0]))
    )


def not_beaten(rows: np.ndarray) -> list[int]:
    """Rows (n, criteria), less is better, that no other is as good as in all and better in one.

    Of rows that are the same the first stands for all.
    """
    out = []
    for k, row in enumerate(rows):
        as_good = (rows <= row).all(axis=1)
        better = as_good & (rows < row).any(axis=1)
        same_before = (rows[:k] == row).all(axis=1).any()
        if not better.any() and not same_before:
            out.append(k)
    return out
