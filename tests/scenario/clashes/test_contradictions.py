"""What cannot be true together, each with both sides named; and what only warns."""

from __future__ import annotations

import pytest
from builders.scenario_text import VALID, changed

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario

SPANS = "spans_m = [3.0, 3.0, 3.0, 3.0]"
LATE = 'plan[2].{} (plan "late")'

# old, new, path of the only fault, words that must be in its line
CLASHES = [
    (SPANS, "supports_m = [0, 3, 6, 6.2, 12]", "floor.supports_m[4]",
     "found 6.2; allowed: from 0.3 to 12 beyond the support before it, at 6, in m"),
    (SPANS, "supports_m = [0, 6, 3, 9, 12]", "floor.supports_m[3]", "found 3"),
    (SPANS, "supports_m = [0, 3, 6, 9, 21.1]", "floor.supports_m[5]", "from 0.3 to 12"),
    (SPANS, "", "floor.supports_m, floor.spans_m", "neither given; allowed: exactly one"),
    (SPANS, SPANS + "\nsupports_m = [0, 3]", "floor.supports_m, floor.spans_m", "both given"),
    ("sheet_runs = [2, 2]", "sheet_runs = [2, 1]", "floor.sheet_runs",
     "add up to 3 spans; allowed: runs that add up to 4"),
    ("x_m = [3.5, 5.5]", "x_m = [3.5, 12.5]", "floor.openings[1].x_m",
     "found 3.5 to 12.5; allowed: 0 to 12, inside the floor"),
    ("y_m = [2.0, 6.0]", "y_m = [-1, 6.0]", "floor.openings[1].y_m", "0 to 18"),
    ("y_m = [2.0, 6.0]", "y_m = [6.0, 2.0]", "floor.openings[1].y_m", "smaller end first"),
    ("[0.0, 9.0, 18.0]", "[0.0, 9.0, 18.5]", "floor.primary_beams_y_m[3]", "0 to 18"),
    ("[0.0, 9.0, 18.0]", "[0.0, 9.0, 9.0]", "floor.primary_beams_y_m[3]", "more than the one"),
    ("lines_x_m = [1.5]", "lines_x_m = [3.1]", "props.lines_x_m[1]", "at least 0.3 from"),
    ("lines_x_m = [1.5]", "lines_x_m = [1.5, 1.6]", "props.lines_x_m[2]", "prop line at 1.5"),
    ("lines_x_m = [1.5]", "lines_x_m = [12]", "props.lines_x_m[1]", "inside the floor"),
    ("stop_ends_x_m = [6.6]", "stop_ends_x_m = [12]", "floor.stop_ends_x_m[1]", "less than 12"),
    ("void_volume_m3_per_m2 = 0.03", "void_volume_m3_per_m2 = 0.14", "slab.depth_mm",
     "found 140; allowed: more than the void of the ribs spread out, 140"),
    ('preset = "en_1991_1_6"', 'preset = "own"\ninside_kN_m2 = 1', "loads.outside_kN_m2",
     "missing; allowed: a number"),
    ('preset = "en_1991_1_6"', 'preset = "none"\ninside_kN_m2 = 1', "loads.inside_kN_m2",
     'found 1; allowed: nothing here while loads.preset is "none"'),
    ("retarder_min = 30", "retarder_min = 30\nopen_time_min = 330", "mix.initial_set_h",
     "found 5; allowed: at least the open time, 5.5 (the retarder adds 0.5 to both), in h"),
    ("retarder_min = 30", "final_set_h = 5", "mix.final_set_h", "more than the initial set, 5"),
    ("retarder_min = 30", "edge_stiff_share = 0.85", "mix.edge_cold_share",
     "found 0.8; allowed: more than edge_stiff_share, 0.85"),
    ('edge_rule = "given"', 'edge_rule = "jsce"', "mix.edge_rule",
     'found "jsce"; allowed: "set", "interval" or "given"'),
    ('at = "12:00", air', 'at = "06:00", air', "weather.hours[2].at", "later than"),
    ("length_min = 15", "length_min = 181", "site.breaks[2].at", "end of break 1, 12:01"),
    ("smallest_load_m3 = 1.5", "smallest_load_m3 = 8.5", "supply.smallest_load_m3",
     "found 8.5; allowed: up to supply.load_m3, 8, in m³"),
    ("load_m3 = 8.0\nsmallest_load_m3 = 1.5\nload_step_m3 = 0.5",
     "load_m3 = 0.5\nsmallest_load_m3 = 0.4\nload_step_m3 = 0.6", "supply.load_step_m3", "0.5"),
    ('"Quarry Lane"', '"Northwater"', "supply.plants[2].name", "plant 1 has this one"),
    ('closes = "18:00"', 'closes = "05:00"', "supply.plants[1].closes", "later than opens, 05:30"),
    ('pump = "boom"', 'pump = "bom"', 'plan[1].pump (plan "early")', 'did you mean "boom"?'),
    ('crew = "four"', 'crew = "gang"', LATE.format("crew"), "the crews are: six, four"),
    ('name = "late"', 'name = "early"', "plan[2].name", "plan 1 has this one"),
    ('order = "spread"', 'order = "listed"', LATE.format("sequence"), "missing; allowed: a list"),
    ('order = "spread"', 'order = "listed"\nsequence = []', LATE.format("sequence"), "empty list"),
    ('order = "spread"', 'order = "spread"\nsequence = ["a"]', LATE.format("sequence"),
     'given while order is "spread"'),
    ('order = "spread"', 'order = "spread"\ncut = "spread"', LATE.format("cut"),
     'given while order is "spread"'),
    ("strip_width_m = 1.5", "strip_width_m = 3.1", LATE.format("strip_width_m"),
     "found 3.1; allowed: up to the narrowest span, 3, in m"),
    ("most_on_site = 4", "most_on_site = 6", LATE.format("most_on_site"),
     "found 6 trucks; allowed: up to 5"),
    ("most_on_site = 4", "hold_back_at = 6", LATE.format("hold_back_at"), "up to 5"),
    ('curfew = "20:00"', 'curfew = "07:15"', LATE.format("start"), "before site.curfew, 07:15"),
    ("trucks = 7", "trucks = 1", LATE.format("trucks"), "2 or more, one for each plant"),
    ("trucks = 7", "load_m3 = 1.0", LATE.format("load_m3"), "supply.smallest_load_m3, 1.5"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "path", "said"), CLASHES)
