"""``pourday choose``: read, played, told, stopped."""

from __future__ import annotations

import json
import re
import signal
import sys
import tomllib

import pytest
from builders.commands import called
from builders.places import SCENARIOS
from builders.studies import gone, program, until, workers_of
from builders.units import left_over

from pourday.scenario.read import read_scenario

CLINIC = (SCENARIOS / "clinic_level_1.toml").read_text("utf-8")
SEARCH = """
[search]
vary = [
  { key = "plan.spacing_min", values = [15, 21, 60] },
  { key = "site.positions", values = [1, 2] },
]

"""


def file_with(folder, search=SEARCH, text=CLINIC):
    first = text.index("[[plan]]")
    path = folder / "searched.toml"
    path.write_text(text[:first] + search + text[first:], encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    folder = tmp_path_factory.mktemp("choose")
    file = file_with(folder)
    result = called(
        "choose", "--full", file, "--most-days", 150, "--fresh", 60, "--workers", 1,
        "--json", folder / "found.json", "--figures", folder,
    )  # fmt: skip
    assert result.exit_code == 0, result.stderr
    return result, json.loads((folder / "found.json").read_text("utf-8")), folder


def test_the_first_answer_is_said_to_be_one_and_comes_first(done):
    out = " ".join(done[0].output.split())
    assert out.startswith("First answer (25 days of each, limits not decided")
    assert out.index("First answer") < out.index("Which plan")


def test_the_record_says_what_the_report_says(done):
    out, record, _ = " ".join(done[0].output.split()), done[1], done[2]
    assert record["schema"] == "pourday.choose/1"
    assert f"Take {record['chosen']!r}" in out
    assert f"Next {record['runner_up']!r}" in out
    assert record["plan_toml"] in done[0].output
    mean = record["fresh"]["plans"][0]["cost_total"]["mean"]
    assert f"at {mean:,.0f} EUR on average (60 fresh days)".replace(",", " ") in out
    played = f"{record['days_played']:,} days of candidates"
    assert played in out
    assert sum(each["days"] for each in record["candidates"]) == record["days_played"]
    assert len(record["candidates"]) == 6


def test_fresh_days_had_no_part_in_choosing(done):
    fresh = done[1]["fresh"]
    assert fresh["first_seed"] >= 1_000_000
    assert fresh["days"] == 60


def test_the_block_put_into_the_file_is_read_as_a_plan(done):
    _, record, folder = done
    path = folder / "with_plan.toml"
    path.write_text(CLINIC + "\n" + record["plan_toml"] + "\n", encoding="utf-8")
    scenario, _ = read_scenario(path)
    (values,) = [c["values"] for c in record["candidates"] if c["candidate"] == record["chosen"]]
    assert scenario.plans[-1].fronts[0].spacing.mean == values[0] * 60.0


def test_forty_columns_cut_nothing_of_it(tmp_path, monkeypatch):
    search = SEARCH.replace("[15, 21, 60]", "[21]")
    monkeypatch.setenv("COLUMNS", "40")
    said = called(
        "choose", file_with(tmp_path, search), "--most-days", 25, "--fresh", 0, "--workers", 1
    )
    assert said.exit_code == 0, said.stderr
    head, _, block = said.stdout.partition("For the file")
    assert max(map(len, head.splitlines())) <= 40
    assert "…" not in said.stdout
    # The plan for the file stays in lines of TOML, which a terminal folds and nobody may break.
    tomllib.loads(block.partition("Caution.")[0])


def test_a_picture_is_drawn(done):
    assert (done[2] / "candidates.png").stat().st_size > 10_000


def test_what_has_no_price_is_warned_of(done):
    assert "nothing in the file prices site.positions" in " ".join(done[0].output.split())


def test_one_worker_and_two_find_the_same_and_units_change_no_record(tmp_path, done):
    file = file_with(tmp_path)
    written = tmp_path / "two.json"
    again = called(
        "choose", "--full", file, "--most-days", 150, "--fresh", 60, "--workers", 2,
        "--json", written,
        "--units", "us",
    )  # fmt: skip
    assert again.exit_code == 0, again.stderr
    assert json.loads(written.read_text("utf-8")) == done[1]
    assert left_over(again.output) == []
    ours, theirs = (" ".join(each.output.split()) for each in (done[0], again))
    ours, theirs = (
        re.search(rf"Stiff edges ([\d.]+) {u} and cold ones ([\d.]+) {u} a day", text).groups()
        for u, text in (("m", ours), ("ft", theirs))
    )
    assert [float(m) / 0.3048 for m in ours] == pytest.approx(list(map(float, theirs)), abs=0.22)


def test_a_combination_that_cannot_be_is_named_and_the_others_are_tried(tmp_path):
    search = '[search]\nvary = [{ key = "plan.crew", values = ["small", "nobody"] }]\n\n'
    found = called(
        "choose",
        "--full",
        file_with(tmp_path, search),
        "--most-days",
        25,
        "--fresh",
        0,
        "--workers",
        1,
    )
    assert found.exit_code == 0, found.stderr
    out = " ".join(found.output.split())
    assert 'left out: nobody: plan[1].crew (plan "line, 21 min"): found "nobody"' in out
    assert "1 candidate of plan" in out


def test_a_fault_of_the_search_is_told_as_any_other(tmp_path):
    search = '[search]\nvary = [{ key = "plan.spacng_min", values = [1] }]\n\n'
    found = called("choose", "--full", file_with(tmp_path, search))
    assert found.exit_code == 2
    assert 'search.vary[1].key: "plan.spacng_min", no such key; did you mean' in found.stderr


def test_where_the_deck_rules_all_out_no_day_is_played(tmp_path):
    assert CLINIC.count("\n[limits]") == 1
    text = CLINIC.replace("\n[limits]", "\n[limits]\nsag_most_mm = 1\n# ", 1)
    found = called("choose", "--full", file_with(tmp_path, SEARCH, text), "--figures", tmp_path)
    assert found.exit_code == 0, found.stderr
    out = " ".join(found.output.split())
    assert "No candidate keeps all limits" in out
    assert "by its deck, whatever the day: see `pourday deck`" in out
    assert "No day: without one it is known that every candidate breaks a limit." in out
    assert "Warning" not in found.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="asks /proc who is alive")
def test_ctrl_c_gives_the_best_so_far_and_says_so(tmp_path):
    search = '[search]\nvary = [{ key = "plan.spacing_min", values = [18, 19, 20, 21] }]\n\n'
    process = program(
        tmp_path, "choose", file_with(tmp_path, search), "--workers", 2, "--fresh", 100000,
        "--json", tmp_path / "none.json",
    )  # fmt: skip
    line = process.stdout.readline()  # the first answer, so that there is one
    others = workers_of(process)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=120)
    assert line.startswith("First answer")
    assert process.returncode == 130, err
    said = " ".join(out.split())
    assert "Take '" in said
    assert "days that chose it, which flatter it)" in said
    assert "Stopped: this is the best so far" in said or "It is decided" in said
    assert not (tmp_path / "none.json").exists()
    assert "Traceback" not in out + err
    until(lambda: gone(others), "workers still there")
