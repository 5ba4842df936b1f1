"""What a handful of simulated days can say, and how surely.

A cold joint on 3 days of 200 is not "1.5 %": it is 1.5 % with an interval. Two plans meet the
same days, so they are compared day by day, not average against average.

Quantiles come from ``scipy.special``, loaded where they are used: it takes 0.2 s.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True)
class Interval:
    """An estimate and the interval around it, all in the unit of what was estimated."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Spread:
    """Mean and the 10th, 50th and 90th percentile, in the unit of the values."""

    mean: float
    p10: float
    p50: float
    p90: float


def wilson(successes: int, n: int, confidence: float = 0.95) -> Interval:
    """Share of successes among n days, with the Wilson score interval; all in 0..1.

    Raises ValueError unless 0 <= successes <= n, n >= 1 and 0 < confidence < 1.
    ``scipy.special`` has no such interval, and ``scipy.stats`` takes three times as long to load.
    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    Journal of the American Statistical Association 22 (1927), 209-212.
    """
    from scipy.special import ndtri

    _check_confidence(confidence)
    if n < 1 or not 0 <= successes <= n:
        raise ValueError(f"{successes} successes of {n}: need 0 <= successes <= n and n >= 1")
    share = successes / n
    z = float(ndtri((1.0 + confidence) / 2.0))
    centre = (share + z * z / (2 * n)) / (1.0 + z * z / n)
    reach = z / (1.0 + z * z / n) * math.sqrt(share * (1.0 - share) / n + (z / (2 * n)) ** 2)
    # At no success, and at nothing but successes, the ends are exactly 0 and 1; rounding isn't.
    low = 0.0 if successes == 0 else centre - reach
    high = 1.0 if successes == n else centre + reach
    return Interval(share, low, high)


def spread(values: ArrayLike) -> Spread:
    """Mean and percentiles (linear between order statistics) of values (n,), n >= 1.

    Raises ValueError for no values or values that are not finite.
    """
    sample = _sample(values)
    p10, p50, p90 = np.percentile(sample, (10.0, 50.0, 90.0))
    return Spread(float(sample.mean()), float(p10), float(p50), float(p90))


def mean_interval(values: ArrayLike, confidence: float = 0.95) -> Interval:
    """Mean of values (n,) with a Student-t interval, in the unit of the values.

    One value says nothing about its spread: the interval is then -inf to inf.
    Raises ValueError for no values, values that are not finite, or confidence outside 0..1.
    Source: Student (W. S. Gosset), The probable error of a mean, Biometrika 6 (1908), 1-25.
    """
    from scipy.special import stdtrit

    _check_confidence(confidence)
    sample = _sample(values)
    mean, n = float(sample.mean()), sample.size
    if n == 1:
        return Interval(mean, -math.inf, math.inf)
    error = float(sample.std(ddof=1)) / math.sqrt(n)
    reach = float(stdtrit(n - 1, (1.0 + confidence) / 2.0)) * error
    return Interval(mean, mean - reach, mean + reach)


def paired_difference(a: ArrayLike, b: ArrayLike, confidence: float = 0.95) -> Interval:
    """Mean of b - a over days that both plans met, a and b (n,), with a Student-t interval.

    Errors and the case n = 1 as in `mean_interval`; also ValueError for unequal lengths.
    """
    first, second = _sample(a), _sample(b)
    if first.shape != second.shape:
        raise ValueError(f"pairs need the same days: {first.size} and {second.size} values")
    return mean_interval(second - first, confidence)


def _sample(values: ArrayLike) -> NDArray[np.float64]:
    sample = np.asarray(values, dtype=float)
    if sample.ndim != 1 or sample.size == 0 or not np.all(np.isfinite(sample)):
        raise ValueError("statistics need a row of at least one finite value")
    return sample


def _check_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"confidence is {confidence}; it must lie between 0 and 1")


def clopper_pearson(successes: int, n: int, confidence: float = 0.95) -> Interval:
    """Share of successes among n days, with the interval that covers at least so often; in 0..1.

    Errors as in :func:`wilson`. Source: C. J. Clopper, E. S. Pearson, The use of confidence or
    fiducial limits illustrated in the case of the binomial, Biometrika 26 (1934), 404-413.
    """
    from scipy.special import betaincinv

    _check_confidence(confidence)
    if n < 1 or not 0 <= successes <= n:
        raise ValueError(f"{successes} successes of {n}: need 0 <= successes <= n and n >= 1")
    tail = (1.0 - confidence) / 2.0
    low = betaincinv(successes, n - successes + 1, tail) if successes else 0.0
    high = betaincinv(successes + 1, n - successes, 1.0 - tail) if successes < n else 1.0
    return Interval(successes / n, float(low), float(high))


def whole_parts(values: Mapping[str, float], total: str = "cost_total") -> dict[str, int]:
    """Parts of a total in whole units that add up to the total in whole units.

    Each is its value rounded down or up; up goes whatever lost most by rounding down. ``values``
    has the parts and, under ``total``, their sum. Source: the method of largest remainders.
    """
    parts = [name for name in values if name != total]
    out = {name: math.floor(values[name]) for name in parts} | {total: round(values[total])}
    left = out[total] - sum(out[name] for name in parts)
    by_loss = sorted(parts, key=lambda name: out[name] - values[name])
    for name in by_loss[: max(left, 0)]:
        out[name] += 1
    return out