def test_a_contradiction_is_one_fault_that_names_both_sides(old, new, path, said):
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(changed((old, new)))
    (fault,) = caught.value.faults
    assert fault.path == path
    assert said in fault.text
    assert fault.severity == "fault"


def test_a_line_that_takes_all_the_output_is_refused():
    swaps = [("line_length_m = 60", "line_length_m = 100"), ("per_100m = 0.1", "per_100m = 0.95")]
    with pytest.raises(ScenarioError, match=r"found 0\.95, lost along 100 m of line"):
        parse_scenario(changed(*swaps))


def test_a_start_with_every_plant_shut_is_refused_and_with_one_open_only_warned():
    late = ('opens = "05:30"', 'opens = "07:00"')
    _, warnings = parse_scenario(changed(late))
    (warning,) = warnings
    assert warning.path == 'plan[1].start (plan "early")'
    assert "Northwater opens 07:00" in warning.text
    both = ("travel_min = 35", 'travel_min = 35\nopens = "06:45"')
    with pytest.raises(ScenarioError, match=r"Northwater opens 07:00.*Quarry Lane opens 06:45"):
        parse_scenario(changed(late, both))


def test_a_start_after_the_plants_close_is_refused():
    shut = [('closes = "18:00"', 'closes = "07:15"'),
            ("travel_min = 35", 'travel_min = 35\ncloses = "07:00"')]  # fmt: skip
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(changed(*shut))
    assert [fault.path for fault in caught.value.faults] == [LATE.format("start")]


WARNINGS = [
    ("retarder_min = 30", "slump_mm = 160", "mix.slump_mm", "found 160; better: up to 150, in mm"),
    ("line_length_m = 36", "release_height_mm = 600", "pumps.boom.release_height_mm",
     "found 600; better: up to 300, in mm"),
    ("stop_ends_x_m = [6.6]", "stop_ends_x_m = [5.4, 9.6]", "floor.stop_ends_x_m[2]",
     "found 9.6; better: 600 mm from the beam centre line at a sheet joint (5.4, 6.6), in m"),
    ("sheet_runs = [2, 2]", "sheet_runs = [4]", "floor.stop_ends_x_m[1]", "no sheet joint here"),
    # 8 m³ / (60 + 36 m³/h) = 5 min
    ("spacing_min = 12", "spacing_min = 4", 'plan[1].spacing_min (plan "early")',
     "found 4; better: 5 or more, in min; the plants batch 8 m³ in 5 min (96 m³/h together)"),
    ("low = 15, high = 25", "low = 0, high = 9", LATE.format("spacing_min"),
     "found 4.5 on average; better: 5 or more"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "path", "said"), WARNINGS)
def test_a_doubt_is_a_warning_and_the_scenario_is_read(old, new, path, said):
    scenario, warnings = parse_scenario(changed((old, new)))
    assert scenario.title
    (warning,) = warnings
    assert warning.severity == "warning"
    assert warning.path == path
    assert said in warning.text


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("spacing_min = 12", "spacing_min = 5"),
        ("retarder_min = 30", "slump_mm = 150"),
        ("most_on_site = 4", "most_on_site = 5"),
        ("strip_width_m = 1.5", "strip_width_m = 3.0"),
        ("lines_x_m = [1.5]", "lines_x_m = [0.3]"),
        ("x_m = [3.5, 5.5]", "x_m = [0, 12]"),
        ("length_min = 15", "length_min = 180"),
        ("retarder_min = 30", "open_time_min = 300"),
        ("trucks = 7", "trucks = 2"),
        ('curfew = "20:00"', 'curfew = "07:16"'),
        ("stop_ends_x_m = [6.6]", 'low_x_end = "joint"\nstop_ends_x_m = [0.6, 5.4]'),
        ('preset = "en_1991_1_6"', 'preset = "own"\ninside_kN_m2 = 1\noutside_kN_m2 = 0'),
        ('order = "spread"', 'order = "listed"\nsequence = ["a"]\ncut = "spread"'),
    ],
)
def test_at_the_very_limit_nothing_is_said(old, new):
    _, warnings = parse_scenario(changed((old, new)))
    assert warnings == ()


def test_a_span_of_300_mm_is_the_least():
    swaps = [(SPANS, "supports_m = [0, 3, 6, 6.3, 12]"), ("strip_width_m = 1.5", "")]
    scenario, _ = parse_scenario(changed(*swaps))
    assert scenario.floor.supports == (0.0, 3.0, 6.0, 6.3, 12.0)


def test_nothing_printed_by_any_of_these_promises_anything():
    for old, new, *_ in (*CLASHES, *WARNINGS):
        try:
            _, found = parse_scenario(changed((old, new)))
        except ScenarioError as error:
            found = error.faults
        assert not any("safe" in fault.text.lower() for fault in found)


def test_the_valid_text_has_no_doubt():
    assert parse_scenario(VALID)[1] == ()
