"""Heat that materials bring to the mixer: a published example, a closed form, and the refusals."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pourday.concrete.mix_temperature import (
    MELTING,
    MOST_COOLING,
    MOST_ICE,
    Batch,
    heat_capacity,
    ice_refused,
    ice_to_cool,
    mix_temperature,
    most_cooling,
)

BATCH = Batch(330.0, 1850.0, 46.0, 140.0, 50.0, 32.0, 22.0)


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def test_a_published_mix_with_hot_cement_is_as_warm_as_the_article_says():
    # Concrete Construction, "If you get it when it's hot": 470 lb of cement at 150 °F, 3,300 lb of
    # aggregate at 70 °F, 260 lb of water at 70 °F: "the concrete temperature would be 77.6 °F".
    # Masses stand in the formula as ratios only, so pounds do.
    batch = Batch(470.0, 3300.0, 0.0, 260.0, celsius(150), celsius(70), celsius(70))
    assert mix_temperature(batch) == pytest.approx(celsius(77.6), abs=0.03)


def test_the_heat_of_fusion_is_that_of_crd_c_307():
    # CRD-C 307-91: heat of fusion of ice 143.5 Btu/lb; a Btu/lb warms water by 1 °F.
    assert abs(MELTING - 79.72) < 0.005


def test_ice_is_worth_its_melting_and_the_warmth_of_the_water_it_stands_in_for():
    # Closed form: a kg of ice for a kg of water at T takes L + T from the whole.
    plain = mix_temperature(BATCH)
    iced = mix_temperature(BATCH, 50.0)
    assert (plain - iced) * heat_capacity(BATCH) == pytest.approx(50.0 * (MELTING + 22.0))


def test_materials_of_one_temperature_make_concrete_of_that_temperature():
    batch = Batch(300.0, 1900.0, 40.0, 150.0, 18.0, 18.0, 18.0)
    assert mix_temperature(batch) == pytest.approx(18.0)


def test_the_ice_asked_for_cools_by_what_was_asked():
    for by in (0.0, 2.0, 5.0, 9.0):
        ice = ice_to_cool(BATCH, by)
        assert mix_temperature(BATCH) - mix_temperature(BATCH, ice) == pytest.approx(by)


def test_beyond_three_quarters_of_the_water_or_eleven_degrees_ice_is_refused():
    assert ice_refused(BATCH, 5.0) is None
    assert "11 °C" in (ice_refused(BATCH, 11.5) or "")
    dry = replace(BATCH, water=60.0)
    assert "75%" in (ice_refused(dry, 8.0) or "")
    wet = replace(BATCH, water=250.0)
    assert most_cooling(wet) == MOST_COOLING
    share = ice_to_cool(dry, most_cooling(dry)) / dry.water
    assert share == pytest.approx(MOST_ICE)
    assert ice_refused(dry, most_cooling(dry)) is None


def test_ice_beyond_the_water_and_ice_that_warms_are_refused():
    with pytest.raises(ValueError, match="batch water"):
        mix_temperature(BATCH, 141.0)
    with pytest.raises(ValueError, match="does not warm"):
        ice_to_cool(BATCH, -1.0)
