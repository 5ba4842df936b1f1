"""What a tiny fixed day costs, added up by hand, and how its hours are counted."""

from __future__ import annotations

import pytest
from builders.made_days import day
from builders.pours import measured, pour

from pourday.outcome.cost import Relief, shifts

PRICES = {
    "concrete_per_m3": 100,
    "returned_per_m3": 60,
    "labour_per_person_h": 40,
    "shift_h": 8,
    "least_paid_h": 4,
    "overtime_factor": 1.5,
    "waiting_per_min": 2,
    "free_wait_min": 0,
    "cold_joint_per_m": 50,
}
HIRE = {"call_out": 200, "hire_per_h": 120, "pumped_per_m3": 5}


def priced(prices=(), **changes):
    return measured(pour(prices=PRICES | dict(prices), pumps={"pump": HIRE}, **changes))


def test_cost_of_the_plain_day():
    # The plain day: 9 m³ in two loads, first arrival 07:00, discharge 07:06 to 07:22.
    cost = priced().cost
    assert cost.concrete == pytest.approx(900.0)
    # Set-up 30 and prime 10 min before 07:00, wash-out 30 min after 07:22: 06:20 to 07:52.
    assert cost.pump == pytest.approx(200 + 120 * 92 / 60 + 9 * 5)
    # Six placers and one other for 92 min, paid for 4 h at least. One finisher from the first
    # concrete, 07:06, to the end of the second pass. Age counts from the start of loading, 6 and
    # 3 min (at 60 m³/h) before the trucks leave at 06:40 and 06:52: window 11:49 (5 h after 06:49)
    # to 13:34 (7 h after 06:34), second pass from 12:41:30; 60 m² at 360 m²/h and 46 m of edge at
    # 120 m/h take 33 min: until 13:14:30, 6 h 8.5 min. The other comes an hour before the window:
    # 2 h 25.5 min, paid for 4 h.
    assert cost.labour == pytest.approx(7 * 40 * 4 + 40 * (6 + 8.5 / 60) + 40 * 4, abs=0.01)
    assert cost.overtime == 0.0
    # On site 22 min, and 18 min (half a load).
    assert cost.waiting == pytest.approx(2 * (22 + 18))
    assert cost.cold_joints == 0.0
    parts = (cost.concrete, cost.pump, cost.labour, cost.waiting)
    assert cost.total == pytest.approx(sum(parts))


def test_minutes_on_site_within_the_free_time_cost_nothing():
    assert priced({"free_wait_min": 20}).cost.waiting == pytest.approx(2 * 2)
    assert priced({"free_wait_min": 22}).cost.waiting == pytest.approx(0.0, abs=1e-6)


def test_hours_beyond_the_shift_are_paid_as_overtime():
    cost = priced({"shift_h": 5}).cost
    assert cost.labour == pytest.approx(7 * 40 * 4 + 40 * 5 + 40 * 4, abs=0.01)
    assert cost.overtime == pytest.approx(40 * 1.5 * (1 + 8.5 / 60), abs=0.01)


def test_nobody_works_beyond_the_longest_shift_and_the_relief_is_paid_and_named():
    # 6 h 8.5 min by one finisher: 5 h and a relief at 12:06, paid for the least of 4 h.
    outcome = priced({"shift_h": 5, "longest_shift_h": 5})
    assert outcome.reliefs == (Relief("finishers", 0, 1, (12 * 60 + 6) * 60.0),)
    assert outcome.cost.overtime == 0.0
    assert outcome.cost.labour == pytest.approx(7 * 40 * 4 + 40 * (5 + 4) + 40 * 4, abs=0.01)
    # 92 min at the pump in shifts of one hour: a relief of seven at 07:20, the finishers in turn.
    outcome = priced({"shift_h": 1, "longest_shift_h": 1, "least_paid_h": 0})
    assert outcome.reliefs[0] == Relief("crew", 0, 7, (7 * 60 + 20) * 60.0)
    assert [r.persons for r in outcome.reliefs if r.who == "crew"] == [7]
    assert sum(r.persons for r in outcome.reliefs if r.who == "finishers") == 6 + 2
    assert outcome.cost.overtime == 0.0


