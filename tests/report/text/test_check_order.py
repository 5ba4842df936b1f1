"""What ``check`` says of the order: bands, joined gaps, changes of place and what forces them."""

from __future__ import annotations

import io

from builders.pours import basis_of, pour
from rich.console import Console

from pourday.report.text.check import check_report


def said(scenario):
    out = io.StringIO()
    console = Console(file=out, width=200)
    check_report(console, scenario, [basis_of(scenario)], [])
    return " ".join(out.getvalue().replace("\u00a0", " ").split())


def test_bands_are_listed_as_one_entry_each_with_their_spans_in_turn():
    floor = {"spans_m": [4.0, 4.0], "sheet_runs": [2], "length_y_m": 6.0}
    words = said(pour(floor=floor, plan={"order": "across"}))
    assert "order across: one front over the width of a pour" in words
    assert "1-2 band 1 span 1-2, 3-4 band 2 span 2-1, 5-6 band 3 span 1-2" in words


def test_joined_gaps_are_named_with_their_width():
    floor = {"spans_m": [3.0] * 3, "sheet_runs": [3], "length_y_m": 6.0}
    words = said(pour(floor=floor))
    expected = (
        "least_strip_m = 1.2: 1 gap of 1.00 m placed with a neighbour: 2 (1 beam 2 with gap 2)"
    )
    assert expected in words
    assert "least_strip_m" not in said(pour(floor=floor, plan={"least_strip_m": 0}))


PLACES = [{"name": "road", "x_m": 2, "y_m": -2}, {"name": "yard", "x_m": 14, "y_m": -2}]


def booms(reach, **plan):
    floor = {"spans_m": [4.0] * 4, "sheet_runs": [4], "length_y_m": 6.0}
    pump = {"reach_m": reach}
    plan = {"set_ups": ["road", "yard"]} | plan
    return pour(floor=floor, pumps={"pump": pump}, site={"set_ups": PLACES}, plan=plan)


def test_changes_of_place_name_the_strips_that_force_them_and_the_boom_that_needs_none():
    words = said(booms(11.0))
    # Beam 3 reaches to x = 13.33, 11.33 m along x and 8 along y from the road: 13.9 m.
    assert "1 change of place: road to yard before 5 (1 beam 3), out of reach of road" in words
    # The farthest corner is 14 m along x and 8 m along y away: 16.1 m.
    assert "a boom of 17 m reach at road would need no move" in words
    assert "need no move" not in said(booms(17.0))


def test_a_change_inside_a_strip_says_where():
    floor = {"spans_m": [4.0], "sheet_runs": [1], "length_y_m": 30.0}
    places = [{"name": "south", "x_m": 2, "y_m": 0}, {"name": "north", "x_m": 2, "y_m": 30}]
    plan = {"set_ups": ["south", "north"], "order": "spread", "strip_width_m": 4.0}
    scenario = pour(
        floor=floor, pumps={"pump": {"reach_m": 20.0}}, site={"set_ups": places}, plan=plan
    )
    # sqrt(20² - 2²) = 19.9 m from the south.
    assert "south to north inside 1 (1 strip 1) at y = 19.9 m" in said(scenario)


def test_beyond_the_longest_boom_none_is_named():
    floor = {"spans_m": [4.0], "sheet_runs": [1], "length_y_m": 130.0}
    places = [{"name": "south", "x_m": 2, "y_m": 30}, {"name": "north", "x_m": 2, "y_m": 100}]
    plan = {"set_ups": ["south", "north"], "order": "spread", "strip_width_m": 4.0}
    scenario = pour(
        floor=floor, pumps={"pump": {"reach_m": 40.0}}, site={"set_ups": places}, plan=plan
    )
    words = said(scenario)
    assert "no boom up to 60 m of reach (common practice, no source) does without" in words
