"""Candidates: each is the file as somebody would have written it with those values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.scenario_text import VALID, changed

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.candidates import search_of, value_words
from pourday.scenario.read import parse_scenario, toml_of


def found(search: str, text: str = VALID):
    return search_of(toml_of(f"{text}\n{search}", "file"), "file")


SEARCH = """
[search]
vary = [
  { key = "plan.spacing_min", least = 10, most = 14, step = 2 },
  { key = "supply.plants[1].trucks", values = [4, 6] },
]
"""


def test_every_combination_is_a_candidate_and_the_first_plan_is_varied_unless_told():
    search = found(SEARCH)
    assert [each.values for each in search.candidates] == [
        (10, 4), (10, 6), (12, 4), (12, 6), (14, 4), (14, 6),
    ]  # fmt: skip
    assert {each.of for each in search.candidates} == {"early"}
    assert search.candidates[1].name == "every 10 min, 6 trucks"
    assert len({each.name for each in search.candidates}) == 6
    assert search.told


def test_a_candidate_is_the_file_with_those_values_written_into_it():
    candidate = found(SEARCH).candidates[5]
    old = parse_scenario(VALID)[0]
    by_hand = parse_scenario(changed(("spacing_min = 12", "spacing_min = 14")), "file")[0]
    plants = (replace(old.supply.plants[0], trucks=6), *old.supply.plants[1:])
    wanted = replace(
        by_hand,
        supply=replace(by_hand.supply, plants=plants),
        plans=(replace(by_hand.plans[0], name=candidate.name),),
    )
    assert candidate.scenario == wanted


def test_what_no_file_could_hold_is_told_and_the_others_are_kept():
    search = found('[search]\nvary = [{ key = "plan.crew", values = ["six", "five", "four"] }]')
    assert [each.name for each in search.candidates] == ["six", "four"]
    assert [each.name for each in search.refused] == ["five"]
    assert 'found "five"' in search.refused[0].faults[0].text


def test_where_none_can_be_read_the_faults_of_the_first_are_raised():
    with pytest.raises(ScenarioError, match='found "five"'):
        found('[search]\nvary = [{ key = "plan.crew", values = ["five"] }]')


def test_without_search_every_plan_is_tried_at_whole_minutes_around_its_own():
    search = found("")
    assert not search.told
    assert search.plans == ("early", "late")
    early = [each.values[0] for each in search.candidates if each.of == "early"]
    late = [each.values[0] for each in search.candidates if each.of == "late"]
    assert early == list(range(7, 20))  # 0.6 to 1.6 of 12 min
    assert late == list(range(12, 33))  # of 20 min
    assert search.values == (tuple(range(7, 33)),)


def test_a_distribution_keeps_its_shape_where_one_of_its_numbers_is_varied():
    search = found(
        '[search]\nplans = ["late"]\nvary = [{ key = "plan.spacing_min.high", values = [20, 30] }]'
    )
    high = [each.plan.fronts[0].spacing.mean for each in search.candidates]
    assert high == pytest.approx([17.5 * 60, 22.5 * 60])


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("plan.spacing_min", 18, "every 18 min"),
        ("supply.plants[1].trucks", 8, "8 trucks"),
        ("site.positions", 1, "1 position"),
        ("plan.strip_width_m", 1.2, "strip width 1.2 m"),
        ("plan.hold_back_at", 3, "hold back at 3"),
        ("plan.start", "06:30", "06:30"),
        ("plan.alternate", False, "not alternate"),
        ("plan.spacing_min", {"dist": "exponential", "mean": 5}, "spacing dist exponential mean 5"),
    ],
)  # fmt: skip
def test_values_in_words(key, value, words):
    assert value_words(key, value) == words
