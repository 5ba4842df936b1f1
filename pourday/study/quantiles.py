"""A quantile of many days, and how surely it is known: an interval between two of the days."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pourday.study.statistics import Interval


def order_interval(values: ArrayLike, share: float, confidence: float = 0.95) -> Interval:
    """The value that a share of days stays within, between two order statistics.

    Of n days the l-th and the u-th smallest hold the quantile with a probability of at least
    ``confidence``, whatever the distribution: the days below it are binomial (n, share), so the
    chance is B(u - 1) - B(l - 1). Where n is too small for one of them that end is infinite. The
    estimate is linear between order statistics. Source: H. A. David and H. N. Nagaraja, Order
    Statistics, 3rd ed. (2003), section 7.1 (value from memory).

    Raises ValueError for no values, values that are not finite, or shares outside 0..1.
    """
    sample = np.sort(np.asarray(values, dtype=float))
    if sample.ndim != 1 or not sample.size or not np.isfinite(sample).all():
        raise ValueError("a quantile needs a row of at least one finite value")
    if not (0.0 < share < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError(f"share {share} and confidence {confidence} must lie between 0 and 1")
    low, high = order_places(sample.size, share, confidence)
    return Interval(
        float(np.quantile(sample, share)),
        float(sample[low - 1]) if low >= 1 else -math.inf,
        float(sample[high - 1]) if high <= sample.size else math.inf,
    )


def order_places(n: int, share: float, confidence: float = 0.95) -> tuple[int, int]:
    """Which of n days in order hold the quantile between them: l and u, counted from 1.

    0 and n + 1 stand for "none is low enough" and "none is high enough".
    """
    from scipy.special import bdtr

    outside = (1.0 - confidence) / 2.0
    below = np.asarray(bdtr(np.arange(n + 1), n, share))  # chance of at most k days below it
    low = int(np.searchsorted(below, outside, side="right"))  # the greatest l with B(l-1) <= a
    high = int(np.searchsorted(below, 1.0 - outside, side="left")) + 1
    return low, min(high, n + 1)


def beyond_mean(values: ArrayLike, share: float, confidence: float = 0.95) -> Interval:
    """By how much the value that a share of days stays within lies beyond their mean.

    Quantile and mean come from the same days, so their errors partly cancel, or add up where few
    days are very dear. Both are sums over days to first order: the mean by itself, the quantile q
    by ``(share - (day <= q)) / density`` (R. R. Bahadur, A note on quantiles in large samples,
    Annals of Mathematical Statistics 37 (1966), 577-580; value from memory), with the density from
    the width of :func:`order_interval`. The ends of that interval are drawn in or out by the ratio
    of the two standard errors. Where it is open, so is this one.

    Errors as in :func:`order_interval`. Coverage measured in ``tests/study/test_price.py``.
    """
    from scipy.special import ndtri

    sample = np.asarray(values, dtype=float)
    found = order_interval(sample, share, confidence)
    mean, n = float(sample.mean()), sample.size
    value = found.value - mean
    if math.isinf(found.low) or math.isinf(found.high):
        return Interval(value, -math.inf, math.inf)
    z = float(ndtri((1.0 + confidence) / 2.0))
    error = (found.high - found.low) / (2.0 * z)  # of the quantile
    by_density = error * math.sqrt(n / (share * (1.0 - share)))
    parts = by_density * (share - (sample <= found.value)) - (sample - mean)
    own = float(parts.std(ddof=1)) / math.sqrt(n)
    if error <= 0.0:
        return Interval(value, value - z * own, value + z * own)
    ratio = own / error
    return Interval(
        value,
        value - ratio * (found.value - found.low),
        value + ratio * (found.high - found.value),
    )
