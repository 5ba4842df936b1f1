"""Evaporation from a fresh slab: the formula by hand, its limits, and condensation."""

import numpy as np
import pytest

from pourday.concrete.evaporation import (
    ACT,
    WATCH,
    dew_point,
    evaporation_rate,
    saturation_vapour_pressure,
)


def test_evaporation_by_hand():
    # Tc 32, Ta 18, r 0.25, V 36 km/h = 10 m/s:
    # 5 x (50^2.5 - 0.25 x 36^2.5) x 40 x 1e-6 = 2e-4 x (17677.670 - 0.25 x 7776) = 3.146734.
    assert float(evaporation_rate(32.0, 18.0, 0.25, 10.0)) == pytest.approx(3.146734, abs=1e-6)


def test_still_air_leaves_the_constant_of_the_formula():
    # Tc = Ta = 18, r 0: 5 x 7776 x 4 x 1e-6 = 0.15552.
    assert float(evaporation_rate(18.0, 18.0, 0.0, 0.0)) == pytest.approx(0.15552, abs=1e-9)


def test_warm_damp_air_over_cold_concrete_condenses_and_evaporates_nothing():
    assert float(evaporation_rate(5.0, 30.0, 0.9, 5.0)) == 0.0


def test_evaporation_grows_with_wind_and_concrete_warmth_and_falls_with_humidity():
    wind = evaporation_rate(25.0, 25.0, 0.5, np.array([0.0, 2.0, 6.0]))
    warmth = evaporation_rate(np.array([15.0, 25.0, 35.0]), 20.0, 0.5, 3.0)
    damp = evaporation_rate(25.0, 25.0, np.array([0.1, 0.5, 0.9]), 3.0)
    assert np.all(np.diff(wind) > 0.0)
    assert np.all(np.diff(warmth) > 0.0)
    assert np.all(np.diff(damp) < 0.0)


def test_the_limit_to_act_is_about_a_fifth_of_a_pound_per_square_foot_and_hour():
    pound_per_square_foot = 0.45359237 / 0.3048**2
    assert pytest.approx(0.2 * pound_per_square_foot, abs=0.03) == ACT
    assert WATCH < ACT


@pytest.mark.parametrize(
    "arguments",
    [(-19.0, 0.0, 0.5, 1.0), (0.0, -19.0, 0.5, 1.0), (20.0, 20.0, 1.2, 1.0), (20, 20, 0.5, -1)],
)
def test_values_outside_the_fit_are_refused(arguments):
    with pytest.raises(ValueError, match=r"evaporation formula|humidity|wind"):
        evaporation_rate(*arguments)


def test_dew_point_of_saturated_air_is_its_temperature():
    assert float(dew_point(17.3, 1.0)) == pytest.approx(17.3, abs=1e-9)


def test_air_at_its_dew_point_holds_exactly_the_vapour_it_has():
    air, damp = np.array([8.0, 20.0, 33.0]), np.array([0.4, 0.65, 0.2])
    held = saturation_vapour_pressure(dew_point(air, damp))
    np.testing.assert_allclose(held, damp * saturation_vapour_pressure(air), rtol=1e-12)


def test_vapour_pressure_and_dew_point_refuse_what_magnus_does_not_cover():
    with pytest.raises(ValueError, match="Magnus"):
        saturation_vapour_pressure(61.0)
    with pytest.raises(ValueError, match="humidity"):
        dew_point(20.0, 0.0)
