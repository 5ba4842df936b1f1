"""Ground on which two crews could come too near each other; by hand and by brute force."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from builders.pours import pour
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pourday.floor.access.zones import Shared, distance_kept, runs_under, shared_ground, too_near
from pourday.floor.cut import SheetRun
from pourday.floor.strips import GAP, Strip

SITE = pour().site  # 1 m round each crew, 3 m on one sheet run
RUNS = (SheetRun(1, (0.0, 3.0, 6.0)), SheetRun(2, (6.0, 9.0)))


def strip(x0: float, x1: float, y0: float = 0.0, y1: float = 10.0) -> Strip:
    return Strip(f"at {x0:g} {y0:g}", GAP, "1", 0, x0, x1, y0, y1, (x1 - x0) * (y1 - y0))


def spans(strips, fronts, site=SITE, runs=RUNS) -> list[list[tuple[float, float]]]:
    """Low and high y of the shared ground of every strip."""
    found = shared_ground(strips, fronts, runs, site)
    return [[(each.low, each.high) for each in mine] for mine in found]


def test_one_crew_shares_nothing():
    assert spans([strip(0, 3), strip(3, 6)], [0, 0]) == [[], []]


def test_strips_that_touch_are_shared_from_end_to_end():
    assert spans([strip(3, 6), strip(6, 9)], [0, 1]) == [[(0.0, 10.0)], [(0.0, 10.0)]]


def test_strips_of_the_same_front_do_not_count():
    # The middle strip lies between the two fronts' strips, 2 m wide: more than 1 m, on other runs.
    strips = [strip(4, 5), strip(5, 7), strip(7, 9)]
    runs = (SheetRun(1, (0.0, 5.0)), SheetRun(2, (5.0, 7.0)), SheetRun(3, (7.0, 9.0)))
    assert spans(strips, [0, 0, 1], runs=runs) == [[], [(0.0, 10.0)], [(0.0, 10.0)]]


def test_crews_on_one_sheet_run_keep_their_distance_along_it():
    # Lanes that meet at y = 6: 3 m to either side.
    strips = [strip(0, 2, 0, 6), strip(0, 2, 6, 12)]
    assert spans(strips, [0, 1]) == [[(3.0, 6.0)], [(6.0, 9.0)]]


def test_crews_on_different_runs_keep_the_working_zone_only():
    strips = [strip(4, 6, 0, 6), strip(6, 8, 6, 12)]
    assert spans(strips, [0, 1]) == [[(5.0, 6.0)], [(6.0, 7.0)]]


def test_a_strip_over_the_joint_lies_on_both_runs():
    assert runs_under(strip(5, 7), RUNS) == {1, 2}
    assert runs_under(strip(4, 6), RUNS) == {1}
    strips = [strip(5, 7, 0, 6), strip(7, 9, 6, 12)]
    assert spans(strips, [0, 1]) == [[(3.0, 6.0)], [(6.0, 9.0)]]


def test_across_a_gap_pythagoras_says_what_is_left_along_the_strip():
    # 0.6 m across: 0.8 m along, to make 1 m.
    runs = (SheetRun(1, (0.0, 3.0)), SheetRun(2, (3.0, 9.0)))
    strips = [strip(0, 2.4), strip(3, 5, 4, 6)]
    assert spans(strips, [0, 1], runs=runs) == [
        [pytest.approx((3.2, 6.8))],
        [(4.0, 6.0)],
    ]


def test_pieces_that_overlap_become_one_and_others_stay_apart():
    runs = (SheetRun(1, (0.0, 3.0)), SheetRun(2, (3.0, 9.0)))
    near = [strip(3, 5, 1, 2), strip(3, 5, 3.5, 4.5), strip(3, 5, 8, 9)]
    # 0 to 3, 2.5 to 5.5, 7 to 10
    assert spans([strip(0, 3), *near], [0, 1, 1, 1], runs=runs)[0] == [(0.0, 5.5), (7.0, 10.0)]


def test_the_larger_distance_counts_on_one_run():
    near = replace(SITE, working_zone=4.0, crews_apart=3.0)
    assert distance_kept(frozenset({1}), frozenset({1, 2}), near) == 4.0
    assert distance_kept(frozenset({1}), frozenset({2}), SITE) == 1.0
    assert distance_kept(frozenset({1}), frozenset({1}), SITE) == 3.0


def test_two_pieces_of_ground_that_just_keep_the_distance_are_not_too_near():
    one = Shared(0, 0.0, 2.0, 0.0, 4.0, frozenset({1}))
    other = Shared(1, 0.0, 2.0, 7.0, 9.0, frozenset({1}))
    assert not too_near(one, other, SITE)
    assert too_near(one, replace(other, low=6.9), SITE)
    assert not too_near(one, replace(other, low=5.0, runs=frozenset({2})), SITE)


EIGHTH = st.integers(0, 96).map(lambda n: n / 8)


@st.composite
def floors(draw):
    """Strips of any sizes, of two or three fronts, on runs cut at random."""
    marks = draw(st.lists(st.integers(2, 94).map(lambda n: n / 8), unique=True, max_size=4))
    ends = [0.0, *sorted(marks), 12.0]
    runs = [SheetRun(n, pair) for n, pair in enumerate(pairwise(ends), start=1)]
    strips = []
    for _ in range(draw(st.integers(2, 7))):
        (x0, x1), (y0, y1) = (sorted((draw(EIGHTH), draw(EIGHTH))) for _ in range(2))
        assume(x0 < x1 and y0 < y1)
        strips.append(strip(x0, x1, y0, y1))
    fronts = [draw(st.integers(0, 2)) for _ in strips]
    site = replace(
        SITE,
        working_zone=draw(st.sampled_from([0.3, 1.0, 2.5])),
        crews_apart=draw(st.sampled_from([0.2, 3.0, 6.0])),
    )
    return strips, fronts, runs, site


def on_one_run(a: Strip, b: Strip, runs) -> bool:
    return any(
        all(s.x0 < run.supports[-1] and s.x1 > run.supports[0] for s in (a, b)) for run in runs
    )


def slack(strips, fronts, runs, site, i: int, y: float) -> float:
    """How much further (m) than it must be the nearest strip of another front is from a crew."""
    mine, least = strips[i], math.inf
    for other, front in zip(strips, fronts, strict=True):
        if front == fronts[i]:
            continue
        across = max(0.0, mine.x0 - other.x1, other.x0 - mine.x1)
        along = max(0.0, y - other.y1, other.y0 - y)
        kept = site.working_zone
        if on_one_run(mine, other, runs):
            kept = max(kept, site.crews_apart)
        least = min(least, math.hypot(across, along) - kept)
    return least


@settings(max_examples=300)
@given(floors(), st.data())
def test_shared_is_what_is_too_near_to_another_fronts_strip_and_nothing_else(floor, data):
    strips, fronts, runs, site = floor
    found = shared_ground(strips, fronts, runs, site)
    for i, mine in enumerate(strips):
        edges = [y for each in found[i] for y in (each.low, each.high)]
        share = data.draw(st.floats(0.0, 1.0))
        for y in [mine.y0 + share * (mine.y1 - mine.y0), mine.y0, mine.y1, *edges]:
            room = slack(strips, fronts, runs, site, i, y)
            inside = any(each.low < y < each.high for each in found[i])
            if room < -1e-6 and not any(abs(y - edge) < 1e-6 for edge in edges):
                assert inside
            if inside:
                assert room < 1e-6
        for each in found[i]:
            assert mine.y0 <= each.low < each.high <= mine.y1
            for y, end in ((each.low, mine.y0), (each.high, mine.y1)):
                if y != end:  # the ground ends where crews are just far enough apart
                    room = slack(strips, fronts, runs, site, i, y)
                    assert room == pytest.approx(0.0, abs=1e-6)


@settings(max_examples=300)
@given(floors(), st.data())
def test_crews_in_ground_that_is_not_too_near_keep_their_distance(floor, data):
    strips, fronts, runs, site = floor
    pieces = [each for mine in shared_ground(strips, fronts, runs, site) for each in mine]
    assume(len(pieces) >= 2)
    one, other = data.draw(st.sampled_from(pieces)), data.draw(st.sampled_from(pieces))
    assert too_near(one, other, site) == too_near(other, one, site)
    if too_near(one, other, site):
        return
    share = st.floats(0.0, 1.0)
    y = [each.low + data.draw(share) * (each.high - each.low) for each in (one, other)]
    a, b = strips[one.strip], strips[other.strip]
    across = max(0.0, a.x0 - b.x1, b.x0 - a.x1)
    kept = site.working_zone
    if on_one_run(a, b, runs):
        kept = max(kept, site.crews_apart)
    assert math.hypot(across, y[0] - y[1]) >= kept - 1e-6
