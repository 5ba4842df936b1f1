"""``pourday.read``: the scenario, its warnings as warnings, every fault at once."""

from __future__ import annotations

import warnings

import pytest
from builders.commands import called
from builders.places import SCENARIOS

import pourday
from pourday.scenario.read import read_scenario

CLINIC = SCENARIOS / "clinic_level_1.toml"


@pytest.mark.parametrize("path", [CLINIC, str(CLINIC)], ids=("path", "text"))
def test_a_file_is_read_as_the_commands_read_it(path):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert pourday.read(path) == read_scenario(CLINIC)[0]


def test_all_faults_of_a_file_come_at_once_and_in_the_words_of_the_command(tmp_path):
    broken = tmp_path / "broken.toml"
    text = CLINIC.read_text(encoding="utf-8").replace("depth_mm = 130", "depth_mm = 20")
    broken.write_text(text.replace('crew = "small"', 'crew = "smal"', 1), encoding="utf-8")
    with pytest.raises(pourday.ScenarioError) as caught:
        pourday.read(broken)
    assert [fault.path for fault in caught.value.faults] == [
        "slab.depth_mm",
        'plan[1].crew (plan "line, 21 min")',
    ]
    told = called("check", "--full", broken).stderr.splitlines()
    assert [line.strip() for line in told[1:]] == str(caught.value).splitlines()


def test_a_file_that_is_not_there_is_a_fault_too():
    with pytest.raises(pourday.ScenarioError, match=r"nowhere\.toml: .*no such file"):
        pourday.read("nowhere.toml")


def test_warnings_of_a_scenario_are_warnings_told_where_it_was_read(tmp_path):
    # 6 m³ loads every 4 minutes ask more of the plant (8 min a load) than it batches; twice.
    text = CLINIC.read_text(encoding="utf-8")
    fast = tmp_path / "fast.toml"
    text = text.replace("spacing_min = 21", "spacing_min = 4")
    fast.write_text(text.replace("spacing_min = 27", "spacing_min = 5"), encoding="utf-8")
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always")
        scenario = pourday.read(fast)
    assert scenario.plans[0].fronts[0].spacing.mean == 240
    assert [str(each.message) for each in caught] == [w.text for w in read_scenario(fast)[1]]
    assert len(caught) == 2
    assert {each.category for each in caught} == {pourday.ScenarioWarning}
    assert {each.filename for each in caught} == {__file__}
