"""Single stories of the day, each worked out by hand."""

from __future__ import annotations

from dataclasses import astuple, replace
from itertools import count

import pytest
from builders.pours import laid_out, played, played_open, pour
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.chance.streams import Stream
from pourday.day.play import play
from pourday.day.supply.yard import fleet
from pourday.outcome.measure import pump_times

MINUTE, HOUR = 60.0, 3600.0
SEVEN = 7 * HOUR


def test_a_plain_day_to_the_second():
    # 9 m³: a load of 6 and one of 3, called for 07:00 and 07:12, so batched 26 and 23 min before
    # (60 m³/h, 20 min of road). Gate 1, position 3, test 2 min; a full load takes 8 min, so 3 m³
    # take 4; then 8 min of wash.
    log = played(pour())
    first, second = log.visits
    assert (first.volume, second.volume) == (6.0, 3.0)
    # The start of loading is what a load's age counts from.
    assert first.batched == pytest.approx(SEVEN - 26 * MINUTE)
    assert second.batched == pytest.approx(SEVEN - 11 * MINUTE)
    assert first.arrived == pytest.approx(SEVEN)
    assert first.discharge_start == pytest.approx(SEVEN + 6 * MINUTE)
    assert first.discharge_end == pytest.approx(SEVEN + 14 * MINUTE)
    assert first.left_site == pytest.approx(SEVEN + 22 * MINUTE)
    assert second.arrived == pytest.approx(SEVEN + 12 * MINUTE)
    assert second.discharge_start == pytest.approx(SEVEN + 18 * MINUTE)
    assert second.discharge_end == pytest.approx(SEVEN + 22 * MINUTE)
    assert log.end == second.discharge_end
    assert [(stop.kind, stop.start, stop.end) for stop in log.stops] == [
        ("changing", first.discharge_end, second.discharge_start)  # on the site since 07:12
    ]
    assert [visit.wait for visit in log.visits] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_concrete_that_fills_the_line_is_not_placed():
    log = played(
        pour(pumps={"pump": {"hopper_m3": 0.5, "line_length_m": 50, "line_content_m3_per_m": 0.01}})
    )
    assert log.held == pytest.approx(1.0)
    assert log.placed == pytest.approx(9.0)
    assert sum(visit.volume for visit in log.visits) == pytest.approx(10.0)


def test_the_rest_of_a_load_that_meets_its_age_limit_is_rejected_and_called_again():
    # Loaded in 6 min, it arrives 26 min old and discharges from 32 min on at 6 m³ in 8 min: at
    # 36 min 3 m³ are in.
    log = played(pour(supply={"age_limit_min": 36}))
    first = log.visits[0]
    assert first.outcome == "part rejected"
    assert first.placed == pytest.approx(3.0)
    assert first.rejected == pytest.approx(3.0)
    assert first.discharge_end - first.batched == pytest.approx(36 * MINUTE)
    assert log.unfinished == 0.0
    assert log.placed == pytest.approx(9.0)


def test_a_load_too_old_at_its_test_is_sent_away_whole():
    log = played(pour(supply={"age_limit_min": 25}, plan={"start": "07:00"}))
    assert {visit.outcome for visit in log.visits} == {"rejected: age"}
    assert log.placed == 0.0
    assert log.unfinished == pytest.approx(9.0)


def test_a_break_waits_for_the_truck_in_hand():
    # Discharge from 07:06; a break is due at 07:10, but nobody leaves a truck half empty: it is
    # taken from 07:14, with 6 m³ in, to 07:29. The second truck stands ready since 07:18.
    log = played(pour(site={"breaks": [{"at": "07:10", "length_min": 15}]}))
    before, after = log.stretches[:2]
    assert (before.end, after.start) == pytest.approx((SEVEN + 840, SEVEN + 1740))
    assert before.volume_end == pytest.approx(6.0)
    assert pump_times(log).idle == pytest.approx(15 * MINUTE)


def test_breaks_may_be_listed_in_any_order():
    # 18 m³ in three loads. The first is empty at 07:14: break to 07:19. The second, in hand when
    # the other break comes due, is empty at 07:27: break to 07:37.
    breaks = [{"at": "07:08", "length_min": 5}, {"at": "07:20", "length_min": 10}]
    longer = {"length_y_m": 40.0}
    day = played(pour(floor=longer, site={"breaks": breaks}))
    idle = [
        ((s.start - SEVEN) / MINUTE, (s.end - SEVEN) / MINUTE)
        for s in day.stops
        if s.kind == "idle"
    ]
    assert idle == [pytest.approx((14, 19)), pytest.approx((27, 37))]
    assert played(pour(floor=longer, site={"breaks": breaks[::-1]})) == day


