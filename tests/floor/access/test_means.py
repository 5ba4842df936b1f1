"""Line pump and crane with skip: lengths, pipes, output and cycles worked by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.floor.access.means import (
    CraneSpeeds,
    hoist_cycle,
    line_course,
    line_length,
    output_share,
    pipes_changed,
    slew_angle,
)
from pourday.floor.strips import GAP, Strip

coordinate = st.integers(-400, 400).map(lambda i: i / 8)
points = st.tuples(coordinate, coordinate)
lengths = st.integers(0, 1600).map(lambda i: i / 8)


def strip(x0, x1, y0, y1):
    return Strip("A/gap 1", GAP, "A", 0, x0, x1, y0, y1, (x1 - x0) * (y1 - y0))


@st.composite
def rectangles(draw):
    x0, y0 = draw(coordinate), draw(coordinate)
    return strip(x0, x0 + draw(st.integers(1, 80)) / 8, y0, y0 + draw(st.integers(1, 400)) / 8)


# Length of the line.


def test_line_is_laid_square_from_the_entry_to_the_front():
    # Middle of the strip 5 m to the side; 2 m and 14 m along y; riser 12 m.
    assert line_length(strip(4, 6, 2, 14), True, (0.0, 0.0), 12.0) == (19.0, 31.0)
    assert line_length(strip(4, 6, 2, 14), False, (0.0, 0.0), 12.0) == (31.0, 19.0)


def test_line_from_the_far_end_draws_back():
    assert line_length(strip(4, 6, 2, 14), True, (5.0, 20.0), 0.0) == (18.0, 6.0)


@given(rectangles(), st.booleans(), points, lengths)
def test_line_lengths_swap_with_the_direction_of_the_front(wanted, upward, entry, riser):
    one = line_length(wanted, upward, entry, riser)
    assert one == line_length(wanted, not upward, entry, riser)[::-1]
    assert min(one) >= riser


@given(rectangles(), st.booleans(), points, lengths)
def test_no_line_is_shorter_than_the_straight_way(wanted, upward, entry, riser):
    ends = (wanted.y0, wanted.y1) if upward else (wanted.y1, wanted.y0)
    for length, y in zip(line_length(wanted, upward, entry, riser), ends, strict=True):
        straight = math.dist(entry, (wanted.middle, y))
        assert straight - 1e-9 <= length - riser <= math.sqrt(2) * straight + 1e-9


@given(rectangles(), st.booleans(), points, lengths)
def test_course_turns_only_where_the_front_passes_the_entry(wanted, upward, entry, riser):
    course = line_course(wanted, upward, entry, riser)
    assert (course[0], course[-1]) == line_length(wanted, upward, entry, riser)
    if wanted.y0 < entry[1] < wanted.y1:
        assert course[1:-1] == (riser + abs(wanted.middle - entry[0]),)
    else:
        assert len(course) == 2
    # Along each stretch of the course a metre of front is a metre of pipe.
    travelled = sum(abs(b - a) for a, b in pairwise(course))
    assert travelled == pytest.approx(wanted.y1 - wanted.y0)


def test_riser_shorter_than_nothing_is_refused():
    with pytest.raises(ValueError, match="riser"):
        line_length(strip(0, 1, 0, 1), True, (0.0, 0.0), -1.0)


# Pipes.


def test_pipes_are_counted_whole():
    # 31 m is 11 pipes of 3 m, 19 m is 7: four come off along the strip. Then 25 m, 9 pipes: two go
    # on before the next strip, and its end at 32 m takes two more.
    assert pipes_changed([(31.0, 19.0), (25.0, 32.0)], 3.0) == (4, 4)


def test_nothing_is_laid_before_the_first_strip():
    assert pipes_changed([(90.0, 90.0)], 3.0) == (0,)
    assert pipes_changed([(90.0, 90.0), (90.0, 90.0)], 3.0) == (0, 0)
    assert pipes_changed([], 3.0) == ()


def test_rounding_makes_no_pipe():
    # 0.1 + 0.2 is a little over 0.3 in binary: still one pipe of 0.3 m.
    assert pipes_changed([(0.1 + 0.2, 0.3)], 0.3) == (0,)
    assert pipes_changed([(3 * 1.1, 3.3)], 1.1) == (0,)


def test_line_that_shortens_and_grows_again_is_changed_twice():
    # 19 m, 13 m where the front passes the entry, 19 m: 7, 5, 7 pipes of 3 m.
    assert pipes_changed([(19.0, 13.0, 19.0)], 3.0) == (4,)


@pytest.mark.parametrize("pipe", [0.0, -3.0])
def test_pipe_needs_a_length(pipe):
    with pytest.raises(ValueError, match="pipe"):
        pipes_changed([(1.0, 2.0)], pipe)


@given(st.lists(st.tuples(lengths, lengths), min_size=1, max_size=8))
def test_the_day_backwards_changes_as_many_pipes(of):
    back = [(b, a) for a, b in reversed(of)]
    assert sum(pipes_changed(of, 3.0)) == sum(pipes_changed(back, 3.0))


@given(st.lists(st.tuples(lengths, lengths), min_size=1, max_size=8), st.integers(1, 48))
def test_pipes_changed_keep_within_one_of_the_metres(of, eighths):
    pipe = eighths / 8
    before = [of[0][0], *(end for _, end in of[:-1])]
    for changed, (start, end), last in zip(pipes_changed(of, pipe), of, before, strict=True):
        metres = abs(start - last) + abs(end - start)
        # Two differences, each within one pipe of its metres.
        assert abs(changed - metres / pipe) < 2 + 1e-9
        assert changed >= 0


# Output.


def test_output_falls_with_length_and_height():
    assert output_share(0.0, 0.0, 0.15, 0.05) == 1.0
    assert output_share(100.0, 0.0, 0.15, 0.05) == pytest.approx(0.85)
    assert output_share(60.0, 20.0, 0.15, 0.05) == pytest.approx(1 - 0.09 - 0.10)


def test_output_never_falls_below_nothing():
    assert output_share(400.0, 100.0, 0.30, 0.10) == 0.0


def test_pumping_down_gains_nothing():
    assert output_share(50.0, -10.0, 0.15, 0.05) == output_share(50.0, 0.0, 0.15, 0.05)


def test_metre_of_riser_counted_as_four_metres_of_line():
    # Loss on top of the riser's own length: (4 - 1) x 10 m of line for 10 m of rise.
    per_100m = 0.15
    on_top = (4 - 1) * 10.0 * per_100m / 100.0
    assert output_share(70.0, 20.0, per_100m, on_top) == pytest.approx(
        output_share(50.0 + 4 * 20.0, 0.0, per_100m, 0.0)
    )


@given(lengths, lengths, lengths, st.floats(0, 1), st.floats(0, 1))
def test_longer_or_higher_never_gives_more(length, rise, more, per_100m, per_10m):
    share = output_share(length, rise, per_100m, per_10m)
    assert 0.0 <= share <= 1.0
    assert output_share(length + more, rise, per_100m, per_10m) <= share
    assert output_share(length, rise + more, per_100m, per_10m) <= share


@pytest.mark.parametrize("wrong", [(-1.0, 0.0, 0.1, 0.1), (1.0, 0.0, -0.1, 0.1), (1, 0, 0.1, -0.1)])
def test_output_refuses_what_would_gain(wrong):
    with pytest.raises(ValueError, match="below 0"):
        output_share(*wrong)


# Crane and skip.


def test_hoist_cycle_one_after_the_other():
    # 30 m at 0.75 m/s is 40 s, a quarter turn at 0.6 turns a minute is 25 s.
    crane = CraneSpeeds(0.75, 0.6 * 2 * math.pi / 60)
    found = hoist_cycle(crane, 30.0, math.pi / 2, 60.0, 90.0)
    assert found == pytest.approx(60 + 40 + 25 + 90 + 40 + 25)


def test_hoist_cycle_at_the_same_time_takes_the_longer():
    crane = CraneSpeeds(0.75, 0.6 * 2 * math.pi / 60, overlap=True)
    quarter = hoist_cycle(crane, 30.0, math.pi / 2, 60.0, 90.0)
    assert quarter == pytest.approx(60 + 40 + 90 + 40)
    # Half a turn is 50 s and outlasts the hoist.
    half = hoist_cycle(crane, 30.0, math.pi, 60.0, 90.0)
    assert half == pytest.approx(60 + 50 + 90 + 50)


def test_floor_below_the_loading_place_takes_as_long():
    crane = CraneSpeeds(0.5, 0.1)
    assert hoist_cycle(crane, -6.0, 1.0, 1, 2) == hoist_cycle(crane, 6.0, 1.0, 1, 2)


positive = st.floats(0.01, 100)


@given(positive, positive, st.floats(0, 200), positive, st.floats(0, math.pi), positive)
def test_overlap_saves_at_most_the_shorter_of_the_two(fill, empty, height, hoist, angle, slew):
    apart, together = (
        hoist_cycle(CraneSpeeds(hoist, slew, overlap), height, angle, fill, empty)
        for overlap in (False, True)
    )
    saved = 2 * min(height / hoist, angle / slew)
    assert apart - together == pytest.approx(saved, rel=1e-6, abs=1e-9 * apart)
    assert together >= fill + empty


@pytest.mark.parametrize(
    "wrong",
    [
        {"fill": -1},
        {"empty": -1},
        {"crane": CraneSpeeds(0, 1)},
        {"angle": -1},
        {"crane": CraneSpeeds(1, 0)},
    ],
)
def test_hoist_cycle_refuses_what_is_no_time_or_speed(wrong):
    with pytest.raises(ValueError):
        hoist_cycle(**({"crane": CraneSpeeds(1, 1), "height": 1, "angle": 1} | wrong))


def test_slew_by_the_shorter_way():
    assert slew_angle((0, 0), (10, 0), (0, 5)) == pytest.approx(math.pi / 2)
    assert slew_angle((0, 0), (10, 0), (-3, 0)) == pytest.approx(math.pi)
    # From 170° to 190° and from 10° to 350°: 20°, not 340°.
    for one, other in ((170, 190), (10, 350)):
        a, b = (
            (20 * math.cos(math.radians(d)), 20 * math.sin(math.radians(d))) for d in (one, other)
        )
        assert slew_angle((0, 0), a, b) == pytest.approx(math.radians(20))
    assert slew_angle((5, 5), (5, 25), (5, 6)) == 0.0


def test_no_slew_to_the_foot_of_the_crane():
    for loading in ((10, 0), (-10, 0), (-10, -10), (3, 9)):
        assert slew_angle((3.0, 4.0), loading, (3.0, 4.0)) == 0.0
    assert slew_angle((3, 4), (3, 4), (10, 0)) == 0.0


@given(points, points, points, points)
def test_slew_is_a_distance_between_directions(crane, a, b, c):
    ab, ba = slew_angle(crane, a, b), slew_angle(crane, b, a)
    assert ab == pytest.approx(ba)
    assert 0.0 <= ab <= math.pi
    if crane not in (a, b, c):
        assert ab <= slew_angle(crane, a, c) + slew_angle(crane, c, b) + 1e-9


@given(points, points, points, st.integers(1, 8))
def test_slew_knows_no_radius(crane, a, b, times):
    further = tuple(c + times * (p - c) for c, p in zip(crane, b, strict=True))
    assert slew_angle(crane, a, further) == pytest.approx(slew_angle(crane, a, b), abs=1e-12)


@given(
    st.floats(-math.pi, math.pi), st.floats(-math.pi, math.pi), st.floats(1, 50), st.floats(1, 50)
)
def test_slew_is_the_difference_of_bearings(one, other, near, far):
    a = (near * math.cos(one), near * math.sin(one))
    b = (far * math.cos(other), far * math.sin(other))
    turn = abs(one - other)
    assert slew_angle((0.0, 0.0), a, b) == pytest.approx(min(turn, 2 * math.pi - turn), abs=1e-9)
