"""When a crew eats: in turn, together or after the pour; every case by hand.

The floor takes 18 m³ in two strips of 9. Trucks come 3 min apart as far as the mixer lets them
(6 min a load), so one always stands ready: placing runs from 07:06 to 07:30, trucks change at
07:14 and 07:22, and the first strip is full at 07:18, with half of the second load in it.
"""

from __future__ import annotations

from typing import Any

import pytest
from builders.pours import played, pour
from builders.upset_days import log_with

from pourday.day.front.people import People, break_times
from pourday.day.log import DayLog
from pourday.scenario.model.scenario import Scenario

MINUTE, HOUR = 60.0, 3600.0
SEVEN = 7 * HOUR


def two_strips(site: dict[str, Any], **changes: Any) -> Scenario:
    return pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2]},
        site=site,
        plan={"spacing_min": 3, "order": "spread", "strip_width_m": 3.0},
        **changes,
    )


def one_break(at: str, length: float) -> list[dict[str, Any]]:
    return [{"at": at, "length_min": length}]


def stops(log: DayLog, kind: str = "idle") -> list[tuple[float, float]]:
    """From, to of each such stop, in min after 07:00."""
    found = [s for s in log.stops if s.kind == kind]
    return [((s.start - SEVEN) / MINUTE, (s.end - SEVEN) / MINUTE) for s in found]


def same(*pairs: tuple[float, float]) -> list[Any]:
    return [pytest.approx(pair) for pair in pairs]


def test_without_a_break_the_two_strips_run_through():
    log = played(two_strips({}))
    assert log.start == pytest.approx(SEVEN + 6 * MINUTE)
    assert log.end == pytest.approx(SEVEN + 30 * MINUTE)
    assert sum(s.end - s.start for s in log.stops) == 0.0  # a move takes no time here


# Together.


@pytest.mark.parametrize(
    ("due", "late_by", "begins"),
    [
        ("07:10", 0, 14),  # the truck in hand is finished first
        ("07:10", 3, 14),
        ("07:10", 4, 14),  # just put off enough
        ("07:10", 5, 18),  # the end of the strip comes before the next change of trucks
        ("07:10", 20, 18),
        ("07:15", 0, 18),  # a strip's end is a good moment though a truck stands half full
        ("07:19", 2, 22),
        ("07:19", 3, 22),
    ],
)
def test_a_crew_eats_together_at_the_end_of_the_strip_or_when_it_is_late(due, late_by, begins):
    log = played(two_strips({"breaks": one_break(due, 10), "late_by_min": late_by}))
    assert stops(log) == same((begins, begins + 10))
    assert log.end == pytest.approx(SEVEN + 40 * MINUTE)


def test_a_break_that_can_wait_for_the_end_of_the_floor_is_taken_after_it():
    # Due at 07:19; the strip in hand is the last and full at 07:30, 11 min late.
    log = played(two_strips({"breaks": one_break("07:19", 10), "late_by_min": 20}))
    assert stops(log) == []
    assert log.end == pytest.approx(SEVEN + 30 * MINUTE)


def test_a_crew_without_concrete_does_not_put_off_its_break():
    # The first truck is empty at 07:14, the next is there at 08:00.
    log = played(
        pour(
            plan={"spacing_min": 60},
            site={"breaks": one_break("07:30", 15), "late_by_min": 20},
        )
    )
    assert stops(log) == same((30, 45))


# In turn.


def in_turn(site: dict[str, Any] | None = None, **crew: Any) -> DayLog:
    """45 m³ in one strip; trucks that empty at once; the crew of six places 60 m³/h."""
    return played(
        pour(
            floor={"length_y_m": 100.0},
            plants=[{"name": "Mill Road", "trucks": 20, "batch_m3_h": 600, "travel_min": 20}],
            supply={"discharge_min": 0},
            site=site or {"breaks": one_break("07:20", 10)},
            crews={"crew": {"breaks_taken": "in_turn"} | crew},
            pumps={"pump": {"output_m3_h": 1000}},
            plan={"spacing_min": 3},
        )
    )


def rate_at(log: DayLog, minute: float) -> float:
    """m³/h at so many min after 07:00."""
    at = SEVEN + minute * MINUTE
    s = next(s for s in log.stretches if s.start <= at < s.end)
    return (s.volume_end - s.volume_start) / (s.end - s.start) * HOUR


