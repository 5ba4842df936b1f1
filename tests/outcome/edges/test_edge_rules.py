"""The three rules on the same day, worked by hand at 5, 20 and 35 °C: stiff, cold, when lost.

Times are minutes after 08:00. Two strips of 3 m by 10 m; a front moves 0.1 m a minute. The first
strip is placed up from 0 to 100, loaded at -20; the second up from 180 to 280. So y metres of the
edge are placed at 10 y, covered 180 min later, at an age of 200 + 10 y min. Initial set is 5 h, the
open time 150 min. Arrhenius (ASTM C1074), 4000 K: 0.479104 at 5 °C, 1.942936 at 35 °C.
"""

from __future__ import annotations

import numpy as np
import pytest
from builders.made_days import FOUR, MINUTE, ONE_WAY, TWO, clock, measured_day, minutes
from builders.pours import basis_of, pour

from pourday.concrete.edges import COLD_SHARE, STIFF_SHARE
from pourday.outcome.edges.meaning import times_in_the_day, times_of_first_load
from pourday.outcome.edges.stop_end import long_stops
from pourday.outcome.scene import scene
from pourday.scenario.tables.concrete import MixTable

RATE = {5.0: 0.479104, 20.0: 1.0, 35.0: 1.942936}
PIECES = (0, 0, 100, 0, 1, -20), (1, 180, 280, 0, 1, 160)


def scenario(rule: str, air: float, floor=TWO, **mix):
    hours = [{"at": "06:00", "air_C": air, "humidity": 0.6, "wind_km_h": 10}]
    mix = {"edge_rule": rule, "delivered_C": air, **mix}
    return pour(floor=floor, plan=ONE_WAY, mix=mix, weather={"hours": hours})


@pytest.mark.parametrize(
    ("air", "stiff", "cold"),
    [
        # Stiff at 150 min of 20 °C, cold at 240. Age when covered at y, times the rate.
        (5.0, 0.0, 0.0),  # at most 300 x 0.3986 = 119.6 min
        (20.0, 4.0, 6.0),  # all of it over 150; over 240 from y = 4 on
        (35.0, 0.0, 10.0),  # at least 200 x 2.2939 = 458.8 min
    ],
)
def test_by_set(air, stiff, cold):
    found = measured_day(scenario("set", air), *PIECES).edges
    assert found.ratio == pytest.approx([300 * RATE[air] / 240], rel=1e-5)
    assert found.stiff_length == pytest.approx([stiff], abs=1e-6)
    assert found.cold_length == pytest.approx([cold], abs=1e-6)
    assert (found.stiff, found.cold) == (stiff > 0, cold > 0)
    # A pair that is cold anywhere is a cold pair, however much of it was only stiff.
    assert (found.stiff_pairs, found.cold_pairs) == (0, int(cold > 0))


@pytest.mark.parametrize(
    ("air", "ratio", "stiff", "cold"),
    [
        # 180 min from placing to placing, everywhere; the age of the load counts for nothing.
        (5.0, 180 / 150, 0.0, 10.0),
        (20.0, 180 / 150, 0.0, 10.0),
        (35.0, 180 / 120, 0.0, 10.0),
    ],
)
def test_by_interval(air, ratio, stiff, cold):
    found = measured_day(scenario("interval", air), *PIECES).edges
    assert found.ratio == pytest.approx([ratio], rel=1e-9)
    assert found.stiff_length == pytest.approx([stiff], abs=1e-6)
    assert found.cold_length == pytest.approx([cold], abs=1e-6)


@pytest.mark.parametrize(
    ("air", "stiff", "cold"),
    [
        # Cold at 150 min of 20 °C, stiff at 150 x 0.5/0.8 = 93.75.
        # 5 °C: stiff from an age of 93.75 / 0.479104 = 195.7 min on: all of it,
        # being 200 old at 0; never cold, which takes 150 / 0.479104 = 313 min.
        (5.0, 10.0, 0.0),
        (20.0, 0.0, 10.0),
        (35.0, 0.0, 10.0),
    ],
)
def test_given(air, stiff, cold):
    found = measured_day(scenario("given", air), *PIECES).edges
    assert found.ratio == pytest.approx([300 * RATE[air] / 150], rel=1e-5)
    assert found.stiff_length == pytest.approx([stiff], abs=0.001)
    assert found.cold_length == pytest.approx([cold], abs=1e-6)


