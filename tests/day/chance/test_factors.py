"""What kind of day it is: one factor each for crews, plants and roads, and whom it slows."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from builders.pours import laid_out, measured, pour
from rich.console import Console

from pourday.day.chance.factors import day_factors
from pourday.day.chance.streams import DaySeed
from pourday.day.front.ready import ready
from pourday.day.log import ORDINARY, DayFactors, DayLog
from pourday.day.play import open_day, play, play_ready
from pourday.day.state import DayState
from pourday.day.take_up import snapshot
from pourday.report.records.day import day_record
from pourday.report.text.day import day_report
from pourday.report.text.day_to_day import kind_of_day
from pourday.scenario.model.call_off import DayToDay
from pourday.scenario.model.scenario import Scenario

MINUTE, HOUR = 60.0, 3600.0
VARIED = {"crew_pace_sd": 0.2, "plant_pace_sd": 0.1, "travel_sd": 0.3}
# 30 m³/h, half of what pump and truck give: the crew alone sets the pace.
SLOW_CREW = {"crew": {"rate_per_placer_m3_h": 5}}


def on_a_day(scenario: Scenario, factors: DayFactors | None, seed: int = 1) -> DayLog:
    made = ready(scenario, scenario.plans[0], laid_out(scenario))
    return play_ready(made, seed, None, None, factors)


def placing(log: DayLog) -> float:
    return sum(s.end - s.start for s in log.stretches if s.strip >= 0)


def test_the_factors_are_lognormal_with_mean_1_and_the_sd_of_the_file():
    days = DayToDay(0.2, 0.1, 0.3)
    drawn = np.array([day_factors(days, seed) for seed in range(4000)])
    # Standard errors of mean and sd at 4,000 days: sd/63, and about sd/89 (more in the long tail).
    for values, sd in zip(drawn.T, (0.2, 0.1, 0.3), strict=True):
        assert abs(values.mean() - 1.0) < 4 * sd / 63
        assert abs(values.std(ddof=1) - sd) < 6 * sd / 89
        # The middle of a lognormal of mean 1 is 1 / sqrt(1 + sd²): textbook.
        assert abs(np.median(values) - 1 / np.sqrt(1 + sd**2)) < 4 * 1.25 * sd / 63
    assert (abs(np.corrcoef(drawn.T)[np.triu_indices(3, 1)]) < 4 / 63).all(), "streams of their own"


def test_without_a_table_a_file_has_days_that_differ_by_a_tenth():
    text = pour(day_to_day={"crew_pace_sd": None, "plant_pace_sd": None, "travel_sd": None})
    assert text.day_to_day == DayToDay(0.10, 0.10, 0.10)


@pytest.mark.parametrize("factor", [0.8, 0.5, 1.25])
def test_a_slow_crew_takes_longer_by_its_factor_where_it_sets_the_pace(factor: float):
    scenario = pour(crews=SLOW_CREW)
    usual, slow = (on_a_day(scenario, f) for f in (ORDINARY, DayFactors(crew=factor)))
    assert placing(usual) == pytest.approx(9.0 / 30.0 * HOUR, rel=1e-12)
    assert placing(slow) == pytest.approx(placing(usual) / factor, rel=1e-12)


def test_a_quick_crew_gains_nothing_where_pump_or_truck_set_the_pace():
    scenario = pour(crews={"crew": {"rate_per_placer_m3_h": 10}})
    usual, quick = (on_a_day(scenario, f) for f in (ORDINARY, DayFactors(crew=1.5)))
    # 6 m³ in 8 min are 45 m³/h, less than either crew.
    assert placing(quick) == placing(usual) == pytest.approx(9.0 / 45.0 * HOUR, rel=1e-12)


def test_a_slow_plant_and_a_slow_road_make_a_load_come_late_by_their_factors():
    scenario = pour()
    usual = on_a_day(scenario, ORDINARY).visits[0]
    slow = on_a_day(scenario, DayFactors(plant=0.5, travel=1.5)).visits[0]
    # 6 m³ at 60 m³/h, then 20 min of road; at half the rate, and half as long again on the road.
    assert usual.arrived - usual.batched == pytest.approx(26 * MINUTE, rel=1e-12)
    assert slow.arrived - slow.batched == pytest.approx(42 * MINUTE, rel=1e-12)


def test_the_foreman_calls_the_first_load_as_on_any_other_day():
    scenario = pour(call_off={"nobody_phones": False})
    first = {
        on_a_day(scenario, factors).visits[0].batched
        for factors in (ORDINARY, DayFactors(0.7, 0.6, 1.5), DayFactors(1.3, 1.4, 0.8))
    }
    assert len(first) == 1


def test_the_way_back_is_slow_too():
    scenario = pour(plants=[{"name": "One", "trucks": 1, "batch_m3_h": 600, "travel_min": 20}])
    usual, slow = (on_a_day(scenario, f).visits for f in (ORDINARY, DayFactors(travel=1.5)))
    for visits, way in ((usual, 20), (slow, 30)):
        for before, after in pairwise(visits):
            assert after.batched - before.left_site == pytest.approx(way * MINUTE, rel=1e-9)


def test_the_day_is_the_same_for_all_plans_and_shifts_no_other_chance():
    travel = {"dist": "lognormal", "mean": 20, "sd": 5}
    plant = [{"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": travel}]
    varied, alike = pour(plants=plant, day_to_day=VARIED), pour(plants=plant)
    seed = DaySeed(7)
    assert day_factors(varied.day_to_day, seed) == day_factors(varied.day_to_day, 7)
    assert on_a_day(varied, None, seed).factors == on_a_day(varied, None, 7).factors != ORDINARY
    assert on_a_day(varied, ORDINARY) == on_a_day(alike, None)


def test_a_day_that_is_taken_up_goes_on_as_the_day_it_is():
    scenario = pour(crews=SLOW_CREW, day_to_day=VARIED)
    layout, plan = laid_out(scenario), scenario.plans[0]
    whole = play(scenario, plan, layout, 3)
    day = open_day(scenario, plan, layout, 3)
    day.env.run(until=7.2 * HOUR)
    state = snapshot(day)
    assert state.factors == whole.factors != ORDINARY
    kept = DayState.from_json(state.to_json())
    assert kept.factors == state.factors
    assert play(scenario, plan, layout, 3, begin=kept) == whole
    slower = replace(kept, factors=DayFactors(crew=0.5 * whole.factors.crew))
    assert play(scenario, plan, layout, 3, begin=slower).end > whole.end


def test_the_report_of_a_day_says_what_kind_of_day_it_was():
    scenario = pour(crews=SLOW_CREW, day_to_day=VARIED)
    told = measured(scenario, on_a_day(scenario, DayFactors(0.92, 1.0, 1.1)))
    assert kind_of_day(told) == "crew 8 % slower than usual, plant as usual, trips 10 % longer"
    console = Console(width=100, record=True, file=io.StringIO())
    day_report(console, told)
    assert "crew 8 % slower" in console.export_text()
    assert day_record(told)["kind_of_day"] == {
        "crew_pace_factor": 0.92,
        "plant_pace_factor": 1.0,
        "travel_factor": 1.1,
    }
    assert kind_of_day(measured(pour())) == "", "where all days are alike there is nothing to say"
