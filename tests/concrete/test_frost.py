"""Time until frost is withstood: the published table, and never sooner than it between its rows."""

import numpy as np
import pytest

from pourday.concrete.frost import (
    CEMENTS,
    rate_of_resistance,
    time_to_resist,
    way_to_resistance,
)
from pourday.concrete.strength import mean_strength

DAY = 86400.0

# betontechnische-daten.de, 10.4 Gefrierbeständigkeit (after DIN 1045-3): days at 5, 12, 20 °C.
TABLE = {
    ("52.5N", 0.40): (0.5, 0.25, 0.25),
    ("52.5R", 0.60): (0.75, 0.5, 0.5),
    ("42.5R", 0.60): (0.75, 0.5, 0.5),
    ("42.5N", 0.40): (1.0, 0.75, 0.5),
    ("42.5N", 0.60): (2.0, 1.5, 1.0),
    ("32.5R", 0.60): (2.0, 1.5, 1.0),
    ("32.5N", 0.40): (2.0, 1.5, 1.0),
    ("32.5N", 0.60): (5.0, 3.5, 2.0),
}


@pytest.mark.parametrize(("mix", "days"), TABLE.items())
def test_time_to_resist_is_that_of_the_published_table(mix, days):
    found = time_to_resist(np.array([5.0, 12.0, 20.0]), *mix) / DAY
    np.testing.assert_allclose(found, days)


@pytest.mark.parametrize("cement", CEMENTS)
def test_colder_concrete_and_more_water_take_longer_and_frozen_concrete_never_gets_there(cement):
    warm = np.linspace(0.5, 30.0, 60)
    for water in (0.35, 0.5, 0.6, 0.7):
        times = time_to_resist(warm, cement, water)
        assert np.all(np.diff(times) <= 1e-6)
    assert np.all(time_to_resist(warm, cement, 0.7) > time_to_resist(warm, cement, 0.5))
    assert np.all(np.isinf(time_to_resist([-5.0, 0.0], cement, 0.5)))


def test_shares_of_a_day_at_20_and_a_day_at_5_add_up():
    warm = np.repeat([[20.0, 5.0]], 24, axis=1)
    warm = np.sort(warm)[:, ::-1]
    way = way_to_resistance(3600.0, warm[0], "42.5N", 0.60)
    assert way[0] == 0.0
    # 24 hours at 20 °C are all of the way; the step between both temperatures lies in the middle.
    assert way[23] == pytest.approx(23 / 24)
    assert way[-1] == pytest.approx(23.5 / 24 + 23.5 / 48)


def test_the_european_strength_formula_would_call_it_early():
    # EN 1992-1-1:2004 3.1.2(6) reaches 5 MPa of C30/37, class S, at 20 °C long before two days.
    ages = np.linspace(0.05, 3.0, 2000)
    early = ages[mean_strength(38e6, ages, "S") >= 5e6][0]
    assert early < 2.0 / 1.5


def test_a_cement_that_is_not_in_the_table_is_refused():
    with pytest.raises(ValueError, match=r"42\.5N"):
        rate_of_resistance(10.0, "I", 0.5)
