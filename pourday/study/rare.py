"""Figures that are 0 on most days: metres of cold edge, on two days in a hundred.

Their mean hangs on a handful of days. Student's interval, which takes it for normal, covers the
true mean on half of all occasions at 2 % of days. From 10 such days on the bootstrap-t interval is
given; with fewer nobody can say more than the share of days, and how much it was on those.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.study.statistics import Interval, clopper_pearson

LEAST = 10
"""Days on which it comes up, from which on the mean has an interval."""
_AGAIN, _SEED = 1999, 16


@dataclass(frozen=True)
class RareMean:
    """Something that comes up on ``share`` of days (Clopper-Pearson), ``then`` so much on average.

    ``then`` is nan where it never did. ``mean`` is over all days; its ends are nan where it came up
    on fewer than :data:`LEAST` days (0 to 0 where it came up on none is not known either).
    """

    share: Interval
    then: float
    mean: Interval


def rare_mean(values: ArrayLike) -> RareMean:
    """Of values (n,), 0 on most days. Raises ValueError for none."""
    sample = np.asarray(values, dtype=float)
    some = sample[sample != 0.0]
    then = float(some.mean()) if len(some) else math.nan
    return RareMean(clopper_pearson(len(some), len(sample)), then, bootstrap_t(sample))


def rare_difference(first: ArrayLike, second: ArrayLike) -> Interval:
    """Mean of second less first over days that both met, as in :func:`bootstrap_t`."""
    return bootstrap_t(np.asarray(second, dtype=float) - np.asarray(first, dtype=float))


def bootstrap_t(values: NDArray[np.float64], confidence: float = 0.95) -> Interval:
    """Mean of values (n,) with its bootstrap-t interval, both in the unit of the values.

    The ends are nan where fewer than :data:`LEAST` values are not 0, unless none is: 0, nan, nan.
    All values alike have no interval but their own. The draws have a seed of their own, so that the
    same values always have the same interval.
    Source: B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap (1993), chapter 12; from
    memory.
    """
    n, mean = len(values), float(values.mean())
    if np.count_nonzero(values) < LEAST:
        return Interval(mean, math.nan, math.nan)
    spread = float(values.std(ddof=1))
    if spread <= 1e-12 * abs(mean):
        return Interval(mean, mean, mean)
    score = _scores(values, mean)
    low, high = np.quantile(score, ((1.0 - confidence) / 2.0, (1.0 + confidence) / 2.0))
    error = spread / math.sqrt(n)
    return Interval(mean, mean - float(high) * error, mean - float(low) * error)


def _scores(values: NDArray[np.float64], mean: float) -> NDArray[np.float64]:
    """Student's ratio of samples drawn from the values, with replacement."""
    draw, n = np.random.default_rng(_SEED), len(values)
    some = values[values != 0.0]
    # How often each value comes in a sample is all that counts; the zeros are one value.
    odds = np.append(np.full(len(some), 1.0 / n), (n - len(some)) / n)
    at_a_time = max(1, 1_000_000 // len(odds))
    out: list[NDArray[np.float64]] = []
    for begin in range(0, _AGAIN, at_a_time):
        times = draw.multinomial(n, odds, min(at_a_time, _AGAIN - begin))[:, :-1]
        again = times @ some / n
        variance = np.maximum(times @ some**2 / n - again**2, 0.0) * n / (n - 1)
        error, moved = np.sqrt(variance / n), again - mean
        # A sample without any of the days has no spread: it lies as far below as can be.
        out.append(np.divide(moved, error, out=np.full(len(moved), -np.inf), where=error > 0.0))
    return np.concatenate(out)
