"""Days measured together against the same days one by one, by the path that went before."""

from __future__ import annotations

import sys

import numpy as np
import pytest
from builders.one_day.measure import measure as measure_alone
from builders.one_day.metrics import day_row as row_alone
from builders.places import SCENARIOS

from pourday.day.play import play
from pourday.outcome.days import measure_days
from pourday.outcome.deck.envelope import envelope
from pourday.outcome.measure import measure
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
