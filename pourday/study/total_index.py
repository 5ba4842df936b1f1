"""How much of a figure's variation a source of chance is behind: the total index.

A day is played, and played again with one source of chance drawn anew and all else kept. Where the
two differ much, the source matters, by itself or together with others.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pourday.study.statistics import Interval


def total_index(kept: ArrayLike, redrawn: ArrayLike, confidence: float = 0.95) -> Interval:
    """Total index of the source that was drawn anew, 0 to 1, with its interval.

    T = mean((a - b)^2) / (2 V) over days, a as played, b with the source drawn anew; V from both
    samples around their common mean. T = 1 - r, where r is the correlation of a and b within days:
    the interval is that of r by the delta method (each day's influence on it) on Fisher's scale,
    so that it stays within the bounds. It is cut at 0 and 1, where T lies.

    Indices of sources that act together count what they do together in each: they add up to 1 or
    more, to 1 where effects only add.

    Args:
        kept: figure of each day as played, (days,), 2 or more.
        redrawn: of the same days with the source drawn anew, (days,).
        confidence: of the interval, more than 0, less than 1.

    Returns:
        ``nan`` where the figure is the same on all days of both samples: nothing varies; an
        interval of no width at 0 where redrawing changes nothing.

    Raises:
        ValueError: for samples that do not pair, fewer than 2 days, or confidence outside 0..1.

    Sources: M. J. W. Jansen, Analysis of variance designs for model output, Computer Physics
    Communications 117 (1999), 35-43 (the estimator); R. A. Fisher, Metron 1 (1921) (the scale);
    both values from memory, checked against ``scipy.stats.sobol_indices`` and closed forms.
    """
    from scipy.special import stdtrit

    a, b = np.asarray(kept, dtype=float), np.asarray(redrawn, dtype=float)
    if a.ndim != 1 or a.shape != b.shape or a.size < 2:
        raise ValueError(f"two samples of the same days are needed, not {a.shape} and {b.shape}")
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"confidence is {confidence}; it must lie between 0 and 1")
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        raise ValueError("the figure of every day must be finite")
    n, middle = a.size, (a.mean() + b.mean()) / 2.0
    apart, spread = (a - b) ** 2 / 2.0, ((a - middle) ** 2 + (b - middle) ** 2) / 2.0
    if max(a.max(), b.max()) == min(a.min(), b.min()):
        return Interval(math.nan, math.nan, math.nan)
    if not apart.any():
        return Interval(0.0, 0.0, 0.0)
    value = float(apart.mean() / spread.mean())
    influence = (apart - value * spread) / spread.mean()
    error = float(influence.std(ddof=1)) / math.sqrt(n)
    low, high = _on_fishers_scale(value, error, float(stdtrit(n - 1, (1.0 + confidence) / 2.0)))
    return Interval(min(1.0, value), max(0.0, low), min(1.0, high))


def _on_fishers_scale(value: float, error: float, reach: float) -> tuple[float, float]:
    """Ends of the interval of T = 1 - r: r plus or minus so many errors, as tanh(atanh(r) ...)."""
    r = 1.0 - value
    if abs(r) >= 1.0 - 1e-12:
        return value - reach * error, value + reach * error
    z, step = math.atanh(r), reach * error / (1.0 - r * r)
    return 1.0 - math.tanh(z + step), 1.0 - math.tanh(z - step)
