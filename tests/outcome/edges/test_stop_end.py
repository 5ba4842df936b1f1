"""Long stops: when the open edge is lost and where the pour could end, worked by hand.

Times are minutes after 08:00. Strips of 3 m by 10 m, 150 mm: 0.45 m³ a metre of length, 4.5 m³ a
strip; a front moves 0.1 m a minute (0.045 m³/min). 20 °C all day, so that equivalent age is time;
open time 150 min from batching. Two sheet runs of two spans join at x = 6: pouring from low x the
good place is x = 6.6, which a fifth of the third strip (0.9 m³) lies before.
"""

from __future__ import annotations

import numpy as np
import pytest
from builders.made_days import FOUR, MINUTE, ONE_WAY, clock, day, measured_day
from builders.pours import basis_of, measured, pour
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.concrete.age import equivalent_age
from pourday.outcome.edges.end_places import EndPlace
from pourday.outcome.edges.stop_end import UNFINISHED, left_open, long_stops

LANES = FOUR | {"primary_beams_y_m": [0.0, 4.0, 10.0], "cut_at_primary_beams": True}
PLAIN = pour(floor=FOUR, plan=ONE_WAY)


def advice(scenario, pieces, stops=(), **more):
    return long_stops(measured_day(scenario, *pieces, stops=stops), **more)


# First strip from 0 to 100, second begun at 100, stopped half way at 150; on from ``again``.
def half_way(again: float):
    return (
        (0, 0, 100, 0, 1, -20),
        (1, 100, 150, 0, 0.5, 90),
        (1, again, again + 50, 0.5, 1, again - 20),
        (2, again + 50, again + 150, 0, 1, again + 40),
        (3, again + 150, again + 250, 0, 1, again + 140),
    )


def test_the_open_edge_is_lost_when_its_oldest_concrete_is_as_old_as_the_open_time():
    # The upper half of the first edge is bare, from concrete batched at -20: lost at 130, before
    # the stop. What is left is the stopped front (and its far side), batched at 90: lost at 240.
    found = advice(PLAIN, quickly(190), [("down", 150, 190)])
    assert len(found) == 1
    stop = found[0]
    assert (stop.kinds, stop.front, stop.strip) == (("down",), 0, 1)
    assert (stop.begin, stop.until) == (clock(150), clock(190))
    assert stop.y == pytest.approx(5.0)
    assert stop.x == (3.0, 6.0)
    assert (stop.older, stop.newer, stop.lost_before) == (1, -1, 1)
    assert stop.lost == pytest.approx(clock(240), abs=1e-3)
    assert stop.left == pytest.approx(90 * MINUTE, abs=1e-3)
    assert not stop.outlasted


# The same, but the rest of the second strip and the third are placed in 10 min each.
def quickly(again: float):
    return (
        *half_way(again)[:2],
        (1, again, again + 10, 0.5, 1, again - 20),
        (2, again + 10, again + 20, 0, 1, again - 10),
        *half_way(again)[4:],
    )


def test_of_what_is_lost_in_the_same_minute_the_edge_that_went_cold_is_told():
    # Front and far side lie in one load, lost at 240. The front goes on in time, at 190; its far
    # side is covered from 240 to 340, the stopped place at 290.
    stop = advice(PLAIN, half_way(190), [("down", 150, 190)])[0]
    assert (stop.older, stop.newer, stop.cold) == (1, 2, True)
    assert stop.lost == pytest.approx(clock(240), abs=1e-3)
    assert stop.covered > stop.lost
    # With all of it in time, it is the front itself that people see.
    stop = advice(PLAIN, quickly(190), [("down", 150, 190)])[0]
    assert (stop.older, stop.newer, stop.cold) == (1, -1, False)


# First strip in pieces: the lower half, covered by 150, from a load batched at -10.
def in_pieces(*upper, again: float):
    return ((0, 0, 50, 0, 0.5, -10), *upper, *half_way(again)[1:])