@pytest.mark.parametrize(
    ("air", "waits", "state"),
    [
        # Stiff from 93.75 min on up to 25 °C, from 75 above; cold from 150 and 120.
        (25.0, 93, "fresh"), (25.0, 95, "stiff"), (25.0, 149, "stiff"), (25.0, 151, "cold"),
        (26.0, 74, "fresh"), (26.0, 76, "stiff"), (26.0, 119, "stiff"), (26.0, 121, "cold"),
    ],
)  # fmt: skip
def test_the_interval_turns_at_25_degrees(air, waits, state):
    pieces = PIECES[0], (1, waits, waits + 100, 0, 1, 0)
    found = measured_day(scenario("interval", air), *pieces).edges
    assert found.stiff_pairs == (state == "stiff")
    assert found.cold_pairs == (state == "cold")
    assert found.stiff_length == pytest.approx([10.0 * (state == "stiff")])


def test_the_air_when_its_placing_begins_sets_the_interval_of_a_piece():
    # 24 °C until 09:00, 27 °C from 09:20. First half of the strip placed from 0 to 50: 150 min.
    # Second half from 90 to 140: 120 min. Second strip begun at 155: covered after 155 min of 150,
    # and after 155 + 50 - 90 = 115 of 120.
    hours = [
        {"at": "09:00", "air_C": 24, "humidity": 0.6, "wind_km_h": 10},
        {"at": "09:20", "air_C": 27, "humidity": 0.6, "wind_km_h": 10},
    ]
    mix = {"edge_rule": "interval"}
    varied = pour(floor=TWO, plan=ONE_WAY, mix=mix, weather={"hours": hours})
    pieces = (0, 0, 50, 0, 0.5, -20), (0, 90, 140, 0.5, 1, 70), (1, 155, 255, 0, 1, 140)
    found = measured_day(varied, *pieces).edges
    assert found.ratio == pytest.approx([155 / 150], rel=1e-9)
    assert found.cold_length == pytest.approx([5.0])
    assert found.stiff_length == pytest.approx([5.0])
    # Begun at 165 the upper half waits 125 min: cold too, though the lower one is worse.
    later = measured_day(varied, *pieces[:2], (1, 165, 265, 0, 1, 150)).edges
    assert later.ratio == pytest.approx([165 / 150], rel=1e-9)
    assert later.cold_length == pytest.approx([10.0])


def test_a_stopped_front_is_stiff_and_cold_by_the_same_rules():
    # The first strip stands half way from 50 on. Loaded at -20: its age is 20 min more.
    for rule, again, state in (
        ("set", 125, "fresh"), ("set", 135, "stiff"), ("set", 225, "cold"),
        ("given", 70, "fresh"), ("given", 75, "stiff"), ("given", 135, "cold"),
        ("interval", 140, "fresh"), ("interval", 145, "stiff"), ("interval", 205, "cold"),
    ):  # fmt: skip
        pieces = (0, 0, 50, 0, 0.5, -20), (0, again, again + 50, 0.5, 1, again - 20)
        found = measured_day(scenario(rule, 20.0), *pieces).edges
        assert (found.stiff_fronts, found.cold_fronts) == (state == "stiff", state == "cold"), rule
        assert found.stiff == (state == "stiff")


def test_a_retarder_delays_set_and_open_time_but_not_the_interval():
    # 60 min more: cold at 0.8 x 360 = 288 by set, at 210 as given.
    for rule, least in (("set", 300 / 288), ("given", 300 / 210), ("interval", 180 / 150)):
        found = measured_day(scenario(rule, 20.0, retarder_min=60), *PIECES).edges
        assert found.ratio == pytest.approx([least], rel=1e-9), rule


def test_own_shares_move_both_states():
    # Stiff at 0.8 x 300 = 240 min, from y = 4 on; cold at 0.9 x 300 = 270, from y = 7 on.
    own = scenario("set", 20.0, edge_stiff_share=0.8, edge_cold_share=0.9)
    found = measured_day(own, *PIECES).edges
    assert found.stiff_length == pytest.approx([3.0])
    assert found.cold_length == pytest.approx([3.0])


# ------------------------------------------------------------------------- edges that wait
@pytest.mark.parametrize(
    ("rule", "stiff", "cold"),
    # Of the open edge's first concrete: loaded at -20, placed at 0.
    [("set", 130, 220), ("given", 73.75, 130), ("interval", 93.75, 150)],
)
def test_an_open_edge_is_lost_by_the_rule(rule, stiff, cold):
    outcome = measured_day(scenario(rule, 20.0), *PIECES)
    edge = next(e for e in scene(outcome, clock(60)).edges if e.pair == 0)
    assert minutes([edge.stiff_at, edge.lost_at]) == pytest.approx([stiff, cold], abs=1e-4)
    states = [edge.state(clock(t)) for t in (stiff - 1, stiff + 1, cold - 1, cold + 1)]
    assert states == ["fresh", "stiff", "stiff", "cold"]


