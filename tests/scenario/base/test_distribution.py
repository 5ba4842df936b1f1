"""Quantities that vary: their mean and spread, their limits, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pourday.scenario.base.distribution import (
    LARGEST,
    Distribution,
    fixed,
    lowest_and_highest,
    parse,
)

COUNT = 40_000
Z = 4.0  # standard errors: a fair sample falls outside once in about 16,000 times

# as written, mean and sd by textbook formula
CASES = [
    ({"dist": "lognormal", "mean": 25, "sd": 6}, 25.0, 6.0),
    ({"dist": "gamma", "mean": 30, "sd": 5}, 30.0, 5.0),
    ({"dist": "exponential", "mean": 12}, 12.0, 12.0),
    ({"dist": "uniform", "low": 10, "high": 16}, 13.0, 6 / math.sqrt(12)),
    # triangular: variance = (a² + b² + c² - ab - ac - bc) / 18
    ({"dist": "triangular", "low": 1, "mode": 2, "high": 6}, 3.0, math.sqrt(21 / 18)),
    ({"dist": "list", "values": [1, 2, 6]}, 3.0, math.sqrt(14 / 3)),
]


@pytest.mark.parametrize(("raw", "mean", "sd"), CASES)
def test_samples_have_the_stated_mean_and_spread(raw, mean, sd):
    quantity = parse(raw)
    values = quantity.sample(np.random.default_rng(20260504), COUNT)
    assert values.shape == (COUNT,)
    assert quantity.mean == pytest.approx(mean, rel=1e-12)
    assert abs(values.mean() - mean) < Z * sd / math.sqrt(COUNT)
    # standard error of a variance: sqrt((fourth central moment - variance²) / count)
    fourth = ((values - mean) ** 4).mean()
    assert abs(values.var() - sd**2) < Z * math.sqrt((fourth - sd**4) / COUNT)


CUTS = [
    (20.0, 2.0, 10.0, 30.0),
    (5.0, 10.0, 0.0, math.inf),
    (1.0, 3.0, 0.0, 2.5),
    (2.0, 5.0, 2.0, 3.0),  # narrow: bounds closer than two sd, mean at one of them
    (3.0, 1.0, 2.9, 3.4),
]


@pytest.mark.parametrize(("mean", "sd", "low", "high"), CUTS)
def test_a_cut_normal_agrees_with_scipy(mean, sd, low, high):
    quantity = Distribution("normal", (mean, sd, low, high))
    theory = stats.truncnorm((low - mean) / sd, (high - mean) / sd, loc=mean, scale=sd)
    assert quantity.mean == pytest.approx(theory.mean(), rel=1e-9)
    values = quantity.sample(np.random.default_rng(7), COUNT)
    assert low <= values.min()
    assert values.max() <= high
    assert abs(values.mean() - theory.mean()) < Z * theory.std() / math.sqrt(COUNT)
    # Kolmogorov's distance passes 2.27 / sqrt(n) about once in 16,000 fair samples
    assert stats.kstest(values, theory.cdf).statistic < 2.27 / math.sqrt(COUNT)


def test_a_normal_takes_the_limits_of_its_key_where_it_names_none():
    raw = {"dist": "normal", "mean": 20, "sd": 2}
    assert parse(raw, 1.0, 45.0).parameters == (20.0, 2.0, 1.0, 45.0)
    assert parse(raw).parameters == (20.0, 2.0, 0.0, math.inf)
    assert parse(raw | {"low": 15}, 1.0, 45.0).parameters == (20.0, 2.0, 15.0, 45.0)


EXTREMES = [
    {"dist": "normal", "mean": 1, "sd": 1e12, "low": 0, "high": 2},
    {"dist": "normal", "mean": 1, "sd": 1e-300, "low": 0, "high": 2},
    {"dist": "normal", "mean": 1, "sd": 0},
    {"dist": "lognormal", "mean": 1, "sd": 1e-300},
    {"dist": "lognormal", "mean": 1, "sd": 10},
    {"dist": "gamma", "mean": 1, "sd": 1e-300},
    {"dist": "gamma", "mean": 1e-12, "sd": 0},
    {"dist": "exponential", "mean": 1e-300},
]


@pytest.mark.parametrize("raw", EXTREMES)
def test_extreme_parameters_still_give_finite_values(raw):
    quantity = parse(raw)
    assert np.isfinite(quantity.sample(np.random.default_rng(1), 500)).all()
    assert math.isfinite(quantity.mean)
    assert 0 <= quantity.mean <= 1 + 1e-9


@pytest.mark.parametrize("raw", [raw for raw, _, _ in CASES] + [4.0, {**CASES[0][0]}])
def test_a_quantity_in_seconds_samples_sixty_times_its_minutes(raw):
    minutes = parse(raw)
    seconds = minutes.scaled(60.0)
    one = minutes.sample(np.random.default_rng(3), 200)
    other = seconds.sample(np.random.default_rng(3), 200)
    assert other == pytest.approx(60.0 * one, rel=1e-9)
    assert seconds.mean == pytest.approx(60.0 * minutes.mean, rel=1e-12)


def test_a_fixed_quantity_never_varies_and_says_so():
    assert fixed(3).is_fixed
    assert not parse({"dist": "exponential", "mean": 3}).is_fixed
    assert set(fixed(3).sample(np.random.default_rng(0), 5)) == {3.0}


@pytest.mark.parametrize(
    ("raw", "ends"),
    [
        (7, (7.0, 7.0)),
        ({"dist": "uniform", "low": 2, "high": 5}, (2.0, 5.0)),
        ({"dist": "triangular", "low": 2, "mode": 3, "high": 9}, (2.0, 9.0)),
        ({"dist": "list", "values": [4, 1, 3]}, (1.0, 4.0)),
        ({"dist": "normal", "mean": 5, "sd": 1, "low": 3, "high": 8}, (3.0, 8.0)),
        ({"dist": "normal", "mean": 5, "sd": 1}, (0.0, 5.0)),
        ({"dist": "gamma", "mean": 5, "sd": 1}, (5.0, 5.0)),
    ],
)
def test_the_range_a_quantity_is_judged_by(raw, ends):
    assert lowest_and_highest(parse(raw)) == ends


REFUSED = [
    ("25", "a number, or a table"),
    (True, "a number, or a table"),
    ([25], "a number, or a table"),
    (float("nan"), "must be a number between"),
    (float("inf"), "must be a number between"),
    (10**400, "must be a number between"),
    (2 * LARGEST, "must be a number between"),
    ({"dist": "weibull", "mean": 3}, "dist must be one of"),
    ({"dist": ["normal"]}, "dist must be one of"),
    ({"mean": 3}, "dist must be one of"),
    ({"dist": "lognormal", "mean": 3}, "lognormal takes mean, sd"),
    ({"dist": "gamma", "mean": 3, "sd": 1, "low": 0}, "gamma takes mean, sd"),
    ({"dist": "gamma", "mean": "3", "sd": 1}, "mean must be a number"),
    ({"dist": "gamma", "mean": 0, "sd": 1}, "mean must be more than 0"),
    ({"dist": "gamma", "mean": 3, "sd": -1}, "sd must not be negative"),
    ({"dist": "lognormal", "mean": 1, "sd": 11}, "no more than 10 times"),
    ({"dist": "normal", "mean": 3, "sd": -1}, "sd must not be negative"),
    ({"dist": "uniform", "low": 4, "high": 4}, "low must be less than high"),
    ({"dist": "triangular", "low": 1, "mode": 9, "high": 4}, "mode must lie between"),
    ({"dist": "normal", "mean": 5, "sd": 1, "low": 5, "high": 5}, "low must be less than high"),
    ({"dist": "normal", "mean": 9, "sd": 1, "high": 5}, "mean must lie between"),
    ({"dist": "list", "values": []}, "at least one number"),
    ({"dist": "list", "values": 3}, "at least one number"),
    ({"dist": "list", "values": [1, "2"]}, "each of values must be a number"),
]


@pytest.mark.parametrize(("raw", "said"), REFUSED)
def test_a_quantity_that_does_not_fit_is_refused_in_words(raw, said):
    with pytest.raises(ValueError, match=said):
        parse(raw)
