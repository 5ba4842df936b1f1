"""What a foreman expects, worked by hand: strips, moves, breaks, changes of truck, skips."""

from __future__ import annotations

import pytest
from builders.pours import laid_out, played, pour

from pourday.day.front.forecast import Expected, ToFill, capacity, expected, through_at

# Two strips at 0.01 and 0.02 m³/s; 60 s to the first, 120 s to the second; loads of 5 m³ with 30 s
# between trucks.
PLAN = Expected((0.01, 0.02), (60.0, 120.0), 30.0, 5.0, 0.05)
ALL = ToFill(0, [4.0, 6.0], begun=True)


@pytest.mark.parametrize(
    ("ahead", "through"),
    [
        (0.0, 1000.0),
        # 2 m³ in the strip in hand: 200 s, and 2/5 of a change of truck.
        (2.0, 1000.0 + 200.0 + 12.0),
        # 4 m³ fill it: 400 s and 24 s; nobody moves before there is more.
        (4.0, 1000.0 + 400.0 + 24.0),
        # The move, 2 m³ at the other rate: 120 + 100 s and 12 s.
        (6.0, 1000.0 + 424.0 + 120.0 + 100.0 + 12.0),
        # What the floor does not take costs nothing: 10 m³ and 99 m³ are through together.
        (10.0, 1000.0 + 424.0 + 120.0 + 300.0 + 36.0),
        (99.0, 1000.0 + 424.0 + 120.0 + 300.0 + 36.0),
    ],
)
def test_strips_moves_and_trucks_add_up(ahead, through):
    assert through_at(PLAN, 1000.0, ahead, ALL, ()) == pytest.approx(through)


def test_a_strip_not_begun_costs_its_move():
    begun = through_at(PLAN, 0.0, 1.0, ToFill(0, [4.0], begun=True), ())
    assert through_at(PLAN, 0.0, 1.0, ToFill(0, [4.0], begun=False), ()) == pytest.approx(
        begun + 60.0
    )


@pytest.mark.parametrize(
    ("at", "longer"),
    [
        (1100.0, 300.0),  # in between
        (800.0, 300.0),  # begun, not over at 1000: taken, as somebody may only now go to it
        (700.0, 0.0),  # over when placing begins
        (1212.0, 0.0),  # not before the concrete is through
        (5000.0, 0.0),
    ],
)
def test_breaks_that_fall_in_between_are_taken(at, longer):
    alone = through_at(PLAN, 1000.0, 2.0, ALL, ())
    assert alone == pytest.approx(1212.0)
    assert through_at(PLAN, 1000.0, 2.0, ALL, [(at, 300.0)]) == pytest.approx(alone + longer)


def test_a_break_that_makes_it_late_brings_the_next_one_in():
    # 1212 s and 300 s of the first: the second, at 1400 s, comes before 1512 s.
    both = [(1100.0, 300.0), (1400.0, 600.0)]
    assert through_at(PLAN, 1000.0, 2.0, ALL, both) == pytest.approx(1212.0 + 900.0)


def test_capacity_is_the_whole_floor_over_its_time():
    # 60 + 400, 120 + 300 s and two changes of 30 s for 10 m³: 940 s.
    assert capacity(PLAN, [4.0, 6.0], 5.0) == pytest.approx(10.0 / 940.0)


@pytest.mark.parametrize(("positions", "change"), [(1, 60.0 + 180.0), (2, 60.0)])
def test_where_one_truck_stands_the_next_backs_up_after_it(positions, change):
    scenario = pour(site={"positions": positions, "change_min": 1, "position_min": 3})
    planned = expected(scenario, laid_out(scenario), 0, *_first(scenario))
    assert planned.change == pytest.approx(change)


def test_a_skip_empties_over_the_end_of_a_strip_into_the_next():
    # 9 m³ in strips that no skip of 0.9 m³ fills evenly, one truck of 9 m³: ten skips. Each is
    # 3 min filled and emptied; hoist and slew come on top, the same for all.
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0},
        supply={"load_m3": 9.0, "discharge_min": 0},
        pumps={
            "pump": {"means": "skip", "skip_m3": 0.9, "skip_fill_min": 1, "skip_empty_min": 2}
            | {"output_m3_h": 1000, "hoist_m_min": 40, "slew_rpm": 0.5}
        },
        crews={"crew": {"rate_per_placer_m3_h": 100}},
    )
    layout = laid_out(scenario)
    assert len(layout.strips) > 2
    assert any(0.01 < volume % 0.9 < 0.89 for volume in layout.volume)
    log = played(scenario)
    cycle = layout.access[0].lift[0] + 180.0
    flowing = sum(s.end - s.start for s in log.stretches)
    assert flowing == pytest.approx(10 * cycle)
    rate = expected(scenario, layout, 0, *_first(scenario)).rate[0]
    assert rate == pytest.approx(0.9 / cycle)


def _first(scenario):
    return scenario.pumps["pump"], scenario.crews["crew"]
