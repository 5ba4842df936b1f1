"""Beams, props and stacks in a scenario file: what clashes, what is refused, what becomes of it."""

from __future__ import annotations

import pytest
from builders.scenario_text import changed

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario

# Put before [mix]: secondaries on primaries on columns, one line of its own, one wall.
BEAMS = """\
[beams]
columns_x_m = [0.0, 5.0, 12.0]

[beams.secondary]
I_cm4 = 30000
precamber_mm = 20

[beams.primary]
I_cm4 = 80000
continuous = true

[[beams.lines]]
x_m = 6.0
I_cm4 = 40000
E_GPa = 200

[[beams.lines]]
x_m = 12.0
kind = "wall"

[[beams.lines]]
y_m = 9.0
precamber_mm = 5

"""
STACK = '[[loads.stacks]]\nname = "mesh"\nx_m = [1.0, 2.0]\ny_m = [3.0, 8.0]\nweight_kN = 18\n\n'
SECONDARY = "[beams.secondary]\nI_cm4 = 30000\nprecamber_mm = 20\n"
PRIMARY = "[beams.primary]\nI_cm4 = 80000\ncontinuous = true\n"
COLUMNS = "columns_x_m = [0.0, 5.0, 12.0]"
OWN_SECONDARY = "x_m = 6.0\nI_cm4 = 40000\nE_GPa = 200"
Y_PLACES = "primary_beams_y_m = [0.0, 9.0, 18.0]"


def with_beams(*swaps):
    return changed(("[mix]", BEAMS + STACK + "[mix]"), *swaps)


def faults_of(text):
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text)
    return caught.value.faults


def test_every_line_gets_the_general_data_or_its_own():
    scenario, warnings = parse_scenario(with_beams())
    assert warnings == ()
    beams = scenario.beams
    plain, own, wall = beams.secondary[0], beams.secondary[2], beams.secondary[4]
    assert plain.rigidity == pytest.approx(30000e-8 * 210e9, rel=1e-12)
    assert plain.precamber == pytest.approx(0.020)
    assert not plain.continuous
    assert own.rigidity == pytest.approx(40000e-8 * 200e9, rel=1e-12)
    assert own.precamber == plain.precamber
    assert wall is None
    first, second, third = beams.primary
    assert first == third
    assert first.rigidity == second.rigidity == pytest.approx(80000e-8 * 210e9, rel=1e-12)
    assert (first.precamber, second.precamber) == (0.0, 0.005)
    assert second.continuous
    assert beams.columns_x == (0.0, 5.0, 12.0)


def test_a_stack_is_read_in_newtons():
    (stack,) = parse_scenario(with_beams())[0].loads.stacks
    assert (stack.name, stack.x, stack.y, stack.weight) == ("mesh", (1, 2), (3, 8), 18e3)


def test_an_elastic_prop_line_is_read_in_newtons():
    text = with_beams(("lines_x_m = [1.5]", "lines_x_m = [1.5]\nstiffness_kN_m2 = 4000"))
    assert parse_scenario(text)[0].props.stiffness == pytest.approx(4e6)


