"""Pages in US units: every number is the metric one times its factor; names stay as they are."""

from __future__ import annotations

from html import escape

import pytest
from builders.hostile import PLANS, hostile_comparison
from builders.shipped import shipped
from builders.us_numbers import compared

import pourday
from pourday.report.page.numbers import said, upset_words
from pourday.report.units import SI, US
from pourday.scenario.base.upsets import parse_upset

SI_AND_US = ("si", "us")


def test_a_day_says_the_same_in_us_units():
    day = pourday.play(shipped("clinic_level_1"), upsets=["09:00 rain 40 min at 5 mm/h"])
    metric, us = (day.to_html(units=units) for units in SI_AND_US)
    assert compared(metric, us) == {"m³", "m", "m³/h", "°C"}
    assert "09:00 rain 40 min at 5 mm/h" in metric
    assert "09:00 rain 40 min at 0.197 in/h" in us


def test_a_comparison_says_the_same_in_us_units_and_leaves_the_names_of_plans():
    found = hostile_comparison()
    name = escape(PLANS[1])  # one that ends in "30 m"
    metric, us = (found.to_html(units=units) for units in SI_AND_US)
    assert us.count(name) == metric.count(name) > 5
    assert {"m³", "m"} <= compared(metric.replace(name, ""), us.replace(name, ""))


def test_units_of_another_name_are_refused():
    with pytest.raises(ValueError, match="units: found 'ells'; allowed: 'si' or 'us'"):
        pourday.play(shipped("clinic_level_1")).to_html(units="ells")


def test_sentences_and_rain():
    assert said("Not 'pipe 30 m': 6 mm off.", US, ["pipe 30 m"]) == "Not 'pipe 30 m': 0.24 in off."
    assert said("Not 'pipe 30 m': 6 mm off.", SI, ["pipe 30 m"]) == "Not 'pipe 30 m': 6 mm off."
    rain = parse_upset("09:00 rain 40 min at 25.4 mm/h")
    assert upset_words(rain, US).endswith("at 1.000 in/h")
    assert upset_words(rain).endswith("at 25.4 mm/h")