def test_a_crew_that_eats_in_turn_never_stops_and_is_through_after_three_lengths():
    # 60 m³/h from 07:06: 14 m³ by 07:20; two of six away for 3 x 10 min at 40 m³/h: 20 m³; the
    # last 11 m³ again at 60 m³/h, in 11 min.
    log = in_turn()
    assert log.stops == ()
    assert [rate_at(log, m) for m in (19, 21, 31, 41, 49, 51)] == pytest.approx(
        [60, 40, 40, 40, 40, 60]
    )
    assert log.end == pytest.approx(SEVEN + 61 * MINUTE)


def test_a_crew_that_eats_in_turn_works_at_its_stated_pace_for_so_many():
    # Two missing of six: half the pace, says the crew's table, whatever the head count says.
    log = in_turn(rate_when_short=[0.9, 0.5, 0.2])
    assert [rate_at(log, m) for m in (19, 25, 35, 45)] == pytest.approx([60, 30, 30, 30])


@pytest.mark.parametrize(
    ("placers", "missing", "away"),
    [
        (6, 0, [2, 2, 2]),
        (7, 0, [3, 2, 2]),
        (8, 0, [3, 3, 2]),
        (8, 2, [2, 2, 2]),
        (2, 0, [1, 1, 0]),
        (2, 2, [0, 0, 0]),
    ],
)
def test_everybody_who_is_there_eats_in_one_of_three_turns(placers, missing, away):
    short = ((0.0, 24 * HOUR, missing),)
    people = People(placers, short, tuple((100.0 * k, 100.0 * k + 100.0, k) for k in range(3)))
    assert [people.away(t) for t in (0.0, 100.0, 200.0)] == away
    assert sum(away) == placers - missing
    assert people.away(300.0) == 0


# After the pour.


def test_a_crew_that_eats_after_a_short_pour_takes_no_break_in_it():
    crews = {"crew": {"breaks_taken": "after_pour"}}
    log = played(two_strips({"breaks": one_break("07:10", 10)}, crews=crews))
    assert stops(log) == []
    assert log.end == pytest.approx(SEVEN + 30 * MINUTE)


def test_a_pour_that_is_not_short_has_a_break_after_the_longest_time_without_one():
    # 45 m³, a truck every 12 min from 07:06: the fifth is in hand from 07:54 to 08:02. An hour at
    # most without a break; it is as long as the site's breaks.
    log = played(
        pour(
            floor={"length_y_m": 100.0},
            crews={"crew": {"breaks_taken": "after_pour"}},
            site={"breaks": one_break("07:10", 15), "longest_without_break_h": 1},
        )
    )
    assert stops(log) == same((62, 77))


def test_the_longest_time_without_a_break_is_not_put_off_for_the_strip():
    # 72 m³ in one strip, a truck always ready from 07:06 on, 8 min each: one is empty at 08:02.
    log = played(
        pour(
            floor={"length_y_m": 160.0},
            plants=[{"name": "Mill Road", "trucks": 20, "batch_m3_h": 60, "travel_min": 20}],
            crews={"crew": {"breaks_taken": "after_pour"}},
            site={
                "breaks": one_break("07:10", 15),
                "longest_without_break_h": 1,
                "late_by_min": 20,
            },
            plan={"spacing_min": 3},
        )
    )
    assert stops(log)[0] == pytest.approx((62, 77))


def test_the_longest_time_without_a_break_holds_though_the_breaks_were_before_the_start():
    log = played(
        pour(
            floor={"length_y_m": 100.0},
            crews={"crew": {"breaks_taken": "after_pour"}},
            site={"breaks": one_break("06:30", 15), "longest_without_break_h": 1},
        )
    )
    assert stops(log) == same((62, 77))


# A stop that is the break.


@pytest.mark.parametrize("upset", ["07:08 pump down 30 min", "07:08 rain 30 min at 5 mm/h"])
def test_a_stop_that_begins_shortly_before_a_break_is_the_break(upset):
    # The stop is longer than the break of 15 min: nobody eats again.
    site = {
        "breaks": one_break("07:50", 15),
        "early_min": 45,
        "cover_min": 0,
        "uncover_min": 0,
    }
    log = log_with(pour(floor={"length_y_m": 60.0}, site=site), upset)
    kind = "down" if "pump" in upset else "rain"
    assert stops(log, kind) == same((8, 38))
    assert stops(log) == []


