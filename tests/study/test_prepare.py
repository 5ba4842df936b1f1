"""Plans of several scenarios share what is the same for them, and nothing else."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from builders.places import SCENARIOS

from pourday.day.play import play
from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.measure import measure
from pourday.scenario.read import read_scenario
from pourday.study.metrics import day_row
from pourday.study.prepare import prepare_each

SCENARIO = read_scenario(SCENARIOS / "clinic_level_1.toml")[0]
PLAN = SCENARIO.plans[0]


def varied(what: str):
    """The scenario and its plan with one thing of them changed."""
    match what:
        case "trucks":
            plants = tuple(replace(plant, trucks=3) for plant in SCENARIO.supply.plants)
            return replace(SCENARIO, supply=replace(SCENARIO.supply, plants=plants)), PLAN
        case "positions":
            return replace(SCENARIO, site=replace(SCENARIO.site, positions=1)), PLAN
        case "start":
            return SCENARIO, PLAN.starting_at(PLAN.start + 5400.0)
        case "retarder":
            return replace(SCENARIO, mix=replace(SCENARIO.mix, retarder=3600.0)), PLAN
        case "depth":
            return replace(SCENARIO, slab=replace(SCENARIO.slab, depth=0.16)), PLAN
    raise ValueError(what)


@pytest.mark.parametrize("what", ["trucks", "positions", "start", "retarder", "depth"])
def test_a_plan_prepared_beside_others_plays_as_it_does_alone(what):
    scenario, plan = varied(what)
    together = prepare_each([(SCENARIO, PLAN), (scenario, plan)])[1]
    alone = basis(scenario, plan, lay_out(scenario, plan))
    rows = [
        day_row(measure(each, play(each.scenario, each.plan, each.layout, 3)))
        for each in (together, alone)
    ]
    assert np.array_equal(*rows, equal_nan=True)


def shared(one: Basis, other: Basis) -> set[str]:
    return {
        field.name
        for field in fields(Basis)
        if getattr(one, field.name) is getattr(other, field.name)
    }


def test_who_differs_in_supply_or_room_shares_all_but_scenario_and_plan():
    for what in ("trucks", "positions"):
        one, other = prepare_each([(SCENARIO, PLAN), varied(what)])
        assert {"layout", "groups", "initial_set", "relax", "air"} <= shared(one, other)


def test_who_begins_later_shares_the_layout_and_has_clocks_of_its_own():
    one, other = prepare_each([(SCENARIO, PLAN), varied("start")])
    assert "layout" in shared(one, other)
    assert "initial_set" not in shared(one, other)


def test_another_slab_is_laid_out_anew():
    one, other = prepare_each([(SCENARIO, PLAN), varied("depth")])
    assert "layout" not in shared(one, other)
