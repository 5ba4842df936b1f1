"""A boom over its strips: circles cut by hand, and the fewest moves beside two other searches."""

from __future__ import annotations

import math
from dataclasses import astuple
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.floor.access.reach import SLIVER, Leg, Legs, legs, reachable
from pourday.floor.strips import GAP, Strip


def strip(x0, x1, y0, y1, name="A/gap 1"):
    return Strip(name, GAP, "A", 0, x0, x1, y0, y1, (x1 - x0) * (y1 - y0))


def lanes(count, y1, width=2.0):
    return [strip(i * width, (i + 1) * width, 0.0, y1, f"lane {i + 1}") for i in range(count)]


coordinate = st.integers(-12, 24).map(lambda i: i / 2)
places_of_pump = st.tuples(coordinate, coordinate)
reaches = st.integers(1, 24).map(lambda i: i / 2)


@st.composite
def rectangles(draw):
    x0, y0 = draw(coordinate), draw(coordinate)
    return strip(
        x0, x0 + draw(st.integers(1, 8)) / 2, y0, y0 + draw(st.integers(1, 24)) / 2, draw(st.text())
    )


# One place, one strip.


def test_strip_beside_the_pump_is_cut_by_its_far_edge():
    # 3-4-5: the far edge is 3 m away, so a reach of 5 m goes 4 m up and down.
    assert reachable(strip(1, 3, -10, 10), (0.0, 0.0), 5.0) == pytest.approx((-4.0, 4.0))
    # The near edge would allow sqrt(24); it doesn't count.
    assert reachable(strip(-3, -1, 0, 10), (0.0, 0.0), 5.0) == pytest.approx((0.0, 4.0))


def test_pump_outside_the_floor():
    # 5 m off the low edge of the floor, 12 m to the side: 13 m just reach the low corner.
    assert reachable(strip(10, 12, 5, 20), (0.0, 0.0), 13.0) is None
    assert reachable(strip(10, 12, 5, 20), (0.0, 0.0), 20.0) == pytest.approx((5.0, 16.0))


def test_strip_wider_than_the_circle_is_not_reached():
    assert reachable(strip(-6, 1, -1, 1), (0.0, 0.0), 5.9) is None
    assert reachable(strip(-6, 1, -1, 1), (0.0, 0.0), 6.0) is None  # touched at one point
    assert reachable(strip(-6, 1, -1, 1), (0.0, 0.0), 6.5) == (-1.0, 1.0)


def test_reach_that_just_meets_the_corners_takes_the_whole_strip():
    for x, y in ((3.0, 4.0), (0.1, 0.7), (12.3, 45.6)):
        wanted = strip(0.0, x, -y, y)
        assert reachable(wanted, (0.0, 0.0), math.hypot(x, y)) == (-y, y)


def test_less_than_a_millimetre_short_is_not_told_apart():
    # 3-4-5: half a millimetre less of circle takes half a millimetre off either end.
    assert reachable(strip(1, 3, -4.0005, 4.0005), (0.0, 0.0), 5.0) == (-4.0005, 4.0005)
    assert reachable(strip(1, 3, -4.002, 4.002), (0.0, 0.0), 5.0) == pytest.approx(
        (-4, 4), abs=1e-9
    )
    assert reachable(strip(1, 3, 3.9995, 9.0), (0.0, 0.0), 5.0) is None
    assert reachable(strip(1, 3, 3.998, 9.0), (0.0, 0.0), 5.0) == pytest.approx((3.998, 4.0))


def test_no_limit_of_reach():
    for reach in (math.inf, None):
        assert reachable(strip(0, 2, 3, 9), (500.0, -70.0), reach) == (3, 9)


@pytest.mark.parametrize("reach", [-1.0, math.nan])
def test_reach_that_is_no_length_is_refused(reach):
    with pytest.raises(ValueError, match="reach"):
        reachable(strip(0, 2, 3, 9), (0.0, 0.0), reach)
    with pytest.raises(ValueError, match="reach"):
        legs([strip(0, 2, 3, 9)], [True], [(0.0, 0.0)], reach)


@given(rectangles(), places_of_pump, reaches)
def test_inside_the_interval_every_point_across_is_in_the_circle_and_outside_one_is_not(
    wanted, place, reach
):
    found = reachable(wanted, place, reach)
    low, high = found if found else (math.inf, -math.inf)
    for i in range(101):
        y = wanted.y0 + (wanted.y1 - wanted.y0) * i / 100
        across = [wanted.x0 + (wanted.x1 - wanted.x0) * j / 10 for j in range(11)]
        furthest = max(math.dist((x, y), place) for x in across)
        if low <= y <= high:
            assert furthest <= reach + SLIVER
        elif min(abs(y - low), abs(y - high)) > SLIVER and furthest < reach:
            # Only a stretch too short to place from may be left out.
            assert found is None
            assert _chord(wanted, place, reach) < SLIVER


