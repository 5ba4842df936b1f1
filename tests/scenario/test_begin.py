"""Where a plan begins: told, or for a line pump the corner farthest from its place."""

from __future__ import annotations

import pytest
from builders.pours import laid_out, pour

from pourday.floor.access.means import line_course, pipes_put_on

FLOOR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2], "length_y_m": 10.0}
LINE = {"means": "line", "pipe_length_m": 1}


def plan(place, pump=LINE, floor=FLOOR, **changes):
    site = {"set_ups": [{"name": "riser", "x_m": place[0], "y_m": place[1]}]}
    changes = {"set_ups": ["riser"]} | changes
    return pour(floor=floor, site=site, pumps={"pump": pump}, plan=changes)


@pytest.mark.parametrize(
    ("place", "corner"),
    [
        ((-2, -2), ("high_x", "high_y")),
        ((14, -2), ("low_x", "high_y")),
        ((2, 9), ("high_x", "low_y")),
        ((13, 12), ("low_x", "low_y")),
        ((6, 5), ("low_x", "low_y")),  # in the middle nothing is farther
    ],
)
def test_a_line_pump_works_back_towards_its_place(place, corner):
    found = plan(place).plans[0]
    assert (found.begin_at, found.begin_y) == corner
    layout = laid_out(plan(place, order="spread", strip_width_m=3.0))
    first, last = layout.strips[0], layout.strips[-1]
    assert first.x0 == (9.0 if corner[0] == "high_x" else 0.0)
    assert last.x0 == (0.0 if corner[0] == "high_x" else 9.0)
    assert layout.upward[0] == (corner[1] == "low_y")


def test_what_is_told_stands():
    found = plan((-2, -2), begin_at="low_x", begin_y="low_y").plans[0]
    assert (found.begin_at, found.begin_y) == ("low_x", "low_y")
    half = plan((-2, -2), begin_at="low_x").plans[0]
    assert (half.begin_at, half.begin_y) == ("low_x", "high_y")


def test_a_boom_and_a_line_without_a_place_begin_at_low_x_and_y():
    for found in (plan((-2, -2), pump={}), plan((-2, -2), set_ups=[])):
        assert (found.plans[0].begin_at, found.plans[0].begin_y) == ("low_x", "low_y")


def test_back_towards_the_riser_pipes_only_come_off():
    # One span in one strip: from the far end the line only gets shorter, from the near end longer.
    floor = {"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 10.0}
    put_on = []
    for told in ({}, {"begin_y": "low_y"}):
        layout = laid_out(plan((1.5, -1), floor=floor, order="spread", strip_width_m=3.0, **told))
        (strip,), (up,) = layout.strips, layout.upward
        put_on.append(sum(pipes_put_on([line_course(strip, up, (1.5, -1), 0.0)], 1.0)))
    assert put_on == [0, 10]
