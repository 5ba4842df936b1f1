"""What a handful of simulated days can say, and how surely.

A cold joint on 3 days of 200 is not "1.5 %": it is 1.5 % with an interval. Two plans meet the
same days, so they are compared day by day, not average against average.
"""

import math
from dataclasses import dataclass
from statistics import NormalDist

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
    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    Journal of the American Statistical Association 22 (1927), 209-212.
    """
    _check_confidence(confidence)
    if n < 1 or not 0 <= successes <= n:
        raise ValueError(f"{successes} successes of {n}: need 0 <= successes <= n and n >= 1")
    share = successes / n
    z = NormalDist().inv_cdf((1.0 + confidence) / 2.0)
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
    _check_confidence(confidence)
    sample = _sample(values)
    mean, n = float(sample.mean()), sample.size
    if n == 1:
        return Interval(mean, -math.inf, math.inf)
    error = float(sample.std(ddof=1)) / math.sqrt(n)
    reach = t_quantile((1.0 + confidence) / 2.0, n - 1) * error
    return Interval(mean, mean - reach, mean + reach)


def paired_difference(a: ArrayLike, b: ArrayLike, confidence: float = 0.95) -> Interval:
    """Mean of b - a over days that both plans met, a and b (n,), with a Student-t interval.

    Errors and the case n = 1 as in `mean_interval`; also ValueError for unequal lengths.
    """
    first, second = _sample(a), _sample(b)
    if first.shape != second.shape:
        raise ValueError(f"pairs need the same days: {first.size} and {second.size} values")
    return mean_interval(second - first, confidence)


def t_quantile(probability: float, freedom: float) -> float:
    """Value that a Student-t variable with `freedom` degrees stays below with `probability`.

    Raises ValueError unless 0 < probability < 1 and freedom >= 1.

    Newton on the tail. The tail is convex and the normal quantile lies inside the heavier
    Student one, so every step falls short of the root until only rounding is left.
    """
    if not 0.0 < probability < 1.0 or not freedom >= 1.0:
        raise ValueError(f"t quantile of {probability} with {freedom} degrees is not defined")
    if probability == 0.5:
        return 0.0
    if probability < 0.5:
        return -_upper_quantile(probability, freedom)
    return _upper_quantile(1.0 - probability, freedom)


def _upper_quantile(tail: float, freedom: float) -> float:
    t = -NormalDist().inv_cdf(tail)
    log_density = (
        math.lgamma((freedom + 1.0) / 2.0)
        - math.lgamma(freedom / 2.0)
        - 0.5 * math.log(freedom * math.pi)
    )
    for _ in range(200):
        density = math.exp(log_density - (freedom + 1.0) / 2.0 * math.log1p(t * t / freedom))
        step = (_upper_tail(t, freedom) - tail) / density
        t += step
        # Steps are forward until only rounding is left of them.
        if step <= 1e-13 * t:
            return t
    raise RuntimeError(f"t quantile not found for tail {tail} with {freedom} degrees")


def _upper_tail(t: float, freedom: float) -> float:
    """P(T > t) for t >= 0: half the regularised incomplete beta at freedom / (freedom + t²)."""
    square = t * t
    x, a = freedom / (freedom + square), freedom / 2.0
    if x < (a + 1.0) / (a + 2.5):
        return 0.5 * _beta_fraction(x, a, 0.5)
    return 0.5 - 0.5 * _beta_fraction(square / (freedom + square), 0.5, a)


def _beta_fraction(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta I_x(a, b) for x below (a + 1) / (a + b + 2).

    Modified Lentz evaluation of the continued fraction in Abramowitz and Stegun, Handbook of
    Mathematical Functions, 26.5.8.
    """
    if x == 0.0:
        return 0.0
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    upper, lower, value = 1.0, 0.0, 1.0
    for k in range(1, 10_000):
        m = k // 2
        if k % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        # A zero here would end the fraction; a number too small to matter carries it on.
        lower = 1.0 / ((1.0 + term * lower) or 1e-300)
        upper = (1.0 + term / upper) or 1e-300
        value *= upper * lower
        if abs(upper * lower - 1.0) < 1e-15:
            return front / (a * value)
    raise RuntimeError(f"incomplete beta did not settle at x = {x}, a = {a}, b = {b}")


def _sample(values: ArrayLike) -> NDArray[np.float64]:
    sample = np.asarray(values, dtype=float)
    if sample.ndim != 1 or sample.size == 0 or not np.all(np.isfinite(sample)):
        raise ValueError("statistics need a row of at least one finite value")
    return sample


def _check_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"confidence is {confidence}; it must lie between 0 and 1")
