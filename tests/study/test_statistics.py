"""Intervals of the study beside published values, closed forms and scipy.stats; edge cases."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from pourday.study.statistics import (
    Interval,
    mean_interval,
    paired_difference,
    spread,
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


@pytest.mark.parametrize(
    ("successes", "n", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_meets_the_published_intervals(successes, n, low, high):
    # R. G. Newcombe, Two-sided confidence intervals for the single proportion: comparison of seven
    # methods, Statistics in Medicine 17 (1998), 857-872, Table I (values from memory).
    found = wilson(successes, n)
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.000051)


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


# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: upper critical values of Student's t,
# by degrees of freedom, for the probabilities of TABLED; three decimals.
TABLED = (0.90, 0.95, 0.975, 0.995)
CRITICAL = {
    1: (3.078, 6.314, 12.706, 63.657),
    2: (1.886, 2.920, 4.303, 9.925),
    5: (1.476, 2.015, 2.571, 4.032),
    10: (1.372, 1.812, 2.228, 3.169),
    19: (1.328, 1.729, 2.093, 2.861),
    30: (1.310, 1.697, 2.042, 2.750),
    100: (1.290, 1.660, 1.984, 2.626),
}


def student(probability: float, freedom: int) -> float:
    """Student's quantile, as the interval of a mean uses it: its reach over its standard error."""
    values = np.arange(freedom + 1.0)
    found = mean_interval(values, 2 * probability - 1)
    return (found.high - found.value) / (np.std(values, ddof=1) / math.sqrt(freedom + 1))


@pytest.mark.parametrize("freedom", CRITICAL)
def test_the_interval_of_a_mean_uses_the_published_student_values(freedom):
    found = [student(probability, freedom) for probability in TABLED]
    assert found == pytest.approx(CRITICAL[freedom], abs=0.00051)


@pytest.mark.parametrize("probability", [0.51, 0.75, 0.9, 0.975, 0.9995])
def test_the_interval_of_a_mean_meets_the_closed_forms_of_few_degrees(probability):
    # 1, 2 and 4 degrees: W. T. Shaw, Sampling Student's T distribution, Journal of Computational
    # Finance 9 (2006), 37-73.
    p = probability
    tail = 4 * p * (1 - p)
    inner = math.cos(math.acos(math.sqrt(tail)) / 3) / math.sqrt(tail)
    assert student(p, 1) == pytest.approx(math.tan(math.pi * (p - 0.5)), rel=1e-11)
    assert student(p, 2) == pytest.approx((2 * p - 1) / math.sqrt(2 * p * (1 - p)), rel=1e-11)
    assert student(p, 4) == pytest.approx(2 * math.sqrt(inner - 1), rel=1e-11)


@pytest.mark.parametrize("freedom", [3, 7, 29, 199, 999])
@pytest.mark.parametrize("probability", [0.6, 0.9, 0.975, 0.995])
def test_the_density_of_student_below_the_quantile_adds_up_to_the_probability(freedom, probability):
    def density(t: float) -> float:
        half = (freedom + 1) / 2
        front = math.lgamma(half) - math.lgamma(freedom / 2) - math.log(freedom * math.pi) / 2
        return math.exp(front - half * math.log1p(t * t / freedom))

    below, _ = quad(density, 0.0, student(probability, freedom), epsabs=1e-13, epsrel=1e-13)
    assert below == pytest.approx(probability - 0.5, abs=1e-11)


def test_very_many_days_are_as_good_as_normal():
    assert student(0.975, 10**6) == pytest.approx(1.959966, abs=5e-6)


@pytest.mark.parametrize("confidence", [0.0, 1.0, -0.1, math.nan])
def test_a_mean_refuses_what_is_no_confidence(confidence):
    with pytest.raises(ValueError, match="confidence"):
        mean_interval([1.0, 2.0], confidence)


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
