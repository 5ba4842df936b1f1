"""Laws of upsets: nothing happens of one without length, and nothing before its time.

By hypothesis on the sites of ``sites.py``; then each kind by hand on the plain pour.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from builders.pours import pour
from builders.sites import SLOW, Case, cases, upsets
from builders.upset_days import HOUR, MINUTE, clock, log_with
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.log import DayLog
from pourday.day.play import play
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    KINDS,
    LOAD_REJECTED,
    PLANT_STOPPED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
)
from pourday.scenario.model.scenario import Scenario

SEVEN = 7 * HOUR


def played_with(case: Case, *given: Upset) -> DayLog:
    return play(case.scenario, case.plan, case.layout, case.seed, given)


@st.composite
def upset_days(draw, kinds=None) -> tuple[Case, tuple[Upset, ...], Upset]:
    """A site, upsets that happen in any case, and one more."""
    case = draw(cases())
    names = [plant.name for plant in case.scenario.supply.plants]
    one_more = draw(upsets(names, len(case.plan.fronts), kinds))
    return case, case.scenario.upsets, one_more


@settings(max_examples=60, suppress_health_check=SLOW)
@given(upset_days(kinds=[kind for kind in KINDS if kind != LOAD_REJECTED]))
def test_an_upset_of_no_length_changes_nothing(drawn):
    case, given, upset = drawn
    nothing = replace(upset, length=0.0)
    before, after = played_with(case, *given), played_with(case, *given, nothing)
    assert replace(after, upsets=given) == before


def stretches_until(log: DayLog, time: float) -> list[tuple]:
    """What was placed up to ``time``; a stretch that goes on then is cut there, to 1e-6 m³."""
    out = []
    for number in range(len(log.fronts)):
        for s in (s for s in log.stretches if s.front == number and s.start < time):
            share = min(1.0, (time - s.start) / (s.end - s.start))
            volume = s.volume_start + share * (s.volume_end - s.volume_start)
            out.append((number, s.strip, s.truck, s.start, min(s.end, time), round(volume, 6)))
    return out


def stops_until(log: DayLog, other: DayLog, time: float) -> list[tuple]:
    """Stops up to ``time``.

    "starved" and "changing" are told apart only when the load is taken for which the crew has
    waited: an upset may send that load away. So both are one here. A crew that waits in vain has
    ended with its last concrete, in one log or the other: nothing after that is looked at.
    """
    alike = {"changing": "starved"}
    ends = [min(time, a.end, b.end) for a, b in zip(log.fronts, other.fronts, strict=True)]
    found = sorted(
        (s.front, s.start, min(s.end, ends[s.front]), alike.get(s.kind, s.kind))
        for s in log.stops
        if s.start < ends[s.front] and s.end > s.start
    )
    joined: list[tuple] = []
    for front, begin, end, kind in found:
        if joined and joined[-1][0] == front and joined[-1][2:] == (begin, kind):
            joined[-1] = (front, joined[-1][1], end, kind)
        else:
            joined.append((front, begin, end, kind))
    return joined


def visits_until(log: DayLog, time: float) -> list[tuple]:
    """All that was known of every load before ``time``."""

    def seen(moment: float) -> float | None:
        return moment if moment < time else None

    return [
        (
            *(v.number, v.plant, v.volume),
            *map(seen, (v.batched, v.arrived, v.discharge_start, v.left_site)),
        )
        for v in log.visits
        if v.batched < time
    ]


@settings(max_examples=100, suppress_health_check=SLOW)
@given(upset_days())
def test_nothing_before_an_upset_knows_of_it(drawn):
    case, given, upset = drawn
    before, after = played_with(case, *given), played_with(case, *given, upset)
    time = upset.at
    for until in (visits_until, stretches_until):
        assert until(after, time) == until(before, time)
    assert stops_until(after, before, time) == stops_until(before, after, time)


def plain(spacing: float = 3, **changes) -> Scenario:
    """The plain pour with trucks that stand ready: 9 m³ from 07:06 to 07:18, without a pause."""
    return pour(**({"plan": {"spacing_min": spacing}} | changes))


def minutes_later(scenario: Scenario, *given: Upset) -> float:
    """By how much the end of the pour is put off (min)."""
    without, with_it = log_with(scenario), log_with(scenario, *given)
    assert with_it.unfinished == 0.0
    assert with_it.placed == pytest.approx(without.placed)
    return (with_it.end - without.end) / MINUTE


def test_the_day_without_upsets():
    log = log_with(plain())
    assert (log.start, log.end) == pytest.approx((clock(7, 6), clock(7, 18)))


def test_a_pump_that_is_down_puts_the_end_off_by_as_much():
    down = Upset(clock(7, 8), PUMP_DOWN, 10 * MINUTE)
    assert minutes_later(plain(), down) == pytest.approx(10.0)
    log = log_with(plain(), down)
    assert [(s.kind, s.start, s.end) for s in log.stops] == [("down", clock(7, 8), clock(7, 18))]


def test_a_pump_that_is_down_before_the_first_truck_is_ready_costs_what_is_left_of_it():
    # Ready at 07:06, down until 07:09.
    assert minutes_later(plain(), Upset(clock(6, 50), PUMP_DOWN, 19 * MINUTE)) == pytest.approx(3.0)
    assert minutes_later(plain(), Upset(clock(6, 50), PUMP_DOWN, 9 * MINUTE)) == pytest.approx(0.0)


def test_a_stand_by_pump_ends_the_stop_after_its_time():
    scenario = plain(plan={"spacing_min": 3, "standby_after_min": 4})
    for length, later, came in ((10, 4.0, True), (4, 4.0, False), (3, 3.0, False)):
        down = Upset(clock(7, 8), PUMP_DOWN, length * MINUTE)
        assert minutes_later(scenario, down) == pytest.approx(later)
        assert log_with(scenario, down).fronts[0].standby is came


def test_a_stand_by_pump_comes_to_a_crew_that_waits_for_concrete_too():
    # Second truck at 08:00, ready at 08:06. Down from 07:20, stand-by from 07:30 on.
    scenario = plain(plan={"spacing_min": 60, "standby_after_min": 10})
    log = log_with(scenario, Upset(clock(7, 20), PUMP_DOWN, 100 * MINUTE))
    assert log.fronts[0].standby
    assert ("down", clock(7, 20), clock(7, 30)) in [(s.kind, s.start, s.end) for s in log.stops]
    assert log.end == pytest.approx(clock(8, 10))


def test_two_upsets_of_a_pump_that_overlap_count_once():
    first = Upset(clock(7, 8), PUMP_DOWN, 10 * MINUTE)
    second = Upset(clock(7, 12), PUMP_DOWN, 8 * MINUTE)
    assert minutes_later(plain(), first, second) == pytest.approx(12.0)


def test_rain_stops_the_crew_until_the_floor_is_uncovered():
    # 20 min of rain (covering takes 10 of them), then 10 min of uncovering.
    rain = Upset(clock(7, 8), RAIN, 20 * MINUTE, rate=5e-3 / HOUR)
    assert minutes_later(plain(), rain) == pytest.approx(30.0)
    drizzle = replace(rain, rate=0.5e-3 / HOUR)  # under site.stop_rain_mm_h, 1
    assert minutes_later(plain(), drizzle) == pytest.approx(0.0)


def test_a_crew_with_half_its_people_gets_on_at_half_the_pace():
    # The crew places 30 m³/h: 9 m³ in 18 min, from 07:06 on. For 6 min it places half.
    crews = {"crew": {"rate_per_placer_m3_h": 5}}
    short = Upset(clock(7, 8), CREW_SHORT, 6 * MINUTE, number=3)
    assert minutes_later(plain(crews=crews), short) == pytest.approx(3.0)
    # For the rest of the day: what is left after 2 min takes twice as long.
    rest = replace(short, length=math.inf)
    assert minutes_later(plain(crews=crews), rest) == pytest.approx(16.0)


def test_a_crew_short_of_people_works_at_the_stated_rate():
    crews = {"crew": {"rate_per_placer_m3_h": 5, "rate_when_short": [0.9, 0.8, 0.2]}}
    short = Upset(clock(7, 8), CREW_SHORT, 6 * MINUTE, number=3)
    assert minutes_later(plain(crews=crews), short) == pytest.approx(6 * 0.8)
    # With more people missing than the table says nobody places.
    assert minutes_later(plain(crews=crews), replace(short, number=4)) == pytest.approx(6.0)


def test_people_who_do_not_work_in_the_zone_are_not_missed_there():
    # Six placers, three in the zone: 30 m³/h by 10 each; three missing are those in reserve.
    crews = {"crew": {"most_in_zone": 3}}
    short = Upset(clock(7, 8), CREW_SHORT, 6 * MINUTE, number=3)
    assert minutes_later(plain(crews=crews), short) == pytest.approx(0.0)
    assert minutes_later(plain(crews=crews), replace(short, number=4)) == pytest.approx(2.0)


def test_a_crew_that_nobody_comes_back_to_gives_up_whatever_else_will_happen():
    # After 2 min, at 45 m³/h, all six are gone; that a pump breaks later is no reason to stay.
    gone = Upset(clock(7, 8), CREW_SHORT, math.inf, number=6)
    later = Upset(clock(9, 0), PUMP_DOWN, HOUR)
    fewer = Upset(clock(8, 30), CREW_SHORT, HOUR, number=1)
    for scenario in (plain(), plain(site={"heat_slows": True, "heat_from_C": 10})):
        alone, with_more = log_with(scenario, gone), log_with(scenario, gone, fewer, later)
        assert replace(with_more, upsets=(gone,)) == alone
        assert alone.end == pytest.approx(clock(7, 8))
        assert alone.unfinished == pytest.approx(9.0 - 1.5)
        assert max(visit.left_site for visit in alone.visits) <= clock(7, 20)


def craned(**changes) -> Scenario:
    """Skips of 1 m³: 1 min filled, half round and back at 0.6 rpm, 1 min emptied: 220 s each."""
    return plain(pumps={"pump": {"means": "skip", "skip_m3": 1.0} | changes})


def test_a_crane_that_is_lost_puts_the_end_off_by_as_much_even_with_a_skip_on_it():
    log = log_with(craned())
    assert log.end - log.start == pytest.approx(9 * 220.0)
    lost = Upset(clock(7, 10), CRANE_LOST, 10 * MINUTE)  # the second skip is on its way
    assert minutes_later(craned(), lost) == pytest.approx(10.0)
    assert minutes_later(craned(), replace(lost, kind=PUMP_DOWN)) == 0.0
    assert minutes_later(plain(), lost) == 0.0


def test_nobody_borrows_a_crane_that_has_a_skip_on_it():
    scenario = craned(other_lifts_every_min=5, other_lift_min=2)
    log = log_with(scenario)
    lent = [stop for stop in log.stops if stop.kind == "lent"]
    assert lent
    for stop in lent:
        placed = sum(
            (s.volume_end - s.volume_start) for s in log.stretches if s.end <= stop.start + 1e-6
        )
        assert placed == pytest.approx(round(placed), abs=1e-6)
        assert stop.end - stop.start == pytest.approx(2 * MINUTE)
    assert log.end - log.start == pytest.approx(9 * 220.0 + len(lent) * 120.0)


def long_pour(**changes) -> Scenario:
    """45 m³ in eight loads, wanted every 12 min from 07:00 on: batched from 06:40 on."""
    plant = {"name": "Mill Road", "trucks": 20, "batch_m3_h": 60, "travel_min": 20}
    return plain(12, floor={"length_y_m": 100.0}, plants=[plant], **changes)


def test_a_truck_that_breaks_down_is_the_next_that_leaves_and_no_other():
    broken = Upset(clock(6, 45), TRUCK_BROKEN, 30 * MINUTE)
    without, with_it = log_with(long_pour()), log_with(long_pour(), broken)
    later = [b.arrived - a.arrived for a, b in zip(without.visits, with_it.visits, strict=True)]
    assert later == pytest.approx([0.0, 30 * MINUTE] + [0.0] * 6)


def test_two_breakdowns_hit_two_trucks():
    twice = [Upset(clock(6, at), TRUCK_BROKEN, 30 * MINUTE) for at in (41, 45)]
    without, with_it = log_with(long_pour()), log_with(long_pour(), *twice)
    later = [b.arrived - a.arrived for a, b in zip(without.visits, with_it.visits, strict=True)]
    assert later == pytest.approx([0.0, 30 * MINUTE, 30 * MINUTE] + [0.0] * 5)


def test_a_broken_truck_stands_by_the_clock_whatever_the_road_is_like():
    # It leaves at 06:52 on a road that takes three times as long, and would be there at 07:52.
    slow = {"rush_hours": [{"begins": "06:00", "ends": "10:00", "factor": 3}]}
    scenario = long_pour(supply=slow)
    first = log_with(scenario).visits[0]
    broken = Upset(first.batched, TRUCK_BROKEN, 15 * MINUTE)
    later = log_with(scenario, broken).visits[0].arrived - first.arrived
    assert later == pytest.approx(15 * MINUTE)
    # Repaired at 07:22, and the road open again at 07:23: 20 min from there.
    lines = [Upset(clock(6, 50), TRUCK_BROKEN, 30 * MINUTE), Upset(clock(6, 53), ROAD_CLOSED, 1800)]
    assert log_with(long_pour(), *lines).visits[1].arrived == pytest.approx(clock(7, 43))


def test_a_closed_road_holds_those_on_it_and_those_that_would_leave():
    # Leave at 06:40, 06:52, 07:04, 07:16 ...; closed from 06:50 to 07:05.
    closed = Upset(clock(6, 50), ROAD_CLOSED, 15 * MINUTE, "Mill Road")
    log = log_with(long_pour(), closed)
    there = [clock(7, at) for at in (15, 25, 25, 36, 48)]
    assert [v.arrived for v in log.visits[:5]] == pytest.approx(there)


def test_nobody_calls_a_plant_that_stands_and_the_spacing_counts_from_when_it_goes_on():
    # Called at 06:34, 06:46 ...; each takes 6 min to batch. The plant stands from 06:45 to 07:15.
    stopped = Upset(clock(6, 45), PLANT_STOPPED, 30 * MINUTE, "Mill Road")
    log = log_with(long_pour(), stopped)
    batched = [clock(6, 34), *(clock(7, at) for at in (15, 27, 39, 51))]  # loading begins
    assert [v.batched for v in log.visits[:5]] == pytest.approx(batched)


def test_a_plant_that_stops_while_it_batches_goes_on_where_it_was():
    # The second load is batched from 06:46; 2 min are done at 06:48, the other 4 from 06:51 on. It
    # is as old as its first part, and leaves when it is full.
    stopped = Upset(clock(6, 48), PLANT_STOPPED, 3 * MINUTE)
    second = log_with(long_pour(), stopped).visits[1]
    assert second.batched == pytest.approx(clock(6, 46))
    assert second.arrived == pytest.approx(clock(7, 15))


def test_a_load_that_is_sent_away_is_called_again():
    log = log_with(long_pour(), Upset(clock(7, 0), LOAD_REJECTED, 0.0))
    assert [v.outcome for v in log.visits] == ["rejected: test"] + ["placed"] * 8
    assert log.visits[0].rejected == log.visits[0].volume
    assert log.unfinished == 0.0
    assert sum(v.volume for v in log.visits) == pytest.approx(45.0 + log.visits[0].volume)
    assert log.placed == pytest.approx(45.0)


def test_a_load_that_is_sent_away_after_the_last_call_hits_nothing():
    before = log_with(long_pour())
    log = log_with(long_pour(), Upset(before.end, LOAD_REJECTED, 0.0))
    assert replace(log, upsets=()) == before


def test_trucks_of_a_pump_that_is_down_for_long_go_to_the_other():
    floor = {"spans_m": [3.0, 3.0], "sheet_runs": [1, 1], "length_y_m": 60.0}
    fronts = [{"pump": "pump", "crew": "crew"}]
    plants = [{"name": "Near", "trucks": 20, "batch_m3_h": 600, "travel_min": 20}]
    scenario = pour(floor=floor, plants=plants, plan={"fronts": fronts, "spacing_min": 12})
    whole = log_with(scenario)
    assert {v.front for v in whole.visits} == {0, 1}
    for length, goes_over in ((20, False), (60, True)):
        down = Upset(clock(7, 8), PUMP_DOWN, length * MINUTE, "2")
        log = log_with(scenario, down)
        assert log.unfinished == 0.0
        stretches = {n: {s.truck for s in log.stretches if s.front == n} for n in (0, 1)}
        assert bool(stretches[0] & stretches[1]) is goes_over  # the one it had in hand
        assert not [s for s in log.stops if s.front == 0 and s.kind == "down"]
