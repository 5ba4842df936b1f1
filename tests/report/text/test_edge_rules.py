"""The rule for edges is named in every report that speaks of edges, and both states are told."""

from __future__ import annotations

import io
import json

import pytest
from builders.made_days import ONE_WAY, TWO, measured_day
from builders.pours import basis_of, pour
from builders.pours import text as scenario_text
from rich.console import Console
from typer.testing import CliRunner

from pourday.cli import app
from pourday.report.rehearsal.words import summary_lines
from pourday.report.text.check import check_report
from pourday.report.text.day import day_report
from pourday.report.words import edge_rule_words

SAID = {
    "set": 'Edges by "set": stiff (vibrator and care) from 0.5, cold from 0.8 of the time to '
    "initial set, 5:00 at 20 °C from loading (shares: common practice, no source).",
    "interval": 'Edges by "interval": cold 2:30 after placing in air up to 25 °C, 2:00 above '
    "(JSCE, made for layers), stiff (vibrator and care) from 0.62 of it (shares: common practice, "
    "no source).",
    "given": 'Edges by "given": cold at 2:30 at 20 °C from loading, as the file says; stiff '
    "(vibrator and care) from 0.62 of it.",
}
RULES = pytest.mark.parametrize("rule", SAID)
# Covered 180 min after placing, at an age of 200 to 300 min.
PIECES = (0, 0, 100, 0, 1, -20), (1, 180, 280, 0, 1, 160)


def words(text: str) -> str:
    return " ".join(text.split())


def printed(report, *arguments) -> str:
    out = io.StringIO()
    report(Console(file=out, width=80), *arguments)
    assert max(map(len, out.getvalue().splitlines())) <= 80
    return words(out.getvalue())


@RULES
def test_the_sentence_says_what_counts_and_whose_it_is(rule):
    assert edge_rule_words(pour(mix={"edge_rule": rule}).mix) == SAID[rule]


def test_a_retarder_is_told_where_it_counts():
    late = {"retarder_min": 45}
    said = {r: edge_rule_words(pour(mix={"edge_rule": r, **late}).mix) for r in SAID}
    assert "initial set, 5:45 at 20 °C from loading, 0:45 of it by the retarder" in said["set"]
    assert "cold at 3:15 at 20 °C from loading, as the file says, 0:45 of it" in said["given"]
    assert "retarder" not in said["interval"]


@RULES
def test_a_day_names_it_and_counts_both_states(rule):
    day = measured_day(pour(floor=TWO, plan=ONE_WAY, mix={"edge_rule": rule}), *PIECES)
    text = printed(day_report, day)
    assert SAID[rule] in text
    # By set 4 m are stiff and 6 m cold; the other rules have all of it cold.
    cold, stiff = (6.0, 4.0) if rule == "set" else (10.0, 0.0)
    assert f"cold: 1 of 1 edge pairs ({cold:.1f} m) and 0 of 0 stopped fronts" in text
    assert f"stiff: 0 of 1 edge pairs ({stiff:.1f} m) and 0 of 0 stopped fronts" in text
    assert words(SAID[rule]) in words(" ".join(summary_lines(day)))
    assert "edges covered stiff: 0, cold: 1" in summary_lines(day)


def test_a_stiff_pair_is_called_so_in_the_day():
    # Age at most 200 min of 240, from 150 on stiff.
    pieces = PIECES[0], (1, 80, 180, 0, 1, 60)
    day = measured_day(pour(floor=TWO, plan=ONE_WAY, mix={"edge_rule": "set"}), *pieces)
    out = io.StringIO()
    day_report(Console(file=out, width=80), day)
    rows = [line.split() for line in out.getvalue().splitlines()]
    (row,) = [row for row in rows if row[:5] == ["1", "(1", "strip", "1)", "2"]]
    assert row[-3:] == ["83", "%", "stiff"]


@pytest.mark.parametrize(
    ("rule", "lines"),
    [
        # 1/1.0 and 1/0.7391 of the times at 20 °C: exp(4000 (1/293.15 - 1/288.15)) = 0.789175.
        ("set", ("stiff after 3:10, cold after 5:04 at 15 °C",
                 "loaded at 07:00 and delivered at 15 °C: stiff at 10:10, cold at 12:04")),
        ("given", ("stiff after 1:59, cold after 3:10 at 15 °C",
                   "loaded at 07:00 and delivered at 15 °C: stiff at 08:59, cold at 10:10")),
        ("interval", ("stiff after 1:34, cold after 2:30 at 15 °C",
                      "placed at 07:00 and in 15 °C: stiff at 08:34, cold at 09:30")),
    ],
)  # fmt: skip
def test_check_says_what_it_means_for_the_mix_on_the_day(rule, lines):
    hours = [{"at": "06:00", "air_C": 15, "humidity": 0.6, "wind_km_h": 10}]
    mix = {"edge_rule": rule, "delivered_C": 15}
    scenario = pour(mix=mix, weather={"hours": hours})
    text = printed(check_report, scenario, [basis_of(scenario)], ())
    assert SAID[rule] in text
    for line in lines:
        assert line in text


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "floor.toml"
    path.write_text(scenario_text(floor=TWO, plan=ONE_WAY, mix={"edge_rule": "interval"}))
    return path


@pytest.mark.parametrize(
    "command",
    [("compare", "--full", "--days", "2", "--workers", "1"), ("starts", "--full", "--days", "1")],
)
def test_studies_name_it_in_print_and_json(command, file, tmp_path):
    out = tmp_path / "out.json"
    done = CliRunner().invoke(app, [command[0], str(file), *command[1:], "--json", str(out)])
    assert done.exit_code == 0, done.output
    assert SAID["interval"] in words(done.output)
    rule = json.loads(out.read_text())["edge_rule"]
    assert rule == {
        "rule": "interval", "counts_from": "placing", "stiff_ratio": 0.625,
        "stiff_age_min": None, "cold_age_min": None, "words": SAID["interval"],
    }  # fmt: skip


def test_the_day_s_json_has_rule_and_states(tmp_path):
    path, out = tmp_path / "floor.toml", tmp_path / "out.json"
    path.write_text(scenario_text(floor=TWO, plan=ONE_WAY, mix={"edge_rule": "set"}))
    done = CliRunner().invoke(app, ["day", str(path), "--json", str(out)])
    assert done.exit_code == 0, done.output
    record = json.loads(out.read_text())
    rule = record["edge_rule"]
    assert (rule["rule"], rule["counts_from"]) == ("set", "loading")
    assert (rule["stiff_age_min"], rule["cold_age_min"]) == (150.0, 240.0)
    (pair,) = record["edge_pairs"]
    assert {"stiff", "stiff_length_m", "cold", "cold_length_m"} <= pair.keys()
    assert record["cost"]["stiff_edges"] == 0.0
