"""Chance that is continued: what lasts already is drawn given that it is over what has passed.

Second library: the distributions of scipy.stats, whose distribution functions are not ours (ours
use scipy.special directly or are closed forms).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pourday.day.chance.streams import Stream
from pourday.scenario.base.distribution import Distribution, fixed, parse


def log_of(mean: float, sd: float):
    variance = math.log1p((sd / mean) ** 2)
    return stats.lognorm(math.sqrt(variance), scale=mean / math.sqrt(1 + (sd / mean) ** 2))


KINDS = {
    "lognormal": (Distribution("lognormal", (25.0, 8.0)), log_of(25.0, 8.0)),
    "gamma": (Distribution("gamma", (25.0, 8.0)), stats.gamma(25**2 / 64, scale=64 / 25)),
    "exponential": (Distribution("exponential", (25.0,)), stats.expon(scale=25.0)),
    "uniform": (Distribution("uniform", (10.0, 40.0)), stats.uniform(10.0, 30.0)),
    "triangular": (
        Distribution("triangular", (10.0, 15.0, 40.0)),
        stats.triang(5 / 30, loc=10.0, scale=30.0),
    ),
    "normal": (
        Distribution("normal", (25.0, 8.0, 5.0, 40.0)),
        stats.truncnorm(-20 / 8, 15 / 8, loc=25.0, scale=8.0),
    ),
}
CONTINUOUS = pytest.mark.parametrize(("ours", "theirs"), KINDS.values(), ids=list(KINDS))


@CONTINUOUS
def test_share_below_and_its_inverse_agree_with_a_second_library(ours, theirs):
    for value in (-3.0, 0.0, 5.0, 12.0, 15.0, 24.0, 33.0, 39.9, 55.0):
        assert ours.share_below(value) == pytest.approx(theirs.cdf(value), abs=1e-12)
    for share in (0.001, 0.1, 1 / 6, 0.5, 0.9, 0.999):
        assert ours.value_at(share) == pytest.approx(theirs.ppf(share), rel=1e-9)


@CONTINUOUS
def test_what_is_drawn_beyond_has_the_distribution_that_is_left(ours, theirs):
    # Kolmogorov's test against the distribution cut at what has passed; one look at 99.9 % for
    # each kind, seeds fixed.
    elapsed = float(theirs.ppf(0.6))
    drawn = np.array([Stream(seed, "way", ours).beyond(3, elapsed) for seed in range(1500)])
    assert (drawn >= elapsed).all()

    def left(value):
        return (theirs.cdf(value) - 0.6) / 0.4

    assert stats.kstest(drawn, left).pvalue > 1e-3
    # And the test can fail: the whole distribution is not what is left of it.
    assert stats.kstest(drawn, theirs.cdf).pvalue < 1e-6


def test_values_of_a_list_are_drawn_beyond_by_their_counts():
    ways = Distribution("list", (10.0, 20.0, 20.0, 30.0, 40.0))
    assert [ways.share_below(v) for v in (9.0, 10.0, 20.0, 39.0, 40.0)] == pytest.approx(
        [0.0, 0.2, 0.6, 0.8, 1.0]
    )
    assert [ways.value_at(s) for s in (0.0, 0.2, 0.21, 0.6, 0.61, 1.0)] == [10, 10, 20, 20, 30, 40]
    drawn = [Stream(seed, "way", ways).beyond(0, 10.0) for seed in range(4000)]
    shares = [drawn.count(v) / 4000 for v in (10.0, 20.0, 30.0, 40.0)]
    # Two of the four values over 10 are 20: sd of the share 0.008.
    assert shares == pytest.approx([0.0, 0.5, 0.25, 0.25], abs=0.03)


def test_a_fixed_value_that_has_passed_is_over_now():
    assert Stream(1, "way", fixed(25.0)).beyond(0, 10.0) == 25.0
    assert Stream(1, "way", fixed(25.0)).beyond(0, 31.0) == 31.0
    assert Stream(1, "way", parse({"dist": "uniform", "low": 1, "high": 9})).beyond(0, 12.0) == 12.0


def test_a_trip_far_beyond_all_that_the_file_expects_has_an_end_too():
    """The share that is left rounds to nothing: without a cap the value is infinite."""
    ways = KINDS["gamma"][0]
    far = ways.value_at(np.nextafter(1.0, 0.0))
    assert ways.share_below(far) < 1.0
    out = [Stream(seed, "way", ways).beyond(0, far) for seed in range(20)]
    assert all(far <= value < np.inf for value in out)


def test_a_value_that_is_over_what_has_passed_is_the_value_of_the_day():
    for seed in range(50):
        stream = Stream(seed, "way", KINDS["gamma"][0])
        value = stream(7)
        assert stream.beyond(7, value - 0.1) == value
        assert stream.beyond(7, value + 0.1) > value
