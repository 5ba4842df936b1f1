"""What is typed at `pourday new`: taken, or refused with a sentence; what is proposed."""

from __future__ import annotations

from datetime import date

import pytest

from pourday.scenario.begin import answers as read
from pourday.scenario.begin.answers import RefusedError
from pourday.scenario.begin.questions import proposed_stiffness, questions

TODAY = date(2027, 5, 1)


@pytest.mark.parametrize(
    ("typed", "spans"),
    [
        ("6x3", (3.0,) * 6),
        ("2x3.2 4x3.0, 2 x 3.2", (3.2, 3.2, 3.0, 3.0, 3.0, 3.0, 3.2, 3.2)),
        ("3.2 3;3", (3.2, 3.0, 3.0)),
    ],
)
def test_spans_are_read_as_they_are_typed(typed, spans):
    assert read.spans(typed) == spans


@pytest.mark.parametrize(
    ("reader", "typed", "says"),
    [
        (read.spans, "3,2 3,0", "with a point"),
        (read.spans, "", "1 to 60 spans"),
        (read.spans, "0x3", "1 to 60 spans"),
        (read.spans, "100x3", "1 to 60 spans"),
        (read.spans, "six", 'such as "2x3.2'),
        (read.spans, "13", "from 0.31 to 12; you typed 13"),
        (lambda t: read.sheets(t, (3.0,) * 5), "2 2", "add up to 4; the floor has 5 spans"),
        (lambda t: read.sheets(t, (3.0,) * 9), "9", "1 to 8"),
        (lambda t: read.holes(t, 18, 20), "3-5", 'Type "none"'),
        (lambda t: read.holes(t, 18, 20), "5-3 by 4-6", "smaller end first"),
        (lambda t: read.holes(t, 18, 20), "3-19 by 4-6", "inside the floor, 18 by 20 m"),
        (read.slab, "130", "without units"),
        (read.slab, "130 mm", "without units"),
        (read.slab, "60 0.05", "leave no slab"),
        (read.trucks, "4.5 6 20", "whole number"),
        (read.trucks, "0 6 20", "from 1 to 200"),
        (lambda t: read.whole(t, 0, 5, "The number"), "-1", "whole number from 0 to 5"),
        (read.clock, "7", "24 hours"),
        (read.clock, "24:00", "24 hours"),
        (lambda t: read.later(t, "07:00"), "06:30", "Later than the first truck, 07:00"),
        (read.prices, "140", "hour of one person"),
        (read.day, "12.5.2027", "2027-05-12"),
        (read.day, "1999-05-12", "from 2000"),
        (read.title, " ", "1 to 80"),
        (read.currency, "Doubloons", "1 to 8"),
        (lambda t: read.one_of(t, ["line_pump"], "pump"), "linepump", 'did you mean "line_pump"?'),
    ],
)
def test_a_bad_answer_is_refused_with_a_sentence(reader, typed, says):
    with pytest.raises(RefusedError, match=r"\.|\?") as refusal:
        reader(typed)
    assert says in str(refusal.value)


def test_a_curfew_may_be_after_midnight():
    assert read.later("25:00", "07:00") == "25:00"
    assert read.later("none", "07:00") == ""


def test_props_stand_at_equal_parts_of_every_span_that_is_long_enough():
    assert read.prop_lines((3.0, 1.0, 4.0), 1) == (1.5, 6.0)
    assert read.prop_lines((3.0,), 2) == (1.0, 2.0)


def test_the_proposed_stiffness_keeps_one_span_within_span_over_180():
    """5 w L⁴ / (384 EI) = L/180 (EN 1994-1-1:2004 9.6(2), value from memory), worked by hand:
    w = 25 (0.130 - 0.028) + 0.12 = 2.67 kN/m, L = 3 m: EI >= 169 kNm²."""
    known = {"slab": (130.0, 0.028), "spans": (3.0, 2.5), "props": 0}
    stiffness = proposed_stiffness(known)
    assert stiffness == 170.0
    assert 5 * 2.67 * 3.0**4 / (384 * stiffness) <= 3.0 / 180
    assert 5 * 2.67 * 3.0**4 / (384 * (stiffness - 10)) > 3.0 / 180


def test_a_line_of_props_halves_the_span_that_the_stiffness_is_proposed_for():
    one = {"slab": (130.0, 0.028), "spans": (6.0,), "props": 1}
    assert proposed_stiffness(one) == proposed_stiffness({**one, "spans": (3.0,), "props": 0})


def proposals(**typed):
    values = {}
    for question in questions("my_floor", TODAY):
        text = typed.get(question.name) or question.propose(values)
        values[question.name] = question.read(text, values)
    return values


def test_every_proposal_is_an_answer_and_about_a_dozen_are_asked():
    assert proposals()["title"] == "my floor"
    assert proposals()["date"] == date(2027, 5, 15)
    assert 12 <= sum(each.asked for each in questions("x", TODAY)) <= 14


@pytest.mark.parametrize(
    ("typed", "name", "proposed"),
    [
        ({"spans": "7x3"}, "sheets", (2, 2, 3)),
        ({"spans": "1x3"}, "sheets", (1,)),
        ({"spans": "4x5"}, "props", 1),
        ({"spans": "4x3.6"}, "props", 0),
        ({"spans": "20x3"}, "pump", "truck_boom"),
        ({"height": "40"}, "pump", "crane_and_skip"),
        ({"pump": "truck_boom"}, "crew", "crew_medium"),
    ],
)
def test_a_proposal_follows_from_the_answers_before_it(typed, name, proposed):
    assert proposals(**typed)[name] == proposed
