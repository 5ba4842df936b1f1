"""What `pourday deck` prints and writes of supports, and of the checks that are not made."""

from __future__ import annotations

import json
import math

import pytest
from builders.beam_floors import floor
from builders.commands import called
from builders.pours import text

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import basis
from pourday.outcome.deck.stiffness import AtStiffness
from pourday.outcome.deck.supports import Force
from pourday.report.records.deck_supports import supports_record
from pourday.report.text.deck_supports import NOT_MADE, force_words, stiffness_words
from pourday.study.orders.deck_study import PlanDeck, plan_decks


def plan_deck(**deck) -> PlanDeck:
    scenario = floor(
        "",
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "high_x_overhang_m": 0.4},
        deck=deck,
        plan={"order": "spread", "strip_width_m": 3.0},
    )
    plan = scenario.plans[0]
    (found,) = plan_decks([basis(scenario, plan, lay_out(scenario, plan))])
    return found


def test_the_command_prints_supports_that_let_go_and_what_is_not_checked(tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "220")
    path = tmp_path / "loose.toml"
    spans = {"spans_m": [3.0, 3.0], "sheet_runs": [2]}
    deck = {"fixed_supports": "none", "end_reaction_resistance_kN_per_m": 9}
    path.write_text(
        text(
            floor=spans,
            deck=deck,
            plan={"order": "spread", "strip_width_m": 3.0},
            props={"lines_x_m": [4.5]},
        )
    )
    done = called("deck", path, "--full")
    assert done.exit_code == 0, done.stderr
    said = " ".join(done.output.split())
    assert "lets go: prop line at x 4.50 m" in said
    assert "mm of gap" in said
    assert "greatest load on a prop line" in said
    assert "with it let go sag moment" in said
    assert "Not made here, for the engineer to look at" in said
    assert "EN 1993-1-3:2006 6.1.7" in said
    assert "EI less and more by 15 %" in said


def test_a_day_says_what_lets_go_under_its_own_heaps_and_nothing_where_all_hold(
    tmp_path, monkeypatch
):
    monkeypatch.setenv("COLUMNS", "220")
    spans = {"spans_m": [3.0, 3.0], "sheet_runs": [2]}
    plan = {"order": "spread", "strip_width_m": 3.0}
    heaps = {"heap_height_factor": {"dist": "uniform", "low": 1.0, "high": 3.0}}
    path = tmp_path / "day.toml"
    said = []
    for props in ({"lines_x_m": [4.5]}, {}):
        path.write_text(text(floor=spans, plan=plan, props=props, loads=heaps))
        for seed in (1, 2):
            done = called("day", "--full", path, "--seed", seed)
            assert done.exit_code == 0, done.stderr
            said.append(done.output)
    line = "lets go: prop line at x 4.50 m"
    assert [line in each for each in said] == [True, True, False, False]
    gaps = [each.split(line)[1].split("mm of gap")[0] for each in said[:2]]
    assert gaps[0] != gaps[1]
    assert "with it let go: sag moment" in said[0]


def test_a_force_is_judged_only_where_the_file_says_by_what():
    assert force_words(Force(4200.0, 4200.0, 3.0, None), "capacity") == (
        "4.20 kN/m at x 3.00 m, not judged: no capacity in the file"
    )
    assert force_words(Force(4200.0, 6300.0, 3.0, 0.42), "capacity") == (
        "4.20 kN/m, factored 6.30 at x 3.00 m, 42 % of its capacity"
    )
    assert "TOO MUCH" in force_words(Force(4200.0, 4200.0, 3.0, 1.2), "capacity")


def test_a_deck_too_soft_to_level_is_said_so():
    scenario = plan_deck().basis.scenario
    assert stiffness_words(AtStiffness(0.85, None, None), scenario) == "-15 %: too soft to level"
    found = stiffness_words(AtStiffness(1.15, 0.0123, 0.8), scenario)
    assert found == "+15 %: deflection 12.3 mm, highest use 80 % allowable, ASD"
    unknown = stiffness_words(AtStiffness(1.15, 0.0123, math.nan), scenario)
    assert unknown == "+15 %: deflection 12.3 mm, highest use not judged"


def test_the_record_has_what_lets_go_and_what_is_felt_then():
    found = supports_record(plan_deck(fixed_supports="inner"))
    (only,) = found["lets_go"]
    assert (only["x_m"], only["kind"]) == (6.0, "end of a sheet")
    assert only["gap_mm"] > 1.0
    released, held = found["released"], found["held"]
    assert released["sag_moment_kNm_per_m"] > held["sag_moment_kNm_per_m"]
    assert found["fixing"] == {
        "kN_per_m": 0.0,
        "factored_kN_per_m": 0.0,
        "x_m": 3.0,
        "share": None,
    }
    assert [each["length_m"] for each in found["overhangs"]] == [0.4]
    assert [each["factor"] for each in found["stiffness"]] == [0.85, 1.15]
    assert json.loads(json.dumps(found)) == found


@pytest.mark.parametrize("word", ["webs", "one side", "trim", "impact"])
def test_the_list_of_what_is_not_made_names_it(word):
    assert sum(word in each for each in NOT_MADE) >= 1
    assert "safe" not in " ".join(NOT_MADE)
