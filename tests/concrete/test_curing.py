"""Damp curing by DIN 1045-3, entry by entry."""

import numpy as np
import pytest

from pourday.concrete.curing import DEVELOPMENTS, least_curing
from pourday.concrete.hydration import heat_given

# DIN 1045-3, duration of curing in days, exposures but X0, XC1 and XM, as printed by
# zimmermann-beton.de and in betontechnische-daten.de.
TABLE = {25.0: (1, 2, 2, 3), 15.0: (1, 2, 4, 5), 10.0: (2, 4, 7, 10), 5.0: (3, 6, 10, 15)}


@pytest.mark.parametrize(("surface", "days"), TABLE.items())
def test_least_curing_is_that_of_din_1045_3(surface, days):
    for development, told in zip(DEVELOPMENTS, days, strict=True):
        assert least_curing(surface, development) == told * 86400.0
        if surface > 5.0:
            assert least_curing(surface - 0.01, development) > told * 86400.0 - 1.0
    assert least_curing(surface, "slow", dry_inside=True) == 43200.0


def test_below_five_degrees_there_is_no_value_and_no_unknown_development():
    assert least_curing(4.9, "rapid") is None
    with pytest.raises(ValueError, match="medium"):
        least_curing(10.0, "fast")


def test_heat_of_hydration_rises_to_its_end_and_scales_with_cement():
    age = np.array([0.0, 6.0, 24.0, 72.0, 1e6]) * 3600.0
    given = heat_given(age, 320.0, 0.5)
    assert given[0] == 0.0
    assert np.all(np.diff(given) > 0.0)
    # Mills: 1.031 x 0.5 / 0.694 = 0.743 of 450 kJ/kg.
    assert given[-1] == pytest.approx(320.0 * 450e3 * 0.7428, rel=1e-3)
    np.testing.assert_allclose(heat_given(age, 640.0, 0.5), 2.0 * given)
    with pytest.raises(ValueError, match="age"):
        heat_given(-1.0, 320.0, 0.5)