def test_an_edge_pair_is_lost_before_the_front_that_stopped_beside_it():
    # The lower half would be lost at 140 but is covered; the upper half, batched at 45, is bare
    # and lost at 195, before the front (240).
    upper = (0, 50, 100, 0.5, 1, 45)
    stop = advice(PLAIN, in_pieces(upper, again=194), [("starved", 150, 194)])[0]
    assert (stop.older, stop.newer, stop.lost_before) == (0, 1, 0)
    assert stop.lost == pytest.approx(clock(195), abs=1e-3)
    assert not stop.outlasted
    assert advice(PLAIN, in_pieces(upper, again=196), [("starved", 150, 196)])[0].outlasted


def test_an_edge_that_a_stop_did_not_outlast_may_still_be_covered_too_late():
    # The stop ends a minute before the edge is lost, but the crew needs 50 min to cover its upper
    # half (batched at 45): the last of it at 244, 199 min old.
    upper = (0, 50, 100, 0.5, 1, 45)
    stop = advice(PLAIN, in_pieces(upper, again=194), [("starved", 150, 194)])[0]
    assert (stop.older, stop.newer, stop.outlasted) == (0, 1, False)
    assert stop.covered == pytest.approx(clock(244))
    assert stop.ratio == pytest.approx(199 / 150)
    assert stop.cold
    assert stop.whole
    # Faster, half of it by 120 and the rest by 180, all is covered in time: 130 and 135 min old.
    lower = (0, 0, 50, 0, 0.5, -10)
    quick = [lower, upper, (1, 100, 120, 0, 0.5, 90), (1, 170, 180, 0.5, 1, 150)]
    stop = advice(PLAIN, [*quick, *half_way(130)[3:]], [("starved", 120, 170)])[0]
    assert (stop.older, stop.newer) == (0, 1)
    assert stop.covered == pytest.approx(clock(180))
    assert stop.ratio == pytest.approx(135 / 150)
    assert not stop.cold
    # Half of it by 150, which is too late for the lower half (160 min old), then the rest by 180.
    late = [*in_pieces(upper, again=170)[:3], quick[3], *half_way(130)[3:]]
    stop = advice(PLAIN, late, [("starved", 150, 170)])[0]
    assert stop.lost == pytest.approx(clock(195), abs=1e-3)
    assert stop.covered == pytest.approx(stop.begin)
    assert stop.ratio == pytest.approx(160 / 150)


@pytest.mark.parametrize(("again", "cold"), [(190, False), (250, True)])
def test_the_stopped_front_itself_is_judged_where_it_goes_on(again, cold):
    # Batched at 90, open for 150 min.
    stop = advice(PLAIN, quickly(again), [("down", 150, again)])[0]
    assert stop.newer == -1
    assert stop.covered == pytest.approx(clock(again))
    assert stop.ratio == pytest.approx((again - 90) / 150)
    assert (stop.cold, stop.whole) == (cold, True)


def test_an_edge_that_is_never_covered_has_no_time_and_one_in_part_is_not_whole():
    # The pour is given up at 150: the front never goes on.
    stop = advice(PLAIN, half_way(190)[:2])[0]
    assert stop.newer == -1
    assert np.isnan([stop.covered, stop.ratio]).all()
    assert (stop.cold, stop.whole) == (False, False)
    # The lower half (batched at -10) is covered by 120, 130 min old; the upper one never.
    pieces = ((0, 0, 50, 0, 0.5, -10), (0, 50, 100, 0.5, 1, 45), (1, 100, 120, 0, 0.5, 90))
    stop = advice(PLAIN, pieces)[0]
    assert (stop.older, stop.newer) == (0, 1)
    assert stop.covered == pytest.approx(clock(120))
    assert stop.ratio == pytest.approx(130 / 150)
    assert (stop.cold, stop.whole) == (False, False)


def test_pairs_left_open_are_those_with_concrete_on_one_side_only():
    # Strip 0 full, half of strip 1: the pair between them is open in part, the next all along,
    # the last has no concrete at all.
    given_up = measured_day(PLAIN, *half_way(190)[:2])
    assert left_open(given_up).tolist() == [True, True, False]
    assert np.isfinite(given_up.edges.ratio).tolist() == [True, False, False]
    assert not left_open(measured_day(PLAIN, *half_way(190))).any()
    # Two lanes: the first strip of lane a is bare along its side (y) and at its end (x).
    scenario = pour(floor=LANES, plan=ONE_WAY)
    pairs = basis_of(scenario).layout.pairs
    found = left_open(measured_day(scenario, (0, 0, 40, 0, 1, 0)))
    bare = [pairs[n] for n in np.flatnonzero(found)]
    assert sorted(pair.along for pair in bare) == ["x", "y"]
    assert all(0 in (pair.first, pair.second) for pair in bare)