def test_a_day_of_ordinary_length_has_no_relief():
    assert priced().reliefs == ()


def test_shifts_add_up_to_the_time_and_none_is_longer():
    assert shifts(0.0, 5.0) == [0.0]
    assert shifts(5.0, 5.0) == [5.0]
    assert shifts(12.5, 5.0) == [5.0, 5.0, 2.5]


def test_what_goes_back_is_paid_for_and_disposed_of():
    # A margin of 0.5 m³: the balance load is 3.5 m³, half a cubic metre returns.
    cost = priced(supply={"margin_m3": 0.5}).cost
    assert cost.concrete == pytest.approx(9.5 * 100 + 0.5 * 60)


def test_a_load_over_its_age_is_paid_and_carted_off():
    # Age limit 30 min: of every load that goes over its age some is placed, the rest sent away.
    outcome = priced(supply={"age_limit_min": 30})
    rejected = sum(v.rejected for v in outcome.log.visits)
    returned = sum(v.returned for v in outcome.log.visits)
    assert rejected >= 3.0
    assert all(v.outcome != "rejected: test" for v in outcome.log.visits)
    prices = outcome.basis.scenario.prices
    expected = outcome.ordered * prices.concrete + (rejected + returned) * prices.returned
    assert outcome.cost.concrete == pytest.approx(expected)


def test_a_load_that_fails_its_test_is_the_plants():
    outcome = priced(mix={"reject_share": 0.95})
    failed = sum(v.volume for v in outcome.log.visits if v.outcome == "rejected: test")
    assert failed > 0
    prices = outcome.basis.scenario.prices
    other = sum(
        v.rejected + v.returned for v in outcome.log.visits if v.outcome != "rejected: test"
    )
    expected = (outcome.ordered - failed) * prices.concrete + other * prices.returned
    assert outcome.cost.concrete == pytest.approx(expected)


def test_cold_joints_cost_by_the_metre():
    # As in the edge tests: 9 m of the side go cold at 50 a metre.
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0},
        plan={"order": "spread", "strip_width_m": 3.0},
        prices=PRICES,
    )
    log = day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    assert measured(scenario, log).cost.cold_joints == pytest.approx(450.0)


def test_stiff_edges_cost_by_the_metre_too():
    # The last metre is 140 to 150 min old when covered: over 93.75 (stiff), not over 150 (cold).
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0},
        plan={"order": "spread", "strip_width_m": 3.0},
        prices=PRICES | {"stiff_edge_per_m": 7},
    )
    log = day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    cost = measured(scenario, log).cost
    assert cost.stiff_edges == pytest.approx(7.0)
    parts = cost.concrete + cost.pump + cost.labour + cost.overtime + cost.waiting
    assert cost.total == pytest.approx(parts + cost.cold_joints + cost.stiff_edges)


def test_money_adds_up_and_duration_is_first_to_last_concrete():
    outcome = priced()
    cost = outcome.cost
    assert cost.total == pytest.approx(
        cost.concrete + cost.pump + cost.labour + cost.overtime + cost.waiting + cost.cold_joints
    )
    assert outcome.duration == pytest.approx(16 * 60)
    assert outcome.ordered == pytest.approx(9.0)


def test_curfew_is_passed_where_wash_out_ends_after_it():
    # Wash-out ends 07:52.
    for curfew, late in (("07:50", True), ("07:53", False)):
        outcome = priced(site={"curfew": curfew})
        assert outcome.past_curfew is late
        assert outcome.pump_past_curfew is late
    assert not priced().past_curfew


def test_the_curfew_is_for_finishing_too_where_the_file_says_so():
    # Wash-out ends 07:52, the last pass 13:14:30.
    outcome = priced(site={"curfew": "13:14", "curfew_for": "all"})
    assert outcome.past_curfew
    assert not outcome.pump_past_curfew
    assert not priced(site={"curfew": "13:15", "curfew_for": "all"}).past_curfew
    assert not priced(site={"curfew": "13:14"}).past_curfew