def _chord(wanted, place, reach):
    """Length along the strip inside the circles around the place, by the cosine rule."""
    sine = max(abs(wanted.x0 - place[0]), abs(wanted.x1 - place[0])) / reach
    half = reach * math.cos(math.asin(sine))
    return min(wanted.y1, place[1] + half) - max(wanted.y0, place[1] - half)


@given(rectangles(), places_of_pump, reaches, st.integers(-20, 20), st.integers(-20, 20))
def test_moving_floor_and_pump_together_changes_nothing(wanted, place, reach, dx, dy):
    moved = strip(wanted.x0 + dx, wanted.x1 + dx, wanted.y0 + dy, wanted.y1 + dy)
    found = reachable(wanted, place, reach)
    shifted = reachable(moved, (place[0] + dx, place[1] + dy), reach)
    assert shifted == (None if found is None else pytest.approx((found[0] + dy, found[1] + dy)))


@given(rectangles(), places_of_pump, reaches)
def test_mirror_image(wanted, place, reach):
    mirrored = strip(-wanted.x1, -wanted.x0, -wanted.y1, -wanted.y0)
    found = reachable(wanted, place, reach)
    image = reachable(mirrored, (-place[0], -place[1]), reach)
    assert image == (None if found is None else pytest.approx((-found[1], -found[0])))


@given(rectangles(), places_of_pump, reaches, reaches)
def test_longer_boom_never_reaches_less(wanted, place, reach, more):
    short = reachable(wanted, place, reach)
    if short is not None:
        long = reachable(wanted, place, reach + more)
        assert long is not None
        assert long[0] <= short[0]
        assert long[1] >= short[1]


# The day's legs.


def test_one_place_that_reaches_all_needs_no_move():
    found = legs(lanes(3, 10.0), [True, False, True], [(3.0, -2.0)], 40.0)
    assert found.of == ((Leg(0, 0.0, 10.0),), (Leg(0, 10.0, 0.0),), (Leg(0, 0.0, 10.0),))
    assert (found.moves, found.out_of_reach) == (0, ())


def test_unlimited_reach_is_served_from_the_first_place():
    for reach in (math.inf, None):
        found = legs(lanes(2, 10.0), [True, False], [(0.0, 0.0), (9.0, 9.0)], reach)
        assert found.of == ((Leg(0, 0.0, 10.0),), (Leg(0, 10.0, 0.0),))
        assert (found.moves, found.out_of_reach) == (0, ())


def test_long_strip_served_from_both_ends_is_split_and_follows_its_front():
    # 24 m long, far edge 3 m off both pumps, reach 15 m: sqrt(225 - 9) = 14.697 from each end.
    half = math.sqrt(15.0**2 - 3.0**2)
    places = [(0.0, 0.0), (0.0, 24.0)]
    up = legs([strip(1, 3, 0, 24)], [True], places, 15.0)
    assert up.moves == 1
    assert up.of == ((Leg(0, 0.0, pytest.approx(half)), Leg(1, pytest.approx(half), 24.0)),)
    down = legs([strip(1, 3, 0, 24)], [False], places, 15.0)
    assert down.moves == 1
    assert down.of == (
        (Leg(1, 24.0, pytest.approx(24 - half)), Leg(0, pytest.approx(24 - half), 0)),
    )


def test_part_that_no_place_reaches_is_named_and_the_rest_is_served():
    places = [(0.0, 0.0), (0.0, 24.0)]
    found = legs([strip(1, 3, 0, 24, "north 2")], [True], places, 5.0)
    assert found.of == ((Leg(0, 0.0, 4.0), Leg(1, 20.0, 24.0)),)
    assert found.out_of_reach == (("north 2", 4.0, 20.0),)
    assert found.moves == 1
    down = legs([strip(1, 3, 0, 24, "north 2")], [False], places, 5.0)
    assert down.of == ((Leg(1, 24.0, 20.0), Leg(0, 4.0, 0.0)),)
    assert down.out_of_reach == (("north 2", 20.0, 4.0),)


def test_gap_between_two_legs_of_one_place_costs_no_move():
    # A strip reached whole, one reached nowhere, one reached whole again, all from one place.
    strips = [strip(0, 2, 0, 4), strip(60, 62, 0, 4, "far"), strip(2, 4, 0, 4)]
    found = legs(strips, [True] * 3, [(0.0, 0.0)], 8.0)
    assert found.of == ((Leg(0, 0, 4),), (), (Leg(0, 0, 4),))
    assert (found.moves, found.out_of_reach) == (0, (("far", 0, 4),))