@pytest.mark.parametrize(("near", "far"), [(35, 45), (45, 35)])
def test_the_oldest_concrete_along_the_open_part_counts(near, far):
    upper = (0, 50, 80, 0.5, 0.8, near), (0, 80, 100, 0.8, 1, far)
    stop = advice(PLAIN, in_pieces(*upper, again=190), [("starved", 150, 190)])[0]
    assert (stop.older, stop.newer) == (0, 1)
    assert stop.lost == pytest.approx(clock(185), abs=1e-3)
    assert stop.outlasted


def test_where_the_air_varies_the_edge_is_lost_at_the_open_time_as_equivalent_age():
    hours = [
        {"at": "06:00", "air_C": 8, "humidity": 0.6, "wind_km_h": 10},
        {"at": "14:00", "air_C": 31, "humidity": 0.6, "wind_km_h": 10},
    ]
    scenario = pour(floor=FOUR, plan=ONE_WAY, weather={"hours": hours})
    pieces = in_pieces((0, 50, 100, 0.5, 1, 45), again=190)
    stop = advice(scenario, pieces, [("down", 150, 190)])[0]
    assert (stop.older, stop.newer) == (0, 1)
    basis = basis_of(scenario)
    age = equivalent_age(basis.relax, clock(45), stop.lost, 20.0, basis.scenario.mix.set_activation)
    assert age == pytest.approx(150 * MINUTE, rel=1e-7)


def test_the_first_run_is_filled_up_to_600_mm_beyond_the_sheet_joint():
    # Before x = 6.6 go 4.5 + 4.5 + 0.9 = 9.9 m³; 4.5 + 2.25 lie there, 3.15 are missing: 70 min
    # at 0.045 m³/min. Taking all out is no stop end, so there is one way only.
    stop = advice(PLAIN, half_way(190), [("down", 150, 190)])[0]
    assert stop.rate * MINUTE == pytest.approx(0.045)
    assert len(stop.ends) == 1
    end = stop.ends[0]
    assert end.places == (EndPlace(pytest.approx(6.6), 6.0),)
    assert (end.low, end.high) == (0.0, 10.0)
    assert end.full == pytest.approx(9.9)
    assert end.placed == pytest.approx(6.75)
    assert end.needed == pytest.approx(3.15)
    assert end.removed == 0.0
    assert end.time == pytest.approx(70 * MINUTE)
    # Lost at 240, so placing must go on by 170; it went on at 190.
    assert end.latest == pytest.approx(clock(170), abs=1e-3)
    assert stop.sides == ()


def test_what_lies_beyond_the_place_has_to_come_out_or_the_floor_be_finished():
    # Stop half way in strip 2: 0.45 of its first fifth are missing, 0.5 of 3.6 m³ lie beyond.
    pieces = (
        (0, 0, 100, 0, 1, -20),
        (1, 100, 200, 0, 1, 90),
        (2, 200, 250, 0, 0.5, 190),
        (2, 300, 350, 0.5, 1, 280),
        (3, 350, 450, 0, 1, 340),
    )
    stop = advice(PLAIN, pieces, [("down", 250, 300)])[0]
    first, second = stop.ends
    assert [place.x for place in first.places] == pytest.approx([6.6])
    assert first.needed == pytest.approx(0.45)
    assert first.removed == pytest.approx(1.8)
    assert second.places == ()
    assert second.needed == pytest.approx(6.75)
    assert second.removed == 0.0


