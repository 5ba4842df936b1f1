"""How likely a length of time is that was read off a clock twice, each time to a step of it.

A time noted once to the minute lies anywhere in it: the difference of two values of the
distribution function, over the minute. A length is the difference of two noted times. Each is out
by up to half a step, independently of the other, so the length is out by the sum of two uniform
errors: a triangle one step to either side where both steps are alike, a trapezium where the plant's
clock has seconds and the hut's has not. The mean of a density over that trapezium is a difference
of differences of the integral of the distribution function, which is E[(x - X)+], a closed form
for both forms here (textbook: the partial expectation).

Where no clock is rounded down or to the nearest makes no difference: the shift is the same in both.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LOGNORMAL, GAMMA = "lognormal", "gamma"
FORMS = (LOGNORMAL, GAMMA)
"""Forms that are tried: both begin at 0, and a scenario file takes both."""
_LEAST_STEP = 1.0
_NOTHING = 1e-300


def below(form: str, mean: Floats | float, spread: Floats | float, x: Floats) -> Floats:
    """Chance of ``x`` or less; ``spread`` is sd / mean. Arrays go together."""
    from scipy.special import gammainc, ndtr

    if form == GAMMA:
        shape = 1.0 / np.square(spread)
        return np.asarray(gammainc(shape, np.maximum(x, 0.0) * shape / mean))
    return np.asarray(ndtr(_score(mean, spread, x)))


def value_at(form: str, mean: float, spread: float, share: Floats) -> Floats:
    """The value that this share (0 to 1) is at or below: the inverse of :func:`below`."""
    from scipy.special import gammaincinv, ndtri

    if form == GAMMA:
        shape = 1.0 / spread**2
        return np.asarray(gammaincinv(shape, share) * mean / shape)
    variance = np.log1p(spread**2)
    return np.asarray(np.exp(np.log(mean) - variance / 2 + np.sqrt(variance) * ndtri(share)))


def fallen_short(form: str, mean: Floats | float, spread: Floats | float, x: Floats) -> Floats:
    """E[(x - X)+]: the integral of :func:`below` up to ``x``, in the unit of ``x``."""
    from scipy.special import gammainc, ndtr

    x = np.maximum(x, 0.0)
    if form == GAMMA:
        shape = 1.0 / np.square(spread)
        scaled = x * shape / mean
        return np.asarray(x * gammainc(shape, scaled) - mean * gammainc(shape + 1.0, scaled))
    score = _score(mean, spread, x)
    sd = np.sqrt(np.log1p(np.square(spread)))
    return np.asarray(x * ndtr(score) - mean * ndtr(score - sd))


def density(
    form: str, mean: Floats | float, spread: Floats | float, x: Floats, steps: tuple[Floats, Floats]
) -> Floats:
    """Mean density (1/s) of a length ``x`` (s) whose two ends were noted to ``steps`` (s)."""
    first, second = (np.maximum(step, _LEAST_STEP) for step in steps)
    wide, flat = (first + second) / 2, np.abs(first - second) / 2

    def _at(time: Floats) -> Floats:
        return fallen_short(form, mean, spread, time)

    top = _at(x + wide) - _at(x + flat) - _at(x - flat) + _at(x - wide)
    return np.asarray(np.maximum(top / (first * second), 0.0))


def chance_below(
    form: str, mean: Floats | float, spread: Floats | float, x: Floats, steps: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Chances that a length is noted as less than ``x`` (s), and as ``x`` or less.

    Noted lengths lie on a grid of the finer step; the coarser one blurs them.
    """
    first, second = (np.maximum(step, _LEAST_STEP) for step in steps)
    coarse, fine = np.maximum(first, second), np.minimum(first, second)

    def _mean(time: Floats) -> Floats:
        high = fallen_short(form, mean, spread, time + coarse / 2)
        return np.asarray((high - fallen_short(form, mean, spread, time - coarse / 2)) / coarse)

    return _mean(x - fine / 2), _mean(x + fine / 2)


def _score(mean: Floats | float, spread: Floats | float, x: Floats) -> Floats:
    variance = np.log1p(np.square(spread))
    middle = np.log(mean) - variance / 2
    return np.asarray((np.log(np.maximum(x, _NOTHING)) - middle) / np.sqrt(variance))
