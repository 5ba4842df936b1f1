"""Orders given in the middle of a day: what each does, and that nothing else changes."""

from __future__ import annotations

import contextlib
import random
from dataclasses import replace
from functools import cache

import pytest
from builders.pours import laid_out, pour
from builders.shipped import first_basis, shipped
from builders.sites import SLOW, cases
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from pourday.day.front.ready import Ready, ready
from pourday.day.log import (
    AWAY,
    BREAK,
    CANCEL,
    END,
    END_BAY,
    HOLD,
    SEND,
    STANDBY,
    DayLog,
    Order,
)
from pourday.day.orders.line import FORMS, OrderLineError, order_text, parse_order
from pourday.day.orders.obey import Given, OrderError, obey
from pourday.day.orders.ordered import after, play_ordered, state_at
from pourday.day.play import play_ready, upsets_of_day
from pourday.day.state import DayState, same
from pourday.scenario.base.upsets import parse_upset
from pourday.scenario.model.scenario import Break, Standby

MINUTE, HOUR = 60.0, 3600.0
FLOOR = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [1, 2], "length_y_m": 20.0}  # 27 m³
PLAN = {"order": "spread", "strip_width_m": 3.0, "spacing_min": 12}
SEVEN = 7 * HOUR
SKIP = Standby("skip", output=12 / HOUR, ready=20 * MINUTE, reach=None, call_out=300.0)
SMALL = Standby("small pump", output=30 / HOUR, ready=90 * MINUTE, reach=2.9, call_out=0.0)


@cache
def plan() -> Ready:
    scenario = replace(pour(floor=FLOOR, plan=PLAN), standbys=(SKIP, SMALL))
    return ready(scenario, scenario.plans[0], laid_out(scenario))


def given(*upsets: str) -> Given:
    return Given(plan(), 0, tuple(map(parse_upset, upsets)))


def clock(text: str) -> float:
    hours, minutes = text.split(":")
    return int(hours) * HOUR + int(minutes) * MINUTE


def ordered(day: Given, *orders: Order) -> DayLog:
    played = play_ordered(day, orders)
    assert not played.refused
    return played.log


def wasted(log: DayLog) -> float:
    return sum(v.rejected + v.returned for v in log.visits)


def unaccounted(log: DayLog) -> float:
    """Concrete batched that is neither placed, wasted, nor in pump and line (m³)."""
    line = sum(s.volume_end - s.volume_start for s in log.stretches if s.strip < 0)
    return sum(v.volume for v in log.visits) - log.placed - line - wasted(log)


def unaccounted_now(state: DayState) -> float:
    """The same in the middle of a day, with what is still on trucks."""
    home = {visit.number for visit in state.visits}
    out = [load for load in state.loads if load.number not in home]
    flowed = sum(s.volume_end - s.volume_start for s in state.stretches)
    called = sum(v.volume for v in state.visits) + sum(load.volume for load in out)
    lost = sum(v.rejected + v.returned for v in state.visits)
    return called - flowed - lost - sum(load.left for load in out)


DOWN = "07:20 pump down 2 h"


def test_a_day_without_orders_is_the_plain_day_bit_for_bit():
    basis = first_basis(shipped("clinic_level_1"))
    own = ready(basis.scenario, basis.plan, basis.layout)
    upsets = (*upsets_of_day(basis.scenario, basis.plan, 3), parse_upset("10:30 pump down 1 h"))
    day = Given(own, 3, upsets)
    assert repr(play_ordered(day, ()).log) == repr(play_ready(own, 3, upsets, blind=True))


def test_an_order_is_a_pure_function_of_the_state():
    day = given(DOWN)
    state = state_at(day, clock("07:30"))
    before = state.to_json()
    assert same(obey(day, state, Order(state.at, HOLD)), obey(day, state, Order(state.at, HOLD)))
    assert state.to_json() == before


def test_what_came_before_an_order_stays_as_it_was():
    day, at = given(DOWN), after(clock("07:32"))
    plain = play_ready(plan(), 0, day.upsets, blind=True)
    for order in (Order(at, HOLD), Order(at, END), Order(at, STANDBY, name="skip")):
        log = ordered(day, order)
        assert [s for s in log.stretches if s.end < at] == [
            s for s in plain.stretches if s.end < at
        ]
        assert [v for v in log.visits if v.left_site < at] == [
            v for v in plain.visits if v.left_site < at
        ]