def test_poured_from_high_x_the_place_is_on_the_other_side_of_the_joint():
    # Mirrored: strips 12-9, 9-6, ...; beyond the joint at 6 the place is 5.4.
    scenario = pour(floor=FOUR, plan=ONE_WAY | {"begin_at": "high_x"})
    end = advice(scenario, half_way(190), [("down", 150, 190)])[0].ends[0]
    assert end.places == (EndPlace(pytest.approx(5.4), 6.0),)
    assert end.needed == pytest.approx(3.15)


def test_a_run_just_left_is_cut_back_to_the_place_rather_than_filled_to_the_next():
    # Three runs of one span each (joints at 3 and 6): strip 0 full, strip 1 a third placed. Before
    # x = 3.6: 4.5 + 0.9; the next part, to 6.6, holds 3.6 + 0.9.
    floor = {"spans_m": [3.0] * 3, "sheet_runs": [1, 1, 1], "length_y_m": 10.0}
    scenario = pour(floor=floor, plan=ONE_WAY)
    pieces = ((0, 0, 100, 0, 1, -20), (1, 100, 130, 0, 0.3, 90))
    stop = advice(scenario, pieces)[0]
    first, second = stop.ends
    assert [p.x for p in first.places] == pytest.approx([3.6])
    assert first.needed == pytest.approx(0.7 * 0.9)
    assert first.removed == pytest.approx(0.3 * 3.6)
    assert [p.x for p in second.places] == pytest.approx([6.6])
    assert second.needed == pytest.approx(0.7 * 4.5 + 0.9)
    assert second.removed == 0.0


def test_without_a_sheet_joint_the_rule_has_no_place():
    scenario = pour(floor=FOUR | {"sheet_runs": [4]}, plan=ONE_WAY)
    stop = advice(scenario, half_way(190), [("down", 150, 190)])[0]
    assert stop.ends == ()
    assert stop.lost == pytest.approx(clock(240), abs=1e-3)


def test_a_day_left_unfinished_is_a_stop_without_end():
    stop = advice(PLAIN, half_way(190)[:2])[0]
    assert stop.kinds == (UNFINISHED,)
    assert (stop.begin, stop.until) == (clock(150), np.inf)
    assert stop.outlasted
    assert stop.ends[0].needed == pytest.approx(3.15)
    assert advice(PLAIN, half_way(150)) == ()


def test_stops_that_touch_are_one_and_moving_does_not_count():
    pieces = (
        (0, 0, 100, 0, 1, -20),
        (1, 125, 225, 0, 1, 90),
        (2, 225, 325, 0, 1, 200),
        (3, 325, 425, 0, 1, 300),
    )
    touching = [("starved", 102, 112), ("moving", 100, 102), ("changing", 112, 125)]
    stop = advice(PLAIN, pieces, touching)[0]
    assert stop.kinds == ("starved", "changing")
    assert (stop.begin, stop.until) == (clock(102), clock(125))
    # 10 + 9 min of standing and 6 of moving between them: too short.
    mixed = [("starved", 100, 110), ("moving", 110, 116), ("changing", 116, 125)]
    assert advice(PLAIN, pieces, mixed) == ()
    assert len(advice(PLAIN, pieces, mixed, at_least=19 * MINUTE)) == 1
    # With concrete between them they stay two.
    apart = [("starved", 100, 115), ("down", 116, 125)]
    assert advice(PLAIN, pieces, apart) == ()


def test_the_pace_leaves_long_stops_out_and_keeps_short_ones_in():
    # Hour before 250: placed 190-210 and 240-250 at 0.045 m³/min, a long stop 210-240.
    pieces = (
        (0, 0, 100, 0, 1, -20),
        (1, 100, 200, 0, 1, 90),
        (2, 200, 210, 0, 0.1, 190),
        (2, 240, 250, 0.1, 0.2, 230),
    )
    stops = [("down", 210, 240)]
    assert advice(PLAIN, pieces, stops)[-1].rate * MINUTE == pytest.approx(0.045)
    short = (*pieces[:2], (2, 240, 250, 0, 0.1, 230))
    stops = [("idle", 200, 209), ("moving", 209, 210), ("down", 210, 240)]
    # Those three touch: one long stop from 200 to 240; 190-200 and 240-250 are left.
    assert advice(PLAIN, short, stops)[-1].rate * MINUTE == pytest.approx(0.045)
    slow = (*pieces[:2], (2, 210, 230, 0, 0.2, 200))
    # Placed 170-200 and, twice as fast, 210-230; standing 10 min only: 1.35 + 0.9 m³ in 60 min.
    found = advice(PLAIN, slow, [("idle", 200, 210)])
    assert found[-1].rate * MINUTE == pytest.approx(2.25 / 60)


