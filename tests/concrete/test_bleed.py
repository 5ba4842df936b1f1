"""Bleed water: a triangle over equivalent age, worked by hand."""

import numpy as np
import pytest

from pourday.concrete.bleed import accumulated_bleed, bleed_rate

HOUR = 3600.0
# Placed at an age of 1 h, initial set at 5 h, 0.4 kg/m²/h at placing: 0.8 kg/m² in all.
PLACED, SET, RATE = 1 * HOUR, 5 * HOUR, 0.4


def test_accumulated_bleed_is_the_area_under_a_falling_line():
    # After x of the 4 hours: 0.4 (x - x²/8).
    ages = np.array([0.0, 1.0, 2.0, 3.0, 5.0, 9.0]) * HOUR
    expected = [0.0, 0.0, 0.35, 0.6, 0.8, 0.8]
    np.testing.assert_allclose(accumulated_bleed(ages, PLACED, SET, RATE), expected, atol=1e-12)


def test_rate_falls_from_the_mix_value_to_nothing_at_initial_set():
    ages = np.array([0.5, 1.0, 3.0, 5.0, 6.0]) * HOUR
    np.testing.assert_allclose(bleed_rate(ages, PLACED, SET, RATE), [0.0, 0.4, 0.2, 0.0, 0.0])


def test_accumulated_bleed_is_the_integral_of_the_rate():
    ages = np.linspace(0.0, 8.0 * HOUR, 80001)
    rate = bleed_rate(ages, PLACED, SET, RATE)
    steps = np.diff(ages) / HOUR * (rate[1:] + rate[:-1]) / 2
    got = accumulated_bleed(ages, PLACED, SET, RATE)
    np.testing.assert_allclose(got[1:], np.cumsum(steps), atol=1e-4)


def test_concrete_placed_past_its_initial_set_bleeds_nothing():
    assert accumulated_bleed(9 * HOUR, 6 * HOUR, SET, RATE) == 0.0
    assert bleed_rate(6 * HOUR, 6 * HOUR, SET, RATE) == 0.0
    assert accumulated_bleed(5 * HOUR, 5 * HOUR, SET, RATE) == 0.0


def test_arrays_broadcast():
    got = accumulated_bleed(np.array([[2.0], [3.0]]) * HOUR, [0.0, PLACED], SET, RATE)
    assert got.shape == (2, 2)


@pytest.mark.parametrize("wrong", [-1.0, np.nan, np.inf])
def test_values_below_zero_or_not_finite_are_refused(wrong):
    with pytest.raises(ValueError, match="finite and 0 or more"):
        accumulated_bleed(HOUR, wrong, SET, RATE)
    with pytest.raises(ValueError, match="finite and 0 or more"):
        bleed_rate(HOUR, PLACED, SET, wrong)
