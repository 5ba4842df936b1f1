"""Where a floor is ended: the distance rule, and what the parts of it are."""

from __future__ import annotations

import pytest
from builders.pours import pour

from pourday.scenario.model.scenario import FloorPart
from pourday.study.pours.places import (
    IN_SPAN,
    INNER_BEAM,
    ON_BEAM,
    SHEET_JOINT,
    bays_words,
    cuts,
    parts_of,
    stop_place,
    stop_places,
)


def floor_of(**floor):
    return pour(floor=floor).floor


FOUR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2]}
SIX = {"spans_m": [3.0] * 6, "sheet_runs": [2, 2, 2]}


@pytest.mark.parametrize(("forward", "offset"), [(True, 0.6), (False, -0.6)])
def test_a_stop_end_lies_600_mm_past_a_sheet_joint_towards_the_later_part(forward, offset):
    """Design section 5: 600 mm from the beam centre line (common practice, no source)."""
    ends = stop_places(floor_of(**SIX), forward)
    assert [end.x for end in ends] == pytest.approx([6.0 + offset, 12.0 + offset])
    assert [end.beam for end in ends] == [6.0, 12.0]
    assert [end.offset for end in ends] == pytest.approx([offset] * 2)
    assert {end.kind for end in ends} == {SHEET_JOINT}


def test_without_a_sheet_joint_the_inner_beams_are_named_for_what_they_are():
    ends = stop_places(floor_of(spans_m=[3.0] * 3, sheet_runs=[3]), True)
    assert [end.x for end in ends] == pytest.approx([3.6, 6.6])
    assert {end.kind for end in ends} == {INNER_BEAM}


def test_stop_ends_that_the_file_plans_are_the_only_ones_tried():
    ends = stop_places(floor_of(**SIX, stop_ends_x_m=[12.6, 4.5]), True)
    assert [(end.x, end.kind) for end in ends] == [(4.5, IN_SPAN), (12.6, SHEET_JOINT)]


def test_a_single_span_has_no_place():
    assert stop_places(floor_of(), True) == ()


def test_no_part_is_narrower_than_anybody_would_pour():
    # 600 mm past the joint at 3 m only 0.9 m are left: no pump is called for that.
    ends = stop_places(floor_of(spans_m=[3.0, 1.5], sheet_runs=[1, 1]), True)
    assert ends == ()


@pytest.mark.parametrize(
    ("x", "kind", "beam"),
    [
        (6.6, SHEET_JOINT, 6.0),
        (5.4, SHEET_JOINT, 6.0),
        (3.6, INNER_BEAM, 3.0),
        (6.0, ON_BEAM, 6.0),
        (4.5, IN_SPAN, 3.0),
        (6.3, IN_SPAN, 6.0),
    ],
)
def test_a_place_of_ones_own_is_called_what_it_is(x, kind, beam):
    end = stop_place(floor_of(**FOUR), x)
    assert (end.kind, end.beam) == (kind, beam)


def test_an_opening_at_the_stop_end_needs_no_form():
    holes = [{"name": "lift", "x_m": [6.2, 7.5], "y_m": [4.0, 6.5]}]
    assert stop_place(floor_of(**FOUR, openings=holes), 6.6).length == pytest.approx(17.5)
    assert stop_place(floor_of(**FOUR), 6.6).length == pytest.approx(20.0)


def test_parts_come_in_order_of_their_days_and_know_what_is_hard_beside_them():
    floor = floor_of(**SIX)
    ends = stop_places(floor, True)
    assert parts_of(floor, ends, True) == (
        FloorPart(0.0, 6.6),
        FloorPart(6.6, 12.6, low_hardened=True),
        FloorPart(12.6, 18.0, low_hardened=True),
    )
    back = stop_places(floor, False)
    assert parts_of(floor, back, False) == (
        FloorPart(11.4, 18.0),
        FloorPart(5.4, 11.4, high_hardened=True),
        FloorPart(0.0, 5.4, high_hardened=True),
    )
    assert [bays_words(floor, part) for part in parts_of(floor, ends, True)] == ["1", "2", "3"]
    assert bays_words(floor, FloorPart(0.0, 12.6)) == "1-2"


def test_every_choice_of_stop_ends_is_tried():
    ends = stop_places(floor_of(**SIX), True)
    assert list(cuts(ends, 2)) == [(ends[0],), (ends[1],)]
    assert list(cuts(ends, 3)) == [ends]
    assert list(cuts(ends, 4)) == []