def test_only_lanes_that_are_begun_count_and_the_bare_side_is_named():
    # A whole lane (y 0 to 4) after the other: a lane's strip is 1.8 m³. The second lane is bare:
    # concrete ends along the primary beam at y = 4.
    plan = ONE_WAY | {"lanes": "one_after_another"}
    scenario = pour(floor=LANES, plan=plan)
    stop = advice(scenario, ((0, 0, 40, 0, 1, 0), (1, 40, 60, 0, 0.5, 30)))[0]
    end = stop.ends[0]
    assert (end.low, end.high) == (0.0, 4.0)
    assert end.needed == pytest.approx(0.5 * 1.8 + 0.2 * 1.8)
    assert stop.sides == (4.0,)
    # Nothing is open but the first strip's edge, its side along x, and the front.
    layout = basis_of(scenario).layout
    assert layout.strips[stop.newer].y0 in (0.0, 4.0)
    assert stop.lost == pytest.approx(clock(150), abs=1e-3)


def test_lanes_poured_side_by_side_end_at_one_x():
    # Run 1 in lane a is full, in lane b (2.7 m³ a strip) half of its first strip lies. Missing up
    # to 6.6: lane a 0.2 x 1.8, lane b 0.5 x 2.7 + 2.7 + 0.2 x 2.7.
    scenario = pour(floor=LANES, plan=ONE_WAY)
    names = [s.name for s in basis_of(scenario).layout.strips[:4]]
    assert [name.split("/")[0] for name in names] == ["1a", "1a", "1b", "1b"]
    pieces = ((0, 0, 40, 0, 1, 0), (1, 40, 80, 0, 1, 30), (2, 80, 110, 0, 0.5, 70))
    end = advice(scenario, pieces)[0].ends[0]
    assert (end.low, end.high) == (0.0, 10.0)
    assert end.needed == pytest.approx(0.36 + 1.35 + 2.7 + 0.54)


def test_a_stop_belongs_to_its_front_and_to_the_lanes_of_that_front():
    # Two fronts, a lane each. The one in lane a (1.8 m³ a strip) stands from 60, half way in its
    # second strip; the one in lane b places its first strip (2.7 m³) from 0 to 100, from a load
    # batched at -60, and goes on. The side between the lanes is placed on both sides in run 1;
    # what is open there to the front of lane b is not for the front that stands.
    plan = ONE_WAY | {"fronts": [{"pump": "pump", "crew": "crew"}]}
    scenario = pour(floor=LANES, plan=plan)
    layout = basis_of(scenario).layout
    a = [i for i, strip in enumerate(layout.strips) if strip.y0 == 0.0]
    b = [i for i, strip in enumerate(layout.strips) if strip.y0 == 4.0]
    assert {layout.front_of[i] for i in a} == {0}
    assert {layout.front_of[i] for i in b} == {1}
    pieces = [
        (a[0], 0, 40, 0, 1, -10),
        (b[0], 0, 100, 0, 1, -60),
        (a[1], 40, 60, 0, 0.5, 30),
        (a[1], 110, 130, 0.5, 1, 100),
        *((i, 130 + 40 * k, 170 + 40 * k, 0, 1, 120 + 40 * k) for k, i in enumerate(a[2:])),
        *((i, 100 + 60 * k, 160 + 60 * k, 0, 1, 90 + 60 * k) for k, i in enumerate(b[1:])),
    ]
    found = advice(scenario, pieces, [("down", 60, 110, 0)])
    assert len(found) == 1
    stop = found[0]
    assert (stop.front, stop.strip) == (0, a[1])
    # Strip a 1 is bare along a 0's upper half (lost at 140) and nowhere along b 1 (empty there).
    assert (stop.older, stop.newer) == (a[0], a[1])
    assert stop.lost == pytest.approx(clock(140), abs=1e-3)
    # 1.8 m³ in 40 min, 0.9 in 20: the other front's concrete is not in it.
    assert stop.rate * MINUTE == pytest.approx(0.045)
    assert [(end.low, end.high) for end in stop.ends] == [(0.0, 4.0)]
    assert stop.ends[0].placed == pytest.approx(2.7)
    assert stop.ends[0].needed == pytest.approx(0.9 + 0.2 * 1.8)
    assert advice(scenario, pieces, [("down", 60, 110, 0), ("down", 70, 80, 1)]) == found


