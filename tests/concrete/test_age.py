"""Equivalent age: closed forms, adaptive quadrature, and the way back to the clock."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from pourday.concrete.age import (
    arrhenius_rate,
    clock_time_at_equivalent_age,
    equivalent_age,
    equivalent_age_series,
)
from pourday.concrete.temperature import concrete_temperature, relaxation

HOUR = 3600.0
HOURS = np.arange(25) * HOUR
_JITTER = np.random.default_rng(7).normal(0.0, 2.0, 25)
AIR = 20.0 + 9.0 * np.sin((np.arange(25) - 9.0) * np.pi / 12.0) + _JITTER


def quadrature(relax, start, end, delivered):
    """Adaptive reference, cut at the weather rows and finely against the time constant."""

    def rate(t):
        return float(arrhenius_rate(concrete_temperature(relax, t, start, delivered)))

    edges = [start, *[h for h in relax.times if start < h < end], end]
    step = max(float(relax.tau[0]), 60.0)
    total = 0.0
    for left, right in pairwise(edges):
        cuts = np.linspace(left, right, 1 + max(1, int(np.ceil((right - left) / step))))
        for a, b in pairwise(cuts):
            total += quad(rate, a, b, epsabs=0.0, epsrel=1e-11)[0]
    return total


def test_at_the_reference_temperature_the_clock_and_the_age_agree():
    relax = relaxation([0.0], [20.0], HOUR)
    assert float(equivalent_age(relax, HOUR, 5 * HOUR, 20.0)) == pytest.approx(4 * HOUR, rel=1e-12)


def test_constant_temperature_multiplies_the_clock_by_the_rate():
    relax = relaxation([0.0], [30.0], HOUR)
    rate = np.exp(-5000.0 * (1 / 303.15 - 1 / 293.15))
    aged = equivalent_age(relax, 0.0, 3 * HOUR, 30.0)
    assert float(aged) == pytest.approx(3 * HOUR * rate, rel=1e-12)


def test_zero_activation_makes_age_the_clock_in_any_weather():
    relax = relaxation(HOURS, AIR, 2 * HOUR)
    aged = equivalent_age(relax, 5.2 * HOUR, 16.9 * HOUR, 33.0, activation=0.0)
    assert float(aged) == pytest.approx(11.7 * HOUR, rel=1e-12)


@pytest.mark.parametrize("tau", [0.0, 180.0, 900.0, 1800.0, HOUR, 2 * HOUR, 6 * HOUR, np.inf])
def test_hourly_air_over_up_to_12_hours_is_within_a_millionth_of_adaptive_quadrature(tau):
    relax = relaxation(HOURS, AIR, tau)
    for start, hours, delivered in [(6.4, 12.0, 5.0), (7.0, 3.0, 38.0), (10.9, 0.3, 33.0)]:
        begin, end = start * HOUR, (start + hours) * HOUR
        reference = quadrature(relax, begin, end, delivered)
        assert float(equivalent_age(relax, begin, end, delivered)) == pytest.approx(
            reference, rel=1e-6
        )


def test_a_day_in_constant_air_with_a_short_time_constant_is_resolved_too():
    relax = relaxation([7 * HOUR], [10.0], 900.0)
    reference = quadrature(relax, 6 * HOUR, 18 * HOUR, 35.0)
    aged = equivalent_age(relax, 6 * HOUR, 18 * HOUR, 35.0)
    assert float(aged) == pytest.approx(reference, rel=1e-6)


def test_one_interval_does_not_depend_on_the_others_in_the_call():
    relax = relaxation(HOURS, AIR, HOUR)
    starts = np.array([6.0, 7.5, 9.0, 9.0]) * HOUR
    ends = np.array([[9.0], [14.25]]) * HOUR
    together = equivalent_age(relax, starts, ends, np.array([15.0, 20.0, 25.0, 30.0]))
    assert together.shape == (2, 4)
    assert together[0, 3] == 0.0
    alone = equivalent_age(relax, 7.5 * HOUR, 14.25 * HOUR, 20.0)
    assert together[1, 1] == float(alone)


@given(
    tau=st.sampled_from([0.0, 600.0, 2 * HOUR, np.inf]),
    start=st.floats(3.0, 12.0),
    hours=st.floats(0.0, 14.0),
    more=st.floats(0.01, 5.0),
    delivered=st.floats(2.0, 38.0),
)
def test_age_grows_with_the_clock_and_with_delivered_warmth(tau, start, hours, more, delivered):
    relax = relaxation(HOURS, AIR, tau)
    begin, end = start * HOUR, (start + hours) * HOUR
    aged, later = equivalent_age(relax, begin, [end, end + more * HOUR], delivered)
    assert later > aged
    warmer = float(equivalent_age(relax, begin, end, delivered + 2.0))
    assert warmer >= aged * (1.0 - 1e-12)


@settings(deadline=None)
@given(
    tau=st.sampled_from([0.0, 600.0, HOUR, 3 * HOUR, np.inf]),
    start=st.floats(3.0, 22.0),
    delivered=st.floats(2.0, 38.0),
    target=st.floats(0.0, 12.0),
)
def test_clock_time_and_equivalent_age_undo_each_other(tau, start, delivered, target):
    relax = relaxation(HOURS, AIR, tau)
    begin = start * HOUR
    clock = clock_time_at_equivalent_age(relax, begin, delivered, target * HOUR)
    back = float(equivalent_age(relax, begin, clock, delivered))
    assert back == pytest.approx(target * HOUR, rel=2e-8, abs=1e-5)


def test_clock_time_broadcasts_and_is_exact_in_constant_air():
    relax = relaxation([0.0], [30.0], np.inf)
    targets = np.array([[1.0], [2.0]]) * HOUR
    clock = clock_time_at_equivalent_age(relax, np.array([0.0, 100.0, 200.0]), 30.0, targets)
    assert clock.shape == (2, 3)
    rate = np.exp(-5000.0 * (1 / 303.15 - 1 / 293.15))
    assert clock[1, 2] == pytest.approx(200.0 + 2 * HOUR / rate, rel=1e-9)


def test_series_gives_28_days_at_30_degrees_as_49_days():
    # Hand-worked: exp(5000 (1/293.15 - 1/303.15)) = 1.75528; 28 d x 1.75528 = 49.148 d.
    times = np.arange(28 * 24 + 1) * HOUR
    series = equivalent_age_series(times, np.full(times.size, 30.0))
    assert series[0] == 0.0
    assert series[-1] / 86400.0 == pytest.approx(49.148, abs=1e-3)


def test_series_agrees_with_concrete_that_follows_the_air():
    relax = relaxation(HOURS, AIR, 0.0)
    series = equivalent_age_series(HOURS, np.stack([AIR, AIR + 5.0]))
    direct = equivalent_age(relax, 0.0, HOURS, 20.0)
    assert series.shape == (2, 25)
    np.testing.assert_allclose(series[0], direct, rtol=1e-9)
    assert np.all(series[1, 1:] > series[0, 1:])


def test_bad_arguments_are_refused():
    relax = relaxation(HOURS, AIR, HOUR)
    with pytest.raises(ValueError, match="end"):
        equivalent_age(relax, 7 * HOUR, 6 * HOUR, 20.0)
    with pytest.raises(ValueError, match="finite"):
        equivalent_age(relax, 7 * HOUR, np.inf, 20.0)
    with pytest.raises(ValueError, match="target_age"):
        clock_time_at_equivalent_age(relax, 0.0, 20.0, -1.0)
    with pytest.raises(ValueError, match="activation"):
        arrhenius_rate(20.0, activation=-1.0)
    with pytest.raises(ValueError, match="273"):
        arrhenius_rate(-300.0)
    with pytest.raises(ValueError, match="increase"):
        equivalent_age_series([0.0, 0.0], [20.0, 20.0])
    with pytest.raises(ValueError, match="one temperature a time"):
        equivalent_age_series([0.0, 1.0], [20.0])


def test_300_edge_pairs_in_one_call(benchmark):
    relax = relaxation(HOURS, AIR, 2 * HOUR)
    starts = np.linspace(6.0, 12.0, 300) * HOUR
    ends = starts + np.linspace(1.0, 4.0, 300) * HOUR
    aged = benchmark(equivalent_age, relax, starts, ends, 25.0)
    for k in (0, 150, 299):
        assert aged[k] == pytest.approx(quadrature(relax, starts[k], ends[k], 25.0), rel=1e-6)