@pytest.mark.parametrize(
    ("due", "length", "down", "idle"),
    [
        ("07:20", 15, 5, [(13, 23)]),  # five minutes: they eat on when the pump is back
        ("07:20", 15, 4, [(26, 41)]),  # nobody goes to eat for four; the second truck is in hand
        ("07:53", 15, 20, []),  # 45 min before: it is the break
    ],
)
def test_a_stop_is_the_break_from_five_minutes_on(due, length, down, idle):
    # The first load discharges from 07:06; the pump is down from 07:08, and the next truck stands
    # ready at 07:18.
    site = {"breaks": one_break(due, length), "early_min": 45}
    log = log_with(pour(floor={"length_y_m": 40.0}, site=site), f"07:08 pump down {down} min")
    assert stops(log, "down") == same((8, 8 + down))
    assert stops(log) == [pytest.approx(pair) for pair in idle]


def test_a_stop_that_begins_too_long_before_a_break_is_not_the_break():
    # 45 min before 07:54 is 07:09; the pump is down from 07:08 to 07:28. First load to 07:34, the
    # second, third and fourth stand ready by then: to 07:42, 07:50 and 07:58, the break between
    # that one and the last.
    site = {"breaks": one_break("07:54", 15), "early_min": 45}
    log = log_with(pour(floor={"length_y_m": 60.0}, site=site), "07:08 pump down 20 min")
    assert log.placed == pytest.approx(27.0)
    assert stops(log, "down") == same((8, 28))
    assert stops(log) == same((58, 73))


def test_a_break_that_comes_due_while_the_pump_is_down_is_taken_there():
    # Down from 07:08 to 08:08, more than early_min before the break at 07:30: nobody goes back to
    # work at 08:08 only to eat at the next change of trucks.
    site = {"breaks": one_break("07:30", 15), "early_min": 10}
    log = log_with(pour(floor={"length_y_m": 40.0}, site=site), "07:08 pump down 60 min")
    assert stops(log, "down") == same((8, 68))
    assert stops(log) == []


def test_a_break_due_at_the_end_of_a_stop_goes_on_after_it():
    site = {"breaks": one_break("07:30", 15), "early_min": 10}
    log = log_with(pour(floor={"length_y_m": 40.0}, site=site), "07:08 pump down 30 min")
    assert stops(log, "down") == same((8, 38))
    assert stops(log) == same((38, 45))


def test_a_crew_that_waits_for_a_truck_when_the_pump_breaks_eats_then_too():
    # Starved from 07:14; down from 07:50 to 08:30, the truck ready at 08:06: the break of 45 min,
    # due at 08:20, is eaten from 07:50 on, to 08:35. All that time is in the books.
    site = {"breaks": one_break("08:20", 45), "early_min": 45}
    log = log_with(pour(plan={"spacing_min": 60}, site=site), "07:50 pump down 40 min")
    assert stops(log, "starved") == same((14, 50))
    assert stops(log, "down") == same((50, 90))
    assert stops(log) == same((90, 95))
    counted = sum(s.end - s.start for s in log.stops)
    counted += sum(s.end - s.start for s in log.stretches)
    assert counted == pytest.approx(log.end - log.start)


# When breaks are due.


def test_a_break_due_before_the_work_begins_is_not_taken():
    site = {"breaks": [*one_break("06:30", 20), *one_break("07:30", 15)]}
    assert stops(played(pour(plan={"spacing_min": 60}, site=site))) == same((30, 45))


def test_an_afternoon_pour_does_not_begin_with_the_breaks_of_the_morning():
    site = {"breaks": [*one_break("10:00", 15), *one_break("12:30", 30)]}
    log = played(pour(plan={"start": "13:30"}, site=site))
    assert stops(log) == []
    assert log.start == pytest.approx((13.5 * 60 + 6) * MINUTE)


def test_at_night_breaks_are_due_every_so_many_hours_from_the_start():
    site = pour(site={"breaks": [{"every_h": 4, "length_min": 30}]}).site
    due = break_times(site, 22 * HOUR)
    assert due[:3] == [(26 * HOUR, 1800.0), (30 * HOUR, 1800.0), (34 * HOUR, 1800.0)]
    assert len(due) == 6  # a whole day


def test_a_break_every_half_hour_by_hand():
    # The first truck is empty at 07:14; the second comes at 08:00 and would be ready at 08:06.
    site = {"breaks": [{"every_h": 0.5, "length_min": 10}]}
    log = played(pour(plan={"spacing_min": 60}, site=site))
    assert stops(log) == same((30, 40), (60, 70))
    assert log.visits[1].discharge_start == pytest.approx(SEVEN + 70 * MINUTE)
