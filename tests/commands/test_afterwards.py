"""``pourday afterwards`` as people use it: tickets of a clinic's day, whole, half and none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from builders.commands import called
from builders.places import ROOT
from builders.told import ticket_text

from pourday.day.front.ready import ready
from pourday.day.play import play_ready
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare

CLINIC = ROOT / "scenarios" / "clinic_level_1.toml"


@pytest.fixture(scope="module")
def tickets(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Tickets of a clinic's day, and of half of it."""
    basis = prepare(read_scenario(CLINIC)[0])[0]
    log = play_ready(ready(basis.scenario, basis.plan, basis.layout), 501)
    folder = tmp_path_factory.mktemp("over")
    whole, half = folder / "whole.txt", folder / "half.txt"
    whole.write_text(ticket_text(log, basis, 1e9))
    half.write_text(ticket_text(log, basis, log.start + 0.5 * (log.end - log.start)))
    return whole, half


def test_a_pour_that_is_over_is_held_against_its_forecast(tickets, tmp_path):
    path = tmp_path / "over.json"
    options = ("--tickets", tickets[0], "--days", 20, "--units", "us", "--json", path)
    done = called("afterwards", CLINIC, *options)
    assert done.exit_code == 0, done.output
    for words in ("Last concrete 11:48", "yd³/h", "min later", "in all", "Caution"):
        assert words in done.output
    record = json.loads(path.read_text("utf-8"))
    pour = record["pours"][0]
    assert record["schema"] == "pourday.afterwards/1"
    assert pour["tickets"] == "whole.txt"
    assert sum(each["late_min"] for each in pour["causes"]) == pytest.approx(pour["late_min"])
    placed = next(each for each in pour["figures"] if each["figure"] == "placed")
    assert placed["was_m3"] == pytest.approx(64.7, abs=0.1)  # files stay metric


def test_what_is_no_whole_pour_is_refused_by_the_name_of_its_file(tickets, tmp_path):
    empty = tmp_path / "empty.txt"
    empty.write_text("")
    for path, why in (
        (empty, "no load is told"),
        (tickets[1], "ask pourday forecast"),
        (tmp_path / "none.txt", "cannot be read"),
    ):
        done = called("afterwards", CLINIC, "--tickets", tickets[0], "--tickets", path)
        assert done.exit_code == 2
        assert path.name in done.output
        assert why in done.output
