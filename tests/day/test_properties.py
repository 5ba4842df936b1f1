"""What one more truck, or a longer spacing, does to a day with fixed times and no breaks.

Why the properties hold where they do. With one plant and one rule of call, loads keep their order,
and every time of the day (called, batched, arrived, ready, discharged, back) is the latest of some
earlier times, plus something fixed. So a day is a max-plus recursion (F. Baccelli, G. Cohen, G. J.
Olsder, J.-P. Quadrat, Synchronization and Linearity, Wiley 1992). A truck more only takes a time
out of such a maximum, that of the return that load k waits for, so nothing gets later. Where nobody
waits for a return, a longer spacing moves every arrival away from the ones before it, and a wait is
the latest of sums in which such gaps are subtracted.

Where they do not hold: whatever turns somebody away or chooses by what is seen at the moment (age
limit, a cap on trucks on the site, choice of a plant) can turn a gain into a loss, as more machines
can make a schedule longer (R. L. Graham, Bounds on Multiprocessing Timing Anomalies, SIAM Journal
on Applied Mathematics 17, 1969). The examples found are kept below, each with its reason. For
hold-back none was found in which a truck more raises starving (3000 random days), and none is ruled
out. The list is of what was found, not of all that a scenario can hold.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from builders.pours import exponential, laid_out, played, pour
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.log import DayLog
from pourday.day.play import play
from pourday.day.supply.yard import fleet
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.scenario import Scenario

MINUTE, HOUR = 60.0, 3600.0
TOLERANCE = 1e-6  # s
AT_ONCE = 100000  # m³/h of a mixer that takes no time

FLOORS = [
    pour(
        floor={"spans_m": spans, "sheet_runs": [len(spans)], "length_y_m": length},
        pumps={"pump": {"output_m3_h": 2000}},
        crews={"crew": {"placers": 10, "rate_per_placer_m3_h": 1000}},
    )
    for spans, length in (([3.0], 60.0), ([3.0], 83.0), ([3.5, 4.5], 30.0), ([2.5, 2.5, 6.0], 21.0))
]
LAYOUTS = [laid_out(scenario) for scenario in FLOORS]
ONE_STRIP = (0, 1)


def stops(log: DayLog) -> dict[str, float]:
    """How long the pump stood for each reason (s)."""
    lengths: dict[str, float] = defaultdict(float)
    for stop in log.stops:
        lengths[stop.kind] += stop.end - stop.start
    return lengths


def starved(log: DayLog) -> float:
    return stops(log)["starved"]


def without_concrete(log: DayLog) -> float:
    """How long the pump stood without a truck that was ready (s)."""
    return stops(log)["starved"] + stops(log)["changing"]


def waiting(log: DayLog) -> float:
    return sum(visit.wait for visit in log.visits)


# Days made at random.


def minutes(low: int, high: int) -> st.SearchStrategy[Distribution]:
    """A fixed time in whole or odd minutes."""
    return st.builds(
        lambda whole, odd: Distribution("fixed", ((whole + odd) * MINUTE,)),
        st.integers(low, high),
        st.sampled_from([0.0, 0.0, 0.37]),
    )


@st.composite
def plain_days(
    draw: Any,
    floors: Sequence[int] = tuple(range(len(FLOORS))),
    trucks: st.SearchStrategy[int] = st.integers(1, 6),  # noqa: B008
    truck_is_ready_at_once: bool = False,
) -> tuple[int, Scenario]:
    """A floor's number and a day on it.

    One plant; fixed times; nobody turned away; no break, rain or blockage; use as planned.
    """
    number = draw(st.sampled_from(floors))
    base = FLOORS[number]
    before = st.just(Distribution("fixed", (0.0,))) if truck_is_ready_at_once else minutes(0, 6)
    plant = replace(
        base.supply.plants[0],
        trucks=draw(trucks),
        batch=draw(st.sampled_from([30.0, 60.0, 120.0, AT_ONCE])) / HOUR,
        travel=draw(minutes(0, 40)),
        back=draw(minutes(0, 40)),
        opens=draw(st.sampled_from([0.0, 0.0, 7.5 * HOUR])),
    )
    supply = replace(
        base.supply,
        plants=(plant,),
        load=draw(st.sampled_from([3.0, 4.5, 6.0])),
        margin=draw(st.sampled_from([0.0, 0.5, 2.0])),
        discharge=draw(minutes(1, 15)),
    )
    site = replace(
        base.site,
        positions=draw(st.integers(1, 3)),
        holding_places=draw(st.sampled_from([0, 1, 3, 1000])),
        gate=draw(before),
        position=draw(before),
        test=draw(before),
        wash=draw(minutes(0, 12)),
    )
    pump = replace(base.pumps["pump"], move=draw(minutes(0, 20)))
    scenario = replace(base, supply=supply, site=site, pumps={"pump": pump})
    return number, with_spacing(scenario, draw(minutes(0, 20)))


def day(number: int, scenario: Scenario) -> DayLog:
    log = play(scenario, scenario.plans[0], LAYOUTS[number], 1)
    assert log.unfinished == 0.0
    assert sum(visit.rejected for visit in log.visits) == 0.0
    return log


def with_trucks(scenario: Scenario, trucks: int) -> Scenario:
    plant = replace(scenario.supply.plants[0], trucks=trucks)
    return replace(scenario, supply=replace(scenario.supply, plants=(plant,)))


def with_spacing(scenario: Scenario, spacing: Distribution) -> Scenario:
    plan = scenario.plans[0]
    front = replace(plan.fronts[0], spacing=spacing)
    return replace(scenario, plans=(replace(plan, fronts=(front,)),))


def wider(scenario: Scenario, longer: float) -> Scenario:
    """The same with a spacing that is longer by so much (s)."""
    spacing = scenario.plans[0].fronts[0].spacing.mean + longer
    return with_spacing(scenario, Distribution("fixed", (spacing,)))


def trucks_of(scenario: Scenario) -> int:
    return scenario.supply.plants[0].trucks


@settings(max_examples=200)
@given(plain_days())
def test_one_more_truck_never_lets_the_pump_stand_longer_without_a_ready_truck(case):
    """Holds for: one plant, fixed times, nobody turned away or held back (no age limit or cap).

    Any number of trucks, positions, holding places and strips. Trucks and pump are never later.
    """
    number, scenario = case
    few, many = day(number, scenario), day(number, with_trucks(scenario, trucks_of(scenario) + 1))
    assert without_concrete(many) <= without_concrete(few) + TOLERANCE
    assert many.end <= few.end + TOLERANCE
    for late, early in zip(few.visits, many.visits, strict=True):
        assert early.arrived <= late.arrived + TOLERANCE
        assert early.discharge_end <= late.discharge_end + TOLERANCE


@settings(max_examples=200)
@given(plain_days(truck_is_ready_at_once=True))
def test_one_more_truck_never_raises_starving_where_a_truck_is_ready_as_it_comes(case):
    """Holds for: the same sites, where gate, positioning and test take no time.

    Elsewhere starving can turn into changing and back, see
    ``test_a_truck_that_hides_its_gate_time_can_raise_starving``.
    """
    number, scenario = case
    few, many = day(number, scenario), day(number, with_trucks(scenario, trucks_of(scenario) + 1))
    assert starved(many) <= starved(few) + TOLERANCE


LONGER = st.sampled_from([0.5, 1.0, 3.0, 10.0]).map(lambda longer: longer * MINUTE)


@settings(max_examples=200)
@given(plain_days(trucks=st.just(60)), LONGER)
def test_a_longer_spacing_never_raises_a_wait_where_no_load_waits_for_a_truck(case, longer):
    """Holds for: one plant, fixed times, nobody turned away or held back, trucks enough.

    Then it holds for every single truck, not only in total.
    """
    number, scenario = case
    close, wide = day(number, scenario), day(number, wider(scenario, longer))
    for one, other in zip(close.visits, wide.visits, strict=True):
        assert other.wait <= one.wait + TOLERANCE


@settings(max_examples=200)
@given(plain_days(floors=ONE_STRIP), LONGER)
def test_a_longer_spacing_never_raises_the_total_wait_where_all_loads_are_served_alike(
    case, longer
):
    """Holds for: the same sites with any number of trucks, but one strip, so no move of the pump.

    With one position and service S a load: a spacing of S or more makes no truck wait, whatever
    the fleet; a shorter one never starves the pump, so the ends of discharge don't depend on it,
    and a truck that comes later waits less. With more positions: as found on random days.
    """
    number, scenario = case
    close, wide = day(number, scenario), day(number, wider(scenario, longer))
    assert waiting(wide) <= waiting(close) + TOLERANCE


# Counter-examples: what the general case has.


def plants(*rows: tuple[str, int, float, float, float]) -> list[dict[str, Any]]:
    """Plants by name, trucks, mixer (m³/h), way out and way back (min)."""
    keys = ("name", "trucks", "batch_m3_h", "travel_min", "back_min")
    return [dict(zip(keys, row, strict=True)) for row in rows]


def small_day(
    supply: list[dict[str, Any]],
    volume: float,
    spans: Sequence[float] = (3.0,),
    site: dict[str, Any] | None = None,
    move: float = 0.0,
    age_limit: float = 100000.0,
    discharge: float = 8.0,
    **plan: Any,
) -> DayLog:
    """A day with loads of 6 m³, times in min; everything that is not given takes no time."""
    nothing = {"gate_min": 0, "position_min": 0, "test_min": 0, "wash_min": 0}
    scenario = pour(
        floor={
            "spans_m": list(spans),
            "sheet_runs": [1] * len(spans),
            "length_y_m": volume / 0.15 / sum(spans),
        },
        supply={"discharge_min": discharge, "age_limit_min": age_limit},
        site=nothing | {"positions": 1, "holding_places": 1000} | (site or {}),
        pumps={"pump": {"output_m3_h": 2000, "move_min": move}},
        crews={"crew": {"placers": 10, "rate_per_placer_m3_h": 1000}},
        plants=supply,
        plan=plan,
    )
    return played(scenario)


def in_minutes(value: float) -> Any:
    """To compare with a time in min; batching "at once" still takes 0.004 min a load."""
    return pytest.approx(value * MINUTE, abs=0.05 * MINUTE)


def test_a_truck_that_hides_its_gate_time_can_raise_starving():
    """One truck more: 32 -> 36 min of starving, but 48 min without a ready truck in both.

    The fourth load finds the pump moving and is long at the site. With one truck the fifth comes 4
    min after it has gone (starved) and then spends 4 min at the gate (changing). With two trucks
    it comes while the fourth discharges, its gate time is hidden, and both stops are saved. But the
    sixth comes when it is due in both days, and the pump, 8 min earlier, starves 8 min longer.
    """
    few, many = (
        small_day(
            plants(("Mill Road", trucks, AT_ONCE, 2, 2)),
            volume=31.5,
            spans=(6.0, 4.5),
            site={"gate_min": 4},
            move=16,
            spacing_min=24,
        )
        for trucks in (1, 2)
    )
    assert starved(few) == in_minutes(32)
    assert starved(many) == in_minutes(36)
    assert without_concrete(few) == in_minutes(48)
    assert without_concrete(many) == in_minutes(48)


def test_one_more_truck_can_starve_the_pump_where_loads_grow_too_old():
    """Three trucks: 3.5 min of starving; four: 11 min. Discharge takes 15 min, spacing is 7 min.

    The fourth truck brings its load at once into the queue, where it waits 22 min and more than
    half of it grows too old. The order to replace it comes late, and the pump starves.
    """
    few, many = (
        small_day(
            plants(("Mill Road", trucks, 60, 16, 9)),
            volume=27.0,
            discharge=15,
            age_limit=51,
            spacing_min=7,
        )
        for trucks in (3, 4)
    )
    assert (starved(few), starved(many)) == (in_minutes(3.5), in_minutes(11))
    rejected = [sum(visit.rejected for visit in log.visits) for log in (few, many)]
    assert rejected == [pytest.approx(0.8), pytest.approx(4.0)]


def test_one_more_truck_can_starve_the_pump_where_trucks_on_the_site_are_capped():
    """Four trucks: no starving; five: 5 min. At most two on the site when a load is called.

    The cap counts trucks on the site, not those on the road. With five trucks the loads come
    sooner and queue, so the last call finds the site full and is held back for longer than its way
    to the site can make good. With four, lack of trucks had spread them.
    """
    few, many = (
        small_day(
            plants(("Mill Road", trucks, 60, 12, 6)),
            volume=45.0,
            discharge=10,
            spacing_min=8,
            most_on_site=2,
        )
        for trucks in (4, 5)
    )
    assert (starved(few), starved(many)) == (0.0, in_minutes(5))


def test_one_more_truck_at_a_far_plant_can_starve_the_pump():
    """One truck at the far plant: 34 min of starving; two: 42 min.

    A load that is due is called from the plant that can deliver first of those with a truck in.
    With one far truck the third load has to wait for the near one, which is back after 18 min and
    brings it 28 min after the start. With two, the third load is called from the far plant at once
    and comes after 50 min.
    """
    few, many = (
        small_day(
            plants(("Near", 1, AT_ONCE, 10, 10), ("Far", trucks, AT_ONCE, 60, 60)),
            volume=18.0,
            spacing_min=10,
        )
        for trucks in (1, 2)
    )
    assert (starved(few), starved(many)) == (in_minutes(34), in_minutes(42))


def test_one_more_truck_in_the_plan_can_take_one_from_the_near_plant():
    """Plan with 10 trucks of 14: 29 min of starving; with 11: 37 min.

    A plan's trucks are shared out in proportion, by largest remainder: 10 are 4, 4 and 2, but 11
    are 5, 5 and 1. That a larger whole can make a share smaller is known from the sharing of seats
    (the Alabama paradox).
    """
    supply = plants(
        ("North", 6, AT_ONCE, 50, 50), ("South", 6, AT_ONCE, 50, 50), ("Near", 2, AT_ONCE, 5, 5)
    )
    scenario = pour(plants=supply)
    shares = [fleet(scenario, replace(scenario.plans[0], trucks=count)) for count in (10, 11)]
    assert shares == [[4, 4, 2], [5, 5, 1]]
    few, many = (small_day(supply, volume=45.0, spacing_min=0, trucks=count) for count in (10, 11))
    assert (starved(few), starved(many)) == (in_minutes(29), in_minutes(37))


def test_a_longer_spacing_can_raise_the_wait_where_a_load_waits_for_its_truck():
    """Two trucks, spacing 8 -> 11 min: 4 -> 7 min of waiting.

    The second truck is held 20 min by a move of the pump. The third load waits for the first truck
    to come back, so it arrives 24 min after the start in both days, called late. A longer spacing
    only lets the second truck begin, and so end, 3 min later, and the third waits for it longer.
    """
    close, wide = (
        small_day(
            plants(("Mill Road", 2, AT_ONCE, 8, 8)),
            volume=18.0,
            spans=(3.5, 2.5),
            move=12,
            spacing_min=spacing,
        )
        for spacing in (8, 11)
    )
    assert [log.visits[2].arrived - log.ready for log in (close, wide)] == [in_minutes(24)] * 2
    assert (waiting(close), waiting(wide)) == (in_minutes(4), in_minutes(7))


def test_a_longer_spacing_can_raise_the_wait_where_trucks_on_the_site_are_capped():
    """At most two trucks on the site at a call, spacing 6 -> 7 min: 22 -> 30 min of waiting.

    At 6 min the fourth load is due to be called 10 min after the start, while two trucks stand on
    the site; when the first goes, at 12, the third has just come: the call is held back until 24.
    At 7 min it is due at 13, between the two, and the truck queues for 15 min.
    """
    close, wide = (
        small_day(
            plants(("Mill Road", 4, 120, 5, 15)),
            volume=24.0,
            discharge=12,
            spacing_min=spacing,
            most_on_site=2,
        )
        for spacing in (6, 7)
    )
    assert (waiting(close), waiting(wide)) == (in_minutes(22), in_minutes(30))


def test_a_longer_spacing_can_raise_the_wait_where_loads_are_held_back():
    """No call while a truck waits, spacing 7 -> 8 min: 15 -> 17 min of waiting.

    The fourth load can be called when the first truck is back, 15 min after the start. At 7 min the
    third truck has come a minute before and waits: the call is held back until 24. At 8 min it
    comes a minute after, the call goes out, and the fourth truck has to queue for 5 min.
    """
    close, wide = (
        small_day(
            plants(("Mill Road", 3, 120, 13, 3)),
            volume=24.0,
            discharge=12,
            spacing_min=spacing,
            hold_back_at=1,
        )
        for spacing in (7, 8)
    )
    assert [log.visits[2].arrived - log.ready for log in (close, wide)] == [
        in_minutes(14),
        in_minutes(16),
    ]
    assert (waiting(close), waiting(wide)) == (in_minutes(15), in_minutes(17))


def test_a_longer_spacing_can_raise_the_wait_where_loads_grow_too_old():
    """Spacing 8 -> 10 min, good for 30 min: 35.1 -> 41.4 min of waiting.

    At 8 min the third and fourth load lose more of their concrete to age, so they keep the pump for
    a shorter time, and those behind them wait less. At 10 min more of it is placed (3.2 m³ rejected
    instead of 5.6), and the queue behind it is longer.
    """
    close, wide = (
        small_day(
            plants(("Mill Road", 4, 120, 8, 20)),
            volume=30.0,
            discharge=15,
            age_limit=33,
            spacing_min=spacing,
        )
        for spacing in (8, 10)
    )
    rejected = [sum(visit.rejected for visit in log.visits) for log in (close, wide)]
    assert rejected == [pytest.approx(5.6), pytest.approx(3.2)]
    assert (waiting(close), waiting(wide)) == (in_minutes(35.125), in_minutes(41.375))


def test_a_longer_spacing_can_raise_the_wait_where_two_plants_change_the_order_of_loads():
    """Spacing 0 -> 3 min: 26.5 -> 34 min of waiting.

    The near plant's mixer is busy, so the second load comes from the far plant, 5 min after the
    start. At spacing 0 the last load, a small one, overtakes it on the nearer road and is placed
    first: the full load waits 12.5 min. At 3 min it comes a minute after the full load, and waits
    24 min behind it.
    """
    close, wide = (
        small_day(
            plants(("Near", 3, 60, 31, 25), ("Far", 4, AT_ONCE, 42, 45)),
            volume=12.15,
            discharge=15,
            spacing_min=spacing,
        )
        for spacing in (0, 3)
    )
    first = [min(log.visits[1:], key=lambda visit: visit.arrived).number for log in (close, wide)]
    assert first == [2, 1]
    assert (waiting(close), waiting(wide)) == (in_minutes(26.5), in_minutes(34))


# The same chance, and the same past, whatever the fleet.


def varied(trucks: int, spacing: float = 6.0) -> Scenario:
    """A day on which everything varies, from two plants with so many trucks in all."""
    spread = {"dist": "lognormal", "mean": 25, "sd": 8}
    return pour(
        floor={"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 60.0},
        mix={"reject_share": 0.1},
        supply={"discharge_min": {"dist": "gamma", "mean": 9, "sd": 3}, "margin_m3": 0.5},
        plants=[
            {"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": spread},
            {"name": "Far Field", "trucks": 6, "batch_m3_h": 40, "travel_min": exponential(35)},
        ],
        site={
            "holding_places": 100,
            "gate_min": exponential(1),
            "position_min": exponential(3),
            "test_min": exponential(2),
            "wash_min": exponential(8),
        },
        pumps={"pump": {"move_min": exponential(2), "between_blockages_h": 4}},
        plan={"spacing_min": spacing, "trucks": trucks},
    )


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("few", "many"), [(2, 4), (4, 6), (6, 12)])
def test_more_trucks_meet_the_same_travel_times_trip_by_trip(few, many, seed):
    logs = [played(varied(trucks), seed) for trucks in (few, many)]
    assert [v.batched for v in logs[0].visits] != [v.batched for v in logs[1].visits]
    for plant in varied(few).supply.plants:
        one, other = (
            [
                v.arrived - v.batched - v.volume / plant.batch  # loading is no travel
                for v in log.visits
                if v.plant == plant.name
            ]
            for log in logs
        )
        count = min(len(one), len(other))
        assert count >= 5
        assert len(set(one)) == len(one)
        assert one[:count] == pytest.approx(other[:count], abs=TOLERANCE)


@pytest.mark.parametrize("seed", range(5))
def test_more_trucks_meet_the_same_wash_load_by_load(seed):
    few, many = (played(varied(trucks), seed) for trucks in (3, 9))
    both = [
        (one, other)
        for one, other in zip(few.visits, many.visits, strict=False)
        if one.outcome == other.outcome == "placed"
    ]
    assert len(both) > 8
    for one, other in both:
        washes = [visit.left_site - visit.discharge_end for visit in (one, other)]
        assert washes[0] == pytest.approx(washes[1], abs=TOLERANCE)


@pytest.mark.parametrize("trucks", [2, 3, 5])
def test_more_trucks_meet_the_same_way_back_trip_by_trip(trucks):
    """One truck, called as soon as it is back, shows each way back; a larger fleet has the same.

    With a mixer that takes no time, load N + j of N trucks begins with the j-th return.
    """
    logs = []
    for count in (1, trucks):
        supply = plants(("Mill Road", count, AT_ONCE, 7, 7))
        supply[0] |= {"travel_min": exponential(7), "back_min": exponential(7)}
        logs.append(small_day(supply, volume=120.0, discharge=1, spacing_min=0))
    alone, many = logs
    begun = [[v.batched for v in log.visits] for log in logs]
    back = [
        begin - visit.left_site for visit, begin in zip(alone.visits, begun[0][1:], strict=False)
    ]
    returns = sorted(visit.left_site + way for visit, way in zip(many.visits, back, strict=False))
    found = begun[1][trucks:]
    assert len(found) == 20 - trucks
    # Two returns within a mixer's 0.2 s queue for it.
    assert found == pytest.approx(returns[: len(found)], abs=1.0)


@pytest.mark.parametrize("seed", range(12))
def test_what_was_before_the_first_call_of_an_extra_truck_is_the_same(seed):
    """A truck that was not called yet has no effect: cause comes before effect."""
    few, logs = 7, []
    for trucks in (few, few + 1):
        scenario = varied(trucks, spacing=8)
        supply = replace(scenario.supply, plants=scenario.supply.plants[:1])
        logs.append(played(replace(scenario, supply=supply), seed))
    few_begin, many_begin = ([v.batched for v in log.visits] for log in logs)
    first = next(k for k, begin in enumerate(few_begin) if begin != many_begin[k])
    assert first >= few, "a load was called otherwise before the smaller fleet was out"
    apart = min(few_begin[first], many_begin[first])
    assert sum(visit.discharge_end < apart for visit in logs[0].visits) > 0
    for name, when in (("stretches", "end"), ("stops", "end"), ("visits", "left_site")):
        one, other = (
            [row for row in getattr(log, name) if getattr(row, when) < apart] for log in logs
        )
        assert one == other
