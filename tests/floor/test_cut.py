"""The floor cut into sheet runs, lanes and bays, once for all plans."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.pours import pour
from builders.random_floors import floors
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.floor.cut import floor_cut
from pourday.scenario.model.scenario import Opening
from pourday.study.prepare import prepare

JOINED = {"spans_m": [3.0, 4.0, 3.5], "sheet_runs": [2, 1], "length_y_m": 12.0}


@settings(max_examples=100)
@given(floors(openings=0), st.sampled_from(["side_by_side", "one_after_another"]))
def test_bays_tile_the_floor_in_either_order(floor, lanes):
    cut = floor_cut(floor)
    every = cut.bays
    assert sum((b.x1 - b.x0) * (b.y1 - b.y0) for b in every) == pytest.approx(
        floor.supports[-1] * floor.length_y
    )
    forward = cut.sequence("low_x", lanes)
    assert sorted(b.name for b in forward) == sorted(b.name for b in every)
    along = [bay.run for bay in forward if bay.lane == 0]
    assert along == sorted(along)
    back = [bay.run for bay in cut.sequence("high_x", lanes) if bay.lane == 0]
    assert back == along[::-1]


@settings(max_examples=100)
@given(floors())
def test_the_areas_of_the_bays_are_those_of_their_rectangles_less_the_openings(floor):
    cut = floor_cut(floor)
    for bay in cut.bays:
        assert bay.area == cut.open_area(bay.x0, bay.x1, bay.y0, bay.y1)
    whole = cut.open_area(floor.supports[0], floor.supports[-1], 0.0, floor.length_y)
    assert cut.area == pytest.approx(whole)


def test_two_openings_that_overlap_are_taken_off_once():
    # 2 x 2 m and 2 x 2 m with 1 x 1 m in common: 7 m² of the 24.
    floor = pour(
        floor={
            "spans_m": [6.0],
            "length_y_m": 4.0,
            "openings": [{"x_m": [1, 3], "y_m": [0, 2]}, {"x_m": [2, 4], "y_m": [1, 3]}],
        }
    ).floor
    assert floor_cut(floor).open_area(0.0, 6.0, 0.0, 4.0) == pytest.approx(17.0)


def test_runs_joints_and_lanes_by_hand():
    cut = floor_cut(
        pour(
            floor=JOINED | {"primary_beams_y_m": [0.0, 5.0, 12.0], "cut_at_primary_beams": True}
        ).floor
    )
    assert [run.supports for run in cut.runs] == [(0.0, 3.0, 7.0), (7.0, 10.5)]
    assert cut.joints == (7.0,)
    assert cut.lanes == ((0.0, 5.0), (5.0, 12.0))
    assert [bay.name for bay in cut.bays] == ["1a", "1b", "2a", "2b"]
    assert [cut.run_of(bay).number for bay in cut.bays] == [1, 1, 2, 2]
    assert cut.bay("2b").area == pytest.approx(3.5 * 7.0)


def test_a_strip_may_change_its_width_where_an_opening_begins_or_ends():
    holes = (Opening("stair", (1.0, 2.0), (2.0, 5.0)), Opening("shaft", (5.0, 6.0), (5.0, 9.0)))
    cut = floor_cut(replace(pour(floor=JOINED).floor, openings=holes))
    assert cut.y_marks(0.0, 12.0) == (0.0, 2.0, 5.0, 9.0, 12.0)
    assert cut.y_marks(2.0, 8.0) == (2.0, 5.0, 8.0)
    assert [cut.open_width(0.0, 7.0, y) for y in (1.0, 3.0, 6.0)] == [7.0, 6.0, 6.0]


def test_the_floor_is_cut_once_for_all_plans_of_a_scenario():
    scenario = pour(floor=JOINED)
    other = replace(scenario.plans[0], name="side by side", order="spread")
    first, second = prepare(replace(scenario, plans=(scenario.plans[0], other)))
    assert first.layout.cut == floor_cut(scenario.floor)
    assert second.layout.cut is first.layout.cut
