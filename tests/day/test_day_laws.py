"""Conservation laws of the day (design section 8), on days made at random by hypothesis."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import astuple, replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pours import laid_out, played_open, pour

from pourday.day.log import DayLog
from pourday.day.site import SiteDay, fleet
from pourday.day.streams import Stream
from pourday.outcome.measure import pump_times
from pourday.scenario.distribution import Distribution
from pourday.scenario.model import Break, Plant, Scenario

MINUTE, HOUR = 60.0, 3600.0
TOLERANCE = 1e-6

FLOORS = [
    pour(
        floor={"spans_m": spans, "sheet_runs": runs, "length_y_m": length},
        plan={"order": order},
    )
    for spans, runs, length in (
        ([3.0], [1], 20.0),
        ([3.0, 2.4, 3.3], [3], 25.0),
        ([2.5, 2.5, 3.0, 3.0], [2, 2], 12.0),
    )
    for order in ("thirds", "spread")
]
LAYOUTS = [laid_out(scenario) for scenario in FLOORS]


def minutes(low: float, high: float) -> st.SearchStrategy[Distribution]:
    """A time in s that is fixed or varies, with a mean between ``low`` and ``high`` min."""
    kinds = ["fixed", "exponential", "lognormal", "gamma"] if low > 0 else ["fixed"]
    return st.builds(
        lambda kind, mean, spread: Distribution(
            kind, (mean,) if kind in ("fixed", "exponential") else (mean, spread * mean)
        ),
        st.sampled_from(kinds),
        st.floats(low, high).map(lambda m: round(m, 2) * MINUTE),
        st.sampled_from([0.1, 0.4, 1.0]),
    )


def some(*values: float):
    return st.sampled_from(values)


@st.composite
def plants(draw, number: int) -> Plant:
    opens = draw(some(0.0, 6.5 * HOUR, 8.0 * HOUR))
    closes = draw(st.none() | some(8.5 * HOUR, 10.0 * HOUR, 15.0 * HOUR))
    travel = draw(minutes(5, 40))
    return Plant(
        name=f"plant {number}",
        trucks=draw(st.integers(1, 5)),
        batch=draw(some(10.0, 40.0, 90.0)) / HOUR,
        travel=travel,
        back=draw(st.just(travel) | minutes(5, 40)),
        opens=opens,
        closes=closes,
    )


@st.composite
def days(draw) -> tuple[int, Scenario, int]:
    """A floor's number, a scenario on it with everything drawn at random, and a seed."""
    number = draw(st.integers(0, len(FLOORS) - 1))
    base = FLOORS[number]
    load = draw(some(3.0, 4.5, 6.0))
    supply = replace(
        base.supply,
        plants=tuple(draw(plants(n)) for n in range(draw(st.integers(1, 3)))),
        load=load,
        smallest_load=draw(some(0.5, 1.0, 2.0)),
        load_step=draw(some(0.1, 0.25, 1.0)),
        margin=draw(some(0.0, 0.5, 2.0)),
        age_limit=draw(some(35.0, 60.0, 90.0)) * MINUTE,
        discharge=draw(st.just(Distribution("fixed", (0.0,))) | minutes(1, 20)),
    )
    begins = draw(st.lists(some(7.0, 8.0, 9.5, 12.0), max_size=3, unique=True))
    site = replace(
        base.site,
        positions=draw(st.integers(1, 3)),
        holding_places=draw(st.integers(0, 3)),
        gate=draw(minutes(0, 0) | minutes(0.5, 3)),
        position=draw(minutes(0, 0) | minutes(0.5, 6)),
        test=draw(minutes(0, 0) | minutes(0.5, 6)),
        wash=draw(minutes(0, 0) | minutes(1, 12)),
        breaks=tuple(Break(at * HOUR, draw(some(10.0, 45.0)) * MINUTE) for at in begins),
    )
    pump = replace(
        base.pumps["pump"],
        output=Distribution("uniform", (15.0 / HOUR, draw(some(20.0, 60.0)) / HOUR)),
        hopper=draw(some(0.0, 0.5)),
        line_length=draw(some(0.0, 50.0)),
        line_content=0.01,
        move=draw(minutes(0, 0) | minutes(0.5, 8)),
        walk=draw(some(0.0, 3.0)),
        between_blockages=draw(st.none() | some(0.3 * HOUR, 2 * HOUR)),
        blockage=draw(minutes(2, 40)),
    )
    crew = replace(
        base.crews["crew"],
        rate_per_placer=draw(some(2.0, 5.0, 10.0)) / HOUR,
        screed=draw(st.none() | some(60.0 / HOUR, 300.0 / HOUR)),
        front_speed=draw(st.none() | some(1.0 / 60.0, 0.05)),
    )
    plan = replace(
        base.plans[0],
        spacing=draw(minutes(0, 0) | minutes(3, 30)),
        trucks=draw(st.none() | st.integers(len(supply.plants), 12)),
        most_on_site=draw(st.none() | st.integers(1, 4)),
        hold_back_at=draw(st.none() | st.integers(1, 3)),
    )
    use = draw(some(0.0, 0.03, 0.15))
    quantity = (
        Distribution("normal", (1.05, use, 0.9, 1.5)) if use else Distribution("fixed", (1.0,))
    )
    scenario = replace(
        base,
        supply=supply,
        site=site,
        pumps={"pump": pump},
        crews={"crew": crew},
        slab=replace(base.slab, use_factor=quantity),
        mix=replace(base.mix, reject_share=draw(some(0.0, 0.05, 0.4))),
        plans=(plan,),
    )
    return number, scenario, draw(st.integers(0, 2**31))