def test_no_places_and_no_strips():
    assert legs([], [], [(0.0, 0.0)], 30.0) == Legs((), 0, ())
    assert legs(lanes(1, 9.0), [True], [], 30.0) == Legs(((),), 0, (("lane 1", 0.0, 9.0),))


def test_one_direction_for_each_strip():
    with pytest.raises(ValueError):
        legs(lanes(2, 9.0), [True], [(0.0, 0.0)], 30.0)


def test_first_place_that_comes_to_mind_would_cost_a_move_more():
    # Place 0 reaches lane 1 only, place 1 lanes 1 and 2, place 2 lanes 2 and 3. From place 0 to 1
    # to 2 is two moves; beginning at place 1, one is enough. 0 -> 2 would be one too, but earlier.
    strips = [strip(0, 2, -1, 1, "1"), strip(10, 12, -1, 1, "2"), strip(20, 22, -1, 1, "3")]
    places = [(0.0, 0.0), (6.0, 0.0), (16.0, 0.0)]
    found = legs(strips, [True] * 3, places, 6.5)
    assert [[leg.place for leg in of] for of in found.of] == [[1], [1], [2]]
    assert found.moves == 1


def test_among_equal_moves_the_pump_moves_between_strips_not_inside_one():
    # Place 0 reaches lane 1 whole and half of lane 2; place 1 reaches lanes 2 and 3 whole.
    strips = [strip(0, 2, 0, 10, "1"), strip(2, 4, 0, 10, "2"), strip(4, 6, 0, 10, "3")]
    places = [(-6.0, 0.0), (13.0, 5.0)]
    assert reachable(strips[1], places[0], 13.0) == pytest.approx((0.0, math.sqrt(69)))
    found = legs(strips, [True] * 3, places, 13.0)
    assert found.moves == 1
    assert found.of == ((Leg(0, 0, 10),), (Leg(1, 0, 10),), (Leg(1, 0, 10),))


def test_move_comes_as_late_as_it_may_between_strips():
    # Both places reach lanes 1 to 3; only place 0 reaches lane 0, only place 1 reaches lane 4.
    strips = [strip(x, x + 1, 0, 2, str(x)) for x in range(5)]
    found = legs(strips, [True] * 5, [(0.0, 1.0), (5.0, 1.0)], math.hypot(4.0, 1.0))
    assert [[leg.place for leg in of] for of in found.of] == [[0], [0], [0], [0], [1]]


def test_a_pump_may_come_back_to_a_place():
    strips = [strip(0, 1, 0, 2, "a"), strip(40, 41, 0, 2, "b"), strip(1, 2, 0, 2, "c")]
    found = legs(strips, [True] * 3, [(0.0, 0.0), (40.0, 0.0)], 6.0)
    assert [[leg.place for leg in of] for of in found.of] == [[0], [1], [0]]
    assert found.moves == 2


# Small random days beside a full enumeration.

days = st.lists(st.tuples(rectangles(), st.booleans()), min_size=1, max_size=4)


def allowed_pieces(strips, upward, places, reach):
    """(strip, from, to, places that reach it), worked out by distances to the four corners."""
    out = []
    for k, (s, up) in enumerate(zip(strips, upward, strict=True)):
        cuts = {s.y0, s.y1}
        for px, py in places:
            for x in (s.x0, s.x1):
                root = reach**2 - (x - px) ** 2
                if root > 0:
                    cuts |= {py - math.sqrt(root), py + math.sqrt(root)}
        ys = sorted(y for y in cuts if s.y0 <= y <= s.y1)
        pieces = [(a, b) for a, b in pairwise(ys) if b - a > SLIVER]
        for a, b in pieces if up else [(b, a) for a, b in reversed(pieces)]:
            middle = (a + b) / 2
            inside = [
                i
                for i, place in enumerate(places)
                if max(math.dist(place, (x, middle)) for x in (s.x0, s.x1)) < reach
            ]
            out.append((k, a, b, inside))
    return out


def best_by_enumeration(pieces):
    """Best of all ways to give places to pieces: moves, moves inside a strip, late moves, places.

    Returns (moves, moves inside a strip) and (strip, place, y from, y to) of every leg.
    """
    served = [piece for piece in pieces if piece[3]]
    best = None
    for way in product(*(inside for *_, inside in served)):
        at = [i for i in range(1, len(way)) if way[i] != way[i - 1]]
        inside_strip = sum(served[i][0] == served[i - 1][0] for i in at)
        key = (len(at), inside_strip, [-i for i in at], way)
        best = key if best is None else min(best, key)
    merged = []
    for (k, a, b, _), place in zip(served, best[3], strict=True):
        if merged and merged[-1][:2] == (k, place) and abs(merged[-1][3] - a) < SLIVER:
            merged[-1] = (k, place, merged[-1][2], b)
        else:
            merged.append((k, place, a, b))
    return best[:2], merged