@settings(max_examples=25, deadline=None)
@given(
    runs=st.lists(st.integers(1, 3), min_size=2, max_size=4),
    lane=st.booleans(),
    order=st.sampled_from(["thirds", "spread"]),
    begin_at=st.sampled_from(["low_x", "high_x"]),
    lanes=st.sampled_from(["side_by_side", "one_after_another"]),
    where=st.floats(0.02, 0.98),
)
def test_needed_and_placed_fill_the_poured_side_and_nothing_is_lost(
    runs, lane, order, begin_at, lanes, where
):
    floor = {"spans_m": [3.0] * sum(runs), "sheet_runs": runs, "length_y_m": 10.0}
    floor |= {"openings": [{"name": "hole", "x_m": [1.0, 4.0], "y_m": [2.0, 3.0]}]}
    floor |= {"primary_beams_y_m": [0.0, 5.0, 10.0], "cut_at_primary_beams": True} if lane else {}
    scenario = pour(floor=floor, plan={"order": order, "begin_at": begin_at, "lanes": lanes})
    volumes = basis_of(scenario).layout.volume
    k = int(where * len(volumes))
    pieces = [(i, 10 * i, 10 * i + 10, 0, 1, 10 * i - 20) for i in range(k)]
    pieces.append((k, 10 * k, 10 * k + 5, 0, 0.5, 10 * k - 20))
    stop = advice(scenario, pieces)[-1]
    strips = basis_of(scenario).layout.strips
    lies = np.where(np.arange(len(volumes)) < k, volumes, 0.0)
    lies[k] = volumes[k] / 2
    moved = [end.needed + end.removed for end in stop.ends]
    assert moved == sorted(moved)
    # Going back out of the first part, or a lane that is all but full, may leave one way only.
    assert 1 <= len(stop.ends) <= 2
    for end in stop.ends:
        mine = np.array([end.low <= s.y0 <= s.y1 <= end.high for s in strips])
        assert end.needed + end.placed == pytest.approx(end.full, abs=1e-9)
        assert end.placed + end.removed == pytest.approx(lies[mine].sum(), abs=1e-9)
        assert len(end.places) <= 1  # poured from one end, so there is one end at the most
        # The poured side by its own area: full up to the place, from the end where it began.
        if end.places:
            x = end.places[0].x
            toward = 1.0 if begin_at == "low_x" else -1.0
            assert x - end.places[0].joint == pytest.approx(0.6 * toward)
            full = sum(
                v * covered(scenario, s, x, toward) / s.area
                for v, s, m in zip(volumes, strips, mine, strict=True)
                if m
            )
            assert end.full == pytest.approx(full, abs=1e-9)


def covered(scenario, strip, x: float, toward: float) -> float:
    """Area of a strip on the poured side of x, openings taken off."""
    low, high = (strip.x0, min(strip.x1, x)) if toward > 0 else (max(strip.x0, x), strip.x1)
    if high <= low:
        return 0.0
    area = (high - low) * (strip.y1 - strip.y0)
    for hole in scenario.floor.openings:
        across = max(0.0, min(high, hole.x[1]) - max(low, hole.x[0]))
        along = max(0.0, min(strip.y1, hole.y[1]) - max(strip.y0, hole.y[0]))
        area -= across * along
    return area


def test_stops_before_the_first_concrete_and_after_the_last_need_no_advice():
    # A stop before the first concrete, and one after the last: nothing is open.
    log = day(PLAIN, *half_way(150), stops=[("down", -60, -10), ("idle", 500, 560)])
    assert long_stops(measured(PLAIN, log)) == ()
