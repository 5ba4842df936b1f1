"""Intervals and quantiles of the study beside scipy, and their edge cases."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pourday.study.statistics import (
    Interval,
    mean_interval,
    paired_difference,
    spread,
    t_quantile,
    wilson,
)


@pytest.mark.parametrize(
    ("successes", "n"), [(0, 1), (1, 1), (0, 30), (30, 30), (1, 200), (3, 200), (117, 500)]
)
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_wilson_agrees_with_scipy(successes, n, confidence):
    ours = wilson(successes, n, confidence)
    theirs = stats.binomtest(successes, n).proportion_ci(confidence, method="wilson")
    assert ours.value == successes / n
    assert ours.low == pytest.approx(theirs.low, abs=1e-12)
    assert ours.high == pytest.approx(theirs.high, abs=1e-12)


def test_wilson_by_hand_for_no_cold_joint_on_20_days():
    # k = 0: the interval is 0 to z²/(n + z²) = 3.841459 / 23.841459 = 0.161125.
    found = wilson(0, 20)
    assert found.low == 0.0
    assert found.high == pytest.approx(0.161125, abs=1e-6)


@given(n=st.integers(1, 5000), share=st.floats(0.0, 1.0))
def test_wilson_stays_in_zero_to_one_and_around_its_value(n, share):
    found = wilson(round(share * n), n)
    assert 0.0 <= found.low <= found.value <= found.high <= 1.0


@pytest.mark.parametrize(
    "arguments", [(1, 0), (-1, 3), (4, 3), (1, 3, 0.0), (1, 3, 1.0), (1, 3, math.nan)]
)
def test_wilson_refuses_what_is_no_share(arguments):
    with pytest.raises(ValueError, match=r"successes|confidence"):
        wilson(*arguments)


@pytest.mark.parametrize("probability", [0.51, 0.6, 0.8, 0.9, 0.95, 0.975, 0.995, 0.9995])
def test_t_quantile_agrees_with_scipy_for_1_to_1000_degrees(probability):
    freedom = np.arange(1, 1001)
    ours = np.array([t_quantile(probability, int(df)) for df in freedom])
    np.testing.assert_allclose(ours, stats.t.ppf(probability, freedom), rtol=1e-9, atol=1e-9)


def test_t_quantile_of_one_degree_is_the_cauchy_quantile():
    # Closed form: tan(pi (p - 1/2)).
    for probability in (0.3, 0.75, 0.975, 0.999):
        exact = math.tan(math.pi * (probability - 0.5))
        assert t_quantile(probability, 1) == pytest.approx(exact, rel=1e-12)


def test_t_quantile_is_symmetric_and_meets_the_normal_for_many_degrees():
    assert t_quantile(0.5, 7) == 0.0
    assert t_quantile(0.025, 7) == pytest.approx(-t_quantile(0.975, 7), rel=1e-12)
    assert t_quantile(0.975, 10**6) == pytest.approx(1.959966, abs=5e-6)


@pytest.mark.parametrize("arguments", [(0.0, 3), (1.0, 3), (0.9, 0), (math.nan, 3)])
def test_t_quantile_refuses_what_is_not_defined(arguments):
    with pytest.raises(ValueError, match="not defined"):
        t_quantile(*arguments)


def test_paired_difference_agrees_with_scipy():
    generator = np.random.default_rng(11)
    a = generator.normal(8.0, 2.0, 40)
    b = a + generator.normal(0.4, 0.3, 40)
    ours = paired_difference(a, b, 0.9)
    theirs = stats.ttest_rel(b, a).confidence_interval(0.9)
    assert ours.value == pytest.approx(np.mean(b) - np.mean(a), rel=1e-12)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), rel=1e-9)


def test_pairing_sees_a_difference_that_the_spread_of_days_would_hide():
    days = np.linspace(0.0, 100.0, 20)
    found = paired_difference(days, days + 1.0 + 0.01 * (-1.0) ** np.arange(20))
    assert 0.99 < found.low < found.high < 1.01


def test_a_single_day_gives_a_value_and_an_infinite_interval():
    assert paired_difference([3.0], [5.0]) == Interval(2.0, -math.inf, math.inf)
    assert mean_interval([4.0]) == Interval(4.0, -math.inf, math.inf)


def test_days_without_spread_give_an_interval_of_no_width():
    assert mean_interval([2.0, 2.0, 2.0]) == Interval(2.0, 2.0, 2.0)


def test_mean_interval_by_hand():
    # 1, 2, 3: mean 2, s 1, n 3; t(0.975, 2) = 4.302653; reach 4.302653 / sqrt(3) = 2.484138.
    found = mean_interval([1.0, 2.0, 3.0])
    assert (found.low, found.high) == pytest.approx((2 - 2.484138, 2 + 2.484138), abs=1e-6)


@pytest.mark.slow
def test_mean_interval_covers_the_truth_as_often_as_it_claims():
    generator = np.random.default_rng(3)
    hits = 0
    for _ in range(4000):
        found = mean_interval(generator.normal(5.0, 2.0, 6), 0.9)
        hits += found.low <= 5.0 <= found.high
    # 90 % of 4000 with four standard deviations of the count, 4 x 19.
    assert abs(hits - 3600) <= 76


def test_spread_by_hand():
    # 0..10: percentiles fall on order statistics.
    found = spread(np.arange(11.0)[::-1])
    assert (found.mean, found.p10, found.p50, found.p90) == (5.0, 1.0, 5.0, 9.0)


def test_rows_that_cannot_be_counted_are_refused():
    for bad in ([], [[1.0, 2.0]], [1.0, math.nan], [math.inf]):
        with pytest.raises(ValueError, match="finite value"):
            spread(bad)
    with pytest.raises(ValueError, match="same days"):
        paired_difference([1.0, 2.0], [1.0])
