"""Edge pairs, stopped fronts and the place of the front, worked by hand on days made by hand.

Times are minutes after 08:00. Two strips of 3 m by 10 m, 0.45 m³ a metre of length; a front moves
0.1 m a minute, so that y metres are reached 10 y minutes after the start.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from builders.made_days import (
    ACROSS,
    EIGHT,
    HOLE,
    MINUTE,
    ONE_WAY,
    TWO,
    WHOLE,
    clock,
    day,
    measured_day,
)
from builders.pours import basis_of, pour

from pourday.outcome.base.fronts import fronts, piece_at, time_at

OPEN = 150.0  # min, of the plain mix


def edges(scenario, *pieces):
    return measured_day(scenario, *pieces).edges


def test_opposite_directions_leave_the_first_end_open_longest():
    # First up 0 to 100, second down 120 to 220. At y the gap is (120 + 10 (10 - y)) - 10 y
    # = 220 - 20 y: 220 min at y = 0. The first concrete was batched at -20, so its age when
    # covered is 240 - 10 y; beyond 150 min of open time for y < 9.
    found = edges(pour(floor=TWO, plan=WHOLE), (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    assert found.gap / MINUTE == pytest.approx([220.0])
    assert found.ratio == pytest.approx([240 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([0.0])
    assert found.time == pytest.approx([clock(220)])
    assert found.cold_length == pytest.approx([9.0])
    assert found.cold


def test_the_same_direction_keeps_the_gap_the_same_all_along():
    # Both up: 120 min everywhere. Age from batching grows with y as one load reaches all of it:
    # (120 + 10 y) + 20, 240 min at y = 10.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    assert found.gap / MINUTE == pytest.approx([120.0])
    assert found.ratio == pytest.approx([240 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([10.0])
    assert found.cold_length == pytest.approx([9.0])


def test_age_counts_from_the_load_that_lies_there():
    # Lower half batched at -20, upper half at 40: when covered they are (120 + 10 y) + 20, at
    # most 190 min just below y = 5, and (120 + 10 y) - 40, at most 180 min at y = 10.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(
        scenario, (0, 0, 50, 0, 0.5, -20), (0, 50, 100, 0.5, 1, 40), (1, 120, 220, 0, 1, 100)
    )
    assert found.ratio == pytest.approx([190 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([5.0])
    # Cold from y = 1 to 5 and from y = 7 to 10.
    assert found.cold_length == pytest.approx([7.0])


def test_a_stop_in_the_first_strip_makes_the_edge_worst_just_before_it():
    # First up to y = 4 by 40, stop, on from 100 with concrete batched at 80. Second up from 170:
    # covered at 170 + 10 y. Gap: 170 min up to y = 4, 110 beyond. Age: (170 + 40) + 20 = 230 min
    # just below y = 4; (170 + 100) - 80 = 190 at y = 10.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(
        scenario, (0, 0, 40, 0, 0.4, -20), (0, 100, 160, 0.4, 1, 80), (1, 170, 270, 0, 1, 150)
    )
    assert found.gap / MINUTE == pytest.approx([170.0])
    assert found.ratio == pytest.approx([230 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([4.0])
    assert found.time == pytest.approx([clock(210)])
    # The front itself stood from 40 to 100: (100 + 20) / 150.
    assert list(found.stop_strip) == [0]
    assert found.stop_at == pytest.approx([4.0])
    assert found.stop_time == pytest.approx([clock(100)])
    assert found.stop_ratio == pytest.approx([120 / OPEN], rel=1e-9)


def test_a_stop_in_the_second_strip_opens_the_gap_beyond_it():
    # Second up from 120, at y = 4 by 160, stop, on from 220: gap 120 min up to y = 4, then 180.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(
        scenario, (0, 0, 100, 0, 1, -20), (1, 120, 160, 0, 0.4, 100), (1, 220, 280, 0.4, 1, 200)
    )
    assert found.gap / MINUTE == pytest.approx([180.0])
    assert found.ratio == pytest.approx([300 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([10.0])
    # Cold from y = 1 to 4, where 140 + 10 y passes 150, and from 4 to 10.
    assert found.cold_length == pytest.approx([9.0])


def test_a_front_that_comes_down_stops_at_the_place_counted_from_the_top():
    scenario = pour(floor=TWO, plan=WHOLE)
    found = edges(
        scenario, (0, 0, 100, 0, 1, -20), (1, 120, 160, 0, 0.4, 100), (1, 300, 360, 0.4, 1, 290)
    )
    assert found.stop_at == pytest.approx([6.0])
    assert found.stop_ratio == pytest.approx([200 / OPEN], rel=1e-9)
    assert found.cold


def test_one_load_after_another_without_a_pause_is_no_stop():
    scenario = pour(floor=TWO, plan=WHOLE)
    found = edges(
        scenario, (0, 0, 40, 0, 0.4, -20), (0, 40, 100, 0.4, 1, 10), (1, 120, 220, 0, 1, 100)
    )
    assert len(found.stop_strip) == 0


def test_two_lanes_wait_at_the_side_along_x_with_one_time_for_all_of_it():
    # Lane a up to y = 4 by 40; lane b begins there at 190: gap 150 min, age 210, cold over 3 m.
    floor = {
        "spans_m": [3.0],
        "sheet_runs": [1],
        "length_y_m": 10.0,
        "primary_beams_y_m": [4.0],
        "cut_at_primary_beams": True,
    }
    found = edges(pour(floor=floor), (0, 0, 40, 0, 1, -20), (1, 190, 250, 0, 1, 170))
    assert found.gap / MINUTE == pytest.approx([150.0])
    assert found.ratio == pytest.approx([210 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([4.0])
    assert found.cold_length == pytest.approx([3.0])


def test_an_edge_that_is_never_covered_has_no_ratio():
    found = edges(pour(floor=TWO, plan=WHOLE), (0, 0, 100, 0, 1, -20))
    assert math.isnan(found.ratio[0])
    assert math.isnan(found.gap[0])
    assert not found.cold


def test_an_edge_covered_in_part_is_judged_only_there():
    # Second up from 120 to y = 4 only: at most (120 + 40) + 20 = 180 min; cold from y = 1 to 4.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 160, 0, 0.4, 100))
    assert found.ratio == pytest.approx([180 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([4.0])
    assert found.cold_length == pytest.approx([3.0])


def test_an_edge_beside_a_strip_half_filled_is_judged_only_along_that_half():
    # A listed day could leave the first strip short: placed to y = 5, second all along.
    scenario = pour(floor=TWO, plan=ONE_WAY)
    found = edges(scenario, (0, 0, 50, 0, 0.5, -20), (1, 120, 220, 0, 1, 100))
    assert found.ratio == pytest.approx([190 / OPEN], rel=1e-9)
    assert found.at == pytest.approx([5.0])


@pytest.mark.parametrize("air", [5.0, 20.0, 30.0])
def test_ratio_at_constant_temperature_is_age_times_the_arrhenius_factor(air):
    # ASTM C1074, equivalent age, Q = 4000 K, reference 20 °C: exp(4000 (1/293.15 - 1/(273.15+T))).
    # 30 °C gives 1.5685: the same minutes count for more than half as much again.
    factor = math.exp(4000 * (1 / 293.15 - 1 / (273.15 + air)))
    scenario = pour(
        floor=TWO,
        plan=WHOLE,
        mix={"delivered_C": air},
        weather={"hours": [{"at": "06:00", "air_C": air, "humidity": 0.6, "wind_km_h": 10}]},
    )
    found = edges(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    assert found.ratio == pytest.approx([240 / OPEN * factor], rel=1e-8)
    assert found.gap / MINUTE == pytest.approx([220.0])


def test_a_retarder_adds_to_the_open_time():
    scenario = pour(floor=TWO, plan=WHOLE, mix={"retarder_min": 90})
    found = edges(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    assert found.ratio == pytest.approx([1.0], rel=1e-9)
    assert found.cold_length == pytest.approx([0.0], abs=1e-6)


# ---------------------------------------------------------------------------- place of the front


def when(scenario, log, strip, *places) -> list[float]:
    """Minutes at which the front of a strip stood at each y."""
    found = fronts(basis_of(scenario), log)
    y = np.array(places)
    piece = piece_at(found, np.full(len(y), strip), y)
    assert np.all((found.low[piece] <= y + 1e-6) & (y <= found.high[piece] + 1e-6))
    return [(t - EIGHT) / MINUTE for t in time_at(found, piece, y)]


def test_the_front_hurries_beside_an_opening():
    # 0.1 m³ a minute: 0.9 m³ to y = 2 by 9 min; 0.15 m³ a metre beside the opening, y = 5 at
    # 13.5; 2.25 m³ for the rest, done at 36.
    scenario = pour(floor=HOLE)
    log = day(scenario, (0, 0, 36, 0, 1, -20))
    expected = [4.5, 9.0, 11.25, 13.5, 24.75, 36.0]
    assert when(scenario, log, 0, 1.0, 2.0, 3.5, 5.0, 7.5, 10.0) == pytest.approx(
        expected, abs=1e-4
    )


def test_a_front_from_the_far_end_meets_the_opening_on_its_way_down():
    # Two strips, the second one down: 2.25 m³ to y = 5 at 22.5, y = 2 at 27, y = 0 at 36.
    floor = TWO | {"openings": [{"x_m": [3.5, 5.5], "y_m": [2.0, 5.0]}]}
    scenario = pour(floor=floor, plan=WHOLE)
    log = day(scenario, (0, -50, -5, 0, 1, -60), (1, 0, 36, 0, 1, -20))
    expected = [0.0, 11.25, 22.5, 24.75, 27.0, 36.0]
    assert when(scenario, log, 1, 10.0, 7.5, 5.0, 3.5, 2.0, 0.0) == pytest.approx(
        expected, abs=1e-4
    )


@pytest.mark.parametrize("cuts", [(), (0.1,), (0.9 / 3.15,), (0.2, 0.9 / 3.15, 0.7)])
def test_the_front_jumps_over_an_opening_as_wide_as_its_strip(cuts):
    # 0.9 m³ to y = 2 by 9 min, then from y = 5 on: y = 7.5 at 20.25, y = 10 at 31.5; whatever
    # loads the strip is made of.
    scenario = pour(floor=ACROSS)
    shares = [0.0, *cuts, 1.0]
    pieces = [(0, 31.5 * a, 31.5 * b, a, b, -20) for a, b in itertools.pairwise(shares)]
    times = when(scenario, day(scenario, *pieces), 0, 1.0, 1.99, 5.01, 7.5, 10.0)
    expected = [4.5, 8.955, 9.045, 20.25, 31.5]
    assert times == pytest.approx(expected, abs=1e-3)


def test_the_front_jumps_over_it_coming_down_as_well():
    # Second strip down: 2.25 m³ to y = 5 at 22.5, at once at y = 2, y = 0 at 31.5.
    floor = TWO | {"openings": [{"x_m": [3.0, 6.0], "y_m": [2.0, 5.0]}]}
    scenario = pour(floor=floor, plan=WHOLE)
    log = day(scenario, (0, -50, -5, 0, 1, -60), (1, 0, 31.5, 0, 1, -20))
    times = when(scenario, log, 1, 10.0, 7.5, 5.01, 1.99, 0.0)
    assert times == pytest.approx([0.0, 11.25, 22.455, 22.545, 31.5], abs=1e-3)


def test_an_opening_at_the_end_of_a_strip_leaves_the_front_at_its_edge():
    # Opening over the whole width from y = 7 to 10: 3.15 m³, done at y = 7.
    floor = HOLE | {"openings": [{"x_m": [0.0, 3.0], "y_m": [7.0, 10.0]}]}
    scenario = pour(floor=floor)
    times = when(scenario, day(scenario, (0, 0, 31.5, 0, 1, -20)), 0, 3.5, 6.99)
    assert times == pytest.approx([15.75, 31.455], abs=1e-3)
