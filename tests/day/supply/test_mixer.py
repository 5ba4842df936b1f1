"""A plant's mixer: own loads, other customers, hours and stops."""

from __future__ import annotations

import math

import pytest
from builders.mixers import mixer as mixer_of
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.chance.streams import Stream
from pourday.day.windows import apart, finish, resume
from pourday.scenario.base.distribution import Distribution

SIX, SEVEN = 6 * 3600.0, 7 * 3600.0
BATCH = 60 / 3600  # m³/s: a load of 6 m³ takes 6 min
MINUTE = 60.0

calls = st.lists(st.tuples(st.floats(0, 3600), st.floats(0.5, 10)), max_size=12)
stop_lists = st.lists(
    st.tuples(st.floats(0, 20000), st.floats(0, 3000)).map(lambda s: (SIX + s[0], SIX + sum(s))),
    max_size=4,
)


def in_clock_order(gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Calls (now, volume) from gaps between them; the first may come before opening."""
    now, found = SIX - 1800.0, []
    for gap, volume in gaps:
        now += gap
        found.append((now, volume))
    return found


def others_arrivals(name: str, seed: int, opens: float, every: float, until: float) -> list[float]:
    stream = Stream(seed, f"other customers at {name}", Distribution("exponential", (every,)))
    found, now, k = [], opens + stream(0), 0
    while now <= until:
        found.append(now)
        k += 1
        now += stream(k)
    return found


def test_a_load_called_before_opening_waits_for_it_and_the_next_for_the_first():
    mixer = mixer_of("Mill Road", 1, BATCH, SIX)
    assert mixer.book(SIX - 600, 6.0) == pytest.approx((SIX, SIX + 6 * MINUTE))
    assert mixer.book(SIX, 3.0) == pytest.approx((SIX + 6 * MINUTE, SIX + 9 * MINUTE))
    assert mixer.free_at(SIX + 1) == pytest.approx(SIX + 9 * MINUTE)
    assert mixer.free_at(SEVEN) == SEVEN


@given(calls, st.floats(0.001, 0.1))
def test_without_others_and_stops_the_floats_are_those_of_a_plain_mixer(gaps, batch):
    mixer, free = mixer_of("Mill Road", 1, batch, SIX, SEVEN), SIX
    for now, volume in in_clock_order(gaps):
        assert mixer.free_at(now) == max(now, free)
        assert mixer.expected_at(now) == max(now, free)
        assert mixer.closed(now) == (max(now, free) > SEVEN)
        begin = max(now, free)
        free = begin + volume / batch
        assert mixer.book(now, volume) == (begin, free)


def test_a_stop_pauses_batching_and_delays_what_comes_after():
    # Stops 6:03 to 6:23, in the middle of the first load of 6 min.
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, stops=[(SIX + 3 * MINUTE, SIX + 23 * MINUTE)])
    assert mixer.book(SIX, 6.0) == pytest.approx((SIX, SIX + 26 * MINUTE))
    assert mixer.free_at(SIX) == pytest.approx(SIX + 26 * MINUTE)


def test_a_load_called_while_the_mixer_stands_begins_after_the_stop():
    stop = (SIX, SIX + 20 * MINUTE)
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, stops=[stop])
    assert mixer.free_at(SIX) == stop[1]
    assert mixer.book(SIX + MINUTE, 6.0) == pytest.approx((stop[1], stop[1] + 6 * MINUTE))


def test_a_mixer_that_stands_for_the_rest_of_the_day_takes_nothing():
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, SEVEN, stops=[(SIX + MINUTE, math.inf)])
    assert not mixer.closed(SIX)
    assert mixer.free_at(SIX + MINUTE) == math.inf
    assert mixer.closed(SIX + MINUTE)


def test_closed_means_that_a_load_would_begin_after_closing():
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, SIX + 6 * MINUTE)
    assert not mixer.closed(SIX)
    mixer.book(SIX, 6.5)
    assert mixer.closed(SIX)  # free at 6:06:30
    exact = mixer_of("Mill Road", 1, BATCH, SIX, SEVEN)
    assert not exact.closed(SEVEN)  # begins as the plant closes: still taken
    assert exact.closed(SEVEN + 1)
    stopped = mixer_of("Mill Road", 1, BATCH, SIX, SEVEN, stops=[(SEVEN - 60, SEVEN + 60)])
    assert not stopped.closed(SEVEN - 61)
    assert stopped.closed(SEVEN - 60)
    assert not mixer_of("Mill Road", 1, BATCH, SIX).closed(1e9)


def test_others_that_came_before_a_call_go_first_and_those_after_it_wait():
    every, volume = 1800.0, 8.0
    arrived = others_arrivals("Mill Road", 4, SIX, every, SIX + 20 * every)
    first, second = arrived[:2]
    work = volume / BATCH
    early = mixer_of("Mill Road", 4, BATCH, SIX, others_every=every, others_volume=volume)
    assert early.book(first - 1.0, 6.0)[0] == first - 1.0
    behind = mixer_of("Mill Road", 4, BATCH, SIX, others_every=every, others_volume=volume)
    assert behind.free_at(first) == pytest.approx(first + work)  # who comes as they do is second
    # The other customer who comes next waits for our load, if it is not done by then.
    end = behind.book(first, 60.0)[1]
    assert end == pytest.approx(first + work + 3600.0)
    assert second < end
    queued = sum(moment <= end for moment in arrived) - 1
    assert queued >= 1
    assert behind.free_at(end) == pytest.approx(end + queued * work)


@given(
    calls,
    stop_lists,
    st.integers(0, 50),
    st.floats(200, 4000),
    st.floats(0.5, 12),
    st.one_of(st.none(), st.floats(SIX, SIX + 15000)),
)
def test_bookings_are_those_of_one_queue_in_order_of_arrival(
    gaps, stops, seed, every, volume, closes
):
    # A second way to the same numbers: everybody who comes in one list, in order of arrival,
    # others before us where they come together, one after the other through the mixer.
    ours = in_clock_order(gaps)
    mixer = mixer_of("Far Field", seed, BATCH, SIX, closes, every, volume, stops)
    standing = apart(stops)
    until = ours[-1][0] if ours else SIX
    everybody = [
        (now, 0, volume) for now in others_arrivals("Far Field", seed, SIX, every, until)
    ] + [(now, 1, load) for now, load in ours]
    free, taken = SIX, []
    for now, is_ours, load in sorted(everybody, key=lambda one: one[:2]):
        begin = resume(max(now, free), standing)
        late = closes is not None and begin > closes
        if is_ours:
            assert mixer.free_at(now) == begin
            expected = mixer.expected_at(now)
            known = apart(stop for stop in standing if stop[0] <= now)
            queue = SIX
            for moment, before in taken:
                queue = finish(max(moment, queue), before / BATCH, known)
            assert expected == pytest.approx(resume(max(now, queue), known), abs=1e-6)
            assert expected <= begin + 1e-6  # what nobody knows of yet never makes it sooner
            assert mixer.closed(now) == (closes is not None and expected > closes)
        if late:
            continue
        free = finish(begin, load / BATCH, standing)
        taken.append((now, load))
        if is_ours:
            assert mixer.book(now, load) == (begin, free)


def test_a_stop_is_expected_only_once_it_has_begun():
    # Half an hour of loads is booked at 6:00; the mixer will stop from 6:10 to 6:50.
    stop = (SIX + 10 * MINUTE, SIX + 50 * MINUTE)
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, SIX + 60 * MINUTE, stops=[stop])
    for _ in range(5):
        mixer.book(SIX, 6.0)
    assert mixer.free_at(SIX) == pytest.approx(SIX + 70 * MINUTE)
    assert mixer.expected_at(SIX) == pytest.approx(SIX + 30 * MINUTE)
    assert mixer.expected_at(stop[0] - 1) == pytest.approx(SIX + 30 * MINUTE)
    assert not mixer.closed(stop[0] - 1)
    assert mixer.expected_at(stop[0]) == pytest.approx(SIX + 70 * MINUTE)
    assert mixer.closed(stop[0])


def test_a_queue_that_ran_empty_is_forgotten_when_the_next_is_expected():
    stops = [(SIX + 10 * MINUTE, SIX + 20 * MINUTE), (SIX + 65 * MINUTE, SIX + 90 * MINUTE)]
    mixer = mixer_of("Mill Road", 1, BATCH, SIX, stops=stops)
    mixer.book(SIX + 8 * MINUTE, 6.0)  # 2 min, rest, 4 min: to 6:24
    assert mixer.expected_at(SIX + 12 * MINUTE) == pytest.approx(SIX + 24 * MINUTE)
    mixer.book(SIX + 60 * MINUTE, 12.0)  # to 7:12 if nothing stops it
    assert mixer.expected_at(SIX + 61 * MINUTE) == pytest.approx(SIX + 72 * MINUTE)
    assert mixer.expected_at(SIX + 66 * MINUTE) == pytest.approx(SIX + 97 * MINUTE)


@given(calls, stop_lists, st.integers(0, 50))
def test_asking_changes_nothing(gaps, stops, seed):
    asked, quiet = (
        mixer_of("Far Field", seed, BATCH, SIX, SIX + 9000, 900.0, 6.0, stops) for _ in range(2)
    )
    before = SIX - 1800.0
    for now, volume in in_clock_order(gaps):
        for moment in (before, (before + now) / 2, now, now):
            asked.free_at(moment)
            asked.expected_at(moment)
            asked.closed(moment)
        before = now
        assert asked.book(now, volume) == quiet.book(now, volume)


def test_nobody_else_is_taken_after_closing():
    closes, every = SIX + 3600.0, 60.0  # far more than the mixer can do
    mixer = mixer_of("Mill Road", 2, BATCH, SIX, closes, every, 6.0)
    last = mixer.free_at(SIX + 40000.0)
    assert last == SIX + 40000.0
    busy = mixer_of("Mill Road", 2, BATCH, SIX, closes, every, 6.0)
    ends = busy.free_at(closes)
    assert closes < ends <= closes + 6 * MINUTE
    assert busy.free_at(closes + 1) == ends


def test_two_plants_have_other_customers_of_their_own_and_a_plant_the_same_ones_every_time():
    def busy(name: str, seed: int) -> list[float]:
        mixer = mixer_of(name, seed, BATCH, SIX, None, 600.0, 8.0)
        return [mixer.free_at(SIX + 600.0 * k) for k in range(1, 30)]

    assert busy("Mill Road", 3) == busy("Mill Road", 3)
    assert busy("Mill Road", 3) != busy("Far Field", 3)
    assert busy("Mill Road", 3) != busy("Mill Road", 4)


@pytest.mark.parametrize(("batch", "every"), [(0.0, None), (-1.0, None), (1.0, 0.0), (1.0, -5.0)])
def test_a_mixer_or_a_gap_of_nothing_is_refused(batch, every):
    with pytest.raises(ValueError, match="must be above 0"):
        mixer_of("Mill Road", 1, batch, SIX, others_every=every, others_volume=6.0)


def test_a_customer_whose_load_would_begin_just_as_the_plant_closes_is_still_taken():
    first = others_arrivals("Mill Road", 4, SIX, 1800.0, SIX + 36000.0)[0]
    exact = mixer_of("Mill Road", 4, BATCH, SIX, first, 1800.0, 6.0)
    assert exact.free_at(first) == pytest.approx(first + 6 * MINUTE)
    sooner = mixer_of("Mill Road", 4, BATCH, SIX, math.nextafter(first, 0), 1800.0, 6.0)
    assert sooner.free_at(first) == first


def test_a_customer_who_comes_in_a_stop_that_outlasts_the_day_is_not_taken():
    first, second = others_arrivals("Mill Road", 4, SIX, 1800.0, SIX + 36000.0)[:2]
    stop = (first - 1.0, second + 1.0)
    for more, queued in ((-0.5, 0), (0.0, 1), (6 * MINUTE + 1, 2)):
        mixer = mixer_of("Mill Road", 4, BATCH, SIX, stop[1] + more, 1800.0, 6.0, [stop])
        assert mixer.free_at(stop[1] - 0.5) == pytest.approx(stop[1] + queued * 6 * MINUTE)
