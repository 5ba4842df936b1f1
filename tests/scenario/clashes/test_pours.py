"""[[pour]] tables that do not pour the floor once are told in plain words."""

from __future__ import annotations

import pytest
from builders.pours import text

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario

FOUR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2]}
LANES = FOUR | {"primary_beams_y_m": [0.0, 10.0, 20.0], "cut_at_primary_beams": True}


def written(*pours, **floor):
    rows = []
    for number, each in enumerate(pours, start=1):
        given = {
            "name": f'"p{number}"', "date": f"2027-03-0{number}", "plan": '"plain"'
        } | each  # fmt: skip
        rows += ["[[pour]]", *(f"{key} = {value}" for key, value in given.items() if value)]
    return text(floor=floor or FOUR) + "\n" + "\n".join(rows)


def faults_of(*pours, **floor):
    with pytest.raises(ScenarioError) as error:
        parse_scenario(written(*pours, **floor))
    return [fault.text for fault in error.value.faults]


def x(low, high, **more):
    return {"from_x_m": f"{low}", "to_x_m": f"{high}"} | more


@pytest.mark.parametrize(
    ("pours", "said"),
    [
        ((x(0, 7), x(6.6, 12)), 'pour[2] (pour "p2"): found x 6.6 to 7 is poured by "p1" too'),
        ((x(0, 6), x(6.6, 12)), 'pour[2] (pour "p2"): found x 6 to 6.6 beside it is in no pour'),
        ((x(1, 6.6), x(6.6, 12)), "x 0 to 1 beside it is in no pour"),
        ((x(0, 6.6), x(6.6, 11)), "x 11 to 12 beside it is in no pour"),
        ((x(0, 6.6),), "x 6.6 to 12 beside it is in no pour"),
        (({"bays": '["1"]'},), "beside it is in no pour"),
        ((x(-1, 6.6), x(6.6, 12)), "from_x_m (pour \"p1\"): found -1; allowed: 0 to 12"),
        ((x(0, 0.5), x(0.5, 12)), "allowed: 1.2 or more: a part at least 1.2 wide, in m"),
        ((x(6.6, 0), x(6.6, 12)), "a part at least 1.2 wide"),
        (({"from_x_m": "0"}, x(6.6, 12)), "to_x_m (pour \"p1\"): missing"),
        ((x(0, 6.6, bays='["1"]'), x(6.6, 12)), "both given; allowed: bays, or from_x_m"),
        (({"bays": '["1"]'}, {"bays": '["3"]'}), 'found "3"; allowed: bays of the floor'),
        ((x(0, 6.6), x(6.6, 12, date="2027-03-01")), "a day after that of the pour before it"),
        ((x(0, 6.6), x(6.6, 12, name='"p1"')), "a name of its own; pour 1 has this one"),
        ((x(0, 6.6), x(6.6, 12, plan='"plane"')), 'did you mean "plain"?'),
        ((x(0, 6.6), x(6.6, 12, sample='"mold"')), 'did you mean "mild"?'),
        ((x(0, 6.6), x(6.6, 12, date='"soon"')), "a date without quotes"),
        ((x(0, 6.6), x(6.6, 12, date="9999-12-31")), "a date from 2000 to 2199"),
        ((x(0, 6.6), x(6.6, 12, date="2027-03-05T07:00:00")), "a date without quotes or time"),
    ],
)  # fmt: skip
def test_a_fault_of_the_pours_says_where_and_what(pours, said):
    found = faults_of(*pours)
    assert any(said in fault for fault in found), found


def test_bays_are_whole_sheet_runs_side_by_side():
    (lanes,) = (f for f in faults_of({"bays": '["1a"]'}, {"bays": '["2a", "2b"]'}, **LANES))
    assert "sheet run 1 without 1b" in lanes
    assert "a stop end goes across all lanes" in lanes
    six = {"spans_m": [3.0] * 6, "sheet_runs": [2, 2, 2]}
    apart = faults_of({"bays": '["1", "3"]'}, {"bays": '["2"]'}, **six)
    assert "sheet runs 1, 3; allowed: sheet runs side by side" in apart[0]


def test_a_run_may_stand_for_all_its_lanes():
    scenario, warnings = parse_scenario(
        written({"bays": '["1"]'}, {"bays": '["2a", "2b"]'}, **LANES)
    )
    assert warnings == ()
    assert [(p.low, p.high) for p in scenario.pours] == [(0.0, 6.6), (6.6, 12.0)]


def test_bays_end_where_the_neighbour_says():
    scenario, _ = parse_scenario(written({"bays": '["1"]'}, x(6.2, 12)))
    assert scenario.pours[0].high == 6.2


@pytest.mark.parametrize(
    ("end", "where"),
    [
        (6.0, "6, on the sheet joint at 6"),
        (7.5, "in the middle of a span (6 to 9): the fresh edge lies where it sags"),
        (5.4, "5.4, 600 mm from the sheet joint at 6"),
        (3.6, "3.6, 600 mm from the beam at 3"),
    ],
)
def test_a_stop_end_against_the_rule_is_played_with_a_warning_that_says_where_it_lies(end, where):
    scenario, (warning,) = parse_scenario(written(x(0, end), x(end, 12)))
    assert len(scenario.pours) == 2
    assert where in warning.text
    assert "600 mm from the beam centre at a sheet joint, on the side poured later" in warning.text
    assert "common practice, no source" in warning.text


def test_a_stop_end_by_the_rule_is_passed_without_a_word():
    assert parse_scenario(written(x(0, 6.6), x(6.6, 12)))[1] == ()
    # The high part is poured first: the low one goes on, so the stop end lies at 5.4.
    assert parse_scenario(written(x(5.4, 12), x(0, 5.4)))[1] == ()


def test_a_file_without_pours_has_none():
    assert parse_scenario(text())[0].pours == ()


def test_pours_in_single_brackets_are_told():
    with pytest.raises(ScenarioError, match="double brackets"):
        parse_scenario(text() + "\n[pour]\nname = 'x'\n")
