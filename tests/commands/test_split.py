"""``pourday split`` as a user calls it: answer, files, and what it says where it cannot help."""

from __future__ import annotations

import json
import re

import pytest
from builders.commands import called
from builders.places import SCENARIOS
from builders.pours import text

FOUR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2]}
POURS = """
[[pour]]
name = "west"
date = 2027-03-05
plan = "plain"
bays = ["1"]
[[pour]]
name = "east"
date = 2027-03-06
plan = "plain"
bays = ["2"]
"""


@pytest.fixture
def file(tmp_path, monkeypatch):
    """A floor of two sheet runs in a folder of its own, at 80 columns."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")

    def _written(more="", **changes):
        path = tmp_path / "floor.toml"
        path.write_text(text(**{"floor": FOUR} | changes) + more, encoding="utf-8")
        return path

    return _written


def said(*arguments):
    done = called("split", *arguments, "--days", 2, "--workers", 1)
    assert done.exit_code == 0, done.stderr
    assert max(map(len, done.output.splitlines())) <= 80
    return " ".join(done.output.split())


def test_the_answer_comes_first(file):
    words = said(file())
    assert words.index("One day holds it within the limits") < words.index(
        "If it is split: 2 pours"
    )
    assert "x = 6.600 m, 20.0 m long: 600 mm to higher x from the beam centre line" in words
    assert "prices.stop_end_per_m is 0" in words
    assert "licensed engineer" in words
    assert not re.search(r"\bsafe\b", words)


def test_a_day_too_long_is_said_with_its_reason(file):
    words = said(file(site={"curfew": "08:30"}))
    assert "One day does not hold it: past the curfew on 100 % of days (limit 10 %)." in words
    assert (
        "Split it: 2 pours, stop end at x = 6.60 m. Each day keeps the limits as played." in words
    )


def test_where_no_split_helps_it_says_so(file):
    words = said(file(limits={"deck_use": 0.05}))
    assert "No split that was tried keeps the limits." in words
    assert "Fewer square metres a day do not mend this:" in words


def test_a_floor_that_cannot_be_ended_says_why(file):
    one = file(floor={"spans_m": [3.0], "sheet_runs": [1]})
    assert "No place for a stop end: the floor has no beam inside it" in said(one)
    words = said(file(), "--parts", 3)
    assert (
        "So many parts do not go: there is room for 1 stop end by the rule, at x = 6.60 m" in words
    )


def test_a_floor_without_sheet_joints_is_ended_beside_an_inner_beam_by_name(file):
    words = said(file(floor={"spans_m": [3.0] * 3, "sheet_runs": [3]}))
    assert "over which the sheets run on: no sheet joint is near" in words


def test_the_pours_of_the_file_are_played_and_the_weekend_named(file):
    words = said(file(POURS))
    assert "The file's 2 pours, stop end at x = 6.60 m, keep the limits." in words
    assert "west Fri 5 Mar 1" in words
    assert "east falls on a Saturday, 2027-03-06" in words
    # Asked for parts, it proposes its own.
    assert "pour 1" in said(file(POURS), "--parts", 2)


def test_compare_says_that_the_file_has_pours(file):
    done = called("compare", "--full", file(POURS), "--days", 2, "--workers", 1)
    assert done.exit_code == 0, done.stderr
    words = " ".join(done.output.split())
    assert (
        "The file pours this floor in parts (west, east): `pourday split FILE` plays them" in words
    )


def test_the_files_hold_what_was_said(file, tmp_path):
    out, dates, pictures = (tmp_path / name for name in ("s.json", "s.ics", "pictures"))
    said(file(POURS), "--json", out, "--calendar", dates, "--figures", pictures)
    record = json.loads(out.read_text("utf-8"))
    assert record["schema"] == "pourday.split/1"
    assert record["given"]
    (split,) = record["splits"]
    assert [pour["name"] for pour in split["pours"]] == ["west", "east"]
    assert [pour["beside_hardened_concrete"] for pour in split["pours"]] == [False, True]
    volume = sum(pour["volume_m3"] for pour in split["pours"])
    assert volume == pytest.approx(record["long_day"]["volume_m3"])
    assert split["stop_ends"] == [
        {"x_m": 6.6, "beam_x_m": 6.0, "from_beam_mm": 600.0, "kind": "sheet joint",
         "length_m": 20.0}
    ]  # fmt: skip
    more = split["more_than_long_day"]["value"]
    assert sum(split["more_by_kind"].values()) == pytest.approx(more, abs=1e-3)
    events = dates.read_bytes().decode().replace("\r\n ", "")
    first = re.findall(
        r"DTSTART:(\d{8})T\d{6}\r\nSUMMARY:Plain: (\w+): last concrete placed", events
    )
    assert first == [("20270305", "west"), ("20270306", "east")]
    assert len(set(re.findall("UID:.*", events))) == events.count("BEGIN:VEVENT")
    assert (pictures / "split.png").stat().st_size > 10_000


def test_wrong_pours_are_told_as_faults_of_the_file(file):
    done = called("split", file(POURS.replace('bays = ["2"]', "from_x_m = 5\nto_x_m = 12")))
    assert done.exit_code == 2
    assert "is poured by" in done.stderr
    done = called("split", file(), "--plan", "nobody's")
    assert done.exit_code == 2
    assert "the plans are: plain" in done.stderr


@pytest.mark.parametrize("name", ["tower_level_9", "depot_two_pumps"])
def test_shipped_floors_can_be_split(name, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert "2 pours" in said(SCENARIOS / f"{name}.toml")
