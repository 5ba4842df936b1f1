"""Several fronts: whose edge waits, what pumps and crews cost, and how their time adds up."""

from __future__ import annotations

from dataclasses import astuple, replace

import numpy as np
import pytest
from builders.pours import laid_out, measured, played, pour
from builders.upset_days import outcome_with

from pourday.outcome.measure import pump_times

# Two lanes of one span: a front each, one strip each, 9 m³ as in the plain pour.
LANES = {
    "spans_m": [3.0],
    "sheet_runs": [1],
    "length_y_m": 40.0,
    "primary_beams_y_m": [0.0, 20.0, 40.0],
    "cut_at_primary_beams": True,
}
CREWS = {"crew": {"finishers": 0, "others": 0}, "other": {}}


def two(start="07:00", **tables):
    plan = {"fronts": [{"pump": "pump", "crew": "crew", "start": start}]} | tables.pop("plan", {})
    return pour(floor=LANES, crews={"crew": {"finishers": 0, "others": 0}}, plan=plan, **tables)


@pytest.mark.parametrize("later", ["08:30", "06:00"])
def test_the_edge_between_two_fronts_waits_for_whoever_comes_second(later):
    # Each lane is one strip of 20 m; both fronts begin at low y. Front 1 passes y = 20 at its end,
    # front 2 at its begin; with 20 °C all day the edge ages by the clock, from batching.
    outcome = measured(two(later))
    log = outcome.log
    ends = [max(s.end for s in log.stretches if s.front == f) for f in (0, 1)]
    begins = [min(s.start for s in log.stretches if s.front == f) for f in (0, 1)]
    passed = {0: ends[0], 1: begins[1]}
    older = min(passed, key=lambda f: passed[f])
    assert older == (0 if later == "08:30" else 1)
    assert outcome.edges.gap == pytest.approx([abs(passed[0] - passed[1])])
    batched = next(
        s.batched for s in log.stretches if s.front == older and passed[older] in (s.start, s.end)
    )
    age = passed[1 - older] - batched
    assert outcome.edges.ratio == pytest.approx([age / outcome.basis.edge_rule.cold], rel=1e-6)


def test_time_of_each_front_adds_up_to_its_own_day_and_all_of_it_to_both():
    outcome = measured(two("08:30", site={"breaks": [{"at": "07:20", "length_min": 15}]}))
    each = [astuple(pump_times(outcome.log, front)) for front in (0, 1)]
    for parts, front in zip(each, outcome.log.fronts, strict=True):
        assert sum(parts) == pytest.approx(front.end - front.start, abs=1e-6)
    assert astuple(outcome.pump) == pytest.approx(np.sum(each, axis=0))
    assert outcome.duration == pytest.approx(outcome.log.end - outcome.log.start)


def test_two_fronts_cost_two_pumps_and_two_crews():
    money = {"labour_per_person_h": 40, "least_paid_h": 0, "concrete_per_m3": 100}
    pump = {"call_out": 300, "hire_per_h": 120, "pumped_per_m3": 5, "wash_out_min": 30}
    outcome = measured(two(prices=money, pumps={"pump": pump}))
    hours = [(front.wash_out_end - front.ready) / 3600 + 40 / 60 for front in outcome.log.fronts]
    assert outcome.cost.pump == pytest.approx(2 * 300 + 120 * sum(hours) + 5 * 18.0)
    assert outcome.cost.labour == pytest.approx(40 * 6 * sum(hours))
    assert outcome.cost.concrete == pytest.approx(100 * outcome.ordered)


def test_a_stand_by_pump_that_comes_costs_its_call_out_and_ends_the_stop():
    plan = {"standby_after_min": 20, "standby_call_out": 900}
    scenario = two(plan=plan)
    days = [
        outcome_with(scenario, *lines)
        for lines in ((), ("07:10 pump 2 down 20 min",), ("07:10 pump 2 down 3 h",))
    ]
    assert [day.log.fronts[1].standby for day in days] == [False, False, True]
    assert [day.log.fronts[0].standby for day in days] == [False, False, False]
    # The same stop, with and without the one who ends it.
    assert days[2].log.stops == days[1].log.stops
    assert days[2].cost.pump == pytest.approx(days[1].cost.pump + 900)


def test_finishers_of_all_crews_work_together():
    one = pour(floor=LANES, crews={"crew": {"finishers": 4}})
    both = two()
    both = replace(both, crews={"crew": replace(both.crews["crew"], finishers=2)})
    assert both.finishers(both.plans[0]) == one.finishers(one.plans[0]) == 4
    # Jobs of the same area take as long.
    took = [(day.finishing.work_end - day.finishing.start)[0] for day in map(measured, (one, both))]
    assert took[0] == pytest.approx(took[1])


def test_rain_as_an_upset_is_a_row_of_rain_that_is_sure_to_come():
    hours = {"hours": [{"at": "06:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 10}]}
    row = {"at": "07:10", "length_min": 20, "rate_mm_h": 5, "chance": 1.0}
    by_row = measured(pour(weather=hours | {"rain": [row]}))
    dry = pour(weather=hours)
    by_upset = outcome_with(dry, "07:10 rain 20 min at 5 mm/h")
    assert by_upset.log.stretches == by_row.log.stretches
    assert by_upset.basis.rain == by_row.basis.rain != ()
    assert by_upset.drying == by_row.drying


def test_people_at_the_front_are_those_the_zone_takes():
    full = pour(loads={"preset": "persons"}, crews={"crew": {"placers": 6}})
    few = pour(loads={"preset": "persons"}, crews={"crew": {"placers": 6, "most_in_zone": 3}})
    inside = [laid_out(s).lines[0].deck.working.of[0][0].inside for s in (full, few)]
    assert inside[1] == pytest.approx(inside[0] / 2)
    # The pace is theirs too: 6 x 10 m³/h is above the truck's 45, 3 x 10 is not.
    pace = [played(s).stretches[0] for s in (full, few)]
    rate = [(s.volume_end - s.volume_start) / (s.end - s.start) * 3600 for s in pace]
    assert rate == pytest.approx([45.0, 30.0])


def test_pipe_and_skip_load_the_deck_of_the_pump_that_has_them_only():
    loads = {"pipe_kN_m": 0.1, "skip_landing_kN": 2}
    line = {"means": "line", "pipe_kN_m": 0.4, "skip_landing_kN": 0}
    with_line = laid_out(pour(loads=loads, pumps={"pump": line})).lines[0].deck.gear
    plain = laid_out(pour(loads=loads)).lines[0].deck.gear
    assert (with_line.pipe, with_line.skip_landing) == (400.0, 0.0)
    assert (plain.pipe, plain.skip_landing) == (100.0, 2000.0)


def test_a_skip_that_all_but_reaches_the_support_is_no_cell_of_its_own():
    # Set down over the whole span but for half a micrometre at each side.
    skip = {"skip_landing_kN": 6, "skip_side_m": 3.0 - 1e-7}
    line = laid_out(pour(loads=skip)).lines[0]
    assert line.deck.fine[[0, -1], [0, 1]] == pytest.approx([0.0, 3.0], abs=0)
    assert np.diff(line.deck.fine, axis=1).min() > 1e-3
    weight = line.pressures[1][: len(line.deck.fine)] @ np.diff(line.deck.fine, axis=1).ravel()
    bare = line.pressures[0][: len(line.deck.fine)] @ np.diff(line.deck.fine, axis=1).ravel()
    # 6 kN on 3 m x 3 m, a metre wide.
    assert weight - bare == pytest.approx(2000.0, rel=1e-6)
