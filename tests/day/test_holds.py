"""What a hold does to the calls after it, and a stand to trucks, crew and line, by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from builders.pours import pour
from builders.upset_days import HOUR, MINUTE, clock, log_with

LONG = {"length_y_m": 100.0}  # 45 m³
MANY = [{"name": "Mill Road", "trucks": 20, "batch_m3_h": 60, "travel_min": 20}]


@pytest.mark.parametrize("rule", [{"hold_back_at": 1}, {"most_on_site": 2}])
def test_loads_that_were_held_back_keep_their_spacing(rule):
    held = pour(floor=LONG, plants=MANY, plan={"spacing_min": 12} | rule)
    log = log_with(held, "07:20 pump down 60 min")
    gaps = [(b.batched - a.batched) / MINUTE for a, b in pairwise(log.visits)]
    assert max(gaps) > 30.0  # they were held back
    assert min(gaps) == pytest.approx(12.0)


def test_hold_back_counts_the_trucks_at_the_own_pump():
    # Front 2 cannot place for three hours, and its trucks wait; front 1 goes on as planned.
    lanes = {"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 80.0}
    lanes |= {"primary_beams_y_m": [0.0, 40.0, 80.0], "cut_at_primary_beams": True}
    plan = {"hold_back_at": 1, "fronts": [{"pump": "pump", "crew": "crew"}]}
    scenario = pour(floor=lanes, plants=MANY, plan=plan)
    with_it = log_with(scenario, "07:00 crew 2 short 6 for 3 h")
    calls = [
        [v.batched for v in log.visits if v.front == 0] for log in (log_with(scenario), with_it)
    ]
    # Front 2's loads are in the mixer's queue before: a load is 6 min.
    assert calls[1] == pytest.approx(calls[0], abs=6 * MINUTE)


@pytest.mark.parametrize("begins", ["06:55", "07:25"])
def test_a_truck_that_comes_while_the_pump_stands_goes_at_its_age_limit(begins):
    scenario = pour(floor=LONG, plants=MANY, supply={"age_limit_min": 60})
    log = log_with(scenario, f"{begins} pump down 2 h")
    for visit in log.visits:
        if visit.outcome == "rejected: age":
            # 60 min after batching, or when it came into position later; then it washes for 8.
            ready = visit.arrived + visit.wait + 6 * MINUTE
            assert visit.left_site == pytest.approx(max(visit.batched + HOUR, ready) + 8 * MINUTE)
    assert sum(visit.outcome == "rejected: age" for visit in log.visits) >= 3


@pytest.mark.parametrize(
    ("line", "comes"),
    [
        ("06:30 pump down 10 h", True),  # there at 06:50, and places from the start
        ("06:55 pump down 10 h", True),
        ("05:00 pump down 90 min", False),  # the own pump is there again
        ("06:45 pump down 10 min", False),
    ],
)
def test_a_stand_by_pump_that_comes_before_the_start_has_come(line, comes):
    scenario = pour(plan={"standby_after_min": 20, "standby_call_out": 500})
    assert log_with(scenario, line).fronts[0].standby is comes


@pytest.mark.parametrize(
    ("missing", "rates"),
    [
        # 6 placers: 3 away, then 3. 4 placers: 2 and 2. 5: the smaller half goes first.
        (0, [(0, 60), (10, 30), (20, 30), (30, 60)]),
        (2, [(0, 40), (10, 20), (20, 20), (30, 40)]),
        (1, [(0, 50), (10, 30), (20, 20), (30, 50)]),
    ],
)
def test_a_break_in_turns_takes_half_of_those_who_are_there(missing, rates):
    # 10 m³/h a placer; a break of 10 min at 07:20. Trucks discharge in no time.
    scenario = pour(
        floor=LONG,
        plants=MANY,
        supply={"discharge_min": 0},
        site={"breaks": [{"at": "07:20", "length_min": 10}]},
        crews={"crew": {"breaks_taken": "in_turns"}},
        pumps={"pump": {"output_m3_h": 1000}},
        plan={"spacing_min": 3},
    )
    log = log_with(scenario, *([f"06:00 crew short {missing}"] if missing else []))
    for after, rate in rates:
        at = clock(7, 10 + after + 5)
        s = next(s for s in log.stretches if s.start <= at < s.end)
        found = (s.volume_end - s.volume_start) / (s.end - s.start) * 3600
        assert found == pytest.approx(rate), after


def test_pipes_that_go_on_are_filled_and_those_that_come_off_are_lost():
    # Riser 4 m, entry in the middle of the span at y = -8: 12 m at the begin, 32 m at y = 20.
    pump = {"means": "line", "pipe_length_m": 4, "line_content_m3_per_m": 0.01, "hopper_m3": 0.2}
    places = {"set_ups": [{"name": "shaft", "x_m": 1.5, "y_m": -8}], "floor_height_m": 4}
    near = {"set_ups": ["shaft"], "begin_y": "low_y"}  # told: by itself it works back to the shaft
    scenario = pour(pumps={"pump": pump}, site=places, plan=near)
    log = log_with(scenario)
    # 3 pipes full at first, 5 more before the strip that walks away from the riser.
    assert log.held == pytest.approx(0.2 + 0.01 * (12 + 20))
    line = [s for s in log.stretches if s.strip == -1]
    assert [s.volume_end for s in line] == pytest.approx([0.32, 0.2])
    back = pour(
        pumps={"pump": pump},
        site=places | {"set_ups": [{"name": "shaft", "x_m": 1.5, "y_m": 28}]},
        plan={"set_ups": ["shaft"]},
    )
    # Towards the riser: 8 pipes full at first, none to fill later.
    assert log_with(back).held == pytest.approx(0.2 + 0.01 * 32)


@pytest.mark.parametrize(("begins", "ends"), [("06:00", "08:10"), ("08:00", "11:00")])
def test_after_a_hold_loads_arrive_at_their_spacing_in_and_out_of_the_rush(begins, ends):
    # The plant stands from 07:30 to 08:20: calls wait, and the road is another one afterwards.
    rush = {"rush_hours": [{"begins": begins, "ends": ends, "factor": 2}]}
    longer = {"length_y_m": 240.0}
    log = log_with(pour(floor=longer, plants=MANY, supply=rush), "07:30 plant stopped 50 min")
    after = [v.arrived for v in log.visits if v.batched > clock(8, 20)]
    assert len(after) >= 3
    assert [b - a for a, b in pairwise(after)] == pytest.approx([12 * MINUTE] * (len(after) - 1))


def test_a_truck_that_stands_while_the_line_is_washed_out_waits():
    # Concrete in the line may be 60 min old; the pump stands for two hours between two trucks, is
    # washed out for 25 min and primed for 10, and only then discharges the one that is there.
    pump = {"hopper_m3": 0.3, "longest_stand_min": 60, "wash_out_min": 25, "prime_min": 10}
    log = log_with(pour(floor=LONG, plants=MANY, pumps={"pump": pump}), "07:15 pump down 2 h")
    first = min(v.discharge_start for v in log.visits if v.discharge_start > clock(7, 15))
    assert first == pytest.approx(clock(9, 15 + 35))
    stops = [(s.start, s.end) for s in log.stops if s.kind == "down"]
    assert stops[-1][1] == pytest.approx(first)
    held = next(v for v in log.visits if v.discharge_start == first)
    assert held.wait == pytest.approx(first - held.arrived - 6 * MINUTE)
