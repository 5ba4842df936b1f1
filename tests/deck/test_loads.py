"""Construction loads against the tables they come from."""

import pytest

from pourday.deck.loads import en_1991_1_6, us_practice, wet_density_weight


@pytest.mark.parametrize(
    ("concrete", "span", "inside", "zone"),
    [
        (2600.0, 4.0, 750.0, 3.0),  # a tenth is 260 Pa: the least value holds
        (10_000.0, 2.4, 1000.0, 2.4),  # a tenth; the span is less than 3 m
        (26_000.0, 3.0, 1500.0, 3.0),  # a tenth is 2.6 kPa: the greatest value holds
    ],
)
def test_working_load_of_en_1991_1_6_table_4_2(concrete, span, inside, zone):
    load = en_1991_1_6(concrete, span)
    assert (load.inside, load.outside) == pytest.approx((inside, 750.0))
    assert (load.zone_length, load.line) == (zone, 0.0)


def test_us_practice_gives_two_loads_to_try():
    # Value from memory: 20 psf, 0.96 kN/m²; 150 lb/ft, 2.19 kN/m. Half a unit of the last digit.
    uniform, line = us_practice()
    assert uniform.inside == uniform.outside == pytest.approx(960, abs=5)
    assert uniform.line == 0.0
    assert line.line == pytest.approx(2190, abs=5)
    assert line.inside == line.outside == 0.0


def test_wet_density_of_en_1991_1_1_table_a_1():
    assert wet_density_weight() == 26_000.0
    assert wet_density_weight(reinforced=False) == 25_000.0
    assert wet_density_weight(wet=False) == 25_000.0
    assert wet_density_weight(19_000.0) == 21_000.0


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_loads_that_cannot_be_are_refused(bad):
    with pytest.raises(ValueError, match="concrete weight"):
        en_1991_1_6(bad, 3.0)
    with pytest.raises(ValueError, match="span"):
        en_1991_1_6(2600.0, bad)
    with pytest.raises(ValueError, match="unit weight"):
        wet_density_weight(bad)
