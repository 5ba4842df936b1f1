"""``pourday.compare``: the JSON of the command, and every figure of every day as an array."""

from __future__ import annotations

import json
from dataclasses import fields

import numpy as np
import pytest
from builders.commands import as_written, json_written
from builders.places import SCENARIOS

import pourday
from pourday.study.compare import CHANCES
from pourday.study.metrics import NAMES

CLINIC = SCENARIOS / "clinic_level_1.toml"
PAIR = ("line, 27 min", "line, 21 min")


@pytest.fixture(scope="module")
def clinic() -> pourday.Scenario:
    return pourday.read(CLINIC)


@pytest.fixture(scope="module")
def found(clinic) -> pourday.Comparison:
    return pourday.compare(clinic, days=12, workers=1)


def test_a_comparison_says_letter_by_letter_what_the_command_writes(found, tmp_path):
    written = json_written(tmp_path / "compare.json", "compare", CLINIC, "--days", 12)
    assert as_written(found.to_dict()) == written
    assert found.to_dict() == json.loads(written)


def test_so_does_one_from_another_first_day_on_which_things_go_wrong(clinic, tmp_path):
    told = ("compare", "--full", CLINIC, "--days", 3, "--seed", 9, "--upset", "10:15 pump down 1 h")
    written = json_written(tmp_path / "compare.json", *told)
    mine = pourday.compare(clinic, days=3, workers=1, seed=9, upsets=["10:15 pump down 1 h"])
    assert as_written(mine.to_dict()) == written


def test_there_is_an_array_for_every_metric_and_no_other():
    names = [column.name for column in fields(pourday.DaysOfPlan)]
    assert names == ["plan", "first_seed", *NAMES]


def test_days_are_those_that_play_plays(clinic, found):
    for plan, days in found.plans.items():
        for seed in (0, 11):
            metrics = pourday.play(clinic, plan, seed).metrics
            for name in NAMES:
                assert getattr(days, name)[seed] == pytest.approx(metrics[name], rel=1e-12), name


def test_arrays_give_the_spreads_and_chances_of_the_json(found):
    for row, (plan, days) in zip(found.to_dict()["plans"], found.plans.items(), strict=True):
        assert row["plan"] == plan == days.plan
        for name in set(NAMES) - set(CHANCES):
            figures = getattr(days, name)
            assert figures.shape == (12,)
            mean, p90 = row[name]["mean"], row[name]["p90"]
            assert figures.mean() == pytest.approx(mean, abs=1e-6), name
            assert np.percentile(figures, 90) == pytest.approx(p90, abs=1e-6), name
        assert days.cold.mean() == pytest.approx(row["cold_joint_probability"]["value"], abs=1e-6)


def test_what_happened_picks_days_from_the_arrays_beside_it(found):
    late = found.plans["crane, 44 min"]
    for name in CHANCES:
        assert getattr(late, name).dtype == np.bool_
    # Invented clinic: with the crane its finishers work past 19:00, the curfew, on all these days.
    assert late.finishing_past_curfew.all()
    assert len(late.end_h[~late.finishing_past_curfew]) == 0


def test_plans_are_played_in_the_order_asked_for_and_no_others(clinic, found):
    two = pourday.compare(clinic, days=12, plans=PAIR, workers=1)
    assert tuple(two.plans) == PAIR
    assert [row["less"] for row in two.to_dict()["differences"]] == ["line, 27 min"]
    for plan in PAIR:
        for name in NAMES:
            alone, beside = getattr(two.plans[plan], name), getattr(found.plans[plan], name)
            np.testing.assert_array_equal(alone, beside)


def test_processes_change_nothing(clinic):
    alone = pourday.compare(clinic, 30, PAIR, workers=1)
    assert pourday.compare(clinic, 30, PAIR, workers=2).to_dict() == alone.to_dict()


def test_the_choice_is_that_of_the_json(found):
    assert found.choice.plan == found.to_dict()["choice"]["plan"]
    # 12 days decide no limit: the cheapest plan that may keep them is named, none preferred.
    assert found.choice.plan is None
    assert found.choice.not_decided.plan in found.plans
    standings = {each.plan: each.standing for each in found.choice.verdict.plans}
    assert standings[found.choice.not_decided.plan] == "not decided"


def test_arrays_are_closed_and_a_comparison_prints_short(found):
    days = found.plans["line, 21 min"]
    with pytest.raises(ValueError, match="read-only"):
        days.mean_wait_min[0] = 0.0
    assert repr(days) == "DaysOfPlan(plan='line, 21 min', first_seed=0, 12 days)"
    assert len(repr(found)) < 400


def test_a_plan_that_is_not_there_is_a_key_error(clinic):
    with pytest.raises(KeyError, match="no plan 'nobody'; the plans are: line, 21 min"):
        pourday.compare(clinic, days=1, plans=["line, 21 min", "nobody"])


def test_one_name_alone_is_one_plan_not_its_letters(clinic):
    assert tuple(pourday.compare(clinic, days=1, plans="line, 21 min").plans) == ("line, 21 min",)


@pytest.mark.parametrize("plans", [[], ["line, 21 min", "line, 21 min"]])
def test_plans_to_compare_are_one_or_more_each_once(clinic, plans):
    with pytest.raises(ValueError, match=r"plans: found .*; allowed: one name or more, each once"):
        pourday.compare(clinic, days=1, plans=plans)


@pytest.mark.parametrize(
    ("name", "value", "least"), [("days", 0, 1), ("workers", 0, 1), ("seed", -1, 0)]
)
def test_numbers_below_their_least_are_refused(clinic, name, value, least):
    with pytest.raises(ValueError, match=f"{name}: found {value}; allowed: {least} or more"):
        pourday.compare(clinic, **{"days": 1, name: value})