def test_loads_on_hold_are_not_called_before_they_are_sent_for():
    day, at = given(DOWN), clock("07:21")
    held = ordered(day, Order(at, HOLD))
    assert not [v for v in held.visits if at < v.batched < clock("09:20")]
    sent = ordered(day, Order(at, HOLD), Order(clock("08:40"), SEND, number=2))
    called = [v.batched for v in sent.visits if at < v.batched < clock("09:20")]
    assert called[0] == pytest.approx(clock("08:40"))
    assert sent.placed == pytest.approx(27.0)
    assert held.placed == pytest.approx(27.0)
    assert [call.kind for call in sent.calls] == ["hold", "send"]


def test_a_hold_that_nobody_lifts_ends_when_the_pump_works_and_no_truck_waits():
    day = given("07:20 pump down 30 min")
    log = ordered(day, Order(clock("07:21"), HOLD))
    waits_until = max(v.discharge_start for v in log.visits if v.batched < clock("07:21"))
    assert min(v.batched for v in log.visits if v.batched > clock("07:21")) >= waits_until - 1e-6
    assert log.placed == pytest.approx(27.0)


def test_a_hold_while_the_pump_works_lasts_until_it_stands_without_concrete():
    log = ordered(given(), Order(clock("06:50"), HOLD))
    before = max(v.discharge_end for v in log.visits if v.batched < clock("06:50"))
    assert min(v.batched for v in log.visits if v.batched > clock("06:50")) >= before
    assert log.placed == pytest.approx(27.0)


def test_a_stand_by_places_from_when_it_is_there_at_its_own_rate():
    log = ordered(given(DOWN), Order(clock("07:25"), STANDBY, name="skip"))
    later = [s for s in log.stretches if s.start > clock("07:25")]
    assert later[0].start == pytest.approx(clock("07:45"))
    assert all((s.volume_end - s.volume_start) / (s.end - s.start) < 12.001 / HOUR for s in later)
    down = [stop for stop in log.stops if stop.kind == "down"]
    assert [(stop.start, stop.end) for stop in down] == [(clock("07:20"), clock("07:45"))]
    assert log.fronts[0].relief == "skip"
    assert log.placed == pytest.approx(27.0)


def test_the_own_pump_takes_over_from_the_stand_by_before_the_next_strip():
    day = given("07:20 pump down 1 h")
    log = ordered(day, Order(clock("07:25"), STANDBY, name="skip"))
    rates = [
        (s.strip, round((s.volume_end - s.volume_start) / (s.end - s.start) * HOUR))
        for s in log.stretches
        if s.start > clock("07:25")
    ]
    assert {rate for strip, rate in rates if strip < 2} == {12}  # 07:45 to 08:37
    assert {rate for strip, rate in rates if strip == 2} == {45}  # as fast as the trucks let go
    begin = min(s.start for s in log.stretches if s.strip == 2)
    assert log.fronts[0].relieved == (clock("07:45"), begin)
    assert begin == pytest.approx(clock("07:45") + 10.5 / 12 * HOUR)


def test_a_strip_that_the_stand_by_does_not_reach_waits_for_the_own_pump():
    near = replace(SKIP, reach=3.1)  # strips at both ends, not the one in the middle
    scenario = replace(plan().scenario, standbys=(near,))
    own = ready(scenario, scenario.plans[0], laid_out(scenario))
    log = ordered(Given(own, 0, given(DOWN).upsets), Order(clock("07:25"), STANDBY))
    middle = [s.start for s in log.stretches if s.strip == 1]
    assert min(middle) == pytest.approx(clock("09:20"))
    assert log.placed == pytest.approx(27.0)


def test_a_stand_by_that_comes_after_the_pump_works_again_has_come_in_vain():
    day = given("07:20 pump down 15 min")
    log = ordered(day, Order(clock("07:25"), STANDBY, name="skip"))
    plain = play_ready(plan(), 0, day.upsets, blind=True)
    assert log.stretches == plain.stretches
    assert log.fronts[0].relief == "skip"  # its call-out is due all the same


def test_what_a_stand_by_does_not_reach_is_not_poured_with_it():
    # From the nearest edge the middle strip is reached after 4.5 m, the two beside it after 3 m.
    log = ordered(given(DOWN), Order(clock("07:25"), STANDBY, name="skip"))
    assert log.left_out == 0.0
    down = state_at(given(DOWN), clock("07:25"))
    with pytest.raises(OrderError, match="does not reach"):
        obey(given(DOWN), down, Order(down.at, STANDBY, name="small pump"))


def test_a_stand_by_is_not_called_for_a_pump_that_works():
    state = state_at(given(), clock("07:10"))
    with pytest.raises(OrderError, match="does not stand broken"):
        obey(given(), state, Order(state.at, STANDBY))


