"""Lengths noted to the minute: against the integral itself, scipy's censored fits, closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from pourday.study.learn.rounded import (
    FORMS,
    GAMMA,
    LOGNORMAL,
    below,
    chance_below,
    density,
    fallen_short,
    value_at,
)

MEAN, SPREAD = 300.0, 0.4
MINUTE = np.array(60.0)


def frozen(form: str, mean: float = MEAN, spread: float = SPREAD):
    """The same form by scipy.stats, location 0."""
    if form == GAMMA:
        return stats.gamma(1.0 / spread**2, loc=0.0, scale=mean * spread**2)
    sd = math.sqrt(math.log1p(spread**2))
    return stats.lognorm(sd, loc=0.0, scale=mean * math.exp(-(sd**2) / 2))


@pytest.mark.parametrize("form", FORMS)
def test_functions_and_their_integral_are_those_of_scipy(form):
    other = frozen(form)
    at = np.array([30.0, 200.0, 300.0, 900.0])
    assert below(form, MEAN, SPREAD, at) == pytest.approx(other.cdf(at), rel=1e-9)
    assert value_at(form, MEAN, SPREAD, other.cdf(at)) == pytest.approx(at, rel=1e-7)
    for x in at:
        whole = integrate.quad(other.cdf, 0.0, x, epsabs=1e-10)[0]
        assert fallen_short(form, MEAN, SPREAD, np.array(x)) == pytest.approx(whole, rel=1e-7)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("steps", [(60.0, 60.0), (60.0, 1.0), (1.0, 300.0)])
@pytest.mark.parametrize("x", [120.0, 360.0])
def test_two_roundings_blur_a_density_by_a_trapezium(form, steps, x):
    first, second = steps
    other = frozen(form)

    def _once(time: float) -> float:  # the second clock's step, as a difference of the function
        return (other.cdf(time + second / 2) - other.cdf(time - second / 2)) / second

    whole = integrate.quad(lambda u: _once(x + u) / first, -first / 2, first / 2, epsabs=1e-13)[0]
    found = density(form, MEAN, SPREAD, np.array(x), (np.array(first), np.array(second)))
    assert found == pytest.approx(whole, rel=1e-6)


@pytest.mark.parametrize("form", FORMS)
def test_what_two_clocks_of_minutes_can_show_adds_up_to_one_in_the_order_of_its_chances(form):
    shown = np.arange(-1, 120) * 60.0
    chance = density(form, MEAN, SPREAD, shown, (MINUTE, MINUTE)) * 60.0
    assert chance.sum() == pytest.approx(1.0, abs=1e-9)
    low, high = chance_below(form, MEAN, SPREAD, shown, (MINUTE, MINUTE))
    assert high - low == pytest.approx(chance, abs=1e-12)
    assert low[1:] == pytest.approx(high[:-1], abs=1e-12)


def test_lengths_on_two_clocks_come_as_often_as_that_says():
    """200 000 lengths, begun at any moment; 4 standard errors of a count."""
    chance, count = np.random.default_rng(5), 200_000
    begin = chance.uniform(0.0, 36_000.0, count)
    end = begin + frozen(LOGNORMAL).rvs(count, random_state=chance)
    noted = (np.floor(end / 60.0) - np.floor(begin / 60.0)) * 60.0
    shown = np.arange(0, 10) * 60.0
    expected = count * 60.0 * density(LOGNORMAL, MEAN, SPREAD, shown, (MINUTE, MINUTE))
    seen = np.array([(noted == each).sum() for each in shown])
    assert np.all(np.abs(seen - expected) < 4.0 * np.sqrt(expected + 1.0))


@pytest.mark.parametrize("form", FORMS)
def test_one_rounding_is_the_interval_censoring_of_scipy(form):
    """The most likely numbers of both, `scipy.stats.CensoredData` with intervals of a minute.

    Here the second clock shows the second, which moves a likelihood by some 1 in 10 000.
    """
    lengths = frozen(form).rvs(80, random_state=np.random.default_rng(3))
    middle = 60.0 * np.floor(lengths / 60.0) + 30.0
    censored = stats.CensoredData(interval=np.stack([middle - 30.0, middle + 30.0], axis=1))
    family = stats.gamma if form == GAMMA else stats.lognorm
    shape, _, scale = family.fit(censored, floc=0.0)
    other = family(shape, loc=0.0, scale=scale)
    steps = (MINUTE, np.array(1.0))

    def _unlikely(logs: np.ndarray) -> float:
        mean, spread = np.exp(logs)
        return -float(np.log(density(form, mean, spread, middle, steps)).sum())

    found = optimize.minimize(_unlikely, np.log([MEAN, SPREAD]), method="Nelder-Mead",
                              options={"xatol": 1e-6, "fatol": 1e-9})  # fmt: skip
    mean, spread = np.exp(found.x)
    assert mean == pytest.approx(other.mean(), rel=1e-3)
    assert mean * spread == pytest.approx(other.std(), rel=3e-3)


def test_the_most_likely_mean_of_exponential_lengths_in_whole_minutes_has_a_closed_form():
    """Whole minutes of an exponential are geometric: exp(-h / mean) = k / (1 + k), k their mean."""
    minutes = np.floor(stats.expon(scale=3.0).rvs(60, random_state=np.random.default_rng(4)))
    whole = float(minutes.mean())
    closed = 60.0 / math.log1p(1.0 / whole)
    middle = 60.0 * minutes + 30.0
    steps = (MINUTE, np.array(1.0))
    found = optimize.minimize_scalar(
        lambda log: -np.log(density(GAMMA, math.exp(log), 1.0, middle, steps)).sum(),
        bounds=(4.0, 7.0), method="bounded", options={"xatol": 1e-7},
    )  # fmt: skip
    # The second clock's second costs a little where a density begins with a jump.
    assert math.exp(found.x) == pytest.approx(closed, rel=5e-3)
