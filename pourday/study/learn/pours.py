"""Most likely values where every pour has a factor of its own, and how sure they are.

log(length) = what the place is like + factor of the pour + noise. A pour's own place is found
first, with its standard error (Laplace's approximation: a dozen loads tell it to a few per cent);
what pours differ by is then a normal distribution of these places (restricted maximum likelihood,
Patterson and Thompson 1971, so that few pours do not look too much alike).

Intervals: each pour is left out in turn (the jackknife, Quenouille and Tukey), with Student's t for
one less than there are pours. Loads of one pour are no independent witnesses; pours are.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

Logs = Callable[[Floats, Floats], Floats]
"""Log likelihood (J, K) of every pour, for a shape (S,) and places (J, K) of the pours."""

LEVEL = 0.9
"""Of ten intervals nine hold the truth."""
ODD = 0.005
"""One length in two hundred is odd (a wrong number typed, a hose that was moved): it may be
anything. More odd ones weigh no more each; a larger share would take real long ones for odd (chosen
here)."""
_STENCIL = 0.02
_NEWTON, _FARTHEST = 5, 0.3
_WIDEST = 0.3
SMALL_DAY_SD, SMALL_SD = 0.02, 15.0
"""An sd of a factor of the day, and one of lengths (s), that clocks and few pours hardly show."""


@dataclass(frozen=True, eq=False)
class Fit:
    """Most likely ``shape`` (S,), mean ``place`` of the pours (log), ``variance`` between them,
    ``places`` of each (J,), where they were looked ``at``, and the log likelihood."""

    shape: Floats
    place: float
    variance: float
    places: Floats
    at: Floats
    value: float

    @property
    def day_sd(self) -> float:
        """The sd of the factor of a day, whose mean is 1."""
        return math.sqrt(math.expm1(self.variance))

    @property
    def mean(self) -> float:
        """Mean over the days of what the place is the log of, with a lognormal factor of mean 1."""
        return math.exp(self.place + self.variance / 2)


def fit(logs: Logs, shape: Floats, places: Floats, keep: NDArray[np.bool_] | None = None) -> Fit:
    """The most likely shape and places, from a first guess of both; of the pours in ``keep``."""
    from scipy.optimize import minimize

    keep = np.ones(len(places), dtype=bool) if keep is None else keep
    at = own = places.copy()

    def _whole(tried: Floats) -> tuple[float, float, float]:
        nonlocal at, own
        own, error, top, at = _own_places(logs, tried, at)
        return _between(own[keep], error[keep], top[keep])

    step = np.full(len(shape), 0.1)
    simplex = np.vstack([shape, shape + np.diag(step)])
    options = {"initial_simplex": simplex, "xatol": 2e-3, "fatol": 2e-3, "maxfev": 400}
    found = minimize(lambda s: -_whole(s)[0], shape, method="Nelder-Mead", options=options)
    best = np.asarray(found.x, dtype=float)
    value, place, variance = _whole(best)
    return Fit(best, place, variance, own, at, value)


def fit_alike(
    logs: Logs, shape: Floats, pours: int, keep: NDArray[np.bool_] | None = None
) -> tuple[Floats, float]:
    """The same where pours do not differ: shape alone, and the log likelihood."""
    from scipy.optimize import minimize

    keep = np.ones(pours, dtype=bool) if keep is None else keep
    still = np.zeros((pours, 1))
    simplex = np.vstack([shape, shape + np.diag(np.full(len(shape), 0.1))])
    options = {"initial_simplex": simplex, "xatol": 1e-3, "fatol": 1e-3, "maxfev": 400}
    found = minimize(
        lambda s: -float(logs(s, still)[keep, 0].sum()), shape, method="Nelder-Mead",
        options=options,
    )  # fmt: skip
    return np.asarray(found.x, dtype=float), -float(found.fun)


def _own_places(logs: Logs, shape: Floats, at: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Every pour's most likely place (J,), its standard error, the log likelihood there; and the
    place at which all that was looked at.

    A pour that tells nothing (its crew was hidden by the trucks) would run away: it is looked at
    no farther than ``_FARTHEST`` from the middle of all.
    """
    at, middle = at.copy(), float(np.median(at))
    for _ in range(_NEWTON):
        told = _expanded(logs, shape, at)
        curve = told[2] - 1.0 / _FARTHEST**2
        slope = told[1] - (at - middle) / _FARTHEST**2
        step = np.clip(slope / np.maximum(-curve, 1.0), -_FARTHEST / 2, _FARTHEST / 2)
        if float(np.abs(step * np.sqrt(np.maximum(-curve, 1.0))).max()) < 0.02:
            break
        at += step
    return *_gaussian(at, _expanded(logs, shape, at)), at


def _expanded(logs: Logs, shape: Floats, at: Floats) -> Floats:
    """Log likelihood, slope and curvature (3, J) at a place of each pour."""
    off = np.array([-_STENCIL, 0.0, _STENCIL])
    low, top, high = logs(shape, at[:, None] + off).T
    slope, curve = (high - low) / (2 * _STENCIL), (high - 2 * top + low) / _STENCIL**2
    return np.stack([top, slope, curve])


