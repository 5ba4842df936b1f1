"""Pours that differ: against the closed forms for normal noise."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pourday.study.learn.pours import LEVEL, fit, fit_alike, interval, leaving_out, near

POURS, LOADS, NOISE, DAYS = 8, 20, 0.2, 0.15


@pytest.fixture(scope="module")
def logs_seen():
    chance = np.random.default_rng(1)
    own = chance.normal(3.0, DAYS, POURS)
    return own[:, None] + chance.normal(0.0, NOISE, (POURS, LOADS))


def likelihood(seen):
    """Normal noise; its log is the shape."""

    def _of(shape, places):
        sd = np.exp(shape[0])
        far = (seen[:, :, None] - places[:, None, :]) / sd
        return (-np.square(far) / 2 - np.log(sd)).sum(axis=1)

    return _of


def test_what_pours_differ_by_is_the_mean_squares_of_a_balanced_one_way_layout(logs_seen):
    """Restricted likelihood of a balanced layout: (MSB - MSW) / n and MSW (textbook)."""
    means = logs_seen.mean(axis=1)
    within = float(logs_seen.var(axis=1, ddof=1).mean())
    between = LOADS * float(means.var(ddof=1))
    found = fit(likelihood(logs_seen), np.log([0.3]), means + 0.05)
    assert math.exp(2 * found.shape[0]) == pytest.approx(within, rel=5e-3)
    assert found.variance == pytest.approx((between - within) / LOADS, rel=5e-3)
    assert found.place == pytest.approx(float(means.mean()), abs=1e-6)
    assert found.places == pytest.approx(means, abs=1e-6)
    assert found.day_sd == pytest.approx(math.sqrt(math.expm1(found.variance)))
    assert math.log(found.mean) == pytest.approx(found.place + found.variance / 2)


def test_pours_that_do_not_differ_are_told_so(logs_seen):
    alike = logs_seen - logs_seen.mean(axis=1, keepdims=True) + 3.0
    assert fit(likelihood(alike), np.log([0.3]), np.full(POURS, 3.0)).variance == 0.0


def test_leaving_out_a_pour_is_a_fit_of_the_others(logs_seen):
    logs = likelihood(logs_seen)
    whole = fit(logs, np.log([0.3]), logs_seen.mean(axis=1))
    keep = np.arange(POURS) != 2
    others = fit(likelihood(logs_seen[keep]), np.log([0.3]), logs_seen[keep].mean(axis=1))
    found = near(logs, whole)(keep)
    assert found.shape == pytest.approx(others.shape, abs=3e-3)
    assert found.place == pytest.approx(others.place, abs=1e-4)
    assert found.variance == pytest.approx(others.variance, rel=1e-2)


def test_the_interval_of_a_mean_is_students(logs_seen):
    """The jackknife of a mean is its usual standard error (textbook)."""
    means = logs_seen.mean(axis=1)
    without = leaving_out(POURS, lambda keep: np.array([math.exp(means[keep].mean())]))
    found = interval(math.exp(means.mean()), without[:, 0])
    error = means.std(ddof=1) / POURS**0.5
    low, high = stats.t(POURS - 1, loc=means.mean(), scale=error).interval(LEVEL)
    assert (math.log(found.low), math.log(found.high)) == pytest.approx((low, high), rel=1e-9)


def test_an_sd_that_may_be_nothing_has_an_interval_that_begins_at_nothing():
    found = interval(0.01, np.array([0.0, 0.01, 0.02, 0.01]), least=0.02)
    assert found.low == 0.0
    assert 0.01 < found.high < 0.2


def test_where_pours_are_alike_all_loads_count_as_one_sample(logs_seen):
    one = logs_seen.ravel()

    def _logs(shape, places):
        far = (logs_seen - shape[0]) / math.exp(shape[1])
        return (-np.square(far) / 2 - shape[1]).sum(axis=1)[:, None] + 0.0 * places

    shape, _ = fit_alike(_logs, np.array([2.9, math.log(0.3)]), POURS)
    assert shape[0] == pytest.approx(float(one.mean()), abs=2e-3)
    assert math.exp(shape[1]) == pytest.approx(float(one.std()), rel=5e-3)