def test_a_crew_without_concrete_takes_its_break_at_the_stated_time():
    # Second truck an hour after the first: starved from 07:14, break 07:30 to 07:45, starved until
    # the truck comes at 08:00, which is ready 6 min later.
    log = played(
        pour(plan={"spacing_min": 60}, site={"breaks": [{"at": "07:30", "length_min": 15}]})
    )
    times = pump_times(log)
    assert times.idle == pytest.approx(15 * MINUTE)
    assert times.starved == pytest.approx((16 + 15) * MINUTE)
    assert times.changing == pytest.approx(6 * MINUTE)


@pytest.mark.parametrize(
    ("length", "resumes"), [(10, 36), (14, 36), (16, 36), (18, 38), (25, 45), (60, 80)]
)
def test_a_break_that_outlasts_the_arrival_ends_when_it_ends(length, resumes):
    # Trucks 30 min apart: the second is ready at 07:36. A break from 07:20 ends at 07:20 + length.
    log = played(
        pour(plan={"spacing_min": 30}, site={"breaks": [{"at": "07:20", "length_min": length}]})
    )
    assert log.visits[1].discharge_start == pytest.approx(SEVEN + resumes * MINUTE)


def test_a_load_that_goes_over_its_age_in_a_break_leaves_at_once():
    # Two strips of 9 m³. The second load, loaded from 06:46, has filled the first strip with half
    # of what it brings at 07:22; break from there to 07:52; over 45 min of age at 07:31.
    log = played(
        pour(
            floor={"spans_m": [3.0, 3.0], "sheet_runs": [2]},
            supply={"age_limit_min": 45},
            site={"breaks": [{"at": "07:20", "length_min": 30}]},
            plan={"order": "spread", "strip_width_m": 3.0},
        )
    )
    second = log.visits[1]
    assert second.outcome == "part rejected"
    assert second.placed == pytest.approx(3.0)
    assert second.discharge_end == pytest.approx(SEVEN + 31 * MINUTE)
    assert second.left_site == pytest.approx(SEVEN + (31 + 8) * MINUTE)


def test_a_load_that_stands_ready_in_a_break_leaves_at_its_age_limit():
    # Break from 07:14 to 07:44. The second load, loaded from 06:49, is ready at 07:18 and 42 min
    # old at 07:31.
    log = played(
        pour(
            supply={"age_limit_min": 42},
            site={"breaks": [{"at": "07:08", "length_min": 30}]},
        )
    )
    second = log.visits[1]
    assert second.outcome == "rejected: age"
    assert second.left_site == pytest.approx(SEVEN + (31 + 8) * MINUTE)


def test_loads_held_back_are_called_again_when_the_last_waiting_truck_begins():
    # Four trucks 3 min apart crowd the only position; the fifth is held back at one that waits.
    # It must be called when the fourth begins to discharge, not when that one has left.
    log = played(
        pour(
            floor={"length_y_m": 80.0},
            plants=[
                {"name": "Near", "trucks": 9, "batch_m3_h": 60, "travel_min": 5, "back_min": 5}
            ],
            site={"positions": 1, "holding_places": 9, "wash_min": 0},
            plan={"spacing_min": 3, "hold_back_at": 1},
        )
    )
    fourth, fifth = log.visits[3:5]
    assert fifth.batched < fourth.discharge_end
    # The mixer is free: loading begins with the call.
    assert fifth.batched == pytest.approx(fourth.discharge_start, abs=1e-6)


def test_trucks_on_site_stay_within_the_plans_limit_for_calling():
    log = played(pour(floor={"length_y_m": 80.0}, plan={"spacing_min": 0, "most_on_site": 2}))
    assert log.unfinished == 0.0
    for visit in log.visits:
        called = visit.batched  # the mixer is never busy here: loading begins with the call
        there = sum(v.arrived < called - 1e-6 and v.left_site > called + 1e-6 for v in log.visits)
        assert there < 2


def test_a_strip_that_takes_more_than_thought_is_not_left_waiting_for_ever():
    # Strips of 4.375, 7.5 and 1.25 m³. Called as the mean use of 1.2 wants it: 15.75 m³. The
    # first takes 1.2, the second 1.5 of its plan: it needs 0.75 m³ more than was called, less
    # than half a load, and the last strip has not begun.
    scenario = pour(
        floor={"spans_m": [3.0, 0.5], "sheet_runs": [2], "length_y_m": 25.0},
        slab={"use_factor": {"dist": "list", "values": [0.9, 1.2, 1.5]}},
    )
    quantity = scenario.slab.use_factor
    seed = next(
        seed for seed in count() if [Stream(seed, "use", quantity)(k) for k in (0, 1)] == [1.2, 1.5]
    )
    log = played(scenario, seed)
    assert log.unfinished == 0.0
    assert log.placed == pytest.approx(sum(log.strip_volumes))
    # It is seen at 07:13, when the strip begins, not when the pump has run dry at 07:35. The next
    # truck is due at 07:36, so 2.25 m³ are called 22.25 min before, and loading begins then.
    assert log.visits[3].volume == pytest.approx(2.25)
    assert log.visits[3].batched == pytest.approx(SEVEN + 13.75 * MINUTE)
    assert log.visits[3].arrived == pytest.approx(SEVEN + 36 * MINUTE)


