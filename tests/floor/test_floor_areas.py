"""Strips tile the floor, whatever the floor and the plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pours import laid_out, pour

from pourday.floor.bays import bay_sequence, bays, open_area
from pourday.floor.layout import cut
from pourday.scenario.model import FloorPlan, Opening, Plan, Scenario

PLAIN = pour()


@st.composite
def floors(draw, openings: int = 2) -> FloorPlan:
    spans = draw(st.lists(st.sampled_from([1.5, 2.4, 3.0, 3.7]), min_size=1, max_size=6))
    runs: list[int] = []
    while sum(runs) < len(spans):
        runs.append(draw(st.integers(1, len(spans) - sum(runs))))
    length = draw(st.sampled_from([6.0, 14.0]))
    supports = (0.0, *accumulate(spans))
    holes = []
    for n in range(draw(st.integers(0, openings))):
        x0, x1 = sorted(draw(_two(supports[-1])))
        y0, y1 = sorted(draw(_two(length)))
        holes.append(Opening(f"hole {n}", (x0, x1), (y0, y1)))
    return FloorPlan(
        supports=supports,
        sheet_runs=tuple(runs),
        length_y=length,
        primary_beams_y=draw(st.sampled_from([(), (0.0, 5.0), (2.0, 4.5)])),
        openings=tuple(holes),
        low_x_end=draw(st.sampled_from(["edge", "joint"])),
        high_x_end=draw(st.sampled_from(["edge", "joint"])),
        stop_ends_x=(),
    )


def _two(most: float) -> st.SearchStrategy[list[float]]:
    place = st.integers(0, 20).map(lambda n: most * n / 20)
    return st.lists(place, min_size=2, max_size=2, unique=True)


@st.composite
def plans(draw) -> Plan:
    order = draw(st.sampled_from(["thirds", "spread"]))
    return replace(
        PLAIN.plans[0],
        order=order,
        fraction=draw(st.sampled_from([0.2, 1 / 3, 0.45])),
        strip_width=draw(st.none() | st.sampled_from([0.7, 1.5])) if order == "spread" else None,
        begin_at=draw(st.sampled_from(["low_x", "high_x"])),
        lanes=draw(st.sampled_from(["side_by_side", "one_after_another"])),
        alternate=draw(st.booleans()),
    )


def on(floor: FloorPlan) -> Scenario:
    return replace(PLAIN, floor=floor)


def covered(holes, length_x: float, length_y: float) -> float:
    """Area that openings take, overlaps once: counted on the grid of their own edges."""
    xs = np.unique([0.0, length_x, *(x for h in holes for x in h.x)])
    ys = np.unique([0.0, length_y, *(y for h in holes for y in h.y)])
    area = 0.0
    for a, b in pairwise(xs):
        for c, d in pairwise(ys):
            x, y = (a + b) / 2, (c + d) / 2
            if any(h.x[0] < x < h.x[1] and h.y[0] < y < h.y[1] for h in holes):
                area += (b - a) * (d - c)
    return area


@settings(max_examples=150)
@given(floors(), plans())
def test_strips_add_up_to_the_floor_less_its_openings(floor, plan):
    strips = cut(on(floor), plan)
    width, length = floor.supports[-1], floor.length_y
    expected = width * length - covered(floor.openings, width, length)
    assert sum(strip.area for strip in strips) == pytest.approx(expected, abs=1e-9)
    assert all(0 < s.area <= (s.x1 - s.x0) * (s.y1 - s.y0) + 1e-9 for s in strips)


@settings(max_examples=150)
@given(floors(openings=0), plans())
def test_strips_never_overlap_and_have_names_of_their_own(floor, plan):
    strips = cut(on(floor), plan)
    assert len({strip.name for strip in strips}) == len(strips)
    for a, b in combinations(strips, 2):
        apart_x = min(a.x1, b.x1) - max(a.x0, b.x0) < 1e-9
        apart_y = min(a.y1, b.y1) - max(a.y0, b.y0) < 1e-9
        assert apart_x or apart_y, (a, b)


@settings(max_examples=100)
@given(floors(openings=0), st.sampled_from(["side_by_side", "one_after_another"]))
def test_bays_tile_the_floor_in_either_order(floor, lanes):
    every = bays(floor)
    assert sum((b.x1 - b.x0) * (b.y1 - b.y0) for b in every) == pytest.approx(
        floor.supports[-1] * floor.length_y
    )
    forward = bay_sequence(floor, "low_x", lanes)
    assert sorted(b.name for b in forward) == sorted(b.name for b in every)
    along = [bay.run for bay in forward if bay.lane == 0]
    assert along == sorted(along)
    back = [bay.run for bay in bay_sequence(floor, "high_x", lanes) if bay.lane == 0]
    assert back == along[::-1]


@settings(max_examples=40)
@given(floors(), plans())
def test_volume_to_thickness_is_area_times_depth(floor, plan):
    scenario = replace(on(floor), plans=(plan,))
    layout = laid_out(scenario)
    assert layout.volume == pytest.approx(
        0.15 * np.array([s.area for s in layout.strips]), rel=1e-9
    )
    assert layout.ponding == pytest.approx(0.0, abs=1e-9)


def test_two_openings_that_overlap_are_taken_off_once():
    # 2 x 2 m and 2 x 2 m with 1 x 1 m in common: 7 m² of the 24.
    floor = pour(
        floor={
            "spans_m": [6.0],
            "length_y_m": 4.0,
            "openings": [{"x_m": [1, 3], "y_m": [0, 2]}, {"x_m": [2, 4], "y_m": [1, 3]}],
        }
    ).floor
    assert open_area(floor, 0.0, 6.0, 0.0, 4.0) == pytest.approx(17.0)