CLASHES = [
    (OWN_SECONDARY, "I_cm4 = 40000", "beams.lines[1].x_m, beams.lines[1].y_m",
     "neither given; allowed: x_m for a secondary beam or y_m for a primary beam, exactly one"),
    ("x_m = 6.0", "x_m = 6.0\ny_m = 9.0", "beams.lines[1].x_m, beams.lines[1].y_m",
     "both given; allowed: x_m for"),
    ("x_m = 6.0", "x_m = 6.1", "beams.lines[1].x_m",
     "found 6.1; allowed: the place of a support of the floor; the nearest is at 6, in m"),
    # A prop line is no support of the floor.
    ("x_m = 6.0", "x_m = 1.5", "beams.lines[1].x_m", "found 1.5; allowed: the place of a support"),
    ("y_m = 9.0\nprecamber_mm = 5", "y_m = 8.0\nprecamber_mm = 5", "beams.lines[3].y_m",
     "found 8; allowed: the place of a primary beam, floor.primary_beams_y_m; the nearest is at 9"),
    (COLUMNS, "", "beams.columns_x_m",
     "missing; allowed: the x of two columns or more, because the primary beams at y 0, 9, 18"),
    (COLUMNS, "columns_x_m = [6.0]", "beams.columns_x_m", "found 1 column; allowed: the x of two"),
    ("5.0, 12.0]", "5.0, 12.5]", "beams.columns_x_m[3]",
     "found 12.5; allowed: 0 to 12, inside the floor, in m"),
    (COLUMNS, "columns_x_m = [-0.5, 5.0, 12.0]", "beams.columns_x_m[1]", "0 to 12, inside"),
    ("5.0, 12.0]", "12.0, 5.0]", "beams.columns_x_m[3]",
     "found 5; allowed: more than the one before it, 12, in m"),
    ("5.0, 12.0]", "5.0, 5.0]", "beams.columns_x_m[3]", "more than the one before it, 5"),
    (PRIMARY, "", "beams.lines[3].I_cm4",
     "missing; allowed: a number, because there is no [beams.primary] to take it from"),
    ('kind = "wall"', 'kind = "wall"\nI_cm4 = 5000', "beams.lines[2].I_cm4",
     'found 5000; allowed: nothing here while kind is "wall"; leave I_cm4 out'),
    ('kind = "wall"', 'kind = "wall"\ncontinuous = true', "beams.lines[2].continuous",
     'found true; allowed: nothing here while kind is "wall"'),
    ('x_m = 12.0\nkind = "wall"', "x_m = 6.0", "beams.lines[2].x_m",
     "found 6; allowed: a place of its own; line 1 has this one, in m"),
    ("x_m = [1.0, 2.0]", "x_m = [11.0, 12.5]", "loads.stacks[1].x_m",
     "found 11 to 12.5; allowed: 0 to 12, inside the floor, in m"),
    ("y_m = [3.0, 8.0]", "y_m = [8.0, 3.0]", "loads.stacks[1].y_m",
     "found 8 to 3; allowed: the smaller end first, the larger second, in m"),
    ("y_m = [3.0, 8.0]", "y_m = [15.0, 18.5]", "loads.stacks[1].y_m", "0 to 18, inside the floor"),
    # What a table by itself refuses, inside lists and tables of tables.
    ("x_m = 6.0\nI_cm4 = 40000", "x_m = 6.0\nI_cm4 = 0", "beams.lines[1].I_cm4",
     "found 0; allowed: a number, more than 1 and up to 5e+06"),
    ("E_GPa = 200", "E_GPa = 20", "beams.lines[1].E_GPa", "from 50 to 250"),
    ('kind = "wall"', 'kind = "column"', "beams.lines[2].kind", '"beam" or "wall"'),
    (SECONDARY, "[beams.secondary]\nprecamber_mm = 20\n", "beams.secondary.I_cm4", "missing"),
    ("weight_kN = 18", "weight_kN = 0", "loads.stacks[1].weight_kN", "more than 0"),
    ("lines_x_m = [1.5]", "lines_x_m = [1.5]\nstiffness_kN_m2 = 0", "props.stiffness_kN_m2",
     "more than 0"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "path", "said"), CLASHES)
def test_a_clash_of_beams_is_named_with_both_sides(old, new, path, said):
    (fault,) = faults_of(with_beams((old, new)))
    assert fault.path == path
    assert said in fault.text
    assert fault.severity == "fault"


def said_of(text):
    return {fault.path: fault.text for fault in faults_of(text)}


def test_primary_beams_need_their_places():
    own = ("y_m = 9.0\nprecamber_mm = 5", "x_m = 3.0\nprecamber_mm = 5")
    (fault,) = faults_of(with_beams((Y_PLACES, ""), own))
    assert fault.path == "floor.primary_beams_y_m"
    assert "missing; allowed: the y of every primary beam, because [beams.primary]" in fault.text


def test_a_primary_line_without_any_primary_beam_is_told_so():
    said = said_of(with_beams((Y_PLACES, "")))
    assert set(said) == {"floor.primary_beams_y_m", "beams.lines[3].y_m"}
    assert "found 9; allowed: the place of a primary beam" in said["beams.lines[3].y_m"]
    assert "there is none" in said["beams.lines[3].y_m"]


def test_primaries_that_carry_no_secondary_are_refused():
    plain = (OWN_SECONDARY, 'x_m = 6.0\nkind = "wall"')
    said = said_of(with_beams((SECONDARY, ""), plain))
    assert set(said) == {"beams.secondary"}
    assert "missing; allowed: a table with I_cm4" in said["beams.secondary"]


def test_a_secondary_line_alone_is_enough_for_the_primaries():
    scenario, _ = parse_scenario(with_beams((SECONDARY, "")))
    assert [beam is not None for beam in scenario.beams.secondary] == [False, False, True] + [
        False
    ] * 2


