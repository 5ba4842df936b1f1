"""Construction loads against the tables they come from."""

import pytest

from pourday.deck.loads import WET_CONCRETE, WET_LIGHTWEIGHT, en_1991_1_6, us_practice


@pytest.mark.parametrize(
    ("concrete", "span", "heaping", "zone"),
    [
        (2600.0, 4.0, 750.0, 3.0),  # a tenth is 260 Pa: the least value holds
        (10_000.0, 2.4, 1000.0, 2.4),  # a tenth; the span is less than 3 m
        (26_000.0, 3.0, 2600.0, 3.0),  # a tenth of a thick slab
    ],
)
def test_heaping_comes_on_top_of_persons_as_ad_346_reads_table_4_2(concrete, span, heaping, zone):
    load = en_1991_1_6(concrete, span)
    assert (load.inside, load.outside) == pytest.approx((750.0 + heaping, 750.0))
    assert load.heaping == pytest.approx(heaping)
    assert (load.zone_length, load.line, load.bare) == (zone, 0.0, 0.0)


def test_us_practice_gives_two_loads_to_try():
    # Value from memory: 20 psf, 0.96 kN/m²; 150 lb/ft, 2.19 kN/m. Half a unit of the last digit.
    uniform, line = us_practice()
    assert uniform.inside == uniform.outside == pytest.approx(960, abs=5)
    assert uniform.line == 0.0
    assert line.line == pytest.approx(2190, abs=5)
    assert line.inside == line.outside == 0.0


def test_us_practice_loads_the_bare_deck_with_50_psf_before_any_concrete():
    # Value from memory: 50 psf, 2.39 kN/m². Half a unit of the last digit.
    assert [load.bare for load in us_practice()] == pytest.approx([2390, 2390], abs=5)
    assert all(load.heaping == 0.0 for load in us_practice())


def test_wet_density_of_ad_346():
    # SCI AD 346 (read): 25 kN/m³ wet normal-weight concrete, 20 wet lightweight, mesh beside it.
    assert (WET_CONCRETE, WET_LIGHTWEIGHT) == (25e3, 20e3)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_loads_that_cannot_be_are_refused(bad):
    with pytest.raises(ValueError, match="concrete weight"):
        en_1991_1_6(bad, 3.0)
    with pytest.raises(ValueError, match="span"):
        en_1991_1_6(2600.0, bad)
