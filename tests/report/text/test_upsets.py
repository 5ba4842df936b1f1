"""Upsets as they are read: words and numbers against the values they were made from."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace

import pytest
from builders.made_days import FOUR, MINUTE, WHOLE
from builders.places import SCENARIOS
from builders.pours import pour
from builders.pours import text as scenario_text
from builders.upset_days import told_with
from rich.console import Console
from typer.testing import CliRunner

from pourday.cli import app
from pourday.report.records.upsets import upsets_record
from pourday.report.text.day import day_report
from pourday.report.text.upsets import advice_lines, upsets_report
from pourday.scenario.base.upsets import CREW_SHORT, PUMP_DOWN, Upset

CLINIC = SCENARIOS / "clinic_level_1.toml"
SCENARIO = pour(
    floor=FOUR,
    plan=WHOLE,
    prices={"cold_joint_per_m": 250.0},
)


def played(*upsets: Upset, scenario=SCENARIO):
    return told_with(scenario, *upsets)


def printed(day, found, advice, width: int = 80) -> str:
    out = io.StringIO()
    upsets_report(Console(file=out, width=width), day, found, advice)
    return out.getvalue()


@pytest.fixture(scope="module")
def stopped():
    """Pump down for 4 h from 07:14, in the first strip (4.5 m³ at 0.75 m³/min from 07:06)."""
    return played(Upset(7 * 3600.0 + 8 * MINUTE, PUMP_DOWN, 240 * MINUTE, drawn=True))


def words(text: str) -> str:
    return " ".join(text.split())


def test_a_day_without_upsets_and_stops_says_nothing():
    assert printed(*played()) == ""


def test_the_table_has_the_differences(stopped):
    day, found, advice = stopped
    text = printed(day, found, advice)
    row = next(line for line in text.splitlines() if line.startswith("07:08 pump down 4 h *"))
    effect = found[0]
    cells = row.removeprefix("07:08 pump down 4 h *").split("  ")
    cells = [cell.strip() for cell in cells if cell.strip()]
    # By hand: the rest of the first load is two hours over the open time when it goes on.
    assert effect.lost > 230 * MINUTE
    assert cells[0] == f"{effect.lost / 60:+.0f}"
    assert cells[2] == (f"{effect.stiff_more:+d}" if effect.stiff_more else "0")
    assert cells[3] == f"{effect.cold_more:+d}"
    assert effect.cold_more > 0
    # Nothing has a price but the metres gone cold, 250 each.
    metres = day.edges.cold_length.sum()
    assert metres > 1.0
    assert cells[5].replace(" ", "") == f"{250.0 * metres:+.0f}"
    # One upset is all of them: the row is not repeated.
    assert "all of them" not in text
    assert words(text).count("without any upset") == 1


def test_every_line_fits_in_80_columns(stopped):
    text = printed(*stopped)
    assert text
    assert max(map(len, text.splitlines())) <= 80


def test_a_long_stop_is_told_with_its_edge_and_its_stop_end(stopped):
    day, found, advice = stopped
    text = words(printed(day, found, advice))
    # Placed from 07:06 to 07:08 at 0.75 m³/min: 1.5 m³, a third of 10 m. Loading began at 06:34
    # (6 m³ at 60 m³/h before it left at 06:40), so the front is stiff 93.75 min after that, at
    # 08:08, and lost at 09:04, 116 min after 07:08.
    # Before x = 6.6 go 9.9 m³; 8.4 are missing, 11 min at that pace: 08:53.
    assert day.log.stretches[0].batched == 6 * 3600 + 34 * MINUTE
    assert day.log.stretches[0].start == 7 * 3600 + 6 * MINUTE
    assert "The front stood 07:08 to 11:08 (down) in strip 1 (1 strip 1) at y = 3.3 m." in text
    assert (
        "The stopped front itself is stiff from 08:08 and lost at 09:04, 116 min after the stop "
        "began" in text
    )
    assert "THE STOP OUTLASTED IT" in text
    assert "x = 6.60 m (600 mm beyond the sheet joint at 6.00 m), y 0.0 to 10.0 m: 8.4 m³" in text
    # That is when the filling must start, not when the edge itself is lost.
    assert "about 11 min: start by 08:53 to have all of it in before the edge is lost." in text
    assert "at the pace of the last hour before the stop" in text
    assert "The front went on at 11:08, too late: COLD." in text
    assert "common practice, no source" in text
    assert "The engineer decides" in text
    assert "safe" not in text.lower()


def test_a_stop_that_ends_sooner_says_by_how_much(stopped):
    day, _, advice = stopped
    sooner = replace(advice[0], until=advice[0].lost - 25 * MINUTE)
    text = " ".join(advice_lines(day, sooner))
    assert "the stop ended 25 min sooner. The front went on at 11:08, too late: COLD." in text
    assert "OUTLASTED" not in text
    late = replace(advice[0].ends[0], time=130 * MINUTE, removed=1.24)
    text = " ".join(advice_lines(day, replace(advice[0], ends=(late,))))
    assert "about 130 min, longer than the edge lasts; 1.2 m³ beyond it must come out" in text


@pytest.mark.parametrize(
    ("newer", "covered", "ratio", "whole", "said"),
    [
        (1, 47, 1.05, True, "It was covered at 07:55, too late: COLD."),
        (1, 47, 0.6, True, "It was covered at 07:55, in time."),
        (1, 47, 0.95, True, "It was covered at 07:55, in time but stiff."),
        (1, 47, 0.95, False, "Part of it was covered at 07:55, in time but stiff; the rest never."),
        (1, 47, 0.6, False, "Part of it was covered at 07:55, in time; the rest never."),
        (1, -3, 0.6, False, "Part of it was covered before the stop, in time; the rest never."),
        (1, -3, 1.05, False, "covered before the stop, too late: COLD; the rest never."),
        (1, -3, 0.6, True, "It was covered, in time."),
        (1, -3, 1.05, True, "What was covered before the stop, by 07:05, came too late: COLD."),
        (1, math.nan, math.nan, False, "It was never covered."),
        (-1, 47, 0.6, True, "The front went on at 07:55, in time."),
        (-1, 47, 0.95, True, "The front went on at 07:55, in time but stiff."),
        (-1, math.nan, math.nan, False, "The front never went on."),
    ],
)
def test_what_the_day_did_with_the_edge_stands_beside_it(
    stopped, newer, covered, ratio, whole, said
):
    # Covered so many minutes after the stop's begin at 07:08.
    day, _, advice = stopped
    at = advice[0].begin + covered * MINUTE
    each = replace(advice[0], newer=newer, covered=at, ratio=ratio, whole=whole)
    assert said in advice_lines(day, each)[1]
    record = upsets_record(day, (), (each,))["long_stops"][0]
    assert record["lost_edge_cold"] is (ratio > 1.0)
    assert record["lost_edge_stiff"] is (ratio == 0.95)  # over 0.625
    assert record["lost_edge_covered_h"] == (
        None if math.isnan(covered) else pytest.approx(at / 3600, abs=1e-6)
    )


def test_what_is_said_of_the_edge_is_what_the_rest_of_the_page_says(stopped):
    day, _, advice = stopped
    assert advice[0].newer == -1
    assert advice[0].ratio == pytest.approx(day.edges.stop_ratio.max())
    assert advice[0].ratio > 1.0


@pytest.fixture(scope="module")
def given_up():
    """All six people leave at 07:08: a third of the first strip is in, 1.5 m³."""
    return played(Upset(7 * 3600.0 + 8 * MINUTE, CREW_SHORT, math.inf, number=6))


def test_a_day_that_is_given_up_is_no_saving(given_up):
    day, found, advice = given_up
    assert found[0].lost < 0.0
    assert found[0].unfinished_more == pytest.approx(18.0 - 1.5)
    lines = printed(day, found, advice).splitlines()
    row = next(n for n, line in enumerate(lines) if line.startswith("07:08 crew short 6"))
    assert lines[row].removeprefix("07:08 crew short 6").split() == ["-"] * 6
    assert lines[row + 1].strip() == "NOT PLACED 16.5 m³ more"
    text = words("\n".join(lines))
    assert (
        "16.5 m³ not placed, 0.0 m³ without it where not the same is placed, neither times" in text
    )
    assert "not placed, m³" in text
    less = (replace(found[0], day=found[0].without, without=found[0].day), found[1])
    assert "NOT PLACED 16.5 m³ less" in printed(day, less, advice)
    record = upsets_record(day, found, advice)["effects"][0]
    assert record["compares"] is False
    assert record["unfinished_more_m3"] == pytest.approx(16.5)
    assert record["lost_min"] == pytest.approx(found[0].lost / 60)
    assert max(map(len, lines)) <= 80


def test_days_that_compare_say_so_in_the_record(stopped):
    day, found, advice = stopped
    for effect in upsets_record(day, found, advice)["effects"]:
        assert effect["compares"] is True
        assert effect["unfinished_more_m3"] == 0.0
    assert "not placed" not in printed(day, found, advice).lower()


def test_an_unfinished_day_says_what_was_left_open(given_up):
    day, _, _ = given_up
    out = io.StringIO()
    day_report(Console(file=out, width=80), day)
    text = words(out.getvalue())
    # Four strips side by side, a third of the first one placed: three pairs.
    assert "LEFT OPEN: 1 edge pair never covered; what is open is not judged; 2 without" in text
    assert "16.5 m³: no more loads could come, or nobody was left to place" in text
    row = next(line for line in out.getvalue().splitlines() if line.endswith("left open"))
    assert row.startswith("1 (1 strip 1)  2 (1 strip")
    assert max(map(len, out.getvalue().splitlines())) <= 80


def test_cold_pairs_and_cold_fronts_are_counted_apart(stopped):
    day, _, _ = stopped
    out = io.StringIO()
    day_report(Console(file=out, width=80), day)
    text = words(out.getvalue())
    pairs, fronts = (int((r > 1.0).sum()) for r in (day.edges.ratio, day.edges.stop_ratio))
    assert pairs > 0
    assert fronts > 0
    metres = f"{day.edges.cold_length.sum():.1f} m"
    of = len(day.edges.stop_ratio)
    assert f"cold: {pairs} of 3 edge pairs ({metres}) and {fronts} of {of} stopped fronts" in text
    assert "LEFT OPEN" not in text


def test_of_two_upsets_that_are_alike_it_says_that_one_hides_the_other(stopped):
    twins = [Upset(7 * 3600.0 + 8 * MINUTE, PUMP_DOWN, 60 * MINUTE) for _ in range(2)]
    assert "one may hide behind another" in words(printed(*played(*twins)))
    # A single upset has nothing to hide behind.
    assert "hide behind" not in words(printed(*stopped))


def compared(*arguments: object) -> list[str]:
    done = CliRunner().invoke(
        app, ["compare", "--full", *map(str, arguments), "--days", "1", "--workers", "1"]
    )
    assert done.exit_code == 0, done.output
    return done.output.splitlines()


def test_a_comparison_names_the_plans_that_an_upset_cannot_hit():
    lines = compared(CLINIC, "--upset", "10:30 pump down 45 min")
    missed = [line for line in lines if "not hit" in line]
    said = "  not hit: 'crane, 44 min' (every front is a crane with skip, no pump)"
    assert [line.rstrip() for line in missed] == [said]
    at = next(n for n, line in enumerate(lines) if line.startswith("On every day goes wrong"))
    assert lines[at + 1] == missed[0]
    # Of several, which; and all that it cannot hit.
    both = "--upset", "10:30 pump down 45 min", "--upset", "11:00 crane lost 30 min"
    missed = [line for line in compared(CLINIC, *both) if "not hit" in line]
    assert len(missed) == 4
    assert missed[0].startswith("  not hit by 10:30 pump down 45 min: 'crane, 44 min' (")
    assert all(line.startswith("  not hit by 11:00 crane lost 30 min: ") for line in missed[1:])
    assert not [x for x in compared(CLINIC, "--upset", "9:00 load rejected") if "not hit" in x]


def test_a_plant_that_a_plan_never_calls_cannot_hit_it(tmp_path):
    plant = {"trucks": 6, "batch_m3_h": 60, "travel_min": 20, "back_min": 20}
    file = tmp_path / "two_plants.toml"
    two = [{"name": "Mill Road", **plant}, {"name": "Hill plant", **plant}]
    file.write_text(scenario_text(plants=two, plan={"plants": ["Mill Road"]}))
    lines = compared(file, "--upset", "07:00 plant Hill plant stopped 20 min")
    assert "  not hit: 'plain' (it calls nothing from Hill plant)" in [x.rstrip() for x in lines]
    lines = compared(file, "--upset", "07:00 plant Mill Road stopped 20 min")
    assert not [line for line in lines if "not hit" in line]


def test_advice_for_a_plan_that_is_left_unfinished_fits_too_few_people_too(tmp_path):
    file = tmp_path / "nobody.toml"
    file.write_text(scenario_text())
    text = words("\n".join(compared(file, "--upset", "07:00 crew short 6")))
    assert "a floor left unfinished on 100 %" in text
    assert "with loads and people to the end" in text


def test_where_the_rule_has_no_place_it_says_so():
    one_run = pour(floor=FOUR | {"sheet_runs": [4]}, plan={"order": "spread", "strip_width_m": 3})
    upset = Upset(7 * 3600.0 + 8 * MINUTE, PUMP_DOWN, 60 * MINUTE)
    text = words(printed(*played(upset, scenario=one_run)))
    assert "no place by the rule here; ask the engineer" in text


def test_a_break_that_the_edges_outlast_is_left_out(stopped):
    day, _, advice = stopped
    rest = replace(advice[0], kinds=("idle",), until=advice[0].begin + 30 * MINUTE)
    assert printed(day, (), (rest,)) == ""
    assert printed(day, (), (replace(rest, until=advice[0].lost + 1.0),)) != ""


def test_the_record_is_json_and_holds_the_values(stopped):
    day, found, advice = stopped
    record = upsets_record(day, found, advice)
    assert json.loads(json.dumps(record, allow_nan=False)) == record
    assert record["upsets"][0]["text"] == "07:08 pump down 4 h"
    assert record["upsets"][0]["drawn"] is True
    first, every = record["effects"]
    assert (first["without"], every["without"]) == ("07:08 pump down 4 h", "all of them")
    assert first["lost_min"] == pytest.approx(found[0].lost / 60)
    assert first["day_with"]["cold_edge_pairs"] == found[0].day.cold
    stop = record["long_stops"][0]
    assert stop["begin_h"] == pytest.approx(7 + 8 / 60, abs=1e-6)
    assert stop["stiff_h"] == pytest.approx(8 + 7.75 / 60, abs=1e-6)
    assert stop["lost_h"] == pytest.approx(9 + 4 / 60, abs=1e-6)
    end = stop["stop_ends"][0]
    assert end["at"] == [{"x_m": 6.6, "joint_m": 6.0}]
    assert end["needed_m3"] + end["placed_m3"] == pytest.approx(end["poured_side_m3"])
    assert end["poured_side_m3"] == pytest.approx(9.9)
    assert end["fits"] is True


def test_a_stop_that_never_ends_has_no_end_in_the_record(stopped):
    day, _, advice = stopped
    forever = replace(advice[0], until=float("inf"), kinds=("unfinished",))
    stop = upsets_record(day, (), (forever,))["long_stops"][0]
    assert stop["until_h"] is None
    assert stop["outlasted"] is True
    assert "never went on" in advice_lines(day, forever)[0]


def test_an_upset_that_reads_as_a_gain_names_its_cause(stopped):
    day, found, advice = stopped
    effect = found[0]
    with_it = replace(
        effect.day, cost=effect.without.cost - 500.0, loads=effect.without.loads - 1,
        ordered=effect.without.ordered - 6.0, unfinished=effect.without.unfinished,
    )  # fmt: skip
    gain = replace(effect, day=with_it)
    text = words(printed(day, [gain], advice))
    assert "reads as a gain on this day (1 load fewer, 6.0 m³, were called after it)" in text
    assert "reads as a gain" not in words(printed(day, found, advice))