def test_a_truck_that_is_being_positioned_when_the_floor_is_full_goes_home():
    # Strips ask for less than planned, so that trucks are on their way when the last is full.
    scenario = pour(
        floor={"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 40.0},
        slab={"use_factor": {"dist": "list", "values": [0.9, 1.5]}},
        site={"position_min": 9},
        plan={"spacing_min": 4, "order": "spread"},
    )
    layout = laid_out(scenario)
    positioning = 0
    for seed in range(40):
        log, day = played_open(scenario, layout, seed)
        assert len(log.visits) == 1 + max(visit.number for visit in log.visits)
        assert sum(v.volume for v in log.visits) == pytest.approx(day.fronts[0].need.called)
        assert day.fronts[0].positions.free == 2
        positioning += sum(
            v.outcome == "returned" and v.arrived < log.end < v.left_site - 8 * MINUTE - 1
            for v in log.visits
        )
    assert positioning > 0, "no seed met the case"


def test_the_crew_starves_until_it_hears_that_no_truck_will_come():
    # One truck, back at 07:32 for its second load; the plant closes at 07:00.
    plant = {"name": "Short", "trucks": 1, "batch_m3_h": 60, "travel_min": 20, "closes": "07:00"}
    log = played(pour(plants=[plant], plan={"start": "06:50"}))
    assert log.unfinished == pytest.approx(3.0)
    assert sum(astuple(pump_times(log))) == pytest.approx(log.end - log.start)


@pytest.mark.parametrize(
    ("owned", "wanted", "shares"),
    [
        ([4, 4], 4, [2, 2]),
        ([6, 3], 6, [4, 2]),
        ([1, 1, 10], 4, [1, 1, 2]),
        ([1, 1, 10], 3, [1, 1, 1]),
        ([1, 1, 7, 9], 6, [1, 1, 2, 2]),  # the last plant had its 3 in full, the third not its 2.3
        ([5, 3], 16, [10, 6]),
        ([1, 5], 9, [2, 7]),
    ],
)
def test_a_plans_trucks_are_shared_out_in_proportion_and_none_is_added(owned, wanted, shares):
    plants = [
        {"name": f"plant {n}", "trucks": trucks, "batch_m3_h": 60, "travel_min": 20}
        for n, trucks in enumerate(owned)
    ]
    scenario = pour(plants=plants, plan={"trucks": wanted})
    assert fleet(scenario, scenario.plans[0]) == shares


@settings(max_examples=60)
@given(
    trucks=st.integers(1, 8),
    spacing=st.integers(0, 30),
    batch=st.sampled_from([20.0, 45.0, 90.0]),
    travel=st.integers(5, 60),
    wash=st.integers(0, 20),
    rate=st.sampled_from([3.0, 6.0, 10.0]),
    room=st.integers(0, 4),
    positions=st.integers(1, 3),
)
def test_one_more_truck_never_makes_a_fixed_day_longer_or_starve_more(
    trucks, spacing, batch, travel, wash, rate, room, positions
):
    plant = {"name": "Mill Road", "trucks": 1, "batch_m3_h": batch, "travel_min": travel}
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 30.0},
        plants=[plant],
        site={"wash_min": wash, "holding_places": room, "positions": positions},
        pumps={"pump": {"move_min": 3}},
        crews={"crew": {"rate_per_placer_m3_h": rate}},
        plan={"spacing_min": spacing},
    )
    layout = laid_out(scenario)
    fewer, more = (
        play(scenario, replace(scenario.plans[0], trucks=n), layout, 1)
        for n in (trucks, trucks + 1)
    )
    assert more.end <= fewer.end + 1e-6
    assert pump_times(more).starved <= pump_times(fewer).starved + 1e-6


def test_a_blocked_pump_stops_for_as_long_as_it_is_cleared():
    log = played(
        pour(
            floor={"length_y_m": 100.0},
            pumps={"pump": {"between_blockages_h": 0.2, "blockage_min": 7}},
        ),
        seed=2,
    )
    down = [stop for stop in log.stops if stop.kind == "down"]
    assert len(down) > 1
    for stop in down:
        assert stop.end - stop.start == pytest.approx(7 * MINUTE)
    # The placing time between two blockages is drawn, and so known beforehand.
    between = Stream(2, "placing time between blockages", _exponential(0.2 * HOUR))
    placed_for = 0.0
    for k, stop in enumerate(down):
        placed_for += between(k)
        done = sum(min(s.end, stop.start) - s.start for s in log.stretches if s.start < stop.start)
        assert done == pytest.approx(placed_for, abs=1e-5)


def _exponential(mean: float):
    return (
        pour(pumps={"pump": {"move_min": {"dist": "exponential", "mean": mean / 60}}})
        .pumps["pump"]
        .move
    )