def test_a_secondary_line_without_a_section_anywhere_is_refused():
    said = said_of(with_beams((SECONDARY, ""), ("x_m = 6.0\nI_cm4 = 40000", "x_m = 6.0")))
    assert set(said) == {"beams.lines[1].I_cm4", "beams.secondary"}
    assert "no [beams.secondary] to take it from, in cm⁴" in said["beams.lines[1].I_cm4"]


def test_columns_under_no_primary_beam_are_a_warning():
    own = ("[[beams.lines]]\ny_m = 9.0\nprecamber_mm = 5", "")
    scenario, (warning,) = parse_scenario(with_beams((PRIMARY, ""), own))
    assert scenario.beams.primary == (None, None, None)
    assert warning.path == "beams.columns_x_m"
    assert "given while no primary beam bends; they carry nothing" in warning.text


def test_walls_in_place_of_all_primaries_need_no_columns():
    walls = "".join(f'[[beams.lines]]\ny_m = {y}\nkind = "wall"\n\n' for y in (0, 9, 18))
    text = with_beams((COLUMNS, ""), ("[[beams.lines]]\ny_m = 9.0\nprecamber_mm = 5\n\n", walls))
    scenario, warnings = parse_scenario(text)
    assert warnings == ()
    assert scenario.beams.primary == (None, None, None)


def test_one_primary_with_a_section_of_its_own_needs_columns():
    own = ("y_m = 9.0\nprecamber_mm = 5", "y_m = 9.0\nI_cm4 = 50000")
    said = said_of(with_beams((PRIMARY, ""), (COLUMNS, ""), own))
    assert set(said) == {"beams.columns_x_m"}
    assert "because the primary beams at y 9 stand on them" in said["beams.columns_x_m"]


def test_all_faults_of_the_beams_come_at_once():
    text = with_beams(
        (COLUMNS, ""), ("x_m = 6.0", "x_m = 6.1"), ("x_m = [1.0, 2.0]", "x_m = [2, 1]")
    )
    paths = {"beams.columns_x_m", "beams.lines[1].x_m", "loads.stacks[1].x_m"}
    assert set(said_of(text)) == paths


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("x_m = [1.0, 2.0]", "x_m = [0, 12]"),
        ("y_m = [3.0, 8.0]", "y_m = [0, 18]"),
        (COLUMNS, "columns_x_m = [0, 12]"),
        (COLUMNS, "columns_x_m = [2.2, 7.7]"),
        ("x_m = 12.0", "x_m = 12.0000001"),
    ],
)
def test_at_the_very_limit_of_the_floor_nothing_is_said(old, new):
    assert parse_scenario(with_beams((old, new)))[1] == ()


def test_nothing_printed_about_beams_promises_anything():
    for old, new, *_ in CLASHES:
        assert not any("safe" in f.text.lower() for f in faults_of(with_beams((old, new))))


PROPS = "lines_x_m = [1.5]\n"


@pytest.mark.parametrize(
    ("new", "path", "said"),
    [
        (
            PROPS + "capacity_kN_per_m = 20\nprop_capacity_kN = 20\nprop_spacing_m = 1\n",
            "props.capacity_kN_per_m, props.prop_capacity_kN",
            "one of the two: a metre of the line, or one prop with prop_spacing_m",
        ),
        (
            PROPS + "prop_capacity_kN = 20\n",
            "props.prop_spacing_m",
            "a value, because prop_capacity_kN is given",
        ),
        (
            PROPS + "prop_spacing_m = 1.2\n",
            "props.prop_capacity_kN",
            "a value, because prop_spacing_m is given",
        ),
    ],
)
def test_a_prop_line_has_one_capacity_and_all_of_it(new, path, said):
    (fault,) = faults_of(changed((PROPS, new)))
    assert fault.path == path
    assert said in fault.allowed


@pytest.mark.parametrize(
    ("swap", "path", "said"),
    [
        (
            ("[floor]\n", '[floor]\nlow_x_end = "joint"\nlow_x_overhang_m = 0.3\n'),
            "floor.low_x_overhang_m",
            '0, because low_x_end = "joint": the sheets go on there',
        ),
        (
            ("3.0, 3.0]", "3.0, 2.0]\nhigh_x_overhang_m = 1.2"),
            "floor.high_x_overhang_m",
            "up to 1, half of the span behind it",
        ),
    ],
)
def test_an_overhang_needs_an_edge_and_a_span_behind_it(swap, path, said):
    (fault,) = faults_of(changed(swap))
    assert fault.path == path
    assert said in fault.allowed
