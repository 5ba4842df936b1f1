"""``compare --sensitivity``: what it prints, writes, draws and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from builders.commands import called
from builders.drawn import is_a_page
from builders.pours import text

TRAVEL = {"dist": "lognormal", "mean": 20, "sd": 8}
PLANTS = [{"name": "Mill Road", "trucks": 2, "batch_m3_h": 60, "travel_min": TRAVEL}]
KEY = "supply.plants[1].travel_min.mean"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "plain.toml"
    crews = {"crew": {"rate_per_placer_m3_h": 5}}
    days = {"crew_pace_sd": 0.1}
    path.write_text(text(plants=PLANTS, crews=crews, day_to_day=days), encoding="utf-8")
    return path


def test_it_says_what_moves_the_result_and_keeps_verdict_and_caution_last(file, tmp_path):
    asked = ["--days", 12, "--workers", 1, "--swing", f"{KEY}=10:45"]
    done = called("compare", "--full", file, *asked, "--figures", tmp_path / "figures")
    assert done.exit_code == 0, done.stderr
    flat = " ".join(done.stdout.split())
    assert "What moves the result: plan 'plain', 12 days" in flat
    assert "crew pace of the day" in flat
    assert "each trip" in flat
    assert "cold edges: none on any of these days" in flat
    assert flat.index(KEY) < flat.index("Which plan") < flat.index("Planning aid only.")
    assert flat.count("Planning aid only.") == 1
    assert is_a_page(tmp_path / "figures" / "sensitivity_plain.png")


def test_the_record_holds_indices_and_swings(file, tmp_path):
    path = tmp_path / "out.json"
    asked = ["--days", 12, "--workers", 1, "--sensitivity", "--swing", f"{KEY}=10:45"]
    done = called("compare", "--full", file, *asked, "--json", path)
    assert done.exit_code == 0, done.stderr
    (found,) = json.loads(path.read_text("utf-8"))["sensitivity"]
    assert found["plan"] == "plain"
    assert found["days"] == 12
    sources = {each["source"]: each["total_index"] for each in found["sources"]}
    assert set(sources) == {"crew pace of the day", "each trip"}
    for index in sources.values():
        assert 0.0 <= index["end_h"]["low"] <= index["end_h"]["value"] <= index["end_h"]["high"]
        assert index["cold_length_m"]["value"] is None
    swings = {each["input"]: each for each in found["swings"]}
    assert swings[KEY]["at"] == ["10", "45"]
    # Two trucks on a long road keep the pump waiting; on a short one they do not.
    assert swings[KEY]["low"]["end_h"]["value"] < 0.0 < swings[KEY]["high"]["end_h"]["value"]
    assert "sensitivity" not in json.loads(_plain(file, tmp_path))


def _plain(file: Path, folder: Path) -> str:
    path = folder / "plain.json"
    assert (
        called("compare", "--full", file, "--days", 2, "--workers", 1, "--json", path).exit_code
        == 0
    )
    return path.read_text("utf-8")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["--swing", "supply.plants[1].travel_min.mean=24"], "KEY=LOW:HIGH"),
        (["--swing", "supply.plants[9].travel_min=1:2"], "no row 9"),
        (["--swing", "supply.load_m3=6:100"], "supply.load_m3"),
        (["--sensitivity-of", "nobody"], "the plans are: plain"),
    ],
)
def test_what_cannot_be_asked_is_told_before_any_day_is_played(file, asked, said):
    done = called("compare", "--full", file, "--days", 100000, *asked)
    assert done.exit_code == 2
    assert said in done.stderr
    assert not done.stdout
