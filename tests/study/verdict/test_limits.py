"""Limits as shares of days, and what is known of them without a day."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.places import SCENARIOS

from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.read import read_scenario
from pourday.study.days import study_plans
from pourday.study.prepare import prepare
from pourday.study.verdict.evidence import BEYOND, NOT_DECIDED, WITHIN
from pourday.study.verdict.limits import bad_days, day_limits, known_of, never_cold
from pourday.study.verdict.verdict import looked_at, race_of, undecidable, verdict_of


@pytest.fixture(scope="module")
def clinic():
    scenario, _ = read_scenario(SCENARIOS / "clinic_level_1.toml")
    return scenario


def with_heap(scenario, heap, **limits):
    loads = replace(scenario.loads, heap_height_factor=heap)
    return replace(scenario, loads=loads, limits=replace(scenario.limits, **limits))


def used(scenario, days=8):
    (played,) = study_plans(prepare(scenario, scenario.plans[:1]), days, workers=1)
    return played


def test_a_deck_is_known_where_heaps_are_fixed(clinic):
    fix = with_heap(clinic, fixed(1.4))
    use = float(used(fix, 1).of("use")[0])
    for most, kept in ((use + 1e-6, True), (use - 1e-6, False)):
        (plan,) = prepare(with_heap(fix, fixed(1.4), deck_use=most), fix.plans[:1])
        assert known_of(plan)["deck"] is kept


def test_no_day_uses_more_of_the_deck_than_the_highest_heap(clinic):
    # The bound by which a deck is known: every day lies between the lowest and the highest heap.
    heap = Distribution("triangular", (1.1, 1.4, 2.0))
    low, high = (float(used(with_heap(clinic, fixed(h)), 1).of("use")[0]) for h in (1.1, 2.0))
    days = used(with_heap(clinic, heap), 25).of("use")
    assert low <= days.min() < days.max() <= high
    assert ((days > low) & (days < high)).any()
    between = (low + high) / 2.0
    (open_,) = prepare(with_heap(clinic, heap, deck_use=between), clinic.plans[:1])
    assert "deck" not in known_of(open_)
    (kept,) = prepare(with_heap(clinic, heap, deck_use=high + 1e-9), clinic.plans[:1])
    assert known_of(kept)["deck"] is True
    endless = Distribution("lognormal", (1.4, 0.2))
    (unbound,) = prepare(with_heap(clinic, endless), clinic.plans[:1])
    assert "deck" not in known_of(unbound)


def test_frost_is_known_not_to_come_on_a_spring_day_and_not_known_in_a_frosty_night(clinic):
    assert never_cold(clinic)
    colder = replace(clinic.weather, air_shift=Distribution("uniform", (-6.0, 0.0)))
    assert not never_cold(replace(clinic, weather=colder))  # 10 °C at 06:00 may be 4
    frosty, _ = read_scenario(SCENARIOS / "frost_night.toml")
    assert not never_cold(frosty)


def test_a_clear_sky_draws_a_slab_below_the_air(clinic):
    # 10 °C and 5 km/h: a film of about 14 W/m²K, so that 90 W/m² are over 6 degrees.
    assert not never_cold(replace(clinic, weather=replace(clinic.weather, sky_loss=90.0)))


def test_days_are_bad_by_the_limit_of_the_file(clinic):
    played = used(clinic, 4)
    bad = bad_days(played, replace(clinic.limits, deck_use=0.01))
    assert bad.shape == (len(day_limits(clinic.limits)), 4)
    assert bad[0].all()
    np.testing.assert_array_equal(bad[1], played.of("cold") > 0)


def test_limits_that_days_cannot_show_are_named_before_any_is_played(clinic):
    limits = replace(clinic.limits, cold_joint_share=0.02)
    race = race_of(["a", "b", "c"], limits, {n: {"deck": True, "frost": True, "below 5": True}
                                             for n in "abc"})  # fmt: skip
    assert race.rules.tests == 6
    (cold,) = undecidable(race.rules, limits, 450)
    assert (cold.kind, cold.limit, cold.needed) == ("cold", 0.02, 451)
    assert undecidable(race.rules, limits, 451) == ()


def test_a_plan_known_to_break_its_deck_is_beyond_without_a_day(clinic):
    limits = clinic.limits
    race = race_of(["a"], limits, {"a": {"deck": False}})
    (plan,) = verdict_of(race, ["a"], limits).plans
    assert plan.standing == BEYOND
    assert plan.limits[0].known
    assert plan.limits[0].standing == BEYOND
    assert plan.days == 0


def test_one_look_decides_what_it_can(clinic):
    days = used(clinic, 4)
    race = race_of(["a"], clinic.limits)
    looked_at(race, [days], clinic.limits)
    (plan,) = verdict_of(race, ["a"], clinic.limits).plans
    by_kind = {each.kind: each.standing for each in plan.limits}
    assert by_kind["cold"] == NOT_DECIDED
    assert by_kind["unfinished"] == WITHIN  # none seen
    assert by_kind["stiff"] == WITHIN  # 100 % are accepted
