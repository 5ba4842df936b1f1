"""Edge pairs, directions, moves and volumes of a layout, worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from builders.pours import laid_out, pour
from builders.random_floors import floors, plans
from hypothesis import given, settings

from pourday.deck.beam import influence
from pourday.deck.ponding import sagging_deck, strike
from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of
from pourday.floor.edges import edge_pairs

TWO_LANES = {
    "spans_m": [3.0, 3.0],
    "sheet_runs": [1, 1],
    "length_y_m": 10.0,
    "primary_beams_y_m": [4.0],
    "cut_at_primary_beams": True,
}
WHOLE_SPANS = {"order": "spread", "strip_width_m": 3.0}


def pairs_of(layout) -> list[tuple[str, str, str, float, float, float]]:
    names = [strip.name for strip in layout.strips]
    return [(names[p.first], names[p.second], p.along, p.at, p.low, p.high) for p in layout.pairs]


def test_four_bays_share_two_sides_along_y_and_two_along_x():
    # Two spans of 3 m, lanes of 4 and 6 m, a strip each: sides of 4 and 6 m at x = 3 and of 3 m
    # twice at y = 4. Together 16 m.
    layout = laid_out(pour(floor=TWO_LANES, plan=WHOLE_SPANS))
    assert len(layout.strips) == 4
    assert sorted(pairs_of(layout)) == sorted(
        [
            ("1a/strip 1", "1b/strip 1", "x", 4.0, 0.0, 3.0),
            ("1a/strip 1", "2a/strip 1", "y", 3.0, 0.0, 4.0),
            ("1b/strip 1", "2b/strip 1", "y", 3.0, 4.0, 10.0),
            ("2a/strip 1", "2b/strip 1", "x", 4.0, 3.0, 6.0),
        ]
    )
    assert sum(pair.length for pair in layout.pairs) == pytest.approx(16.0)


def test_a_joint_strip_shares_part_of_its_side_with_a_strip_of_another_width_along_x():
    # Thirds with two lanes: a beam strip of lane a lies along the same beam strip of lane b only.
    floor = TWO_LANES | {"sheet_runs": [2]}
    layout = laid_out(pour(floor=floor))
    along_x = [pair for pair in layout.pairs if pair.along == "x"]
    assert sum(pair.length for pair in along_x) == pytest.approx(6.0)
    assert [layout.strips[p.first].kind for p in along_x] == [
        layout.strips[p.second].kind for p in along_x
    ]


def test_an_opening_interrupts_the_side_it_lies_on():
    floor = {
        "spans_m": [3.0, 3.0],
        "sheet_runs": [2],
        "length_y_m": 10.0,
        "openings": [{"x_m": [2.0, 4.0], "y_m": [2.0, 5.0]}],
    }
    layout = laid_out(pour(floor=floor, plan=WHOLE_SPANS))
    assert [(p.low, p.high) for p in layout.pairs] == [(0.0, 2.0), (5.0, 10.0)]


def test_an_opening_beside_a_side_interrupts_it_too():
    # The opening ends at x = 3: one of the two strips has no concrete there.
    floor = {
        "spans_m": [3.0, 3.0],
        "sheet_runs": [2],
        "length_y_m": 10.0,
        "openings": [{"x_m": [2.0, 3.0], "y_m": [0.0, 5.0]}],
    }
    layout = laid_out(pour(floor=floor, plan=WHOLE_SPANS))
    assert [(p.low, p.high) for p in layout.pairs] == [(5.0, 10.0)]


def test_an_opening_elsewhere_interrupts_nothing():
    floor = {
        "spans_m": [3.0, 3.0],
        "sheet_runs": [2],
        "length_y_m": 10.0,
        "openings": [{"x_m": [1.0, 2.0], "y_m": [2.0, 5.0]}],
    }
    layout = laid_out(pour(floor=floor, plan=WHOLE_SPANS))
    assert [(p.low, p.high) for p in layout.pairs] == [(0.0, 10.0)]


@settings(max_examples=80)
@given(floors(openings=0), plans())
def test_sides_of_a_tiled_floor_add_up_to_its_inner_lines(floor, plan):
    # Every inner side is shared by just two strips: the outlines of all strips are the outline of
    # the floor once and every inner line twice.
    strips = strips_of(floor_cut(floor), plan)
    outlines = sum(2 * (s.x1 - s.x0 + s.y1 - s.y0) for s in strips)
    around = 2 * (floor.supports[-1] + floor.length_y)
    shared = sum(pair.length for pair in edge_pairs(floor, strips))
    assert shared == pytest.approx((outlines - around) / 2, abs=1e-6)


# ---------------------------------------------------------------------- directions and moves


def test_strips_alternate_direction_so_that_the_front_walks_least():
    floor = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 10.0}
    layout = laid_out(pour(floor=floor, plan=WHOLE_SPANS))
    assert layout.upward == (True, False, True)
    assert layout.moves == pytest.approx([0.0, 3.0, 3.0])


def test_strips_all_go_up_where_told_so_and_the_front_walks_back():
    floor = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 10.0}
    layout = laid_out(pour(floor=floor, plan=WHOLE_SPANS | {"alternate": False}))
    assert layout.upward == (True, True, True)
    assert layout.moves == pytest.approx([0.0, 13.0, 13.0])


def test_the_next_lane_begins_where_the_front_stands():
    # 1a goes up from 0 to 4, so 1b goes up from 4 to 10; 2a then comes down from 4.
    layout = laid_out(pour(floor=TWO_LANES, plan=WHOLE_SPANS))
    assert [s.bay for s in layout.strips] == ["1a", "1b", "2a", "2b"]
    assert layout.upward == (True, True, False, True)
    assert layout.moves == pytest.approx([0.0, 0.0, 3.0 + 6.0, 4.0])


# ----------------------------------------------------------------------------- volumes, ponding


def test_profile_of_a_strip_with_an_opening():
    # 3 m wide, 150 mm: 0.45 m³ a metre; 0.15 m³ a metre beside the opening of 2 m from 2 to 5 m.
    floor = {
        "spans_m": [3.0],
        "sheet_runs": [1],
        "length_y_m": 10.0,
        "openings": [{"x_m": [0.5, 2.5], "y_m": [2.0, 5.0]}],
    }
    (profile,) = laid_out(pour(floor=floor)).profiles
    assert list(profile.at) == [0.0, 2.0, 5.0, 10.0]
    assert profile.volume == pytest.approx([0.0, 0.9, 1.35, 3.6])


def test_rib_voids_are_taken_off_the_depth():
    layout = laid_out(pour(deck={"void_volume_m3_per_m2": 0.03}))
    assert layout.volume.sum() == pytest.approx(60 * 0.12)


@pytest.mark.parametrize("how", ["datum", "guides"])
def test_ponding_of_a_layout_is_that_of_the_deck_on_its_own(how):
    # Three spans of 3.6 m, thirds: cells of at most a third of a span (struck to guides, a strip
    # within a span is one) and steps written out here, without the layout.
    scenario = pour(
        floor={"spans_m": [3.6] * 3, "sheet_runs": [3], "length_y_m": 12.0},
        deck={"bending_stiffness_kNm2_per_m": 230, "void_volume_m3_per_m2": 0.026},
        slab={"depth_mm": 140, "strike": how, "wet_density_kN_m3": 26},
        loads={"crew_kN_m2": 0.3},
    )
    if how == "datum":
        edges = np.linspace(0, 10.8, 10)
        steps = [(2, 3), (5, 6), (0, 1), (4,), (7, 8)]
    else:
        edges = np.array([0, 2.4, 3.6, 4.8, 6.0, 7.2, 8.4, 10.8])
        steps = [(1, 2), (4, 5), (0,), (3,), (6,)]
    count = len(edges) - 1
    cells = np.column_stack([edges[:-1], edges[1:]])
    sag = influence([0, 3.6, 7.2, 10.8], 230e3, cells).mean_deflection
    crew = np.zeros((5, count))
    for k, step in enumerate(steps):
        crew[k, list(step)] = 300.0
    alone = strike(
        sagging_deck(sag, 26e3, 0.114, sag @ np.full(count, 120.0)),
        steps,
        how=how,
        neighbours=[[m for m in (n - 1, n + 1) if 0 <= m < count] for n in range(count)],
        crew=crew,
    )
    by_hand = 12.0 * np.diff(edges) @ alone.extra
    layout = laid_out(scenario)
    assert layout.ponding == pytest.approx(by_hand, rel=1e-9)
    assert abs(layout.ponding) > 0.02
    volumes = 12.0 * np.diff(edges) * alone.thickness
    assert layout.volume == pytest.approx([sum(volumes[list(step)]) for step in steps], rel=1e-9)


def test_a_prop_line_in_every_span_cuts_the_ponding_by_more_than_ten():
    # Half the span, a sixteenth of the sag, less what continuity gains.
    deck = {"bending_stiffness_kNm2_per_m": 230}
    slab = {"depth_mm": 140, "strike": "datum"}
    floor = {"spans_m": [3.6], "sheet_runs": [1], "length_y_m": 12.0}
    bare = laid_out(pour(floor=floor, deck=deck, slab=slab)).ponding
    propped = laid_out(pour(floor=floor, deck=deck, slab=slab, props={"lines_x_m": [1.8]})).ponding
    assert 0 < propped < bare / 10
