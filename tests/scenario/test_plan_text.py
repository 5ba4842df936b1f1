"""A candidate as text: put into the file, it is read as the candidate."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
from builders.scenario_text import VALID

from pourday.scenario.candidates import search_of
from pourday.scenario.plan_text import plan_block, written
from pourday.scenario.read import parse_scenario, toml_of

SEARCH = """
[search]
plans = ["early", "late"]
vary = [
  { key = "plan.spacing_min", values = [11, 14] },
  { key = "plan.start", values = ["06:00", "07:30"] },
  { key = "supply.plants[1].trucks", values = [3, 9] },
]
"""


def test_every_candidate_s_block_is_read_as_its_plan():
    search = search_of(toml_of(VALID + SEARCH, "file"), "file")
    for each in search.candidates:
        block = plan_block(each, ("early", "late"))
        read = parse_scenario(f"{VALID}\n{block}\n")[0].plans[-1]
        assert replace(read, name=each.name) == each.plan
        assert f"# besides: supply.plants[1].trucks = {each.values[2]}" in block


def test_names_fit_and_are_not_taken():
    search = search_of(toml_of(VALID + SEARCH, "file"), "file")
    first = tomllib.loads(plan_block(search.candidates[0]))["plan"][0]["name"]
    assert first == "every 11 min, 06:00"
    again = tomllib.loads(plan_block(search.candidates[0], (first,)))["plan"][0]["name"]
    assert again == "every 11 min, 06:00 (2)"
    assert len(again) <= 24


@pytest.mark.parametrize(
    "value", [3, 2.5, True, 'a "b" \\ c', [1, "x"], {"dist": "normal", "mean": 3, "of": [1, 2]}]
)
def test_a_value_is_written_so_that_toml_reads_it_back(value):
    assert tomllib.loads(f"x = {written(value)}")["x"] == value
