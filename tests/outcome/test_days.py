"""Days measured together against the same days one by one, by the path that went before."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest
from builders.one_day.measure import measure as measure_alone
from builders.one_day.metrics import day_row as row_alone
from builders.places import SCENARIOS
from builders.sites import SLOW, cases, some
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.play import play
from pourday.outcome.base.basis import basis as basis_for
from pourday.outcome.days import measure_days
from pourday.outcome.deck.envelope import envelope
from pourday.outcome.measure import measure
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.upsets import parse_upset
from pourday.scenario.model.concrete import Rain
from pourday.scenario.read import read_scenario
from pourday.study.metrics import NAMES, day_row, day_rows
from pourday.study.prepare import prepare

SHIPPED = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


def same(found, known) -> None:
    """Bit for bit; Python 3.12 adds floats up with more digits than numpy, so to 1e-12 there."""
    found, known = np.asarray(found), np.asarray(known)
    for n, name in enumerate(NAMES):
        if sys.version_info < (3, 12):
            np.testing.assert_array_equal(found[:, n], known[:, n], err_msg=name)
        else:
            np.testing.assert_allclose(
                found[:, n], known[:, n], rtol=1e-12, atol=1e-12, err_msg=name
            )


def checked(basis, logs) -> None:
    alone = [measure_alone(basis, log) for log in logs]
    together = measure_days(basis, logs, envelope(basis))
    same(day_rows(together), [row_alone(day) for day in alone])
    cold = (together.by_pair(together.edges.ratio) > 1.0).tolist()
    assert cold == [(np.nan_to_num(day.edges.ratio) > 1.0).tolist() for day in alone]


@pytest.mark.parametrize("name", SHIPPED)
def test_all_figures_of_all_shipped_plans_are_those_of_each_day_alone(name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    for basis in prepare(scenario):
        logs = [play(scenario, basis.plan, basis.layout, seed) for seed in range(20, 32)]
        checked(basis, logs)


@pytest.mark.parametrize("name", SHIPPED)
def test_one_day_is_the_case_of_length_one(name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    basis = prepare(scenario, scenario.plans[:1])[0]
    for seed in range(3):
        log = play(scenario, basis.plan, basis.layout, seed)
        one, alone = measure(basis, log), measure_alone(basis, log)
        same([day_row(one)], [row_alone(alone)])


def without_concrete(log):
    return replace(log, stretches=(), visits=())


def clinic():
    scenario, _ = read_scenario(SCENARIOS / "clinic_level_1.toml")
    return scenario


def by_hand(scenario):
    return replace(scenario, finishing=replace(scenario.finishing, passes=0))


def nobody_finishes(scenario):
    crews = {name: replace(crew, finishers=0) for name, crew in scenario.crews.items()}
    return replace(scenario, crews=crews)


def two_machines(scenario):
    return replace(scenario, finishing=replace(scenario.finishing, machines=2, passes=3))


def edges_by(rule):
    return lambda scenario: replace(scenario, mix=replace(scenario.mix, edge_rule=rule))


def not_judged(scenario):
    unknown = dict.fromkeys(
        ("sag_moment_resistance", "hog_moment_resistance", "reaction_resistance", "resistance_is")
    )
    return replace(scenario, deck=replace(scenario.deck, **unknown))


def frosty(scenario):
    weather = replace(
        scenario.weather,
        air=tuple(air - 14.0 for air in scenario.weather.air),
        air_shift=Distribution("uniform", (-4.0, 4.0)),
    )
    measures = replace(scenario.measures, mats=0.4, warmer=2.0)
    return replace(scenario, weather=weather, measures=measures)


def near_the_limit_of_cold(scenario):
    # Some days are followed and some are not; exactly 5 °C is not below it.
    weather = scenario.weather
    level = tuple(5.0 for _ in weather.air)
    shift = Distribution("uniform", (-1.0, 3.0))
    return replace(scenario, weather=replace(weather, air=level, air_shift=shift, sky_loss=0.0))


def just_not_cold(scenario):
    weather = scenario.weather
    level = tuple(5.0 for _ in weather.air)
    return replace(scenario, weather=replace(weather, air=level, sky_loss=0.0))


def heated(scenario):
    colder = frosty(scenario)
    measures = replace(colder.measures, heated_below=12.0)
    return replace(colder, measures=measures, curing=replace(colder.curing, later=-4.0))


def one_weather_row(scenario):
    weather = scenario.weather
    rows = {name: getattr(weather, name)[:1] for name in ("at", "air", "humidity", "wind")}
    shift = Distribution("uniform", (-4.0, 4.0))
    return replace(scenario, weather=replace(weather, **rows, air_shift=shift))


def dries_and_rains(scenario):
    rain = Rain(11 * 3600.0, Distribution("uniform", (600.0, 7200.0)), 3e-6, 0.7)
    weather = replace(
        scenario.weather,
        humidity_shift=Distribution("uniform", (-0.3, 0.3)),
        wind_factor=Distribution("uniform", (0.2, 3.0)),
        rain=(rain, replace(rain, at=14 * 3600.0)),
    )
    return replace(scenario, weather=weather)


@pytest.mark.parametrize(
    "changed",
    [
        by_hand,
        nobody_finishes,
        two_machines,
        edges_by("interval"),
        edges_by("set"),
        not_judged,
        frosty,
        near_the_limit_of_cold,
        just_not_cold,
        heated,
        one_weather_row,
        dries_and_rains,
        lambda scenario: dries_and_rains(by_hand(scenario)),
    ],
)
def test_other_rules_and_weather_and_days_without_concrete(changed):
    scenario = changed(clinic())
    basis = prepare(scenario, scenario.plans[:1])[0]
    logs = [play(scenario, basis.plan, basis.layout, seed) for seed in range(6)]
    checked(basis, logs)
    empty = without_concrete(logs[2])
    checked(basis, [empty])
    checked(basis, [empty, *logs[:2], empty, logs[3], empty])


@pytest.mark.parametrize("name", ["depot_two_pumps", "library_level_2", "market_hall"])
def test_days_on_which_much_goes_wrong(name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    basis = prepare(scenario, scenario.plans[:1])[0]
    wrong = [
        ("10:00 rain 40 min at 6 mm/h",),
        ("09:30 pump down 150 min",),
        ("09:00 plant stopped 200 min", "13:00 rain 30 min"),
        (),
        ("11:00 crew short 2",),
    ]
    logs = [
        play(scenario, basis.plan, basis.layout, seed, tuple(map(parse_upset, upsets)))
        for seed, upsets in enumerate(wrong)
    ]
    assert len({len(log.upsets) for log in logs}) > 1
    checked(basis, logs)


@settings(max_examples=25, suppress_health_check=SLOW, deadline=None)
@given(cases(), st.data())
def test_days_of_sites_made_at_random(case, data):
    shift = data.draw(some(fixed(0.0), Distribution("uniform", (-12.0, 8.0))))
    wind = data.draw(some(fixed(1.0), Distribution("uniform", (0.3, 4.0))))
    heap = data.draw(some(fixed(1.5), Distribution("uniform", (1.0, 3.0))))
    scenario = replace(
        case.scenario,
        weather=replace(case.scenario.weather, air_shift=shift, wind_factor=wind),
        loads=replace(case.scenario.loads, heap_height_factor=heap),
        finishing=replace(case.scenario.finishing, passes=data.draw(some(0, 1, 3))),
    )
    logs = [play(scenario, case.plan, case.layout, case.seed + k) for k in range(4)]
    checked(basis_for(scenario, case.plan, case.layout), logs)
