"""Closed forms of the relaxing concrete temperature, and against a general ODE solver."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from pourday.concrete.age import equivalent_age
from pourday.concrete.temperature import (
    Air,
    at,
    concrete_temperature,
    end_to_end,
    on_days,
    relaxation,
)

HOUR = 3600.0
HOURS = np.arange(25) * HOUR
SUMMER = 22.0 + 9.0 * np.sin((np.arange(25) - 9.0) * np.pi / 12.0) + 1.5 * np.cos(np.arange(25))


def test_air_is_linear_between_rows_and_constant_beyond_the_ends():
    times, values = np.array([100.0, 200.0]), np.array([10.0, 30.0])
    assert at(times, values, np.array([0.0, 100.0, 125.0, 200.0, 999.0])).tolist() == [
        10.0,
        10.0,
        15.0,
        30.0,
        30.0,
    ]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"times": np.array([0.0, 0.0])}, "increase"),
        ({"temperature": np.array([1.0, np.nan])}, "finite"),
        ({"humidity": np.array([0.5, 1.1])}, "humidity"),
        ({"wind": np.array([-1.0, 1.0])}, "wind"),
        ({"wind": np.array([1.0])}, "one value a time"),
    ],
)
def test_bad_weather_rows_are_refused(change, message):
    rows = {
        "times": np.array([0.0, 1.0]),
        "temperature": np.array([1.0, 2.0]),
        "humidity": np.array([0.5, 0.5]),
        "wind": np.array([1.0, 1.0]),
    }
    with pytest.raises(ValueError, match=message):
        Air(**{**rows, **change})


def test_concrete_in_constant_air_loses_63_percent_of_its_excess_in_one_time_constant():
    relax = relaxation([0.0], [15.0], 2 * HOUR)
    warm = concrete_temperature(relax, 9 * HOUR, 7 * HOUR, 30.0)
    assert float(warm) == pytest.approx(15.0 + 15.0 / np.e, abs=1e-12)


def test_concrete_in_steadily_warming_air_lags_by_one_time_constant():
    # 1 K/h and tau 2 h: after the transient the concrete runs 2 K behind the air.
    relax = relaxation([0.0, 100 * HOUR], [0.0, 100.0], 2 * HOUR)
    late = concrete_temperature(relax, 80 * HOUR, 0.0, 25.0)
    assert float(late) == pytest.approx(78.0, abs=1e-9)
    # Hand-worked while the transient lives, t = tau: (0 + 2 - 2) + (25 + 2) / e.
    early = concrete_temperature(relax, 2 * HOUR, 0.0, 25.0)
    assert float(early) == pytest.approx(27.0 / np.e, abs=1e-12)


@pytest.mark.parametrize("tau", [0.2 * HOUR, 1 * HOUR, 4 * HOUR, 30 * HOUR])
def test_relaxation_agrees_with_a_general_ode_solver(tau):
    relax = relaxation(HOURS, SUMMER, tau)
    begin, delivered = 6.3 * HOUR, 31.0
    clock = np.linspace(begin, 27 * HOUR, 60)
    solved = solve_ivp(
        lambda t, y: (at(HOURS, SUMMER, t) - y) / tau,
        (begin, clock[-1]),
        [delivered],
        t_eval=clock,
        rtol=1e-10,
        atol=1e-10,
        max_step=300.0,
    )
    exact = concrete_temperature(relax, clock, begin, delivered)
    np.testing.assert_allclose(exact, solved.y[0], atol=2e-6)


def test_infinite_time_constant_keeps_the_delivered_temperature():
    relax = relaxation(HOURS, SUMMER, np.inf)
    kept = concrete_temperature(relax, HOURS[8:], 7 * HOUR, 26.5)
    np.testing.assert_allclose(kept, 26.5, atol=1e-12)


def test_a_very_long_time_constant_approaches_the_infinite_one():
    relax = relaxation(HOURS, SUMMER, 1e13)
    assert float(concrete_temperature(relax, 20 * HOUR, 7 * HOUR, 26.5)) == pytest.approx(26.5)


def test_zero_time_constant_follows_the_air():
    relax = relaxation(HOURS, SUMMER, 0.0)
    clock = np.linspace(7 * HOUR, 30 * HOUR, 50)
    followed = concrete_temperature(relax, clock, 7 * HOUR, 99.0)
    np.testing.assert_allclose(followed, at(HOURS, SUMMER, clock), atol=1e-12)


def test_concrete_batched_before_the_first_row_sees_the_first_row_as_constant_air():
    relax = relaxation([10 * HOUR, 11 * HOUR], [12.0, 20.0], 2 * HOUR)
    early = concrete_temperature(relax, 8 * HOUR, 6 * HOUR, 22.0)
    assert float(early) == pytest.approx(12.0 + 10.0 / np.e, abs=1e-12)


def test_arrays_broadcast():
    relax = relaxation(HOURS, SUMMER, HOUR)
    starts = np.array([6.0, 7.0, 8.0]) * HOUR
    clock = np.array([[9.0], [10.0]]) * HOUR
    together = concrete_temperature(relax, clock, starts, np.array([20.0, 25.0, 30.0]))
    assert together.shape == (2, 3)
    assert together[1, 2] == pytest.approx(
        float(concrete_temperature(relax, 10 * HOUR, 8 * HOUR, 30.0)), abs=1e-12
    )


@given(
    tau=st.floats(60.0, 1e6),
    delivered=st.floats(0.0, 40.0),
    first=st.floats(0.0, 10.0),
    second=st.floats(0.0, 10.0),
)
def test_stopping_halfway_and_going_on_changes_nothing(tau, delivered, first, second):
    relax = relaxation(HOURS, SUMMER, tau)
    begin = 5 * HOUR
    middle, end = begin + first * HOUR, begin + (first + second) * HOUR
    halfway = concrete_temperature(relax, middle, begin, delivered)
    resumed = concrete_temperature(relax, end, middle, halfway)
    direct = concrete_temperature(relax, end, begin, delivered)
    assert float(resumed) == pytest.approx(float(direct), abs=1e-9)


@given(tau=st.floats(1.0, 1e7), delivered=st.floats(-5.0, 45.0), hours=st.floats(0.0, 20.0))
def test_concrete_is_never_outside_its_start_and_the_air_it_met(tau, delivered, hours):
    relax = relaxation(HOURS, SUMMER, tau)
    now = float(concrete_temperature(relax, (4 + hours) * HOUR, 4 * HOUR, delivered))
    assert min(delivered, SUMMER.min()) - 1e-9 <= now <= max(delivered, SUMMER.max()) + 1e-9


def test_time_before_batching_and_bad_time_constants_are_refused():
    relax = relaxation(HOURS, SUMMER, HOUR)
    with pytest.raises(ValueError, match="before"):
        concrete_temperature(relax, 6 * HOUR, 7 * HOUR, 20.0)
    for tau in (-1.0, np.nan):
        with pytest.raises(ValueError, match="tau"):
            relaxation(HOURS, SUMMER, tau)


def test_a_start_a_thousand_time_constants_before_the_first_row_is_no_overflow():
    relax = relaxation([10 * HOUR, 11 * HOUR], [12.0, 20.0], 30.0)
    early = concrete_temperature(relax, 0.5 * HOUR, 0.0, 22.0)
    assert float(early) == pytest.approx(12.0, abs=1e-9)


def test_air_of_several_days_is_read_as_that_of_each_day_alone():
    # numpy's own interpolation is the reference, to the last bit.
    rng = np.random.default_rng(5)
    times = np.array([0.0, 3600.0, 4000.0, 40000.0])
    rows = rng.uniform(-10.0, 40.0, (3, 4))
    when = np.concatenate([rng.uniform(-5000.0, 50000.0, 300), times])
    day = rng.integers(0, 3, len(when))
    alone = [np.interp(t, times, rows[d]) for t, d in zip(when, day, strict=True)]
    assert at(times, rows, when, day).tolist() == alone
    only = at(times[:1], rows[:, :1], when, day)
    assert only.tolist() == rows[day, 0].tolist()


def test_concrete_of_several_days_end_to_end_is_as_warm_and_old_as_on_each_day_alone():
    rng = np.random.default_rng(6)
    days = []
    for rows in (2, 5, 9):  # days may have as many rows as they like
        times = np.cumsum(rng.uniform(600.0, 9000.0, rows))
        days.append(
            relaxation(times, rng.uniform(0.0, 35.0, rows), rng.uniform(600, 9000, rows + 1))
        )
    start = rng.uniform(-9000.0, 60000.0, 200)
    end = start + rng.uniform(0.0, 40000.0, 200)
    warm, day = rng.uniform(5.0, 35.0, 200), rng.integers(0, 3, 200)
    together = on_days(end_to_end(days), day)
    temperature = concrete_temperature(together, end, start, warm)
    age = equivalent_age(together, start, end, warm)
    for number, relax in enumerate(days):
        mine = day == number
        args = start[mine], end[mine], warm[mine]
        alone = concrete_temperature(relax, args[1], args[0], args[2])
        assert temperature[mine].tolist() == alone.tolist()
        assert age[mine].tolist() == equivalent_age(relax, *args).tolist()
    rows = on_days(end_to_end(days), day[:, None])
    grid = concrete_temperature(rows, end[:, None] + np.array([0.0, 60.0]), start[:, None], 20.0)
    assert grid[:, 0].tolist() == concrete_temperature(together, end, start, 20.0).tolist()
