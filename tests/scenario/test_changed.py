"""Another number at a key of the file, named by its path."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from builders.pours import text

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.changed import set_at
from pourday.scenario.read import read_changed

TRAVEL = {"dist": "lognormal", "mean": 20, "sd": 5}
PLANTS = [{"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": TRAVEL}]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "plain.toml"
    path.write_text(text(plants=PLANTS), encoding="utf-8")
    return path


@pytest.mark.parametrize("key", ["supply.plants[1].travel_min.mean", "supply.plants[1].travel_min"])
def test_the_mean_of_a_quantity_moves_and_its_shape_stays(file: Path, key: str):
    travel = read_changed(file, key, 14.0).supply.plants[0].travel
    assert travel.parameters == (14 * 60.0, 5 * 60.0)


def test_a_whole_number_stays_one(file: Path):
    assert read_changed(file, "crews.crew.placers", 4.0).crews["crew"].placers == 4


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("supply.plant[1].travel_min", "plants"),
        ("supply.plants[2].travel_min", "no row 2 in supply.plants (it has 1)"),
        ("supply.plants[0].travel_min", "no row 0"),
        ("site.positions", "written into the file first"),
        ("plan[1].name", "a number, or a quantity with a mean"),
        ("weather.hours[1]..air_C", "not a path"),
        ("crews.crew", "a number, or a quantity with a mean"),
    ],
)
def test_what_is_not_there_is_told(key: str, said: str):
    raw = tomllib.loads(text(plants=PLANTS))
    with pytest.raises(ScenarioError) as told:
        set_at(raw, key, 1.0)
    assert said in told.value.faults[0].text


def test_a_quantity_without_a_mean_is_told():
    raw = {"site": {"gate_min": {"dist": "uniform", "low": 1, "high": 2}}}
    with pytest.raises(ScenarioError, match="low, high"):
        set_at(raw, "site.gate_min", 1.0)


def test_a_number_that_the_file_may_not_have_is_a_fault_of_the_file(file: Path):
    with pytest.raises(ScenarioError, match="placers"):
        read_changed(file, "crews.crew.placers", 0.0)
