"""Many days of many plans: the same seeds, whatever the processes; and the choice between plans."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.places import SCENARIOS

from pourday.scenario.model.scenario import Limits
from pourday.scenario.read import read_scenario
from pourday.study.choice import choose, of_the_deck, struck_off
from pourday.study.days import PlanDays, study_plans
from pourday.study.metrics import NAMES
from pourday.study.prepare import prepare

CLINIC = SCENARIOS / "clinic_level_1.toml"
LIMITS = Limits(cold_joint_share=0.1, stiff_edge_share=0.15, past_curfew_share=0.1, deck_use=1.0)


@pytest.fixture(scope="module")
def plans():
    scenario, _ = read_scenario(CLINIC)
    return prepare(scenario, scenario.plans[:2])


def test_processes_change_nothing(plans):
    alone = study_plans(plans, 60, first_seed=5, workers=1)
    together = study_plans(plans, 60, first_seed=5, workers=2)
    for a, b in zip(alone, together, strict=True):
        np.testing.assert_array_equal(a.values, b.values)
        np.testing.assert_array_equal(a.pair_cold, b.pair_cold)


def test_day_k_has_the_seed_first_plus_k(plans):
    later = study_plans(plans[:1], 3, first_seed=7, workers=1)[0]
    single = study_plans(plans[:1], 1, first_seed=9, workers=1)[0]
    np.testing.assert_array_equal(later.values[2], single.values[0])


def made_up(plan: str, **figures: list[float]) -> PlanDays:
    """Days made by hand, again and again to a thousand: so many decide what few leave open."""
    count = len(next(iter(figures.values())))
    values = np.zeros((count, len(NAMES)))
    for name, column in figures.items():
        values[:, NAMES.index(name)] = column
    return PlanDays(plan, 0, np.resize(values, (1000 // count * count, len(NAMES))), np.zeros(0))


def test_few_days_leave_open_what_many_decide():
    short = PlanDays("a", 0, made_up("a", cost_total=[10.0, 12.0]).values[:40], np.zeros(0))
    dear = PlanDays("b", 0, made_up("b", cost_total=[20.0, 22.0]).values[:40], np.zeros(0))
    choice = choose((short, dear), LIMITS)
    # Nobody saw a bad day; 40 days still leave more than 10 % open.
    assert choice.plan is None
    assert choice.not_decided is not None
    assert choice.not_decided.plan == "a"
    assert choice.not_decided.needed is not None
    assert choice.not_decided.needed > 40
    assert not choice.breaches["a"]
    many = made_up("a", cost_total=[10.0, 12.0]), made_up("b", cost_total=[20.0, 22.0])
    assert choose(many, LIMITS).plan == "a"


def test_a_plan_whose_top_creeps_off_the_datum_is_refused_however_cheap():
    days = (
        made_up("dear", cost_total=[110.0, 112.0, 111.0]),
        made_up("spread on guides", cost_total=[80.0, 81.0, 79.0]),
    )
    off = {"dear": 0.0149, "spread on guides": 0.0194}
    choice = choose(days, LIMITS, off)
    assert choice.plan == "dear"
    (breach,) = choice.breaches["spread on guides"]
    assert (breach.kind, breach.found, breach.limit) == ("level", 0.0194, 0.015)
    assert choose(days, LIMITS).plan == "spread on guides"


def test_the_library_spread_on_guides_is_struck_off_the_datum():
    scenario, _ = read_scenario(SCENARIOS / "library_level_2.toml")
    plan = replace(scenario.plan("spread, 11 people"), strike="guides")
    both = replace(scenario, plans=(scenario.plans[0], plan))
    off = struck_off(prepare(both))
    assert off["thirds, 11 people"] == 0.0
    # 19.4 mm with wet concrete of 26 kN/m³, as EN 1991-1-1 Table A.1 has it; 25 and mesh here.
    assert off["spread, 11 people"] == pytest.approx(0.0187, abs=1e-4)


def test_a_plan_whose_deck_keeps_no_limit_of_the_file_is_not_preferred():
    scenario, _ = read_scenario(SCENARIOS / "library_level_2.toml")
    plans = scenario.plans[:1]
    assert of_the_deck(prepare(scenario, plans)) == {plans[0].name: ()}
    weak = replace(
        scenario,
        deck=replace(scenario.deck, fixing_resistance=100.0),
        limits=replace(scenario.limits, sag_most=0.010),
    )
    found = of_the_deck(prepare(weak, plans))
    assert {breach.kind for breach in found[plans[0].name]} == {"sag", "fixing"}
    days = (made_up(plans[0].name, cost_total=[1.0, 1.0, 1.0]),)
    assert choose(days, LIMITS, None, found).plan is None


def test_the_cheapest_plan_within_the_limits_is_preferred():
    days = (
        made_up("dear", cost_total=[110.0, 112.0, 111.0]),
        made_up("cheap", cost_total=[100.0, 101.0, 99.0]),
        made_up("cheapest but cold", cost_total=[90.0, 90.0, 90.0], cold=[1.0, 0.0, 1.0]),
        made_up("over the deck", cost_total=[80.0, 80.0, 80.0], use=[1.02, 1.02, 1.02]),
    )
    choice = choose(days, LIMITS)
    assert choice.plan == "cheap"
    assert choice.runner_up == "dear"
    assert choice.saving is not None
    # By hand: differences 10, 11, 12; mean 11.
    assert choice.saving.value == pytest.approx(11.0)
    assert [b.kind for b in choice.breaches["cheapest but cold"]] == ["cold"]
    assert [b.kind for b in choice.breaches["over the deck"]] == ["deck"]


def test_plans_of_one_cost_are_told_apart_by_stiff_edge():
    # 100.2 and 99.9 are both 100 in print; 20 m less of stiff edge decide. 98 is cheaper outright.
    days = [
        made_up("stiff", cost_total=[99.9, 99.9], stiff_length_m=[20.0, 40.0]),
        made_up("fresh", cost_total=[100.2, 100.2], stiff_length_m=[10.0, 10.0]),
    ]
    choice = choose(tuple(days), LIMITS)
    assert (choice.plan, choice.runner_up) == ("fresh", "stiff")
    days.append(made_up("cheap", cost_total=[98.0, 98.0], stiff_length_m=[99.0, 99.0]))
    assert choose(tuple(days), LIMITS).plan == "cheap"


def test_a_plan_with_too_many_days_of_stiff_edge_is_ruled_out():
    days = (
        made_up("dear", cost_total=[110.0] * 4, stiff=[0.0] * 4),
        made_up("stiff", cost_total=[90.0] * 4, stiff=[1.0, 0.0, 0.0, 0.0]),
    )
    choice = choose(days, LIMITS)
    assert choice.plan == "dear"
    (breach,) = choice.breaches["stiff"]
    assert (breach.kind, breach.limit) == ("stiff", 0.15)
    assert breach.share is not None
    assert breach.share.low > 0.15


def test_a_plan_that_freezes_on_more_than_its_share_of_days_is_ruled_out():
    once = [1.0] + [0.0] * 499
    often = [1.0] * 50 + [0.0] * 450
    days = (
        made_up("warm", cost_total=[110.0] * 500),
        made_up("frost once", cost_total=[105.0] * 500, frost=once, below_5_C=once),
        made_up("frosty", cost_total=[100.0] * 500, frost=often, below_5_C=often),
    )
    choice = choose(days, LIMITS)
    # Up to 2 % of days by the default of limits.frost_share, all of them below 5 °C: 1 in 500 is
    # within, 1 in 10 beyond.
    assert choice.plan == "frost once"
    (breach,) = choice.breaches["frosty"]
    assert (breach.kind, breach.limit) == ("frost", 0.02)
    strict = Limits(0.1, 0.15, 0.1, 1.0, cold_share=0.0, frost_share=0.0)
    choice = choose(days, strict)
    assert choice.plan == "warm"
    assert [each.kind for each in choice.breaches["frost once"]] == ["below 5", "frost"]


def test_no_plan_within_the_limits_names_the_one_that_breaks_them_least():
    days = (
        made_up("a", cost_total=[10.0, 10.0], use=[1.2, 1.2], cold=[1.0, 1.0]),
        made_up("b", cost_total=[20.0, 20.0], use=[1.1, 1.1]),
    )
    choice = choose(days, LIMITS)
    assert choice.plan is None
    assert choice.least_bad == "b"


def test_turning_price_makes_the_two_plans_cost_the_same():
    # Best: concrete 50, labour 40 (total 90). Second: concrete 50, labour 30, waiting 20 (100).
    # Labour k: 50 + 40 k = 70 + 30 k at k = 2; waiting k: 90 = 80 + 20 k at k = 0.5.
    # ln 2 = -ln 0.5: the tie goes to the first, labour.
    days = (
        made_up("best", cost_total=[90.0] * 2, cost_concrete=[50.0] * 2, cost_labour=[40.0] * 2),
        made_up(
            "second",
            cost_total=[100.0] * 2,
            cost_concrete=[50.0] * 2,
            cost_labour=[30.0] * 2,
            cost_waiting=[20.0] * 2,
        ),
    )
    turn = choose(days, LIMITS).turn
    assert turn is not None
    assert (turn.plan, turn.kind, turn.factor) == ("second", "labour", pytest.approx(2.0))