def _gaussian(at: Floats, told: Floats) -> tuple[Floats, Floats, Floats]:
    """Place, standard error and log likelihood of the parabola through what was told at ``at``."""
    top, slope, curve = told
    sharp = np.maximum(-curve, 1.0 / _WIDEST**2)
    step = np.clip(slope / sharp, -_FARTHEST, _FARTHEST)
    return at + step, 1.0 / np.sqrt(sharp), top + slope * step - sharp * step**2 / 2


def _between(at: Floats, error: Floats, top: Floats) -> tuple[float, float, float]:
    """Restricted log likelihood, mean place and variance between the pours."""
    sds = np.concatenate([[0.0], np.geomspace(0.004, 1.0, 48)])
    value = _restricted(at, error, sds)
    best = int(value.argmax())
    fine = np.linspace(sds[max(0, best - 1)], sds[min(len(sds) - 1, best + 1)], 21)
    value = _restricted(at, error, fine)
    best = int(value.argmax())
    weight = 1.0 / (fine[best] ** 2 + error**2)
    place = float((weight * at).sum() / weight.sum())
    whole = float(value[best] + (top + np.log(error)).sum())
    return whole, place, float(fine[best] ** 2)


def _restricted(at: Floats, error: Floats, sds: Floats) -> Floats:
    variance = sds[:, None] ** 2 + error[None, :] ** 2
    weight = 1.0 / variance
    total = weight.sum(axis=1)
    place = (weight * at).sum(axis=1) / total
    far = (weight * (at - place[:, None]) ** 2).sum(axis=1)
    return np.asarray(-0.5 * (np.log(variance).sum(axis=1) + far + np.log(total)))


@dataclass(frozen=True)
class Value:
    """A number with the interval that holds it on nine of ten occasions."""

    about: float
    low: float
    high: float


def interval(about: float, without: Floats, least: float = 0.0) -> Value:
    """The interval of a number from its values (J,) with each pour left out in turn.

    On the log scale; where it may be 0 on one that goes on evenly below ``least``.
    """
    from scipy.special import stdtrit

    own, others = (np.log(np.hypot(np.asarray(v), least)) for v in (about, without))
    pours = len(without)
    variance = (pours - 1) / pours * float(np.square(others - others.mean()).sum())
    reach = float(stdtrit(pours - 1, (1 + LEVEL) / 2)) * math.sqrt(variance)

    def _back(log: float) -> float:
        return math.sqrt(max(0.0, math.exp(2 * log) - least**2))

    return Value(float(about), _back(float(own) - reach), _back(float(own) + reach))


def leaving_out(pours: int, fitted: Callable[[NDArray[np.bool_]], Floats]) -> Floats:
    """What is found with each pour left out in turn, (J, P)."""
    out = []
    for gone in range(pours):
        keep = np.ones(pours, dtype=bool)
        keep[gone] = False
        out.append(fitted(keep))
    return np.array(out)


def near(logs: Logs, found: Fit) -> Callable[[NDArray[np.bool_]], Fit]:
    """The fit of some pours, for shapes near one that is known.

    A pour left out moves the shape a little; what each pour says of shapes near by is worked out
    once, and taken as a quadratic in between.
    """
    from scipy.optimize import minimize

    count = len(found.shape)
    design = _design(count)
    told = np.array([_expanded(logs, found.shape + step, found.at).ravel() for step in design])
    quadratic = np.linalg.lstsq(_terms(design), told, rcond=None)[0]

    def _fit(keep: NDArray[np.bool_]) -> Fit:
        def _whole(step: Floats) -> tuple[float, float, float]:
            at, error, top = _gaussian(
                found.at, (_terms(step[None, :]) @ quadratic)[0].reshape(3, -1)
            )
            return _between(at[keep], error[keep], top[keep])

        simplex = np.vstack([np.zeros(count), np.diag(np.full(count, 0.05))])
        options = {"initial_simplex": simplex, "xatol": 1e-3, "fatol": 1e-3, "maxfev": 300}
        best = minimize(
            lambda s: -_whole(s)[0] if float(np.abs(s).max()) <= _FAR else math.inf,
            np.zeros(count), method="Nelder-Mead", options=options,
        )  # fmt: skip
        value, place, variance = _whole(best.x)
        return Fit(found.shape + best.x, place, variance, found.places, found.at, value)

    return _fit


# Steps of a shape (logs) at which it is looked at, and within which the quadratic is believed.
_NEAR, _FAR = 0.05, 0.4


def _design(count: int) -> Floats:
    """Steps of the shape at which it is looked at: along every axis, and along pairs of them."""
    one = np.eye(count)
    pairs = [one[i] + one[j] for i in range(count) for j in range(i)]
    far = np.array([*one, *pairs]).reshape(-1, count)
    return _NEAR * np.vstack([np.zeros(count), far, -far])


def _terms(steps: Floats) -> Floats:
    """1, the steps, and their products (N, T)."""
    high, low = np.tril_indices(steps.shape[1])
    ones = np.ones((len(steps), 1))
    return np.hstack([ones, steps, steps[:, high] * steps[:, low]])


def sum_by_pour(logs: Floats, pour: NDArray[np.intp], pours: int) -> Floats:
    """Sums (J, K) of what stands in rows (N, K) of each pour."""
    out = np.zeros((pours, logs.shape[1]))
    np.add.at(out, pour, logs)
    return out
