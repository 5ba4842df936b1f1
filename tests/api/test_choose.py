"""``pourday.choose``: what the command finds, as values that go on being played."""

from __future__ import annotations

import pytest
from builders.places import SCENARIOS

import pourday

SEARCH = """
[search]
vary = [
  { key = "plan.spacing_min", values = [15, 60] },
  { key = "supply.plants[1].trucks", values = [5] },
]

"""


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    text = (SCENARIOS / "clinic_level_1.toml").read_text("utf-8")
    first = text.index("[[plan]]")
    path = tmp_path_factory.mktemp("api") / "searched.toml"
    path.write_text(text[:first] + SEARCH + text[first:], encoding="utf-8")
    return path


def test_what_is_found_can_be_played(file, monkeypatch):
    monkeypatch.setattr("pourday.api.choose.FRESH_DAYS", 20)
    found = pourday.choose(file, most_days=25, workers=1)
    assert found.plan == "every 15 min, 5 trucks"
    assert found.scenario is not None
    assert found.scenario.supply.plants[0].trucks == 5
    day = pourday.play(found.scenario, seed=4)
    assert day.plan == found.plan
    record = found.to_dict()
    assert record["schema"] == "pourday.choose/1"
    assert record["chosen"] == found.plan
    assert record["plan_toml"] == found.plan_toml
    assert record["fresh"]["days"] == 20


def test_no_minute_at_all_makes_do_with_the_first_days(file, monkeypatch):
    monkeypatch.setattr("pourday.api.choose.FRESH_DAYS", 5)
    found = pourday.choose(file, workers=1, minutes=0.0)
    assert found.to_dict()["ended"] == "time"
    assert found.to_dict()["days_played"] == 2 * 6


def test_numbers_below_their_least_and_faults_are_refused(file, tmp_path):
    with pytest.raises(ValueError, match="most_days: found 24; allowed: 25 or more"):
        pourday.choose(file, most_days=24)
    with pytest.raises(pourday.ScenarioError, match='upset "never"'):
        pourday.choose(file, upsets=["never"])
