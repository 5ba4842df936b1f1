"""Figures that are 0 on most days: share, mean, and an interval only where there is one to give.

Coverage is counted over studies of 1,000 days in which metres come up on 2 or 5 % of days and are
then exponential (the most skewed that metres of an edge are). The bounds are what is claimed, less
three standard errors of the count.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pourday.study.rare import LEAST, bootstrap_t, rare_difference, rare_mean
from pourday.study.statistics import clopper_pearson, mean_interval, whole_parts, wilson


def test_few_days_give_the_share_and_the_metres_on_them_and_no_interval_of_the_mean():
    values = np.zeros(200)
    values[:4] = (2.0, 3.0, 4.0, 7.0)
    found = rare_mean(values)
    assert found.then == 4.0
    assert found.mean.value == pytest.approx(0.08)
    assert math.isnan(found.mean.low)
    assert math.isnan(found.mean.high)
    # Clopper and Pearson, 4 of 200: 0.5 to 5.0 % (scipy is the second reckoner).
    exact = stats.binomtest(4, 200).proportion_ci(method="exact")
    assert (found.share.low, found.share.high) == pytest.approx((exact.low, exact.high))
    none = rare_mean(np.zeros(200))
    assert math.isnan(none.then)
    assert none.share.high == pytest.approx(1.0 - 0.025 ** (1 / 200))


def test_ten_days_give_an_interval_that_leans_to_the_long_side():
    values = np.zeros(500)
    values[:LEAST] = np.arange(1.0, LEAST + 1.0)
    found = rare_mean(values).mean
    assert found.low < found.value < found.high
    assert found.high - found.value > 1.3 * (found.value - found.low)
    assert bootstrap_t(values) == found  # the same values, the same interval
    assert math.isnan(rare_mean(values[1:]).mean.low)


def test_differences_of_plans_that_meet_the_same_days():
    first, second = np.zeros(300), np.zeros(300)
    first[:5], second[:15] = 2.0, 3.0
    found = rare_difference(first, second)
    assert found.value == pytest.approx((15 * 3.0 - 5 * 2.0) / 300)
    assert found.low > 0.0
    assert math.isnan(rare_difference(first, first).low)


def test_values_that_are_all_alike_are_their_own_interval():
    assert bootstrap_t(np.full(40, 2.5)) == mean_interval([2.5] * 40)


def test_parts_in_whole_units_add_up_to_the_whole():
    # Rounded one by one: 1 + 1 + 2 = 4 against 5.
    parts = {"cost_a": 1.4, "cost_b": 1.4, "cost_c": 2.4, "cost_total": 5.2}
    found = whole_parts(parts)
    assert found["cost_total"] == 5
    assert sum(found.values()) == 2 * found["cost_total"]
    draw = np.random.default_rng(16)
    for _ in range(300):
        values = {f"cost_{n}": float(v) for n, v in enumerate(draw.uniform(0, 9e3, 7))}
        values["cost_total"] = sum(values.values())
        found = whole_parts(values)
        assert sum(v for n, v in found.items() if n != "cost_total") == found["cost_total"]
        assert all(abs(found[n] - values[n]) < 1.0 for n in values)


def coverage(interval, share, days, studies=500):
    """How often an interval of the mean holds it, where the days allow an interval at all."""
    draw, truth, held, given = np.random.default_rng(61), 4.0 * share, 0, 0
    for _ in range(studies):
        happened = draw.random(days) < share
        values = np.where(happened, draw.exponential(4.0, days), 0.0)
        if happened.sum() < LEAST:
            continue
        found = interval(values)
        given += 1
        held += found.low <= truth <= found.high
    return held / given


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.02, 0.05, 0.5])
def test_the_interval_of_a_rare_mean_holds_it(share):
    # 95 % are claimed; 0.92 is that less three standard errors of 500 studies (1 % each).
    # Where half the days have metres, 150 days are harder than 1,000, and quicker to draw from.
    assert coverage(bootstrap_t, share, 1000 if share < 0.5 else 150) >= 0.92


@pytest.mark.slow
def test_students_interval_does_not_where_days_are_few():
    # Why it is not used: 2 % of 200 days are 4, and it holds the mean on two occasions of three.
    draw, held = np.random.default_rng(62), 0
    for _ in range(1000):
        values = np.where(draw.random(200) < 0.02, draw.exponential(4.0, 200), 0.0)
        held += values.any() and mean_interval(values).low <= 0.08 <= mean_interval(values).high
    assert held / 1000 < 0.85


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.005, 0.02, 0.1, 0.5])
@pytest.mark.parametrize(("interval", "least"), [(clopper_pearson, 0.95), (wilson, 0.92)])
def test_intervals_of_a_share_hold_it(interval, least, share):
    # Exactly, by the binomial law. Clopper and Pearson claim at least 95 %, Wilson about it.
    for days in (200, 1000):
        bad = np.arange(days + 1)
        ends = [interval(int(s), days) for s in bad]
        held = np.array([each.low <= share <= each.high for each in ends])
        assert stats.binom.pmf(bad, days, share)[held].sum() >= least - 1e-9


@pytest.mark.slow
@pytest.mark.parametrize("spread", [0.3, 1.0])
def test_the_interval_of_a_paired_difference_holds_it(spread):
    # Money: lognormal differences of 200 days, Student's interval; 95 % claimed, skew 1 and 6.
    draw, held = np.random.default_rng(63), 0
    truth = math.exp(spread**2 / 2.0)
    for _ in range(2000):
        found = mean_interval(draw.lognormal(0.0, spread, 200))
        held += found.low <= truth <= found.high
    assert held / 2000 >= 0.91