def test_by_interval_the_oldest_concrete_still_bare_counts():
    # At 200 the second strip has covered y = 0 to 2; at y = 2 the first was placed at 20.
    outcome = measured_day(scenario("interval", 20.0), *PIECES)
    edge = next(e for e in scene(outcome, clock(200)).edges if e.pair == 0)
    assert (edge.low, edge.high) == pytest.approx((2.0, 10.0))
    assert minutes(edge.lost_at) == pytest.approx(170.0)
    # A front half way is as old as its last concrete, not as its load.
    front = next(e for e in scene(outcome, clock(60)).edges if e.pair < 0)
    assert minutes([front.stiff_at, front.lost_at]) == pytest.approx([153.75, 210.0])


@pytest.mark.parametrize(
    ("rule", "stiff", "lost"),
    # The second strip stands half way from 150 on. Loaded at 90, its last concrete placed at 150.
    # Open beside it: the first strip from y = 5 on, loaded at -20 and placed from 50 on.
    [("set", 130, 220), ("given", 183.75, 240), ("interval", 143.75, 200)],
)
def test_a_long_stop_is_told_when_its_open_edge_is_stiff_and_lost(rule, stiff, lost):
    # As given the first strip was lost at 130, before the stop: what is left is the front.
    pieces = (0, 0, 100, 0, 1, -20), (1, 100, 150, 0, 0.5, 90), (1, 190, 240, 0.5, 1, 170)
    outcome = measured_day(scenario(rule, 20.0, FOUR), *pieces, stops=[("down", 150, 190)])
    advice = long_stops(outcome)[0]
    assert minutes([advice.stiff, advice.lost]) == pytest.approx([stiff, lost], abs=1e-4)


def test_the_scene_counts_what_is_stiff_now():
    outcome = measured_day(scenario("set", 20.0), *PIECES)
    found = [scene(outcome, clock(t)) for t in (100, 140, 170, 225)]
    assert [(now.stiff, now.cold) for now in found] == [(0, 0), (1, 0), (1, 0), (0, 1)]


# ----------------------------------------------------------------------- what it means today
@pytest.mark.parametrize(
    ("rule", "air", "stiff", "cold"),
    [
        ("set", 5.0, 313.08, 500.94), ("set", 20.0, 150, 240), ("set", 35.0, 77.20, 123.52),
        ("given", 5.0, 195.68, 313.08), ("given", 20.0, 93.75, 150), ("given", 35.0, 48.25, 77.20),
        ("interval", 5.0, 93.75, 150), ("interval", 20.0, 93.75, 150), ("interval", 35.0, 75, 120),
    ],
)  # fmt: skip
def test_what_the_rule_means_at_the_day_s_temperature(rule, air, stiff, cold):
    basis = basis_of(scenario(rule, air))
    (each,) = times_in_the_day(basis)
    for found in (each, times_of_first_load(basis)):
        assert found.temperature == air
        assert (found.stiff / MINUTE, found.cold / MINUTE) == pytest.approx((stiff, cold), abs=0.01)


def test_lowest_and_highest_air_are_both_told():
    hours = [
        {"at": at, "air_C": air, "humidity": 0.6, "wind_km_h": 10}
        for at, air in (("06:00", 11), ("12:00", 22), ("18:00", 15))
    ]
    basis = basis_of(pour(weather={"hours": hours}, mix={"edge_rule": "set"}))
    found = times_in_the_day(basis)
    assert [each.temperature for each in found] == [11.0, 22.0]
    assert found[0].cold > found[1].cold


def test_the_shares_of_the_file_are_those_beside_the_formula():
    fields = MixTable.model_fields
    assert fields["edge_rule"].default == "set"
    assert fields["edge_stiff_share"].default == STIFF_SHARE
    assert fields["edge_cold_share"].default == COLD_SHARE


def test_stiff_and_cold_never_count_the_same_metre():
    for rule in ("set", "given", "interval"):
        for begin in np.arange(110, 400, 13.0):
            pieces = PIECES[0], (1, begin, begin + 40, 0, 1, begin - 20)
            found = measured_day(scenario(rule, 20.0), *pieces).edges
            assert 0.0 <= found.stiff_length[0] <= 10.0 - found.cold_length[0] + 1e-9
