"""What limits the rate of placing inside a strip, and when plants call it a day; by hand.

The plain pour: 9 m³ on 60 m², 3 m wide and 20 m long, two loads; here the second truck always
stands ready, so that placing runs through.
"""

from __future__ import annotations

import math

import pytest
from builders.pours import played, pour
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.front.pace import Pace, short_share

MINUTE = 60.0


def placing(**changes) -> float:
    """Minutes from first to last concrete, trucks 3 min apart."""
    plan = {"spacing_min": 3} | changes.pop("plan", {})
    log = played(pour(plan=plan, **changes))
    assert log.unfinished == 0.0
    return (log.end - log.start) / MINUTE


def test_the_truck_limits_the_plain_pour():
    # 6 m³ in 8 min: 45 m³/h, 9 m³ in 12 min.
    assert placing() == pytest.approx(12.0)


def test_a_screed_that_strikes_60_square_metres_an_hour():
    # 60 m²: 60 min.
    assert placing(crews={"crew": {"screed_m2_h": 60}}) == pytest.approx(60.0)


def test_a_front_that_moves_half_a_metre_a_minute():
    # 20 m: 40 min.
    assert placing(crews={"crew": {"front_speed_m_min": 0.5}}) == pytest.approx(40.0)


def test_an_opening_takes_from_the_area_to_strike_but_not_from_the_way_of_the_front():
    # 10 m² less: 50 m² at 60 m²/h are 50 min; the front still goes 20 m.
    floor = {"openings": [{"x_m": [1.0, 2.0], "y_m": [5.0, 15.0]}]}
    assert placing(floor=floor, crews={"crew": {"screed_m2_h": 60}}) == pytest.approx(50.0)
    assert placing(floor=floor, crews={"crew": {"front_speed_m_min": 0.5}}) == pytest.approx(40.0)


def test_a_long_line_takes_its_share_of_the_output():
    # 30 m³/h less 0.2 for 100 m, over 50 m: 27 m³/h, 20 min for 9 m³; the line itself holds none.
    pump = {"output_m3_h": 30, "output_loss_per_100m": 0.2, "line_length_m": 50}
    assert placing(pumps={"pump": pump}) == pytest.approx(20.0)


def test_a_line_that_holds_concrete_is_filled_at_the_rate_of_the_pump_before_the_first_strip():
    # 30 m³/h: 1 m³ of hopper takes 2 min, then 9 m³ take 18.
    pump = {"output_m3_h": 30, "hopper_m3": 1.0}
    assert placing(pumps={"pump": pump}) == pytest.approx(20.0)


def test_moves_between_strips_take_their_time_and_their_walk():
    # Two strips of 3 m, the second from where the first ended: 18 m³ at 45 m³/h in 24 min, one
    # move of 4 min and a walk of 3 m at 0.5 min a metre.
    floor = {"spans_m": [3.0, 3.0], "sheet_runs": [2]}
    plan = {"order": "spread", "strip_width_m": 3.0}
    pump = {"move_min": 4, "walk_min_per_m": 0.5}
    site = {"positions": 4}
    assert placing(floor=floor, plan=plan, pumps={"pump": pump}, site=site) == pytest.approx(29.5)


def test_a_load_half_full_discharges_in_half_the_time():
    log = played(pour())
    first, second = log.visits
    assert second.volume == first.volume / 2
    assert second.discharge_end - second.discharge_start == pytest.approx(4 * MINUTE)


def test_a_plant_that_closes_batches_nothing_after_and_another_takes_over():
    # Loads are wanted every 12 min from 07:00 on; "Early" is near but closes at 07:10.
    plants = [
        {"name": "Early", "trucks": 20, "batch_m3_h": 60, "travel_min": 5, "closes": "07:10"},
        {"name": "Late", "trucks": 20, "batch_m3_h": 60, "travel_min": 60},
    ]
    log = played(pour(floor={"length_y_m": 100.0}, plants=plants))
    assert log.unfinished == 0.0
    begun = {"Early": [], "Late": []}
    for visit in log.visits:
        begun[visit.plant].append(visit.batched)
    assert begun["Early"]
    assert begun["Late"]
    assert max(begun["Early"]) <= 7 * 3600 + 10 * MINUTE


def test_a_plant_that_opens_late_makes_the_crew_wait():
    # Opens 06:59 for a start at 07:00: batching 6 min, travel 20, gate, position and test 6: the
    # first discharge is at 07:31.
    plants = [
        {"name": "Usual", "trucks": 1, "batch_m3_h": 60, "travel_min": 20, "opens": "06:59"},
    ]
    log = played(pour(plants=plants))
    assert log.visits[0].batched == pytest.approx(6 * 3600 + 59 * MINUTE)
    assert log.start == pytest.approx(7 * 3600 + 31 * MINUTE)


def test_the_speed_of_a_front_in_bands_is_that_along_x():
    # Strips 4 m long and 2 m deep: at 1 m/min each takes 4 min, not the 2 min of its depth.
    floor = {"spans_m": [4.0, 4.0], "sheet_runs": [2], "length_y_m": 8.0}
    crew = {"front_speed_m_min": 1.0}
    log = played(pour(floor=floor, crews={"crew": crew}, plan={"order": "across"}))
    first = [s for s in log.stretches if s.strip == 0]
    assert sum(s.end - s.start for s in first) / 60 == pytest.approx(4.0)


_SHORT = st.tuples(st.integers(5, 12), st.integers(1, 4), st.integers(1, 3))


@given(st.lists(_SHORT, max_size=3), st.sampled_from(["together", "in_turn"]), st.integers(8, 30))
def test_the_pace_at_any_moment_is_that_of_the_people_who_are_there(short, taken, half_hours):
    scenario = pour(crews={"crew": {"placers": 5, "breaks_taken": taken}})
    missing = [(3600.0 * at, 3600.0 * (at + lasts), who) for at, lasts, who in short]
    breaks = [(9 * 3600.0, 1200.0), (12 * 3600.0, 1800.0)]
    pace = Pace(scenario, scenario.crews["crew"], breaks, missing, seed=0)
    # On the half hours somebody goes or comes, and just before them he has not yet.
    for now in (1800.0 * half_hours, 1800.0 * half_hours - 1e-6):
        away = pace.people.missing(now) + pace.people.away(now)
        share, until = pace.at(now)
        assert share == short_share(pace.crew, away)
        assert until == min((t for t in pace.people.changes if t > now), default=math.inf)
