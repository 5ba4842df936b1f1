"""A gap too narrow to be a strip is placed with its neighbour (``least_strip_m``)."""

from __future__ import annotations

import pytest
from builders.pours import laid_out, pour

SPANS = {"spans_m": [3.0, 3.0, 4.2, 3.0], "sheet_runs": [4], "length_y_m": 10.0}


def strips(floor=SPANS, **plan):
    return {s.name: s for s in laid_out(pour(floor=floor, plan=plan)).strips}


def test_a_gap_of_1_m_is_placed_with_the_beam_strip_reached_later():
    # Thirds: gaps of 1.0 m in the spans of 3 m and 1.4 m in that of 4.2 m. Beams at 3, 6, 10.2.
    found = strips()
    joined = found["1/beam 2 with gap 2"]
    assert (joined.x0, joined.x1, joined.kind) == pytest.approx((4.0, 7.4, "beam"), abs=1e-9)
    assert joined.joined == pytest.approx((4.0, 5.0))
    assert list(found) == [
        "1/beam 1", "1/beam 2 with gap 2", "1/beam 3", "1/gap 3", "1/edge 1", "1/edge 4",
    ] or list(found) == [
        "1/beam 1", "1/beam 2 with gap 2", "1/beam 3", "1/edge 1", "1/gap 3", "1/edge 4",
    ]  # fmt: skip


def test_from_the_other_end_the_later_beam_is_the_other_one():
    found = strips(begin_at="high_x")
    joined = found["1/beam 1 with gap 2"]
    assert (joined.x0, joined.x1) == pytest.approx((2.0, 5.0))
    order = list(found)
    assert order.index("1/beam 2") < order.index("1/beam 1 with gap 2")


@pytest.mark.parametrize(("least", "gaps"), [(0.0, 2), (1.0, 2), (1.01, 1), (1.5, 0)])
def test_only_gaps_narrower_than_the_least_width_are_joined(least, gaps):
    found = strips(least_strip_m=least)
    assert sum(strip.kind == "gap" for strip in found.values()) == gaps
    assert sum(strip.joined is not None for strip in found.values()) == 2 - gaps
    assert sum(strip.area for strip in found.values()) == pytest.approx(132.0)


def test_a_gap_beside_the_joint_that_its_bay_closes_goes_with_the_joint():
    # Run of two spans of 3 m, then one more: gap 2 lies from 4 to 5, the joint strip from 5 to 7.
    floor = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2], "length_y_m": 10.0}
    found = strips(floor)
    joint = found["1/joint with gap 2"]
    assert (joint.kind, joint.x0, joint.x1) == ("joint", pytest.approx(4.0), pytest.approx(7.0))
    # In the next bay the joint stands already, and the gap goes with its beam.
    beam = found["2/beam 1 with gap 1"]
    assert (beam.x0, beam.x1) == pytest.approx((7.0, 10.0))
    assert [name for name in found if "gap" in name and "with" not in name] == []


def test_spans_of_3_6_m_keep_their_gaps():
    # A third of 3.6 m is just 1.2 m.
    found = strips({"spans_m": [3.6] * 3, "sheet_runs": [3], "length_y_m": 10.0})
    assert "1/gap 2" in found
