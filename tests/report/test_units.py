"""Reports in US units: the metric numbers converted, and no metric word left.

Factors are those of ``scipy.constants``, not of the table in use.
"""

from __future__ import annotations

import io
import re

import pytest
import scipy.constants as c
from builders.places import SCENARIOS
from builders.units import left_over

from pourday.outcome.measure import Outcome
from pourday.report.screen import Screen, units_of
from pourday.report.text.check import check_report
from pourday.report.text.day import day_report
from pourday.report.text.deck import deck_report
from pourday.report.units import SI, US, Unit
from pourday.scenario.read import read_scenario
from pourday.study.days import one_day
from pourday.study.heat import heat
from pourday.study.orders.deck_study import bay_orders, plan_decks
from pourday.study.orders.floor_orders import floor_orders
from pourday.study.prepare import prepare


def test_units_are_those_of_another_library():
    psf, plf = c.pound_force / c.foot**2 / 1000, c.pound_force / c.foot / 1000
    for unit, one in (
        (US.length, c.foot), (US.depth, c.inch * 1000), (US.area, c.foot**2),
        (US.volume, c.yard**3), (US.volume_rate, c.yard**3), (US.area_rate, c.foot**2),
        (US.speed, c.mph / c.kmh), (US.pace, c.foot), (US.rain, c.inch * 1000),
        (US.evaporation, c.pound / c.foot**2), (US.mesh, c.pound / c.foot**2),
        (US.line_load, plf), (US.per_width, plf), (US.load, psf), (US.force, c.pound_force / 1000),
        (US.moment, c.pound_force), (US.moment_per_width, c.pound_force),
        (US.weight, c.pound_force / c.foot**3 / 1000), (US.strength, c.psi / 1e6),
        (US.content, c.pound / c.yard**3), (US.mass, c.pound / 1000), (US.length_rate, c.foot),
        (US.warmer, c.degree_Fahrenheit), (US.heat, c.Btu / c.hour / c.foot**2),
        (US.stiffness, c.pound_force * c.inch**2 / c.foot),
        (US.insulation, c.foot**2 * c.hour * c.degree_Fahrenheit / c.Btu),
    ):  # fmt: skip
        assert unit.value(one) == pytest.approx(1.0, rel=1e-12), unit.word
    assert [US.temperature.value(t) for t in (-40, 0, 100)] == pytest.approx([-40, 32, 212])


def test_metric_numbers_are_left_as_they_are():
    assert SI.volume.text(12.345, 1) == "12.3 m³"
    assert SI.depth.figure(-0.04, 1, "+") == "-0.0"
    assert SI.length.short(0.30000000001) == "0.3"
    assert SI.said("600 mm, at 5 °C") == "600 mm, at 5 °C"
    assert all(unit.is_metric for unit in vars(SI).values() if isinstance(unit, Unit))


def test_a_sentence_in_metric_units_is_said_in_us_ones():
    assert US.said("below 5 °C, 600 mm from it") == "below 41 °F, 23.6 in from it"
    assert US.said("concrete 5 °C cooler") == "concrete 9 °F cooler"
    assert US.said("reaches 20 MPa") == "reaches 2901 psi"
    assert US.said("3 mix, 10 min, 0 °C, EN 206") == "3 mix, 10 min, 32 °F, EN 206"


def written(report, *arguments, units=SI, **more) -> str:
    out = io.StringIO()
    screen = Screen(file=out, width=80, coloured=False, units=units)
    report(screen, *arguments, **more)
    return out.getvalue()


@pytest.fixture(scope="module", params=["clinic_level_1", "hot_roof", "frost_night"])
def day(request) -> Outcome:
    scenario, _ = read_scenario(SCENARIOS / f"{request.param}.toml")
    return one_day(prepare(scenario, scenario.plans[:1])[0], 3)


def test_a_day_has_no_metric_word_left_and_its_numbers_are_converted(day):
    hot = heat(day.basis, day)
    ours, theirs = (written(day_report, day, units=u, everything=True, hot=hot) for u in (SI, US))
    assert left_over(theirs) == []
    assert len(left_over(ours)) > 15
    pattern = r"ordered +([\d.]+) (?:m³|yd³)"
    metric, us = (float(re.search(pattern, text)[1]) for text in (ours, theirs))
    assert us == pytest.approx(day.ordered / c.yard**3, abs=0.051)
    assert metric == pytest.approx(day.ordered, abs=0.051)
    sag = float(re.search(r"deflection +([\d.]+) in", theirs)[1])
    assert sag == pytest.approx(day.deck.deflection.value / c.inch, abs=0.0051)
    moment = float(re.search(r"sag moment +([\d.]+) kip-ft", theirs)[1])
    kip_ft = 1000 * c.pound_force * c.foot
    assert moment == pytest.approx(day.deck.sag_moment.value * c.foot / kip_ft, abs=0.00051)
    reaction = float(re.search(r"reaction +([\d.]+) lb", theirs)[1])
    assert reaction == pytest.approx(day.deck.reaction.value * c.foot / c.pound_force, abs=0.51)
    most = max(map(len, theirs.splitlines()))
    assert most <= 80


def test_the_floor_and_its_deck(day):
    scenario, plans = day.basis.scenario, prepare(day.basis.scenario, day.basis.scenario.plans)
    assert left_over(written(check_report, scenario, plans, [], units=US)) == []
    decks = plan_decks(plans[:1])
    orders, floor = bay_orders(plans[0], decks[0].deck.use.bay), floor_orders(plans[:1])
    text = written(deck_report, scenario, decks, orders, floor, units=US)
    assert left_over(text) == []


def test_units_of_a_plain_console_are_metric():
    assert units_of(Screen(units=US)) is US
    assert units_of(Screen()) is SI
