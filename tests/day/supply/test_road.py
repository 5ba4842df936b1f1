"""Trips through rush hours and closures: worked by hand, against an integral, as properties."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.supply.road import Rush, arrival, depart_for
from pourday.day.windows import Window, apart, finish

RUSH = ((1000.0, 1600.0, 2.0),)
CLOSED = ((1000.0, 1600.0),)

seconds = st.floats(0, 5000)
whole = st.integers(0, 5000).map(float)
factors = st.floats(0.5, 5)


def windows(moment: st.SearchStrategy[float]) -> st.SearchStrategy[list[Window]]:
    return st.lists(st.tuples(moment, moment).map(lambda w: (min(w), max(w))), max_size=4)


rushes = st.lists(
    st.tuples(seconds, seconds, factors).map(lambda r: (min(r[:2]), max(r[:2]), r[2])), max_size=4
)


def driven(begin: float, end: float, rush: list[Rush], closed: list[Window]) -> float:
    """Free-road seconds done from begin to end: the integral of 1 / factor, in fractions.

    Written by cutting at every begin and end and judging each piece by its middle.
    """
    moments = {m for w in rush for m in w[:2]} | {m for w in closed for m in w}
    cuts = sorted({begin, end} | {m for m in moments if begin < m < end})
    done = Fraction(0)
    for at, to in pairwise(cuts):
        middle = (Fraction(at) + Fraction(to)) / 2
        if any(b < middle < e for b, e in closed):
            continue
        factor = Fraction(1)
        for b, e, slower in rush:
            if b < middle < e:
                factor *= Fraction(slower)
        done += (Fraction(to) - Fraction(at)) / factor
    return float(done)


@pytest.mark.parametrize(
    ("depart", "travel", "there"),
    [
        (100.0, 900.0, 1000.0),  # there as it begins
        (100.0, 1000.0, 1200.0),  # 900 s free, the last 100 s take 200 s
        (1000.0, 300.0, 1600.0),  # just through
        (1000.0, 400.0, 1700.0),  # 300 s in 600 s, then 100 s free
        (1400.0, 150.0, 1650.0),  # 100 s in 200 s, then 50 s free
        (1600.0, 50.0, 1650.0),  # leaves as it ends
        (400.0, 1000.0, 1700.0),  # 600 s free, 300 s in 600 s, 100 s free
    ],
)
def test_a_trip_is_followed_through_the_rush_hour(depart, travel, there):
    assert arrival(depart, travel, RUSH, ()) == there
    assert depart_for(there, travel, RUSH) == depart


def test_rush_hours_that_overlap_multiply():
    # Twice as slow from 1000, thrice from 1300, both to 1600: 150 s and 50 s of way, then 100 s.
    both = ((1000.0, 1600.0, 2.0), (1300.0, 1600.0, 3.0))
    assert arrival(1000.0, 300.0, both, ()) == 1700.0
    assert arrival(1000.0, 300.0, both[::-1], ()) == 1700.0
    assert depart_for(1700.0, 300.0, both) == 1000.0


@pytest.mark.parametrize(
    ("depart", "travel", "there"),
    [
        (400.0, 600.0, 1000.0),
        (400.0, 601.0, 1601.0),
        (1000.0, 10.0, 1610.0),
        (1300.0, 10.0, 1610.0),
        (1600.0, 10.0, 1610.0),
        (1000.0, 0.0, 1000.0),  # there already
        (1300.0, 0.0, 1600.0),
    ],
)
def test_a_truck_stands_while_the_road_is_closed(depart, travel, there):
    assert arrival(depart, travel, (), CLOSED) == there


def test_rush_hour_and_closure_on_one_trip():
    # Leaves at 900: 100 s free, 50 s of way until 1100, stands to 1500 (the rush hour goes on),
    # 50 s of way until 1600, 30 s free.
    assert arrival(900.0, 230.0, RUSH, [(1100.0, 1500.0)]) == 1630.0
    # The rush hour begins and ends behind the closure: nobody notices.
    assert arrival(900.0, 230.0, RUSH, [(950.0, 1700.0)]) == 1880.0


def test_closures_may_overlap_and_come_in_any_order():
    closed = [(1500.0, 1900.0), (1000.0, 1200.0), (1100.0, 1600.0)]
    assert arrival(900.0, 200.0, (), closed) == 2000.0


def test_a_road_closed_for_the_rest_of_the_day_lets_nobody_through():
    assert arrival(900.0, 200.0, RUSH, [(1000.0, math.inf)]) == math.inf
    assert arrival(900.0, 100.0, RUSH, [(1000.0, math.inf)]) == 1000.0
    assert arrival(2000.0, 1.0, (), [(1000.0, math.inf)]) == math.inf


@given(seconds, seconds)
def test_on_a_free_road_the_floats_are_the_plain_sum_and_difference(depart, travel):
    assert arrival(depart, travel, (), ()) == depart + travel
    assert depart_for(depart, travel, ()) == depart - travel


@given(
    seconds,
    seconds,
    rushes,
    windows(seconds),
    st.lists(seconds, max_size=3),
    windows(seconds),
    factors,
)
def test_windows_of_no_length_or_factor_1_or_off_the_trip_change_no_bit(
    depart, travel, rush, closed, moments, usual, factor
):
    none = [(m, m, factor) for m in moments]
    same = [(begin, end, 1.0) for begin, end in usual]
    nowhere = [(m, m) for m in moments]
    there = arrival(depart, travel, rush, closed)
    assert arrival(depart, travel, none + same + rush, nowhere + closed) == there
    off_rush = [r for r in rush if r[1] <= depart or r[0] >= depart + travel]
    off = [w for w in closed if w[1] <= depart or w[0] >= depart + travel]
    assert arrival(depart, travel, off_rush, off) == depart + travel


def test_a_rush_hour_of_factor_1_splits_no_sum():
    depart, travel, begin = 82.3, 2324.5, 822.6
    assert begin + (travel - (begin - depart)) != depart + travel
    assert arrival(depart, travel, ((begin, 4e4, 1.0),), ()) == depart + travel


@given(seconds, seconds, rushes, windows(seconds))
def test_the_way_done_between_leaving_and_arriving_is_the_whole_way(depart, travel, rush, closed):
    there = arrival(depart, travel, rush, closed)
    assert driven(depart, there, rush, closed) == pytest.approx(travel, abs=1e-8)


@given(seconds, seconds, seconds, rushes, windows(seconds))
def test_leaving_later_never_arrives_earlier(one, other, travel, rush, closed):
    early, late = min(one, other), max(one, other)
    assert arrival(early, travel, rush, closed) <= arrival(late, travel, rush, closed)


def test_a_trip_that_a_stretch_does_not_finish_is_not_there_before_its_end():
    # Found by search: rounding leaves -4e-16 s of way at the end of the first rush window.
    depart, travel, until = -17.151497027206236, 3.836106654401407, 0.00021249056562520213
    slow, slower = 4.471124257739973, 4.881988562718613
    assert depart + travel * slow > until
    assert arrival(depart, travel, ((-99.0, until, slow), (until, 99.0, slower)), ()) >= until


@given(seconds, seconds, seconds, rushes, windows(seconds))
def test_a_longer_way_never_arrives_earlier(depart, one, other, rush, closed):
    short, long = min(one, other), max(one, other)
    assert arrival(depart, short, rush, closed) <= arrival(depart, long, rush, closed)


@given(whole, whole, windows(whole))
def test_closures_alone_are_work_that_rests(depart, travel, closed):
    assert arrival(depart, travel, (), closed) == finish(depart, travel, apart(closed))


@given(seconds, seconds, rushes)
def test_who_leaves_as_planned_is_there_on_time_and_no_earlier(arrive, travel, rush):
    depart = depart_for(arrive, travel, rush)
    assert arrival(depart, travel, rush, ()) == pytest.approx(arrive, abs=1e-8)
    # Latest: the time left over would be way not driven.
    assert driven(depart, arrive, rush, []) == pytest.approx(travel, abs=1e-8)


@given(seconds, seconds, seconds, rushes)
def test_planning_for_later_never_leaves_earlier(one, other, travel, rush):
    early, late = min(one, other), max(one, other)
    assert depart_for(early, travel, rush) <= depart_for(late, travel, rush)
