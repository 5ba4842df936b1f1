"""Strength against age: limits of the clause and its errors (values in tests/published)."""

import numpy as np
import pytest

from pourday.concrete.strength import (
    characteristic_strength,
    mean_strength,
    mean_strength_28,
    strength_ratio,
)


def test_fresh_concrete_has_no_strength_and_28_days_give_the_whole():
    np.testing.assert_array_equal(strength_ratio([0.0, 28.0], "N"), [0.0, 1.0])


def test_characteristic_strength_is_not_given_up_to_3_days_and_constant_from_28():
    given = characteristic_strength(33e6, [1.0, 3.0, 3.1, 28.0, 90.0], "N")
    assert np.isnan(given[:2]).all()
    assert 0.0 < given[2] < 25e6
    assert given[3] == given[4] == pytest.approx(25e6)


def test_weak_young_concrete_is_reported_as_nothing_rather_than_less():
    assert float(characteristic_strength(12e6, 3.5, "S")) == 0.0


def test_mean_strength_keeps_growing_after_28_days():
    assert float(mean_strength(33e6, 90.0, "N")) > 33e6


def test_mean_strength_is_8_mpa_above_characteristic():
    assert float(mean_strength_28(25e6)) == 33e6


def test_unknown_cement_class_and_negative_age_are_refused():
    with pytest.raises(ValueError, match="R, N and S"):
        strength_ratio(7.0, "X")
    with pytest.raises(ValueError, match="age_days"):
        strength_ratio(-1.0, "N")
