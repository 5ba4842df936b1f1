"""The calendar of a day at 20 °C throughout, worked by hand.

One load batched at 07:40 on 1 March 2027, the last of it placed at 09:40. fck 30, fcm 38 MPa.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from builders.made_days import TWO, WHOLE, day, measured_day, pour_with
from builders.pours import basis_of, pour

from pourday.concrete.strength import characteristic_strength
from pourday.outcome.base.fronts import fronts
from pourday.outcome.concrete.calendar import age_at_strength, calendar, strengths

PIECE = (0, 0, 100, 0, 1, -20)
BATCHED = datetime(2027, 3, 1, 7, 40)
FORBIDDEN = ("safe", " may ", "allowed", "permitted", "can be", "ready to", "released")


def dated(pieces=(PIECE,), curing=None, mix=None):
    scenario = pour_with(
        floor=TWO, plan=WHOLE, curing={"later_C": 20} | (curing or {}), mix=mix or {}
    )  # fmt: skip
    outcome = measured_day(scenario, *pieces)
    return outcome.calendar


def line(lines, what):
    found = [each for each in lines if what in each.what]
    assert len(found) == 1
    return found[0]


def test_curing_starts_at_final_set_and_both_times_count_from_there():
    # Final set 7 h after batching.
    lines = dated()
    assert line(lines, "last concrete placed").when == datetime(2027, 3, 1, 9, 40)
    assert line(lines, "curing starts").when == datetime(2027, 3, 1, 14, 40)
    assert line(lines, "damp curing is planned").when == datetime(2027, 3, 8, 14, 40)
    assert line(lines, "props stay").when == datetime(2027, 3, 29, 14, 40)
    assert [each.when for each in lines] == sorted(each.when for each in lines)


def test_a_month_without_damp_curing_or_props_has_no_such_lines():
    lines = dated(curing={"damp_days": 0, "props_days": 0, "strip_at_MPa": 0})
    assert not [each for each in lines if "damp curing is" in each.what or "props" in each.what]
    assert not [each for each in lines if "MPa" in each.what]


@pytest.mark.parametrize(
    ("cement", "s", "week"), [("R", 0.20, 23.11), ("N", 0.25, 21.59), ("S", 0.38, 17.99)]
)
def test_strength_at_20_degrees_by_hand(cement, s, week):
    # EN 1992-1-1 3.1.2(6): fcm(t) = fcm exp(s (1 - sqrt(28/t))); fck(t) = fcm(t) - 8. At 7 days
    # that is 38 exp(-s) - 8: 23.11, 21.59 and 17.99 MPa for R, N and S. Ages count from batching,
    # two hours before the last of the load was placed, from which the calendar counts.
    scenario = pour_with(
        floor=TWO, plan=WHOLE, curing={"later_C": 20}, mix={"cement_class": cement}
    )
    basis = basis_of(scenario)
    found = strengths(basis, fronts(basis, day(scenario, PIECE)), basis.air)
    assert [each.days for each in found] == [1, 3, 7, 14, 28]
    for each in found:
        age = each.days + 2 / 24
        assert each.age == pytest.approx(age, rel=1e-6)
        mean = 38e6 * math.exp(s * (1 - math.sqrt(28 / min(age, 28))))
        assert each.mean == pytest.approx(mean, rel=1e-6)
        expected = mean - 8e6 if age > 3 else math.nan
        assert each.characteristic == pytest.approx(expected, rel=1e-6, nan_ok=True)
    assert 38 * math.exp(-s) - 8 == pytest.approx(week, abs=0.01)
    assert found[2].characteristic / 1e6 == pytest.approx(week, abs=0.15)


def test_the_day_on_which_20_mpa_are_expected_by_hand():
    # 28 = 38 exp(0.25 (1 - sqrt(28/t))): sqrt(28/t) = 1 - ln(28/38)/0.25 = 2.2215, t = 5.673 days.
    assert age_at_strength(20e6, 30e6, "N") == pytest.approx(5.6735, abs=1e-3)
    expected = BATCHED + timedelta(days=age_at_strength(20e6, 30e6, "N"))
    got = line(dated(curing={"strip_at_MPa": 20}), "reaches 20 MPa").when
    assert abs(got - expected) <= timedelta(seconds=31)


@pytest.mark.parametrize("cement", ["R", "N", "S"])
def test_the_age_at_a_strength_has_that_strength(cement):
    for wanted in np.linspace(19e6, 29.9e6, 7):
        days = age_at_strength(wanted, 30e6, cement)
        assert characteristic_strength(38e6, days + 1e-9, cement) == pytest.approx(wanted, rel=1e-6)


def test_no_date_before_the_clause_begins_and_none_past_the_strength_of_the_mix():
    assert age_at_strength(5e6, 30e6, "N") == 3.0
    assert age_at_strength(30e6, 30e6, "N") == pytest.approx(28.0)
    assert age_at_strength(31e6, 30e6, "N") == math.inf
    assert "not expected" in line(dated(curing={"strip_at_MPa": 40}), "40 MPa").what


def test_cold_later_days_put_the_strength_off():
    # At 5 °C throughout a day counts exp(5000 (1/293.15 - 1/278.15)) = 0.399 of one at 20 °C.
    warm, cold = dated(), dated(curing={"later_C": 5})
    assert line(cold, "reaches").when > line(warm, "reaches").when + timedelta(days=5)
    scenario = pour_with(floor=TWO, plan=WHOLE, curing={"later_C": 5}, slab={"depth_mm": 60})
    basis = basis_of(scenario)
    found = strengths(basis, fronts(basis, day(scenario, PIECE)), basis.air)
    # 20 °C from 07:40 to midnight (16.333 h), then the slab comes down to 5 °C with its time
    # constant of about 1.5 h, worth less than two more hours, until 09:40 on the 28th day after.
    rate = math.exp(5000 * (1 / 293.15 - 1 / 278.15))
    expected = (16 + 1 / 3) / 24 + rate * (28 - (14 + 1 / 3) / 24)
    assert rate == pytest.approx(0.399, abs=1e-3)
    assert 0.0 < found[-1].age - expected < 2.0 / 24


def test_every_line_names_its_source_and_none_permits_anything():
    for curing in ({}, {"strip_at_MPa": 40}, {"strip_at_MPa": 5}, {"later_C": -3}):
        for each in dated(curing=curing):
            assert each.source
            text = f"{each.what} {each.detail} {each.source} ".lower()
            assert not [word for word in FORBIDDEN if word in text]
            if "props stay" in each.what or "MPa" in each.what:
                assert "engineer's decision" in each.detail


def test_where_nothing_was_placed_there_are_no_dates():
    scenario = pour(floor=TWO, plan=WHOLE)
    basis = basis_of(scenario)
    found = fronts(basis, replace(day(scenario, PIECE), stretches=()))
    assert calendar(basis, found, basis.air, basis.relax) == ()
    assert strengths(basis, found, basis.air) == ()


def test_curing_starts_strip_by_strip():
    # Two strips, the second batched two hours after the first: final set at 14:40 and 16:40.
    lines = dated(pieces=(PIECE, (1, 120, 220, 0, 1, 100)))
    assert line(lines, "curing starts on the first strip").when == datetime(2027, 3, 1, 14, 40)
    assert line(lines, "curing starts on the last strip").when == datetime(2027, 3, 1, 16, 40)


@pytest.mark.parametrize(
    ("later", "mix", "exposure", "days"),
    [
        (20, {}, "other", 2),  # CEM 42.5N: medium
        (20, {"cement_class": "R"}, "other", 1),
        (20, {"cement_strength": "32.5N"}, "other", 4),
        (12, {}, "other", 4),
        (5, {"strength_development": "very slow"}, "other", 15),
        (20, {}, "XC1", 0.5),
    ],
)
def test_least_damp_curing_is_that_of_din_1045_3(later, mix, exposure, days):
    lines = dated(curing={"later_C": later, "exposure": exposure}, mix=mix)
    start = line(lines, "curing starts").when
    found = line(lines, "least damp curing of DIN 1045-3")
    assert found.when - start == timedelta(days=days)
    assert line(lines, "damp curing is planned").detail.startswith("kept damp for 7 days")


def test_below_five_degrees_the_table_gives_no_date():
    lines = dated(curing={"later_C": 3})
    assert "no value below 5 °C" in line(lines, "least damp curing").detail


def test_later_days_are_as_warm_as_the_file_s_own_24_hours_unless_told():
    # 20 °C all day; 1 March is a month in which that is not usual.
    lines = calendar_of({})
    told = line(lines, "later days").detail
    assert "20.0 °C, the mean of the file's own 24 hours" in told
    assert "a warm day for the month" in told
    assert "curing.later_C" in line(dated(), "later days").detail


def calendar_of(curing):
    return measured_day(pour_with(floor=TWO, plan=WHOLE, curing=curing), PIECE).calendar


def test_strengths_are_named_as_those_of_cylinders():
    for each in dated():
        if "MPa" in each.detail:
            assert "cylinder" in each.detail