@pytest.mark.parametrize("at", ["07:08", "07:15", "07:19", "07:40"])
def test_a_stop_end_here_ends_the_pour_where_the_front_stands(at):
    day, now = given(DOWN), clock(at)
    plain = play_ready(plan(), 0, day.upsets, blind=True)
    log = ordered(day, Order(now, END))
    inside = sum(
        (s.volume_end - s.volume_start) * (min(s.end, now) - s.start) / (s.end - s.start)
        for s in plain.stretches
        if s.start < now
    )
    assert log.placed == pytest.approx(inside)
    assert log.left_out == pytest.approx(27.0 - inside)
    assert log.unfinished == 0.0
    assert log.end <= now
    assert [strip for strip, _ in log.given_up] == [0, 1, 2]
    assert not [v for v in log.visits if v.discharge_start > now]
    assert all(stop.end <= now for stop in log.stops)


def test_a_stop_end_after_a_strip_fills_that_strip_and_no_other():
    log = ordered(given(), Order(clock("07:08"), END, strip=1))
    assert {s.strip for s in log.stretches if s.strip >= 0} == {0, 1}
    assert log.placed == pytest.approx(18.0)
    assert log.left_out == pytest.approx(9.0)
    assert log.end == log.stretches[-1].end
    assert sum(v.volume for v in log.visits) == pytest.approx(18.0)  # and no more is called


def test_a_stop_end_of_a_bay_goes_on_in_the_next():
    log = ordered(given(), Order(clock("07:08"), END_BAY))
    assert {s.strip for s in log.stretches if s.start > clock("07:10")} == {1, 2}
    assert log.left_out == pytest.approx(9.0 - log.placed + 18.0)


def test_a_truck_sent_away_leaves_with_what_is_on_it_and_is_called_once_more():
    day, now = given(), clock("07:20")
    log = ordered(day, Order(now, AWAY, number=1))
    (visit,) = [v for v in log.visits if v.number == 1]
    assert visit.outcome == "part sent away"
    assert visit.placed == pytest.approx(45.0 * (now - (SEVEN + 1080.0)) / HOUR)
    assert visit.placed + visit.returned == pytest.approx(6.0)
    assert log.placed == pytest.approx(27.0)
    with pytest.raises(OrderError, match="truck 9 is neither"):
        obey(day, state_at(day, now), Order(now, AWAY, number=8))


def test_a_truck_that_waits_is_sent_away_whole():
    now = clock("08:00")
    log = ordered(given(DOWN), Order(now, AWAY, number=2))
    (visit,) = [v for v in log.visits if v.number == 2]
    assert (visit.outcome, visit.returned) == ("sent away", 6.0)
    assert visit.left_site == pytest.approx(now + 8 * MINUTE)


def test_loads_whose_loading_has_not_begun_are_cancelled_and_no_others():
    scenario = plan().scenario
    slow = replace(
        scenario,
        supply=replace(
            scenario.supply,
            plants=tuple(replace(p, batch=6 / (30 * MINUTE)) for p in scenario.supply.plants),
        ),
    )
    own = ready(slow, slow.plans[0], laid_out(slow))
    day = Given(own, 0, ())
    plain = play_ready(own, 0, (), blind=True)
    now = plain.visits[1].batched - 1.0  # called, and still in the mixer's queue
    log = ordered(day, Order(now, CANCEL, number=1))
    assert 2 not in [v.number for v in log.visits]
    assert log.placed == pytest.approx(27.0)
    with pytest.raises(OrderError, match="2 loads can be cancelled"):
        obey(day, state_at(day, now), Order(now, CANCEL, number=3))


def test_a_break_is_taken_at_the_next_change_of_truck():
    scenario = replace(
        plan().scenario,
        site=replace(plan().scenario.site, breaks=(Break(10 * HOUR, None, 1200.0),)),
    )
    own = ready(scenario, scenario.plans[0], laid_out(scenario))
    log = ordered(Given(own, 0, ()), Order(clock("07:07"), BREAK))
    (idle,) = [stop for stop in log.stops if stop.kind == "idle"]
    assert idle.start == pytest.approx(clock("07:14"))
    assert idle.end - idle.start == pytest.approx(20 * MINUTE)
    down = ordered(Given(own, 0, given(DOWN).upsets), Order(clock("09:10"), BREAK))
    assert [s.end for s in down.stops if s.kind == "idle"] == [pytest.approx(clock("09:30"))]
    with pytest.raises(OrderError, match="no break of the day is left"):
        obey(given(), state_at(given(), clock("07:10")), Order(clock("07:10"), BREAK))


