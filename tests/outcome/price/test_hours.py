"""Paid hours by band, against a second reckoning minute by minute."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.outcome.price.hours import paid_time, weekday_at
from pourday.scenario.model.prices import Overtime, Prices

HOUR, DAY = 3600.0, 86400.0
MONDAY, FRIDAY, SATURDAY = 0, 4, 5
PLAIN = Prices("EUR", 0, 0, 40 / HOUR, 8 * HOUR, 4 * HOUR, 12 * HOUR, 1.5, 0, 0, 0, 0)


def by_the_minute(begin, end, breaks, prices, weekday):
    """Hours (plain, least, bands, night extra, weekend extra) of whole minutes, each by itself."""
    inside = [(at, at + n) for at, n in breaks if begin < at and at + n < end]
    skipped = [] if prices.breaks_paid else inside
    minutes = [
        begin + 60 * k
        for k in range(round((end - begin) / 60))
        if not any(a <= begin + 60 * k < b for a, b in skipped)
    ]
    worked = len(minutes)
    minutes += [end + 60 * k for k in range(max(0, round(prices.least_paid / 60) - worked))]
    plain = least = night = weekend = 0.0
    bands = [0.0] * len(prices.bands)
    for k, at in enumerate(minutes):
        band = sum(60 * k >= each.after for each in prices.bands)
        factor = prices.bands[band - 1].factor if band else 1.0
        if band:
            bands[band - 1] += 60
        elif k < worked:
            plain += 60
        else:
            least += 60
        clock = at % DAY
        a, b = prices.night_begins, prices.night_ends
        dark = a <= clock < b if a <= b else not b <= clock < a
        by_night = prices.night_factor if dark else 1.0
        today = (weekday + at // DAY) % 7
        by_day = {5: prices.saturday_factor, 6: prices.sunday_factor}.get(today, 1.0)
        if prices.premiums == "added":
            night += 60 * (by_night - 1)
            weekend += 60 * (by_day - 1)
        else:  # the largest of the three counts, and is shared out in this order
            paid = factor
            night += 60 * max(0.0, by_night - paid)
            paid = max(paid, by_night)
            weekend += 60 * max(0.0, by_day - paid)
    return plain, least, tuple(bands), night, weekend


FACTORS = st.sampled_from([1.0, 1.2, 1.5, 2.0])


@settings(max_examples=150, deadline=None)
@given(
    begin=st.integers(-300, 1800),
    length=st.integers(0, 720),
    at=st.integers(0, 2000),
    weekday=st.integers(0, 6),
    night=st.sampled_from([(22, 6), (0, 5), (20, 24), (13, 15)]),
    factors=st.tuples(FACTORS, FACTORS, FACTORS),
    rest=st.tuples(st.booleans(), st.sampled_from(["largest", "added"]), st.integers(0, 8)),
)
def test_bands_are_those_of_every_minute_by_itself(
    begin, length, at, weekday, night, factors, rest
):
    prices = replace(
        PLAIN,
        overtime=(Overtime(4 * HOUR, 1.25), Overtime(7 * HOUR, 1.5)),
        night_begins=night[0] * HOUR,
        night_ends=night[1] % 24 * HOUR,
        night_factor=factors[0],
        saturday_factor=factors[1],
        sunday_factor=factors[2],
        breaks_paid=rest[0],
        premiums=rest[1],
        least_paid=rest[2] * HOUR,
    )
    day = (begin * 60.0, (begin + length) * 60.0, [(at * 60.0, 1800.0)], prices, weekday)
    paid, slow = paid_time(*day), by_the_minute(*day)
    assert (paid.plain, paid.least) == pytest.approx(slow[:2])
    assert paid.overtime == pytest.approx(slow[2])
    assert (paid.night_extra, paid.weekend_extra) == pytest.approx(slow[3:])


def test_overtime_in_bands():
    prices = replace(PLAIN, overtime=(Overtime(8 * HOUR, 1.25), Overtime(10 * HOUR, 2.0)))
    paid = paid_time(6 * HOUR, 17 * HOUR, [], prices, MONDAY)
    assert (paid.plain, paid.overtime) == (8 * HOUR, (2 * HOUR, 1 * HOUR))


def test_without_bands_the_shift_and_its_factor_are_the_only_one():
    paid = paid_time(6 * HOUR, 15 * HOUR, [], PLAIN, MONDAY)
    assert (paid.plain, paid.overtime) == (8 * HOUR, (1 * HOUR,))
    assert PLAIN.bands == (Overtime(8 * HOUR, 1.5),)


def test_unpaid_breaks_are_taken_off_and_make_no_overtime():
    breaks = [(9 * HOUR, 0.5 * HOUR), (20 * HOUR, 0.5 * HOUR)]
    unpaid = replace(PLAIN, breaks_paid=False)
    assert paid_time(6 * HOUR, 14.5 * HOUR, breaks, unpaid, MONDAY).overtime == (0.0,)
    assert paid_time(6 * HOUR, 14.5 * HOUR, breaks, PLAIN, MONDAY).overtime == (0.5 * HOUR,)


def test_friday_s_night_is_saturday_after_midnight():
    assert [weekday_at(h * HOUR, FRIDAY) for h in (-1, 0, 23, 24, 48)] == [3, 4, 4, 5, 6]
    prices = replace(PLAIN, saturday_factor=1.5)
    paid = paid_time(22 * HOUR, 26 * HOUR, [], prices, FRIDAY)
    assert (paid.weekend, paid.weekend_extra) == (2 * HOUR, 1 * HOUR)
    assert paid_time(22 * HOUR, 26 * HOUR, [], prices, MONDAY).weekend == 0.0