def the_day_ends(log: DayLog, day: SiteDay) -> None:
    assert log.end == log.end, "the crew still waits for a load that nobody will call"
    assert log.wash_out_end >= log.end


def concrete_is_conserved(log: DayLog, day: SiteDay) -> None:
    batched = sum(visit.volume for visit in log.visits)
    assert batched == pytest.approx(day.called, abs=TOLERANCE)
    rejected = sum(visit.rejected for visit in log.visits)
    returned = sum(visit.returned for visit in log.visits)
    assert batched == pytest.approx(log.placed + log.held + rejected + returned, abs=TOLERANCE)
    for visit in log.visits:
        parts = (visit.placed, visit.rejected, visit.returned)
        assert min(parts) >= 0.0
        assert visit.volume == pytest.approx(sum(parts), abs=TOLERANCE)
        assert (visit.rejected > 0) == ("rejected" in visit.outcome)
    by_truck: dict[int, float] = defaultdict(float)
    for s in log.stretches:
        by_truck[s.truck] += s.volume_end - s.volume_start
    for visit in log.visits:
        assert visit.placed == pytest.approx(by_truck[visit.number], abs=TOLERANCE)
    in_line = sum(s.volume_end - s.volume_start for s in log.stretches if s.strip == -1)
    assert in_line == pytest.approx(log.held, abs=TOLERANCE)


def each_strip_is_filled_exactly(log: DayLog, day: SiteDay) -> None:
    filled = [0.0] * len(log.strip_volumes)
    for s in log.stretches:
        if s.strip >= 0:
            filled[s.strip] += s.volume_end - s.volume_start
    missing = [volume - got for volume, got in zip(log.strip_volumes, filled, strict=True)]
    assert min(missing) > -TOLERANCE
    assert sum(missing) == pytest.approx(log.unfinished, abs=TOLERANCE)
    if log.unfinished == 0.0:
        assert max(missing) < TOLERANCE
        assert log.held == pytest.approx(day.pump.held_volume, abs=TOLERANCE)