MOMENTS = (600.0, 1500.0, 2400.0)
EVERY = (
    [(HOLD, {}), (SEND, {"number": 2})],
    [(CANCEL, {"number": 1})],
    [(AWAY, {"number": n}) for n in range(3, 9)],
    [(STANDBY, {"name": "skip"})],
    [(END, {})],
    [(END_BAY, {})],
    [(BREAK, {})],
)


@pytest.mark.parametrize("name", ["tower_level_9", "depot_two_pumps"])
def test_concrete_is_conserved_at_every_hand_over_with_orders(name):
    basis = first_basis(shipped(name))
    scenario = replace(basis.scenario, standbys=(SKIP,))
    own = ready(scenario, basis.plan, basis.layout)
    crane = scenario.means(basis.plan)[0] == "skip"
    at = basis.plan.start + 2.0 * HOUR
    upset = parse_upset(f"00:00 {'crane lost' if crane else 'pump down'} 2 h")
    day = Given(own, 1, (replace(upset, at=at),))
    for orders in EVERY:
        for moment in MOMENTS:
            state = state_at(day, after(at + moment))
            for kind, words in orders:
                try:
                    state = obey(day, state, Order(state.at, kind, **words))
                except OrderError:
                    continue
                assert unaccounted_now(state) == pytest.approx(0.0, abs=1e-6)
                assert same(DayState.from_json(state.to_json()), state)
            state = state_at(day, state.at + 900.0, state)
            assert unaccounted_now(state) == pytest.approx(0.0, abs=1e-6)
            log = play_ordered(day, (), state).log
            assert unaccounted(log) == pytest.approx(0.0, abs=1e-6)
            whole = sum(log.strip_volumes)
            assert log.placed + log.left_out + log.unfinished == pytest.approx(whole)


@drawn(cases(), st.integers(0, 10**6))
@settings(max_examples=15, suppress_health_check=SLOW)
def test_any_orders_on_any_day_conserve_concrete_and_go_on_from_any_moment(case, number):
    chance = random.Random(number)
    scenario = replace(case.scenario, standbys=(SKIP,))
    own = ready(scenario, scenario.plans[0], case.layout)
    day = Given(own, case.seed, upsets_of_day(scenario, own.plan, case.seed))
    plain = play_ready(own, case.seed, day.upsets, blind=True)
    kinds = (HOLD, SEND, CANCEL, AWAY, STANDBY, END, END_BAY, BREAK)
    orders = [
        Order(
            chance.uniform(plain.ready, max(plain.ready, plain.end)),
            chance.choice(kinds),
            chance.randrange(len(own.fronts)),
            chance.randint(0, 8),
            strip=chance.choice([-1, chance.randrange(len(own.planned))]),
        )
        for _ in range(3)
    ]
    log = play_ordered(day, orders).log
    assert unaccounted(log) == pytest.approx(0.0, abs=1e-6)
    assert log.placed + log.left_out + log.unfinished == pytest.approx(sum(log.strip_volumes))
    state = None
    for order in sorted(orders, key=lambda each: each.at):
        state = state_at(day, order.at, state)
        with contextlib.suppress(OrderError):
            state = obey(day, state, order)
    later = state_at(day, state.at + 900.0, state)
    assert unaccounted_now(later) == pytest.approx(0.0, abs=1e-6)
    assert repr(play_ordered(day, (), later).log) == repr(log)


@pytest.mark.parametrize("line", [form for form, _ in FORMS])
def test_every_order_that_is_told_of_reads_and_is_written_back(line):
    order = parse_order(line, SEVEN)
    assert parse_order(order_text(order), SEVEN) == order
    assert parse_order(f"Pump 2  {line.upper()}", SEVEN, 2)._replace(name="") == order._replace(
        front=1
    )


def test_a_line_that_is_no_order_says_what_may_be_ordered():
    with pytest.raises(OrderLineError, match="hold, send, cancel 2"):
        parse_order("hurry up", SEVEN)
    with pytest.raises(OrderLineError, match="needs the number of the truck"):
        parse_order("away", SEVEN)
    with pytest.raises(OrderLineError, match="whose order"):
        parse_order("hold", SEVEN, 2)
    assert parse_order("hold", SEVEN, 2, standing=[1]).front == 1
    with pytest.raises(OrderLineError, match="no pump 3"):
        parse_order("pump 3 hold", SEVEN, 2)
