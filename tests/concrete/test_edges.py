"""The three rules for edges, worked by hand at 5, 20 and 35 °C.

Arrhenius (ASTM C1074), Q = 5000 K, reference 20 °C: rate = exp(5000 (1/293.15 - 1/(273.15 + T))).
1/293.15 - 1/278.15 = -1.839606e-4: e^-0.919803 = 0.398598 at 5 °C; 1/293.15 - 1/308.15 =
1.660512e-4: e^0.830256 = 2.293906 at 35 °C.
"""

import math

import numpy as np
import pytest

from pourday.concrete.age import clock_time_at_equivalent_age
from pourday.concrete.edges import by_interval, by_open_time, by_set, interval_between_lifts
from pourday.concrete.temperature import relaxation

HOUR, MINUTE = 3600.0, 60.0


def after(age: float, temperature: float) -> float:
    """Minutes until concrete kept at a temperature is as old as ``age`` (s at 20 °C)."""
    relax = relaxation([0.0], [temperature], 6 * HOUR)
    return float(clock_time_at_equivalent_age(relax, 0.0, temperature, age)) / MINUTE


@pytest.mark.parametrize(
    ("temperature", "stiff", "cold"),
    [
        # Initial set 5 h: stiff at 150 min, cold at 240 min of 20 °C.
        (5.0, 376.319, 602.110),  # 150 / 0.398598, 240 / 0.398598
        (20.0, 150.0, 240.0),
        (35.0, 65.391, 104.625),  # 150 / 2.293906, 240 / 2.293906
    ],
)
def test_by_set_half_and_four_fifths_of_the_time_to_initial_set(temperature, stiff, cold):
    rule = by_set(5 * HOUR)
    assert rule.stiff is not None
    assert rule.cold is not None
    assert after(rule.stiff, temperature) == pytest.approx(stiff, abs=0.005)
    assert after(rule.cold, temperature) == pytest.approx(cold, abs=0.005)


@pytest.mark.parametrize(
    ("temperature", "stiff", "cold"),
    [
        # Open time 160 min, stiff from 0.5/0.8 = 0.625 of it: 100 min at 20 °C.
        (5.0, 250.879, 401.407),  # 100 / 0.398598, 160 / 0.398598
        (20.0, 100.0, 160.0),
        (35.0, 43.594, 69.750),  # 100 / 2.293906, 160 / 2.293906
    ],
)
def test_given_is_cold_at_the_open_time_and_stiff_in_the_same_proportion(temperature, stiff, cold):
    rule = by_open_time(160 * MINUTE)
    assert rule.stiff is not None
    assert rule.cold is not None
    assert after(rule.stiff, temperature) == pytest.approx(stiff, abs=0.005)
    assert after(rule.cold, temperature) == pytest.approx(cold, abs=0.005)


def test_the_interval_between_lifts_is_two_and_a_half_hours_up_to_25_degrees_two_above():
    # JSCE Standard Specifications (2.5 h at second hand, 2.0 h a value from memory).
    found = interval_between_lifts([5.0, 20.0, 25.0, 25.01, 35.0]) / HOUR
    assert found.tolist() == [2.5, 2.5, 2.5, 2.0, 2.0]
    rule = by_interval()
    assert (rule.cold, rule.stiff) == (None, None)
    # Stiff after 1:33:45 of 2:30, after 1:15 of 2:00.
    assert np.allclose(rule.stiff_from * found[[0, 4]] * 60, [93.75, 75.0])


def test_own_shares_set_both_states():
    rule = by_set(6 * HOUR, 0.4, 0.9)
    assert rule.stiff == pytest.approx(2.4 * HOUR)
    assert rule.cold == pytest.approx(5.4 * HOUR)


def test_cold_comes_before_initial_set_and_stiff_before_cold():
    # BS 8500-1 A.9.1: a cold joint needs an initial set of the lower concrete.
    rule = by_set(5 * HOUR)
    assert rule.stiff is not None
    assert rule.cold is not None
    assert rule.stiff < rule.cold < 5 * HOUR


@pytest.mark.parametrize("rule", [lambda a, b: by_set(1.0, a, b), by_interval])
@pytest.mark.parametrize("shares", [(0.8, 0.5), (0.5, 0.5), (0.0, 0.5), (math.nan, 0.8)])
def test_shares_out_of_order_are_refused(rule, shares):
    with pytest.raises(ValueError, match="0 < stiff < cold"):
        rule(*shares)
