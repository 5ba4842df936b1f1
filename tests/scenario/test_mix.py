"""Keys of the mix that older files have, and those that follow from each other."""

from __future__ import annotations

import math

import pytest
from builders.pours import pour, text

from pourday.concrete.age import ACTIVATION, SET_ACTIVATION, arrhenius_rate
from pourday.scenario.read import parse_scenario


def warned(**mix):
    return [str(fault) for fault in parse_scenario(text(mix=mix))[1]]


def test_activation_of_an_older_file_stands_for_both():
    mix = pour(mix={"activation_K": 4500}).mix
    assert (mix.set_activation, mix.strength_activation) == (4500, 4500)
    mix = pour(mix={"activation_K": 4500, "set_activation_K": 3800}).mix
    assert (mix.set_activation, mix.strength_activation) == (3800, 4500)
    mix = pour(mix={"preset": "ordinary_c30", "activation_K": 5000}).mix
    assert (mix.set_activation, mix.strength_activation) == (5000, 5000)
    mix = pour().mix
    assert (mix.set_activation, mix.strength_activation) == (SET_ACTIVATION, ACTIVATION)


def test_relaxation_of_an_older_file_is_read_and_said_to_be_unused():
    (found,) = [each for each in warned(relaxation_h=6) if "relaxation_h" in each]
    assert "no longer used" in found
    assert not [each for each in warned() if "relaxation_h" in each]


@pytest.mark.parametrize(("air", "ratio"), [(10.0, 1.95), (32.0, 0.68)])
def test_sets_follow_those_of_burg(air, ratio):
    # Burg, PCA Research and Development Bulletin RD113: set at 10 °C up to 1.95 times and at 32 °C
    # down to 0.68 times that at 23 °C.
    found = float(arrhenius_rate(23.0, SET_ACTIVATION) / arrhenius_rate(air, SET_ACTIVATION))
    assert found == pytest.approx(ratio, rel=0.06)
    strength = float(arrhenius_rate(23.0, ACTIVATION) / arrhenius_rate(air, ACTIVATION))
    assert abs(math.log(strength / ratio)) > abs(math.log(found / ratio))
    assert strength != pytest.approx(ratio, rel=0.1)


@pytest.mark.parametrize(
    ("keys", "found"),
    [
        ({}, ("N", "42.5N", "medium")),
        ({"cement_class": "R"}, ("R", "42.5R", "rapid")),
        ({"cement_class": "S"}, ("S", "32.5N", "slow")),
        ({"cement_strength": "52.5N"}, ("R", "52.5N", "rapid")),
        ({"cement_strength": "32.5N"}, ("S", "32.5N", "slow")),
        ({"cement_strength": "32.5R", "strength_development": "slow"}, ("N", "32.5R", "slow")),
        ({"preset": "fast_c35"}, ("R", "42.5R", "rapid")),
    ],
)
def test_cement_class_strength_class_and_development_follow_from_each_other(keys, found):
    mix = pour(mix=keys).mix
    assert (mix.cement_class, mix.cement_strength, mix.strength_development) == found


def test_two_cements_in_one_file_are_named_and_read():
    keys = {"cement_class": "S", "cement_strength": "42.5R"}
    (said,) = [each for each in warned(**keys) if "cement_class" in each]
    assert "42.5R" in said
    assert pour(mix=keys).mix.cement_class == "S"


def test_frost_in_the_rows_is_a_warning():
    rows = [{"at": "06:00", "air_C": -1, "humidity": 0.6, "wind_km_h": 10}]
    said = [str(each) for each in parse_scenario(text(weather={"hours": rows}))[1]]
    assert [each for each in said if "weather.hours" in each and "-1" in each]
    assert not [each for each in warned() if "weather.hours" in each]
