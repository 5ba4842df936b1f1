"""Tests while a truck waits, and the change of trucks, by hand.

The plain pour: the first truck is there at 07:00; gate 1, position 3, test 2 min; 8 min for a full
load. "Crowded" means 3 min of spacing: the second truck comes at 07:06, when the mixer has it.
"""

from __future__ import annotations

from typing import Any

import pytest
from builders.pours import played, pour
from builders.upset_days import clock

from pourday.day.log import DayLog

MINUTE = 60.0
CROWDED = {"spacing_min": 3}


def starts(log: DayLog) -> list[float]:
    """When each truck begins to discharge (min after 07:00)."""
    return [(v.discharge_start - clock(7, 0)) / MINUTE for v in log.visits]


def three_loads(plan: dict[str, Any], **site: Any) -> DayLog:
    return played(pour(floor={"length_y_m": 40.0}, site=site, plan=plan))


def test_the_first_three_loads_are_tested_and_every_fifth_after_them():
    # A truck every 20 min finds everything free: 4 min to be ready, and 2 more for a test.
    site = {"tests_first": 3, "test_every": 5, "holding_places": 9}
    plants = [{"name": "Mill Road", "trucks": 20, "batch_m3_h": 60, "travel_min": 20}]
    log = played(
        pour(
            floor={"length_y_m": 180.0},  # 81 m³: 13 full loads and a half
            site=site,
            plants=plants,
            plan={"spacing_min": 20},
        )
    )
    ready = [(v.discharge_start - v.arrived) / MINUTE for v in log.visits]
    assert ready == pytest.approx([6, 6, 6, 4, 4, 4, 4, 6, 4, 4, 4, 4, 6, 4])


@pytest.mark.parametrize(
    ("test", "first", "second"),
    [
        (2, 6, 18),  # the position is free at 07:14
        (10, 14, 26),  # at 07:22
        (14, 18, 30),  # at 07:26
    ],
)
def test_a_load_is_tested_while_it_waits_for_a_position(test, first, second):
    # One position. The first truck stands through its whole test. The second is through the gate
    # at 07:13 and waits from there, a minute less than its test takes: 3 min to back up, 1 of test.
    log = three_loads({"spacing_min": 12}, positions=1, test_min=test, holding_places=9)
    assert starts(log)[:2] == pytest.approx([first, second])


def test_a_load_that_waits_longer_than_its_test_loses_no_time_by_it():
    # Through the gate at 07:07, a position at 07:14.
    tested = three_loads(CROWDED, positions=1, holding_places=9, test_min=2)
    assert starts(tested)[:2] == pytest.approx([6, 17])
    untested = three_loads(
        CROWDED, positions=1, holding_places=9, test_min=2, tests_first=0, test_every=1000
    )
    assert starts(untested)[:2] == pytest.approx([4, 15])


def test_everybody_stands_by_the_first_truck():
    log = three_loads(CROWDED, positions=1, holding_places=9, test_min=20)
    assert starts(log)[0] == pytest.approx(24)
    # The second waited from 07:07 to 07:32, longer than its test takes.
    assert starts(log)[1] == pytest.approx(35)


@pytest.mark.parametrize(
    ("positions", "began"),
    [
        (2, [6, 15, 24]),  # the next stands ready: a minute from 07:14, and from 07:23
        (1, [6, 18, 30]),  # it has to back up first: three minutes and one
    ],
)
def test_a_change_of_trucks_costs_a_minute_with_two_positions_and_four_with_one(positions, began):
    log = three_loads(CROWDED, positions=positions, change_min=1)
    assert starts(log) == pytest.approx(began)
    changing = sum(s.end - s.start for s in log.stops if s.kind == "changing")
    assert changing == pytest.approx((began[-1] - began[0] - 16) * MINUTE)
    assert {s.kind for s in log.stops} == {"changing"}