def changes(found):
    """(moves, moves inside a strip), counted on the legs themselves."""
    flat = [(k, leg.place) for k, of in enumerate(found.of) for leg in of]
    moved = [(a[0] == b[0]) for a, b in pairwise(flat) if a[1] != b[1]]
    return len(moved), sum(moved)


@settings(max_examples=300, deadline=None)
@given(days, st.lists(places_of_pump, min_size=1, max_size=3), reaches)
def test_moves_are_the_fewest_of_all_ways(day, places, reach):
    strips, upward = [s for s, _ in day], [up for _, up in day]
    pieces = allowed_pieces(strips, upward, places, reach)
    ways = math.prod(max(1, len(inside)) for *_, inside in pieces)
    if ways > 20000:
        return
    found = legs(strips, upward, places, reach)
    fewest, expected = best_by_enumeration(pieces)
    assert changes(found) == fewest
    assert found.moves == fewest[0]
    flat = [(k, *leg_values) for k, of in enumerate(found.of) for leg_values in map(astuple, of)]
    assert [leg[:2] for leg in flat] == [leg[:2] for leg in expected]
    for one, other in zip(flat, expected, strict=True):
        assert one[2:] == pytest.approx(other[2:], abs=2 * SLIVER)


@settings(max_examples=300, deadline=None)
@given(days, st.lists(places_of_pump, min_size=1, max_size=3), reaches)
def test_legs_and_what_is_out_of_reach_tile_every_strip_in_the_direction_of_its_front(
    day, places, reach
):
    strips = [strip(s.x0, s.x1, s.y0, s.y1, f"strip {k}") for k, (s, _) in enumerate(day)]
    upward = [up for _, up in day]
    found = legs(strips, upward, places, reach)
    for s, up, of in zip(strips, upward, found.of, strict=True):
        way = 1.0 if up else -1.0
        holes = [(a, b) for name, a, b in found.out_of_reach if name == s.name]
        parts = sorted([(leg.begin, leg.end) for leg in of] + holes, key=lambda p: way * p[0])
        assert [parts[0][0], parts[-1][1]] == ([s.y0, s.y1] if up else [s.y1, s.y0])
        assert all(way * (b - a) > 0 for a, b in parts)
        assert all(a[1] == b[0] for a, b in pairwise(parts))
        for one, other in pairwise(of):
            assert way * (other.begin - one.end) >= 0
            if one.end == other.begin:
                assert one.place != other.place
        for leg in of:
            for x, y in product((s.x0, s.x1), (leg.begin, leg.end)):
                # 1 mm along the strip is at most 1 mm from the place.
                assert math.dist((x, y), places[leg.place]) <= reach + SLIVER
        for a, b in holes:
            for share in (0.25, 0.5, 0.75):
                y = a + share * (b - a)
                for place in places:
                    assert max(math.dist((x, y), place) for x in (s.x0, s.x1)) > reach - SLIVER


@settings(deadline=None)
@given(days, st.lists(places_of_pump, min_size=1, max_size=3), reaches, places_of_pump)
def test_one_more_place_never_leaves_more_out_of_reach(day, places, reach, more):
    strips, upward = [s for s, _ in day], [up for _, up in day]

    def left(found):
        return sum(abs(b - a) for _, a, b in found.out_of_reach)

    before, after = (legs(strips, upward, p, reach) for p in (places, [*places, more]))
    assert left(after) <= left(before) + SLIVER * len(strips) * 2 * len(places)
    if not before.out_of_reach:
        assert after.moves <= before.moves


def fewest_by_sweeping(strips, upward, places, reach):
    """Second method: keep every place still possible; move when none is left.

    Exact for a row of sets, since a move may as well wait until it must come.
    """
    possible, moves = set(range(len(places))), 0
    for _, _, _, inside in allowed_pieces(strips, upward, places, reach):
        if inside:
            moves += not (possible & set(inside))
            possible = possible & set(inside) or set(inside)
    return moves


@pytest.mark.parametrize("reach", [20.0, 26.0, 32.0, 40.0])
def test_fewest_moves_on_a_large_floor_agree_with_a_sweep(reach):
    # 400 strips in two rows of bays, 3 places along one side of the floor.
    strips = [
        strip(0.4 * i, 0.4 * (i + 1), row * 15.0, (row + 1) * 15.0, f"{row}/{i}")
        for i in range(200)
        for row in (0, 1)
    ]
    upward = [i % 2 == 0 for i in range(400)]
    places = [(10.0, -4.0), (40.0, -4.0), (70.0, -4.0)]
    found = legs(strips, upward, places, reach)
    assert len(found.of) == 400
    assert found.moves == changes(found)[0] == fewest_by_sweeping(strips, upward, places, reach)
    assert found.moves >= 2
