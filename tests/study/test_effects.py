"""The day against the same day without an upset: by hand, with a made-up and with the real day.

Plain pour (tests/builders/pours.py): fixed times, 9 m³ of one strip in two loads, 20 °C, no age
limit.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from builders.made_days import MINUTE, TWO
from builders.pours import basis_of, measured, played, pour
from builders.upset_days import told_with

from pourday.day.log import Stop
from pourday.scenario.base.upsets import CREW_SHORT, LOAD_REJECTED, PUMP_DOWN, ROAD_CLOSED, Upset
from pourday.study.effects import MOST, effects


def down(minute: float, length: float = 30.0) -> Upset:
    return Upset(7 * 3600.0 + minute * MINUTE, PUMP_DOWN, length * MINUTE)


@pytest.fixture(scope="module")
def plain():
    return pour()


@pytest.mark.parametrize("count", [0, 1, 2, MOST, MOST + 3])
def test_each_upset_is_left_out_once_and_then_all_of_them(plain, count):
    day = measured(plain)
    upsets = tuple(down(k) for k in range(count))
    day = replace(day, log=replace(day.log, upsets=upsets))
    asked = []

    def play_day(rest):
        asked.append(rest)
        return day

    found = effects(day, play_day)
    single = [upsets[:k] + upsets[k + 1 :] for k in range(min(count, MOST))]
    assert asked == single + ([()] if count > 1 else [])
    assert [e.upset for e in found] == [*upsets[:MOST], *([None] if count else [])]


def test_of_two_upsets_that_are_alike_one_stays(plain):
    twin = down(5)
    day = measured(plain)
    day = replace(day, log=replace(day.log, upsets=(twin, twin)))
    asked = []
    effects(day, lambda rest: asked.append(rest) or day)
    assert asked == [(twin,), (twin,), ()]


def test_figures_are_those_of_the_day_less_those_without():
    # Made up: the day as it is, and one in which the last load is lost to its age and the log says
    # that the pump had no truck for 7 min.
    scenario = pour()
    day = measured(scenario)
    last = day.log.visits[-1]
    worse = replace(
        day.log,
        visits=(*day.log.visits[:-1], last._replace(outcome="part rejected")),
        stops=(*day.log.stops, Stop("starved", 0.0, 420.0)),
        upsets=(down(5),),
    )
    with_it = measured(scenario, worse)
    found = effects(with_it, lambda _: day)[0]
    assert found.over_age_more == 1
    assert found.lost == 0.0
    assert found.cost_more == pytest.approx(with_it.cost.total - day.cost.total)
    assert found.starved_more == pytest.approx(420.0)


def real(scenario, *upsets: Upset, seed: int = 1):
    return told_with(scenario, *upsets, seed=seed)[1]


def test_a_pump_that_is_down_while_it_places_loses_just_that_time(plain):
    log = played(plain)
    first = log.stretches[0]
    at = (first.start + first.end) / 2
    found = real(plain, Upset(at, PUMP_DOWN, 40 * MINUTE))
    assert [e.upset is None for e in found] == [False, True]
    assert found[0].without.end == log.end
    # Meanwhile the second truck has come and is in place and tested, so the 4 min for which the
    # pump stood while the trucks changed are won back.
    changed = sum(s.end - s.start for s in log.stops)
    assert changed == 4 * MINUTE
    assert found[0].lost == pytest.approx(40 * MINUTE - changed, abs=1e-6)
    assert (found[1].day, found[1].without) == (found[0].day, found[0].without)


def test_an_upset_of_no_length_has_no_effect(plain):
    log = played(plain)
    at = (log.start + log.end) / 2
    both = Upset(at, PUMP_DOWN, 0.0), Upset(at, ROAD_CLOSED, 0.0)
    for found in real(plain, *both):
        assert found.day == found.without
        assert (found.gone_cold, found.saved) == ((), ())


def test_the_pairs_that_a_stop_turned_cold_are_named():
    # Two strips of 4.5 m³ side by side; the pump stands four hours between them, longer than the
    # open time of 150 min: the one edge between them goes cold, and is not without the stop.
    scenario = pour(floor=TWO, plan={"order": "spread", "strip_width_m": 3.0})
    log = played(scenario)
    end_of_first = max(s.end for s in log.stretches if s.strip == 0)
    found = real(scenario, Upset(end_of_first - MINUTE, PUMP_DOWN, 240 * MINUTE))[0]
    names = tuple(strip.name for strip in basis_of(scenario).layout.strips)
    assert found.gone_cold == (names,)
    assert found.saved == ()
    assert (found.without.cold, found.day.cold) == (0, 1)
    assert found.without.cold_fronts == 0
    assert found.day.cold_fronts == 1  # the last minute of the first strip comes after the stop
    assert found.cold_more == 2
    assert found.without.ratio < 1.0 < found.day.ratio


def test_a_rejected_load_costs_no_concrete_but_time(plain):
    # The plant pays for a load that fails its test; labour and hire for the time it took are ours.
    log = played(plain)
    found = real(plain, Upset(log.start - 60 * MINUTE, LOAD_REJECTED, 0.0))[0]
    assert found.lost > 0.0
    assert found.over_age_more == 0
    assert found.day.unfinished == found.without.unfinished == 0.0


def test_effects_need_not_add_up(plain):
    # Two stops of the pump at the same time: without one of them nothing is won.
    log = played(plain)
    first = log.stretches[0]
    at = (first.start + first.end) / 2
    twins = Upset(at, PUMP_DOWN, 40 * MINUTE), Upset(at, PUMP_DOWN, 40 * MINUTE)
    one, other, both = real(plain, *twins)
    assert one.lost == other.lost == 0.0
    assert both.lost > 30 * MINUTE


def test_a_day_that_is_given_up_does_not_compare_with_one_that_is_finished(plain):
    # All six people leave in the first load: what is not placed is what the finished day has more.
    log = played(plain)
    at = (log.stretches[0].start + log.stretches[0].end) / 2
    found = real(plain, Upset(at, CREW_SHORT, math.inf, number=6))[0]
    in_the_deck = sum(s.volume_end - s.volume_start for s in log.stretches if s.start < at) / 2
    assert 0.0 < in_the_deck < sum(log.strip_volumes)
    assert found.unfinished_more == pytest.approx(sum(log.strip_volumes) - in_the_deck)
    assert found.lost < 0.0  # earlier, and no gain
    assert not found.compares
    assert not replace(found, day=found.without, without=found.day).compares
    assert replace(found, day=found.without).compares
    # Both given up with the same left out: nothing else tells them apart.
    assert replace(found, without=found.day).compares
