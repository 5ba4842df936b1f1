"""Shares of resistance in print: never without their basis, or "not judged"."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders.commands import as_written
from builders.pours import basis_of, measured, pour
from builders.shipped import shipped
from rich.console import Console

from pourday.outcome.deck.designed import day_beside
from pourday.outcome.deck.peaks import heap_factors
from pourday.outcome.deck.series import line_series
from pourday.outcome.scene import scene
from pourday.report.basis import basis_of_shares, share_cell, share_words, why_not_judged
from pourday.report.records.day import day_record
from pourday.report.rehearsal.words import summary_lines
from pourday.report.text.day import day_report
from pourday.report.text.deck import deck_report
from pourday.report.text.designed_for import exceeded
from pourday.scenario.model.deck import DesignedFor
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import choose
from pourday.study.compare import compare
from pourday.study.days import study_plans
from pourday.study.orders.deck_study import bay_orders, plan_decks
from pourday.study.orders.floor_orders import floor_orders
from pourday.study.prepare import prepare

FLOOR = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 12.0}
EN = {"preset": "en_1991_1_6", "basis": "EN", "heap_height_factor": 1.5}


def floor(**deck: Any) -> Scenario:
    return pour(floor=FLOOR, loads=EN, deck={"resistance_is": "design"} | deck)


def unsaid(scenario: Scenario) -> Scenario:
    """The same file without a word on what its resistances are."""
    return replace(scenario, deck=replace(scenario.deck, resistance_is=None))


def absent(scenario: Scenario) -> Scenario:
    """The same file without resistances."""
    none = dict.fromkeys(
        ("sag_moment_resistance", "hog_moment_resistance", "reaction_resistance", "resistance_is")
    )
    return replace(scenario, deck=replace(scenario.deck, **none))


def deck_text(scenario: Scenario) -> str:
    console = Console(file=io.StringIO(), width=120)
    basis = basis_of(scenario)
    orders = bay_orders(basis, "1")
    deck_report(console, scenario, plan_decks([basis]), orders, floor_orders([basis]))
    return console.file.getvalue()  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("deck", "loads", "words", "cell"),
    [
        ({"resistance_is": "design"}, "EN", "design resistance, EN factored", "91 % design, EN"),
        (
            {"resistance_is": "characteristic", "gamma_M": 1.1},
            "EN",
            "design resistance (characteristic / 1.1), EN factored",
            "91 % design, EN",
        ),
        (
            {"resistance_is": "nominal", "phi": 0.9},
            "LRFD",
            "design resistance (0.9 x nominal), LRFD factored",
            "91 % design, LRFD",
        ),
        (
            {"resistance_is": "nominal", "omega": 1.67},
            "ASD",
            "allowable resistance (nominal / 1.67), ASD, loads unfactored",
            "91 % allowable, ASD",
        ),
        (
            {"resistance_is": "allowable"},
            "ASD",
            "allowable resistance, ASD, loads unfactored",
            "91 % allowable, ASD",
        ),
    ],
)
def test_a_share_names_the_resistance_and_the_loads(deck, loads, words, cell):
    scenario = pour(deck=deck, loads={"basis": loads})
    assert basis_of_shares(scenario) == words
    assert share_words(0.91, scenario) == f"91 % of {words}"
    assert share_cell(0.91, scenario) == cell


def test_the_deck_report_sets_both_values_and_the_basis_on_every_line():
    scenario = floor()
    text, deck = deck_text(scenario), plan_decks([basis_of(scenario)])[0].deck
    line = next(each for each in text.splitlines() if each.startswith("sag moment"))
    for words in (
        f"{deck.sag_moment.value / 1e3:.2f} kNm",
        f"{deck.sag_moment.factored / 1e3:.2f} ",
        f"{100 * deck.sag_moment.factored / 8000:.0f} % EN",
    ):
        assert words in line
    assert "of design" in text
    assert "Shares are of design resistance, EN factored." in text


@pytest.mark.parametrize(("times", "said"), [(0.99, False), (1.01, True)])
def test_more_than_the_resistance_is_said_where_the_factored_effect_is_over_it(times, said):
    scenario = floor()
    use = plan_decks([basis_of(scenario)])[0].deck.use.value
    weaker = replace(
        scenario.deck,
        **{
            name: getattr(scenario.deck, name) * use / times
            for name in ("sag_moment_resistance", "hog_moment_resistance", "reaction_resistance")
        },
    )
    assert ("MORE THAN THE RESISTANCE" in deck_text(replace(scenario, deck=weaker))) is said


@pytest.mark.parametrize("less", [unsaid, absent])
def test_without_a_word_on_the_resistance_nothing_is_judged_and_nothing_falls_over(less):
    scenario = less(floor())
    text = deck_text(scenario)
    assert "not judged" in text
    assert "nan" not in text
    assert "MORE THAN" not in text
    outcome = measured(scenario)
    console = Console(file=io.StringIO(), width=80)
    day_report(console, outcome)
    day = console.file.getvalue()  # type: ignore[attr-defined]
    assert "not judged" in day
    assert " nan" not in day
    record = json.loads(as_written(day_record(outcome)))
    assert record["deck"]["peaks"]["use"] is None
    assert record["deck"]["basis"]["judged"] is False
    assert record["deck"]["peaks_factored"]["sag_moment_kNm_per_m"] > 1.0
    assert record["deck"]["look_out"] == []
    assert math.isnan(scene(outcome, outcome.log.start + 60).deck.peak)
    assert why_not_judged(scenario) in summary_lines(outcome)
    series = line_series(outcome.basis, 1, outcome.by_group, outcome.fronts, outcome.strip_end)
    assert np.isnan(series[0].use).all()
    (days,) = study_plans([outcome.basis], 3, workers=1)
    summary = compare([days, days]).summaries[0]
    assert math.isnan(summary.figures["use"].p90)
    assert choose((days,), scenario.limits).breaches[days.plan] == ()


def test_the_look_out_list_goes_by_sag_alone_where_no_share_is_judged():
    scenario = absent(floor())
    loads = replace(scenario.loads, look_sag=0.001)
    outcome = measured(replace(scenario, loads=loads))
    assert outcome.look_out
    assert {moment.kind for moment in outcome.look_out} == {"sag"}


def designed(**said: Any) -> list[str]:
    scenario = floor(designed_for=said)
    basis = basis_of(scenario)
    return exceeded(
        scenario, scenario.deck.designed_for, day_beside(basis, heap_factors(basis, None))
    )


def test_what_goes_beyond_the_design_is_said_with_its_numbers():
    # Heap 1.5 x 150 mm: half of 3.9 kN/m² and 0.75 for the people: 2.70; working load 1.50.
    (heap,) = designed(construction_load_kN_m2=1.5)
    assert heap == "heap 1.5 x thickness over 1 m: 1.20 kN/m² above the 1.50 designed for"
    both = designed(construction_load_kN_m2=0.75)
    assert both[0].startswith("heap 1.5 x thickness over 1 m: 1.95 kN/m² above the 0.75")
    assert both[1].startswith("working load 1.50 kN/m² with the heaping of en_1991_1_6: 0.75")
    (depth,) = designed(wet_depth_mm=140)
    assert depth == "wet depth 150 mm where thickest: 10 mm more than the 140 designed for"
    (props,) = designed(prop_lines=1)
    assert props == "0 in some span; designed with 1 prop line in each"


def test_a_pour_within_its_design_is_not_said_to_go_beyond_it():
    fits = {"wet_depth_mm": 150, "construction_load_kN_m2": 3.0, "prop_lines": 0}
    assert designed(**fits, struck="constant_thickness") == []


def test_a_skip_is_said_of_the_plan_whose_pump_sets_it_down_and_of_no_other():
    tower = shipped("tower_level_9")
    said = {}
    for basis in prepare(tower):
        day = day_beside(basis, heap_factors(basis, None))
        lines = exceeded(tower, DesignedFor(None, None, None, None, "", ""), day)
        said[basis.plan.name] = any("a skip is set down" in line for line in lines)
    assert said == {"crane and skip": True, "crane, across": True, "line pump": False}


def test_the_basis_block_says_that_nobody_said():
    text = deck_text(floor())
    assert "[deck.designed_for]" in text
    assert "not said" in text
