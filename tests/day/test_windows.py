"""Work that rests in windows: worked by hand, and as properties of any day."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.windows import Window, apart, finish, resume

STOPS = ((100.0, 130.0), (200.0, 210.0))

whole = st.integers(0, 2000).map(float)  # sums of whole seconds are exact
seconds = st.floats(0, 2000)


def any_windows(moment: st.SearchStrategy[float]) -> st.SearchStrategy[list[Window]]:
    return st.lists(st.tuples(moment, moment).map(lambda w: (min(w), max(w))), max_size=6)


def worked(begin: float, end: float, windows: tuple[Window, ...]) -> Fraction:
    """Running time from begin to end, exactly."""
    b, e = Fraction(begin), Fraction(end)
    rested = sum(
        (max(Fraction(0), min(e, Fraction(to)) - max(b, Fraction(at))) for at, to in windows),
        Fraction(0),
    )
    return e - b - rested


@pytest.mark.parametrize(
    ("begin", "work", "end"),
    [
        (10.0, 50.0, 60.0),  # done before the first stop
        (10.0, 90.0, 100.0),  # done as the stop begins
        (10.0, 91.0, 131.0),  # one second is left for after it
        (110.0, 20.0, 150.0),  # would begin inside: begins at 130
        (100.0, 20.0, 150.0),  # would begin as the stop begins
        (130.0, 20.0, 150.0),  # begins as the stop ends
        (90.0, 85.0, 215.0),  # 10 s, rest, 70 s, rest, 5 s
        (300.0, 7.0, 307.0),  # after the last
        (110.0, 0.0, 130.0),  # even no work cannot be done inside
        (100.0, 0.0, 100.0),
    ],
)
def test_work_rests_in_windows_and_goes_on(begin, work, end):
    assert finish(begin, work, STOPS) == end


def test_a_window_for_the_rest_of_the_day_is_never_over():
    assert finish(10.0, 20.0, ((20.0, math.inf),)) == math.inf
    assert finish(50.0, 0.0, ((20.0, math.inf),)) == math.inf
    assert resume(50.0, ((20.0, math.inf),)) == math.inf
    assert finish(10.0, 10.0, ((20.0, math.inf),)) == 20.0


def test_windows_that_touch_or_overlap_become_one_and_empty_ones_go():
    rough = [(50.0, 60.0), (0.0, 10.0), (30.0, 30.0), (55.0, 58.0), (10.0, 20.0), (59.0, 70.0)]
    assert apart(rough) == ((0.0, 20.0), (50.0, 70.0))
    assert apart([(5.0, 4.0)]) == ()
    assert apart([]) == ()


@pytest.mark.parametrize(
    ("at", "first"), [(99.0, 99.0), (100.0, 130.0), (129.0, 130.0), (130.0, 130.0), (500.0, 500.0)]
)
def test_running_resumes_at_the_end_of_a_window(at, first):
    assert resume(at, STOPS) == first
    assert resume(at, ()) == at


@given(any_windows(whole), whole)
def test_a_moment_is_inside_a_window_before_and_after_they_are_set_apart(windows, at):
    found = apart(windows)
    inside = [any(begin <= at < end for begin, end in group) for group in (windows, found)]
    assert inside[0] == inside[1]
    assert all(begin < end for begin, end in found)
    assert all(one[1] < other[0] for one, other in pairwise(found))
    assert (resume(at, found) > at) == inside[0]


@given(seconds, seconds)
def test_without_windows_work_ends_at_the_same_float(begin, work):
    assert finish(begin, work, ()) == begin + work


@given(seconds, seconds, any_windows(seconds))
def test_where_no_window_is_met_work_ends_at_the_same_float(begin, work, windows):
    far = apart(w for w in windows if w[1] <= begin or w[0] >= begin + work)
    assert finish(begin, work, far) == begin + work


@given(seconds, seconds, any_windows(seconds), st.lists(seconds, max_size=4))
def test_windows_of_no_length_change_nothing(begin, work, windows, moments):
    more = windows + [(moment, moment) for moment in moments]
    assert finish(begin, work, apart(more)) == finish(begin, work, apart(windows))


@given(seconds, seconds, any_windows(seconds))
def test_the_running_time_between_begin_and_end_is_the_work(begin, work, windows):
    found = apart(windows)
    end = finish(begin, work, found)
    # The running time does not jump at a window, as the end does: rounding stays rounding.
    assert float(worked(begin, end, found)) == pytest.approx(work, abs=1e-9)
    # Nothing ends inside a window; at its begin it may.
    assert not any(at < end < to for at, to in found)


@given(whole, whole, whole, any_windows(whole))
def test_work_in_two_parts_ends_when_the_whole_does(begin, one, other, windows):
    found = apart(windows)
    assert finish(finish(begin, one, found), other, found) == finish(begin, one + other, found)


@given(seconds, seconds, seconds, any_windows(seconds))
def test_work_in_two_parts_of_any_length_takes_the_same_running_time(begin, one, other, windows):
    found = apart(windows)
    parts = finish(finish(begin, one, found), other, found)
    together = finish(begin, one + other, found)
    assert float(worked(begin, parts, found)) == pytest.approx(
        float(worked(begin, together, found)), abs=1e-9
    )


@given(seconds, seconds, seconds, seconds, any_windows(seconds))
def test_later_or_longer_work_never_ends_earlier(one, other, work, more, windows):
    found = apart(windows)
    early, late = min(one, other), max(one, other)
    short, long = min(work, more), max(work, more)
    assert finish(early, work, found) <= finish(late, work, found)
    assert finish(one, short, found) <= finish(one, long, found)


@given(whole, whole, any_windows(whole), whole, st.integers(0, 500).map(float))
def test_one_more_window_never_ends_work_earlier_nor_later_than_its_length(
    begin, work, windows, at, length
):
    without = finish(begin, work, apart(windows))
    with_it = finish(begin, work, apart([*windows, (at, at + length)]))
    assert with_it >= without
    # It may push work into windows it had passed before, never by more running time than it has.
    assert worked(without, with_it, apart(windows)) <= length