def stretches_follow_one_another(log: DayLog, day: SiteDay) -> None:
    for before, after in pairwise(log.stretches):
        assert before.start < before.end <= after.start < after.end
        if after.strip == before.strip:
            assert after.volume_start == before.volume_end
        else:
            assert after.strip > before.strip
            assert after.volume_start == 0.0


def nothing_is_held_at_the_end(log: DayLog, day: SiteDay) -> None:
    site = day.scenario.site
    assert day.positions.free == site.positions
    assert day.places.free == site.positions + site.holding_places
    assert (day.on_site, day.waiting, day.in_flight) == (0, 0, 0)
    assert [yard.trucks for yard in day.yards] == fleet(day.scenario, day.plan)
    assert not [load for load in day.hopper.line if load is not None]


def a_truck_keeps_clock_order(log: DayLog, day: SiteDay) -> None:
    for visit in log.visits:
        times = [visit.batched, visit.arrived]
        if visit.placed > 0:
            times += [visit.discharge_start, visit.discharge_end]
        times.append(visit.left_site)
        assert times == sorted(times)
        assert 0.0 <= visit.wait <= visit.left_site - visit.arrived
    for yard in day.yards:
        trips = [visit for visit in log.visits if visit.plant == yard.plant.name]
        for visit in trips:
            begun = visit.batched - visit.volume / yard.plant.batch
            assert begun > yard.plant.opens - TOLERANCE
            assert yard.plant.closes is None or begun < yard.plant.closes + TOLERANCE
        for before, after in pairwise(trips):  # one mixer
            begun = after.batched - after.volume / yard.plant.batch
            assert begun > before.batched - TOLERANCE


def pump_times_add_up(log: DayLog, day: SiteDay) -> None:
    if not log.stretches:  # no first concrete, so no time to share out
        return
    times = pump_times(log)
    parts = astuple(times)
    assert min(parts) >= 0.0
    assert sum(parts) == pytest.approx(log.end - log.start, abs=1e-5)


def no_load_is_placed_past_its_age_limit(log: DayLog, day: SiteDay) -> None:
    limit = day.scenario.supply.age_limit
    for s in log.stretches:
        assert s.end <= s.batched + limit + TOLERANCE


def no_plant_has_more_trucks_out_than_it_owns(log: DayLog, day: SiteDay) -> None:
    shares = fleet(day.scenario, day.plan)
    assert sum(shares) == (day.plan.trucks or sum(p.trucks for p in day.scenario.supply.plants))
    for yard, share in zip(day.yards, shares, strict=True):
        back = Stream(log.seed, f"way back to {yard.plant.name}", yard.plant.back)
        trips = [visit for visit in log.visits if visit.plant == yard.plant.name]
        changes = []
        for trip, visit in enumerate(trips):
            changes.append((visit.batched - visit.volume / yard.plant.batch + TOLERANCE, 1))
            changes.append((visit.left_site + back(trip), -1))
        out = 0
        for _, change in sorted(changes):
            out += change
            assert out <= share


def one_load_discharges_at_a_time(log: DayLog, day: SiteDay) -> None:
    discharging = sorted(
        (visit.discharge_start, visit.discharge_end) for visit in log.visits if visit.placed > 0
    )
    for (_, end), (start, _) in pairwise(discharging):
        assert start >= end


LAWS = (
    the_day_ends,
    concrete_is_conserved,
    each_strip_is_filled_exactly,
    stretches_follow_one_another,
    nothing_is_held_at_the_end,
    a_truck_keeps_clock_order,
    pump_times_add_up,
    no_load_is_placed_past_its_age_limit,
    no_plant_has_more_trucks_out_than_it_owns,
    one_load_discharges_at_a_time,
)


@settings(max_examples=250)
@given(days())
def test_every_law_holds_on_random_days(case):
    number, scenario, seed = case
    log, day = played_open(scenario, LAYOUTS[number], seed)
    for law in LAWS:
        law(log, day)
