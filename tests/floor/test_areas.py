"""Strips tile the floor, whatever the floor and the plan."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from builders.pours import laid_out
from builders.random_floors import floors, on, plans
from hypothesis import given, settings

from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of


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
    strips = strips_of(floor_cut(floor), plan)
    width, length = floor.supports[-1], floor.length_y
    expected = width * length - covered(floor.openings, width, length)
    assert sum(strip.area for strip in strips) == pytest.approx(expected, abs=1e-9)
    assert all(0 < s.area <= (s.x1 - s.x0) * (s.y1 - s.y0) + 1e-9 for s in strips)


@settings(max_examples=150)
@given(floors(openings=0), plans())
def test_strips_never_overlap_and_have_names_of_their_own(floor, plan):
    strips = strips_of(floor_cut(floor), plan)
    assert len({strip.name for strip in strips}) == len(strips)
    for a, b in combinations(strips, 2):
        apart_x = min(a.x1, b.x1) - max(a.x0, b.x0) < 1e-9
        apart_y = min(a.y1, b.y1) - max(a.y0, b.y0) < 1e-9
        assert apart_x or apart_y, (a, b)


@settings(max_examples=40)
@given(floors(), plans())
def test_volume_to_thickness_is_area_times_depth(floor, plan):
    scenario = replace(on(floor), plans=(plan,))
    layout = laid_out(scenario)
    assert layout.volume == pytest.approx(
        0.15 * np.array([s.area for s in layout.strips]), rel=1e-9
    )
    assert layout.ponding == pytest.approx(0.0, abs=1e-9)
