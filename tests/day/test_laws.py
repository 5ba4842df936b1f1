"""Conservation laws of the day (design section 8), on sites made at random by hypothesis."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import astuple
from itertools import groupby, pairwise

import pytest
from builders.pours import laid_out, played_open, pour
from builders.sites import SLOW, cases
from hypothesis import given, settings

from pourday.day.front import work as at
from pourday.day.log import DayLog
from pourday.day.play import open_day
from pourday.day.site_day import SiteDay
from pourday.day.supply.yard import fleet
from pourday.outcome.measure import pump_times
from pourday.scenario.model.scenario import Scenario

TOLERANCE = 1e-6


def of_front(records, number: int) -> list:
    return [each for each in records if each.front == number]


def the_day_ends(log: DayLog, day: SiteDay) -> None:
    for number, front in enumerate(log.fronts):
        assert day.fronts[number].finished, f"front {number + 1} still waits for what never comes"
        assert front.ready <= front.start <= front.end <= front.wash_out_end


def concrete_is_conserved(log: DayLog, day: SiteDay) -> None:
    batched = sum(visit.volume for visit in log.visits)
    assert batched == pytest.approx(sum(front.need.called for front in day.fronts), abs=TOLERANCE)
    rejected = sum(visit.rejected for visit in log.visits)
    returned = sum(visit.returned for visit in log.visits)
    assert batched == pytest.approx(log.placed + log.held + rejected + returned, abs=TOLERANCE)
    by_truck: dict[int, float] = defaultdict(float)
    for s in log.stretches:
        by_truck[s.truck] += s.volume_end - s.volume_start
    for visit in log.visits:
        parts = (visit.placed, visit.rejected, visit.returned)
        assert min(parts) >= 0.0
        assert visit.volume == pytest.approx(sum(parts), abs=TOLERANCE)
        assert visit.placed == pytest.approx(by_truck[visit.number], abs=TOLERANCE)
    assert [visit.number for visit in log.visits] == list(range(day.loads_called))


def an_outcome_says_what_became_of_the_load(log: DayLog, day: SiteDay) -> None:
    for visit in log.visits:
        placed, rejected, returned = (
            volume > TOLERANCE for volume in (visit.placed, visit.rejected, visit.returned)
        )
        match visit.outcome:
            case "placed":
                assert (placed, rejected, returned) == (True, False, False)
            case "part rejected":
                assert (placed, rejected, returned) == (True, True, False)
            case "part returned":
                assert (placed, rejected, returned) == (True, False, True)
            case "returned":
                assert (placed, rejected, returned) == (False, False, True)
            case other:
                assert other in ("rejected: test", "rejected: age", "rejected: slump")
                assert (placed, rejected, returned) == (False, True, False)


def pump_and_line_are_filled_and_after_a_wash_out_again(log: DayLog, day: SiteDay) -> None:
    for number, front in enumerate(day.fronts):
        mine = [s for s in of_front(log.stretches, number) if s.strip == -1]
        in_line = sum(s.volume_end - s.volume_start for s in mine)
        assert in_line == pytest.approx(log.fronts[number].held, abs=TOLERANCE)
        fills = sum(s.volume_start == 0.0 for s in mine)
        if log.fronts[number].unfinished == 0.0:
            assert in_line == pytest.approx(front.need.for_line, abs=TOLERANCE)
            whole = front.line_fills if front.access.held > TOLERANCE else 0
            assert fills == whole + sum(each > TOLERANCE for each in front.access.fill)
            if front.line_fills == 1:
                assert in_line == pytest.approx(front.access.line_volume, abs=TOLERANCE)


def each_strip_is_filled_exactly(log: DayLog, day: SiteDay) -> None:
    filled = [0.0] * len(log.strip_volumes)
    for s in log.stretches:
        if s.strip >= 0:
            assert s.front == day.layout.front_of[s.strip]
            filled[s.strip] += s.volume_end - s.volume_start
    missing = [volume - got for volume, got in zip(log.strip_volumes, filled, strict=True)]
    assert min(missing) > -TOLERANCE
    for number, front in enumerate(log.fronts):
        mine = [missing[i] for i in day.fronts[number].strips]
        assert sum(mine) == pytest.approx(front.unfinished, abs=TOLERANCE)
        if front.unfinished == 0.0:
            assert max(mine) < TOLERANCE


def stretches_of_a_front_follow_one_another(log: DayLog, day: SiteDay) -> None:
    for number in range(len(log.fronts)):
        mine = of_front(log.stretches, number)
        for before, after in pairwise(mine):
            assert before.start < before.end <= after.start < after.end
        placed = [s for s in mine if s.strip >= 0]
        for before, after in pairwise(placed):
            if after.strip == before.strip:
                assert after.volume_start == before.volume_end
            else:
                assert after.strip > before.strip
        for _, group in groupby(placed, key=lambda s: s.strip):
            assert next(group).volume_start == 0.0
        refills = [s for s in mine if s.strip == -1]
        for before, after in pairwise(refills):
            assert after.volume_start in (0.0, before.volume_end)


def no_strip_is_begun_before_those_it_waits_for(log: DayLog, day: SiteDay) -> None:
    begun, ended = {}, {}
    for s in log.stretches:
        begun[s.strip] = min(s.start, begun.get(s.strip, math.inf))
        ended[s.strip] = max(s.end, ended.get(s.strip, -math.inf))
    for strip, waits in enumerate(day.layout.waits_for):
        for before in waits:
            if strip in begun and before in ended:
                assert begun[strip] >= ended[before]


def a_front_places_or_stops_at_every_moment(log: DayLog, day: SiteDay) -> None:
    for number, front in enumerate(log.fronts):
        spans = [(s.start, s.end) for s in of_front(log.stretches, number)]
        if not spans:
            continue
        assert front.start == spans[0][0]
        if front.unfinished:
            assert front.end == spans[-1][1], "the pour ended with its last concrete"
        for stop in of_front(log.stops, number):
            begin, end = max(stop.start, front.start), min(stop.end, front.end)
            if end > begin:
                spans.append((begin, end))
        spans.sort()
        for (_, end), (begin, _) in pairwise(spans):
            assert begin == pytest.approx(end, abs=TOLERANCE)
        assert spans[-1][1] == pytest.approx(front.end, abs=TOLERANCE)


def pump_times_add_up(log: DayLog, day: SiteDay) -> None:
    in_all = 0.0
    for number, front in enumerate(log.fronts):
        parts = astuple(pump_times(log, number))
        assert min(parts) >= 0.0
        if of_front(log.stretches, number):  # without first concrete no time to share out
            assert sum(parts) == pytest.approx(front.end - front.start, abs=1e-5)
            in_all += front.end - front.start
    assert sum(astuple(pump_times(log))) == pytest.approx(in_all, abs=1e-5)


def nothing_is_held_at_the_end(log: DayLog, day: SiteDay) -> None:
    site = day.scenario.site
    assert day.places.empty
    assert [yard.trucks for yard in day.yards] == fleet(day.scenario, day.plan)
    assert day.ground.empty
    for front in day.fronts:
        assert front.positions.free == site.positions
        assert (front.on_site, front.waiting, front.in_flight) == (0, 0, 0)
        assert not [load for load in front.hopper.line if load is not None]


def a_truck_keeps_clock_order(log: DayLog, day: SiteDay) -> None:
    for visit in log.visits:
        times = [visit.batched, visit.arrived]
        if visit.placed > 0:
            times += [visit.discharge_start, visit.discharge_end]
        times.append(visit.left_site)
        assert times == sorted(times)
        assert 0.0 <= visit.wait <= visit.left_site - visit.arrived


def a_mixer_batches_one_load_at_a_time_in_its_hours(log: DayLog, day: SiteDay) -> None:
    stopped = any(upset.kind == "plant stopped" for upset in log.upsets)
    # What a plant has promised while it had no truck, it batches when it has closed.
    stopped = stopped or any(call.kind in ("more", "send") for call in log.calls)
    for yard in day.yards:
        plant = yard.plant
        trips = [visit for visit in log.visits if visit.plant == plant.name]
        for visit in trips:
            begun = visit.batched
            assert begun > plant.opens - TOLERANCE
            if not stopped:  # a stop that nobody knew of may begin after the call
                assert plant.closes is None or begun < plant.closes + TOLERANCE
        for before, after in pairwise(sorted(trips, key=lambda visit: visit.batched)):
            assert after.batched > before.batched + before.volume / plant.batch - TOLERANCE


def no_plant_has_more_trucks_out_than_it_owns(log: DayLog, day: SiteDay) -> None:
    shares = fleet(day.scenario, day.plan)
    assert sum(shares) == (day.plan.trucks or sum(p.trucks for p in day.scenario.supply.plants))
    for yard, share in zip(day.yards, shares, strict=True):
        trips = [visit for visit in log.visits if visit.plant == yard.plant.name]
        changes = []
        for trip, visit in enumerate(trips):
            home = visit.left_site + yard.way_back(visit.left_site, trip)
            changes.append((visit.batched + TOLERANCE, 1))
            changes.append((home, -1))
        out = 0
        for _, change in sorted(changes):
            out += change
            assert out <= share


def no_load_is_placed_past_its_age_limit(log: DayLog, day: SiteDay) -> None:
    mix, supply = day.scenario.mix, day.scenario.supply
    limit = math.inf
    if supply.age_rule.ends_at == "discharge":  # a load begun may be finished a little later
        limit = supply.age_rule.limit + supply.finish_begun
    if mix.slump_loss:
        limit = min(limit, (mix.slump - mix.least_slump) / mix.slump_loss)
    for s in log.stretches:
        assert s.end <= s.batched + limit + TOLERANCE
    for visit in log.visits:  # and none is begun that is past the rule itself
        if supply.age_rule.ends_at == "discharge" and visit.placed > TOLERANCE:
            assert visit.discharge_start <= visit.batched + supply.age_rule.limit + TOLERANCE


def one_load_discharges_at_a_time(log: DayLog, day: SiteDay) -> None:
    for number in range(len(log.fronts)):
        trucks = [truck for truck, _ in groupby(of_front(log.stretches, number), lambda s: s.truck)]
        # Only a load that was sent to another pump may come back to this one.
        elsewhere = {s.truck for s in log.stretches if s.front != number}
        stayed = [truck for truck in trucks if truck not in elsewhere]
        assert len(stayed) == len(set(stayed))
    by_truck: dict[int, list] = defaultdict(list)
    for s in sorted(log.stretches):
        by_truck[s.truck].append(s)
    for mine in by_truck.values():
        for before, after in pairwise(mine):
            assert after.start >= before.end
    for visit in log.visits:
        if visit.placed > TOLERANCE:
            assert visit.discharge_start <= by_truck[visit.number][0].start
            last = by_truck[visit.number][-1].end
            # A load that is given up while the pump stands ends when it is given up.
            given_up = visit.outcome == "part rejected" and visit.discharge_end > last
            assert given_up or visit.discharge_end == last


LAWS = (
    the_day_ends,
    concrete_is_conserved,
    an_outcome_says_what_became_of_the_load,
    pump_and_line_are_filled_and_after_a_wash_out_again,
    each_strip_is_filled_exactly,
    stretches_of_a_front_follow_one_another,
    no_strip_is_begun_before_those_it_waits_for,
    a_front_places_or_stops_at_every_moment,
    pump_times_add_up,
    nothing_is_held_at_the_end,
    a_truck_keeps_clock_order,
    a_mixer_batches_one_load_at_a_time_in_its_hours,
    no_load_is_placed_past_its_age_limit,
    no_plant_has_more_trucks_out_than_it_owns,
    one_load_discharges_at_a_time,
)


@settings(max_examples=150, suppress_health_check=SLOW)
@given(cases())
def test_every_law_holds_on_random_days(case):
    log, day = played_open(case.scenario, case.layout, case.seed)
    for law in LAWS:
        law(log, day)


# Days that once went wrong, each by hand.


def test_a_line_that_is_washed_out_when_no_truck_will_come_ends_the_day():
    # Loads of 3 m³ an hour apart, a hopper of 5: the first two fill it and place 1. When the third
    # comes, pump and line have to be washed out; it fills them to 3 m³, and the plant is closed.
    plant = {"name": "Short", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "closes": "08:40"}
    pump = {"hopper_m3": 5.0, "longest_stand_min": 30, "stand_free_min": 5}
    scenario = pour(
        plants=[plant],
        supply={"load_m3": 3.0, "discharge_min": 8},
        pumps={"pump": pump},
        plan={"spacing_min": 60},
    )
    log, day = played_open(scenario, laid_out(scenario), 1)
    for law in LAWS:
        law(log, day)
    assert day.fronts[0].line_fills == 2
    assert log.placed == pytest.approx(1.0)
    assert log.held == pytest.approx(8.0)
    assert log.unfinished == pytest.approx(8.0)
    assert log.end == log.stretches[-1].end


def two_fronts(**plan) -> Scenario:
    """Front 2 waits for all of front 1. Its trucks are there first, and never get too old."""
    plants = [
        {"name": "Far", "trucks": 9, "batch_m3_h": 600, "travel_min": 60},
        {"name": "Near", "trucks": 9, "batch_m3_h": 600, "travel_min": 5},
    ]
    fronts = [{"pump": "pump", "crew": "crew", "plants": ["Near"], "start": "06:50"}]
    return pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [1, 1], "length_y_m": 40.0},
        plants=plants,
        site={"positions": 1, "holding_places": 0},
        plan={
            "spacing_min": 0,
            "fronts": fronts,
            "plants": ["Far"],
            "order": "spread",
            "strip_width_m": 3.0,
            "place_before": [["1/strip 1", "2/strip 1"]],
        }
        | plan,
    )


@pytest.mark.parametrize("plan", [{}, {"most_on_site": 1}, {"hold_back_at": 1}, {"trucks": 2}])
def test_trucks_of_a_front_that_waits_do_not_bar_the_way_of_the_one_it_waits_for(plan):
    scenario = two_fronts(**plan)
    log, day = played_open(scenario, laid_out(scenario), 1)
    for law in LAWS:
        law(log, day)
    assert log.unfinished == 0.0
    assert log.end < 12 * 3600.0


def test_a_front_goes_on_where_what_it_waits_for_is_over_as_it_begins_to_wait():
    # Random sites found it: the other front gave up at the very moment, and no load was called for
    # this one any more.
    scenario = two_fronts()
    day = open_day(scenario, scenario.plans[0], laid_out(scenario), 1)
    waits = day.fronts[1]
    while waits.work.doing != at.STRIP_FIRST:
        day.env.step()
    assert waits.stopped
    day.end_strip(waits.work.first)
    day.env.run(until=day.env.now + 1.0)
    assert not waits.stopped


def test_nobody_drives_round_the_block_in_no_time_for_ever():
    scenario = pour(
        site={"positions": 1, "holding_places": 0, "round_the_block_min": 0},
        plan={"spacing_min": 0},
    )
    log, day = played_open(scenario, laid_out(scenario), 1)
    for law in LAWS:
        law(log, day)
    assert log.unfinished == 0.0
    assert [visit.rounds for visit in log.visits] == [0, 0]


def test_a_site_has_room_for_its_positions_and_holding_places_and_no_more():
    scenario = pour(
        floor={"length_y_m": 100.0},
        plants=[{"name": "Near", "trucks": 20, "batch_m3_h": 600, "travel_min": 5}],
        site={"positions": 2, "holding_places": 1},
        plan={"spacing_min": 0},
    )
    log, _ = played_open(scenario, laid_out(scenario), 1)
    # Of a truck without a wait only the gate lies between the road and its position.
    entered = sorted(v.left_site for v in log.visits)
    for k, visit in enumerate(log.visits[3:]):
        assert visit.discharge_start >= entered[k] + 6 * 60.0 - TOLERANCE
    assert log.unfinished == 0.0
