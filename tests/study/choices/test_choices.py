"""Choices in the middle of a day: rests that know nothing nobody knows, and ways to end a pour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.places import SCENARIOS
from builders.shipped import first_basis, shipped

from pourday.day.log import END, HOLD, STANDBY, Order
from pourday.outcome.scene import scene
from pourday.scenario.base.trade import SKIP
from pourday.scenario.base.upsets import CRANE_LOST, PUMP_DOWN, Upset
from pourday.scenario.model.scenario import Standby
from pourday.study.choices.rehearsed import Rehearsed, moment_of
from pourday.study.choices.rests import Choice
from pourday.study.choices.ways import HERE, LINE, STRIP, endings

HOUR = 3600.0
HALF_PAST_TEN = 10.5 * HOUR
SMALL = Standby("small pump", output=18 / HOUR, ready=1200.0, reach=None, call_out=400.0)
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


def stopped(name, length, standbys=(), seed=0):
    """A shipped scenario whose every pump or crane fails at 10:30, for so long (s)."""
    basis = first_basis(shipped(name))
    basis = replace(basis, scenario=replace(basis.scenario, standbys=standbys))
    means = set(basis.scenario.means(basis.plan))
    kinds = [CRANE_LOST] * (SKIP in means) + [PUMP_DOWN] * bool(means - {SKIP})
    upsets = tuple(Upset(HALF_PAST_TEN, kind, length) for kind in kinds)
    return Rehearsed(basis, seed, rests=6), upsets


@pytest.mark.parametrize("standbys", [(), (SMALL,)], ids=["nothing to be had", "a stand-by"])
@pytest.mark.parametrize("name", NAMES)
def test_the_advice_of_a_stop_at_half_past_ten_saves_the_edge_or_said_that_it_could_not(
    name, standbys
):
    rehearsed, upsets = stopped(name, 5 * HOUR, standbys)
    day, _ = rehearsed.day(upsets)
    now = HALF_PAST_TEN + 900.0
    (ending, *_) = endings(day, scene(day, now))
    assert ending.edge is not None
    assert ending.nothing == (not standbys)
    pair = ending.edge.pair
    assert day.edges.ratio[pair] > 1.0 or name == "frost_night"  # nobody did anything: it is lost
    way = ending.advice(now)
    if way is None:
        return  # the report had said it
    assert way.kind == (STRIP if standbys else HERE)
    orders = tuple(o._replace(at=moment_of(now)) for o in way.orders(now))
    obeyed, refused = rehearsed.day(upsets, orders)
    assert not refused
    # Never covered is no joint of fresh concrete any more: a stop end has been formed there.
    assert np.isnan(obeyed.edges.ratio[pair]) or obeyed.edges.ratio[pair] <= 1.0
    after = scene(obeyed, obeyed.log.wash_out_end)
    younger = ending.edge.younger
    assert after.strips[younger].share >= 1.0 or younger in after.given_up
    assert obeyed.log.left_out > 0.0


@pytest.mark.parametrize("output", [10, 18])
@pytest.mark.parametrize("name", NAMES)
def test_advice_followed_in_its_last_minute_saves_the_edge_in_the_minutes_it_promised(name, output):
    # The crane of the tower lifts for others now and then, which nobody can know: not promised.
    standby = replace(SMALL, output=output / HOUR)
    rehearsed, upsets = stopped(name, 9 * HOUR, (standby,))
    day, _ = rehearsed.day(upsets)
    now = HALF_PAST_TEN + 660.0
    (ending, *_) = endings(day, scene(day, now))
    way = ending.advice(now)
    assert way is not None
    if way.kind != STRIP or name == "tower_level_9":
        return
    for at in (now, way.decide_by):
        orders = tuple(each._replace(at=moment_of(at)) for each in way.orders(at))
        obeyed, refused = rehearsed.day(upsets, orders)
        assert not refused
        (then,) = (each for each in endings(day, scene(day, at)) if each.front == way.front)
        (same,) = (w for w in then.ways if (w.kind, w.strip) == (STRIP, way.strip))
        done = max(each.end for each in obeyed.log.stretches if each.front == way.front)
        promised, needed = same.time / 60.0, (done - at) / 60.0
        assert promised - 15.0 < needed < promised + 5.0
        ratio = obeyed.edges.ratio[ending.edge.pair]
        assert np.isnan(ratio) or ratio <= 1.0


def test_no_deadline_lies_beyond_the_concrete_that_is_here():
    # All that is here gives up by 12:01; what is called after that takes 46 min to come.
    rehearsed, upsets = stopped("library_level_2", 9 * HOUR, (SMALL,))
    day, _ = rehearsed.day(upsets)
    (ending,) = endings(day, scene(day, HALF_PAST_TEN + 660.0))
    way = ending.advice(HALF_PAST_TEN + 660.0)
    assert way.kind == STRIP
    assert way.decide_by < way.lost - way.time - 20 * 60.0


def test_of_what_comes_too_late_the_page_says_so():
    slow = replace(SMALL, ready=4 * HOUR)
    rehearsed, upsets = stopped("library_level_2", 6 * HOUR, (slow,))
    day, _ = rehearsed.day(upsets)
    now = HALF_PAST_TEN + 900.0
    (ending,) = endings(day, scene(day, now))
    assert not any(way.in_time(now) for way in ending.ways if way.kind == STRIP)
    way = ending.advice(now)
    assert way is not None
    assert way.kind == HERE
    late = scene(day, ending.edge.lost_at + 60.0)
    assert ending.edge.older in endings(day, late)[0].lost


def test_a_line_inside_the_floor_is_offered_lane_by_lane():
    rehearsed, upsets = stopped("library_level_2", 2 * HOUR, (SMALL,))
    day, _ = rehearsed.day(upsets)
    (ending,) = endings(day, scene(day, HALF_PAST_TEN + 600.0))
    lines = [way for way in ending.ways if way.kind == LINE]
    width = rehearsed.basis.scenario.floor.length_y
    assert len({(way.low, way.high) for way in lines}) == 2
    assert all(way.high - way.low < width for way in lines)
    assert all(way.orders(0.0) == () for way in lines)  # the rule's line is formed by hand


def test_nothing_in_a_rest_depends_on_how_long_the_stop_really_lasts():
    for name in ("library_level_2", "tower_level_9", "depot_two_pumps"):
        found = []
        for length in (40 * 60.0, 3 * HOUR):
            rehearsed, upsets = stopped(name, length)
            at = moment_of(HALF_PAST_TEN + 900.0)
            choices = [Choice("go on", ()), Choice("hold", (Order(at, HOLD),))]
            found.append(rehearsed.compare(upsets, (), at, choices))
        for one, other in zip(*found, strict=True):
            for figure in ("finish", "lost", "money", "wasted", "left_out"):
                np.testing.assert_array_equal(getattr(one, figure), getattr(other, figure))


def test_two_choices_meet_the_same_rests_and_ending_here_leaves_the_rest_out():
    rehearsed, upsets = stopped("clinic_level_1", 2 * HOUR, (SMALL,))
    at = moment_of(HALF_PAST_TEN + 900.0)
    choices = [
        Choice("as it is", ()),
        Choice("as it is", ()),
        Choice("end", (Order(at, END),)),
        Choice("stand-by", (Order(at, STANDBY, name=SMALL.name),)),
    ]
    one, same, end, relief = rehearsed.compare(upsets, (), at, choices)
    np.testing.assert_array_equal(one.finish, same.finish)
    np.testing.assert_array_equal(one.money, same.money)
    assert (end.finish <= at).all()
    assert (end.left_out > 10.0).all()
    assert (end.lost == 0.0).all()
    assert (one.left_out == 0.0).all()
    assert not np.array_equal(relief.finish, one.finish)
    assert len(np.unique(one.finish)) > 1  # the stop's length is drawn


def test_an_order_is_obeyed_from_its_moment_and_taken_back_leaves_the_day_as_it_was():
    rehearsed, upsets = stopped("clinic_level_1", 2 * HOUR, (SMALL,))
    plain, _ = rehearsed.day(upsets)
    at = moment_of(HALF_PAST_TEN + 600.0)
    ended, refused = rehearsed.day(upsets, (Order(at, END), Order(at + 60.0, HOLD)))
    assert [why for _, why in refused] == ["this front is done: its last concrete is placed"]
    assert ended.log.placed < plain.log.placed
    again, _ = rehearsed.day(upsets, ())
    assert repr(again.log) == repr(plain.log)
    with pytest.raises(ValueError, match="this front is done"):
        rehearsed.check(upsets, (Order(at, END),), (Order(at + 60.0, HOLD),))
