"""A strip cut along its front, by set-up place and by shared ground: volumes by hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from builders.sites import SLOW, cases
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.floor.access.parts import Part, parts_of
from pourday.floor.access.reach import Leg
from pourday.floor.access.zones import Shared, shared_ground
from pourday.floor.strips import GAP, Strip

# 2 m wide, 10 m long, 150 mm: 0.3 m³ a metre, with nothing in it.
STRIP = Strip("1/gap 1", GAP, "1", 0, 0.0, 2.0, 0.0, 10.0, 20.0)
Y = np.array([0.0, 10.0])
VOLUME = np.array([0.0, 3.0])
UP, DOWN = (Leg(0, 0.0, 10.0),), (Leg(0, 10.0, 0.0),)


def ground(low: float, high: float) -> Shared:
    return Shared(0, 0.0, 2.0, low, high, frozenset({1}))


def cut(upward=True, legs=None, shared=(), y=Y, volume=VOLUME) -> list[tuple]:
    found = parts_of(STRIP, upward, y, volume, legs or (UP if upward else DOWN), shared)
    return [(pytest.approx(part.until), part.place, part.shared) for part in found]


def test_a_strip_that_nothing_cuts_is_one_part():
    assert cut() == [(1.0, 0, None)]
    assert parts_of(STRIP, True, Y, VOLUME, (Leg(2, 0.0, 10.0),), ()) == (Part(1.0, 2, None),)


def test_shared_ground_in_the_middle_makes_three_parts():
    shared = ground(4.0, 6.0)
    assert cut(shared=[shared]) == [(0.4, 0, None), (0.6, 0, shared), (1.0, 0, None)]


def test_shared_ground_is_met_from_the_other_side_on_the_way_back():
    shared = ground(1.0, 4.0)
    assert cut(upward=False, shared=[shared]) == [(0.6, 0, None), (0.9, 0, shared), (1.0, 0, None)]


def test_shared_ground_from_end_to_end_is_one_part():
    shared = ground(0.0, 10.0)
    assert cut(shared=[shared]) == [(1.0, 0, shared)]


def test_two_set_up_places_cut_where_the_pump_moves():
    assert cut(legs=[Leg(1, 0.0, 3.0), Leg(0, 3.0, 10.0)]) == [(0.3, 1, None), (1.0, 0, None)]
    down = [Leg(1, 10.0, 3.0), Leg(0, 3.0, 0.0)]
    assert cut(upward=False, legs=down) == [(0.7, 1, None), (1.0, 0, None)]


def test_a_move_inside_shared_ground_cuts_the_ground_in_two():
    shared = ground(2.0, 6.0)
    found = cut(legs=[Leg(1, 0.0, 3.0), Leg(0, 3.0, 10.0)], shared=[shared])
    assert found == [(0.2, 1, None), (0.3, 1, shared), (0.6, 0, shared), (1.0, 0, None)]


def test_two_pieces_of_ground_stay_two():
    one, two = ground(0.0, 2.0), ground(8.0, 10.0)
    assert cut(shared=[one, two]) == [(0.2, 0, one), (0.8, 0, None), (1.0, 0, two)]


def test_volumes_follow_the_profile_not_the_length():
    # An opening takes half the width from 2 to 6 m: 0.6, 0.6 and 1.2 m³ of 2.4.
    y, volume = np.array([0.0, 2.0, 6.0, 10.0]), np.array([0.0, 0.6, 1.2, 2.4])
    shared = ground(4.0, 8.0)
    assert cut(shared=[shared], y=y, volume=volume) == [
        ((0.6 + 0.3) / 2.4, 0, None),
        ((1.2 + 0.6) / 2.4, 0, shared),
        (1.0, 0, None),
    ]


def test_ground_where_an_opening_takes_the_whole_width_holds_nothing():
    y, volume = np.array([0.0, 4.0, 6.0, 10.0]), np.array([0.0, 1.2, 1.2, 2.4])
    shared = ground(4.5, 5.5)
    assert cut(shared=[shared], y=y, volume=volume) == [
        (0.5, 0, None),
        (0.5, 0, shared),
        (1.0, 0, None),
    ]


@settings(max_examples=60, suppress_health_check=SLOW)
@given(cases(with_upsets=False), st.data())
def test_wherever_the_front_stands_the_part_says_whose_ground_and_which_place(case, data):
    layout, plan = case.layout, case.plan
    runs = layout.cut.runs
    shared = shared_ground(layout.strips, layout.front_of, runs, case.scenario.site)
    legs = {}
    for number in range(len(plan.fronts)):
        mine = [i for i, f in enumerate(layout.front_of) if f == number]
        legs |= dict(zip(mine, layout.access[number].legs, strict=True))
    for i, strip in enumerate(layout.strips):
        parts, profile = layout.parts[i], layout.profiles[i]
        untils = [0.0, *(part.until for part in parts)]
        assert untils[-1] == 1.0
        assert all(a <= b for a, b in pairwise(untils))
        y = strip.low + data.draw(st.floats(0.01, 0.99)) * (strip.high - strip.low)
        at = float(np.interp(y, profile.at, profile.volume)) / profile.volume[-1]
        share = at if layout.upward[i] else 1.0 - at
        if any(abs(share - until) < 1e-6 for until in untils):
            continue  # on the edge between two
        part = next(part for part in parts if share < part.until)
        inside = [each for each in shared[i] if each.low < y < each.high]
        assert [part.shared] == (inside or [None])
        leg = next(x for x in legs[i] if min(x.begin, x.end) <= y <= max(x.begin, x.end))
        assert part.place == leg.place
