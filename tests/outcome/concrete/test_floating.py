"""When the power float may go on: the survey's times, the water that stands, the end at final set.

ASCC Position Statement 15: with no more than 6 mm (1/4 in.) of footprint and no bleed water,
floating was reported to begin 4.25, 2.75 and 1.75 h after placing at 50, 70 and 90 °F.
"""

from __future__ import annotations

import numpy as np
import pytest
from builders.made_days import TWO, WHOLE, day, pour_with
from builders.pours import basis_of

from pourday.outcome.base.fronts import fronts
from pourday.outcome.concrete.finishing import finishing
from pourday.outcome.concrete.floating import floating_from
from pourday.scenario.tables.concrete import FinishingTable

HOUR = 3600.0
SURVEY = {50.0: 4.25, 70.0: 2.75, 90.0: 1.75}
SHARE = FinishingTable().float_from_share
PIECE = (0, 0, 10, 0, 1, -20)


def opened(warm, humidity=0.2, wind=40.0, mix=None, **more):
    """Hours from placing to floating and to initial set of the last concrete, in steady air."""
    hours = [{"at": "06:00", "air_C": warm, "humidity": humidity, "wind_km_h": wind}]
    scenario = pour_with(
        floor=TWO, plan=WHOLE, weather={"hours": hours},
        finishing={"float_from_share": SHARE, "passes": 1},
        mix={"delivered_C": warm} | (mix or {}), **more,
    )  # fmt: skip
    basis = basis_of(scenario)
    found = fronts(basis, day(scenario, PIECE))
    initial = basis.initial_set.at(found.batched, found.temperature)
    placed = np.maximum(found.time_low, found.time_high)
    at = floating_from(basis, found, initial)
    return float((at - placed)[-1]) / HOUR, float((initial - placed)[-1]) / HOUR


def survey_ratio(fahrenheit, **mix):
    """Ours at this temperature over ours at 70 °F, over the same of the survey."""
    ours, middle = (opened((f - 32) / 1.8, mix={"bleed_kg_m2_h": 0, **mix})[0]
                    for f in (fahrenheit, 70.0))  # fmt: skip
    return ours / middle / (SURVEY[fahrenheit] / SURVEY[70.0])


@pytest.mark.parametrize("fahrenheit", SURVEY)
def test_floating_times_have_the_shape_of_the_survey(fahrenheit):
    assert survey_ratio(fahrenheit) == pytest.approx(1.0, abs=0.15)


def test_at_the_activation_of_strength_they_would_not():
    assert survey_ratio(50.0, set_activation_K=5000) > 1.15


@pytest.mark.parametrize("fahrenheit", SURVEY)
def test_an_ordinary_mix_is_floated_within_15_percent_of_the_hours_told(fahrenheit):
    hours, _ = opened((fahrenheit - 32) / 1.8, mix={"bleed_kg_m2_h": 0})
    assert hours == pytest.approx(SURVEY[fahrenheit], rel=0.15)


def test_its_clock_runs_from_placing():
    # 20 °C: 0.58 of 5 h after placing, however long the concrete was on the road.
    assert opened(20.0, mix={"bleed_kg_m2_h": 0})[0] == pytest.approx(0.58 * 5.0, abs=0.01)


def test_a_damp_night_waits_for_its_bleed_water_and_no_longer_than_to_initial_set():
    dry, to_set = opened(12.0)
    damp, same = opened(12.0, humidity=1.0, wind=0.0)
    none, _ = opened(12.0, humidity=1.0, wind=0.0, mix={"bleed_kg_m2_h": 0})
    assert dry == pytest.approx(none, abs=0.1)
    assert damp > dry + 1.0
    assert damp == pytest.approx(same, abs=0.05)
    assert dry < to_set


def test_a_strong_retarder_puts_floating_off_too():
    # 0.58 x (5 h + 2 h) from placing.
    late, _ = opened(20.0, mix={"bleed_kg_m2_h": 0, "retarder_min": 120})
    assert late == pytest.approx(0.58 * 7.0, abs=0.01)


def test_passes_lie_between_floating_and_final_set():
    scenario = pour_with(
        floor=TWO, plan=WHOLE, finishing={"float_from_share": SHARE, "passes": 3},
        mix={"bleed_kg_m2_h": 0},
    )  # fmt: skip
    basis = basis_of(scenario)
    work = finishing(basis, fronts(basis, day(scenario, PIECE)))
    # Placed 08:10, floated from 2.9 h later; final set 7 h after loading at 07:40.
    assert work.opens[0] / HOUR == pytest.approx(8 + 1 / 6 + 2.9, abs=0.01)
    assert work.closes[0] / HOUR == pytest.approx(14 + 2 / 3, abs=0.01)
    assert work.ready == pytest.approx(
        work.opens[0] + np.arange(3) / 3 * (work.closes[0] - work.opens[0])
    )


def test_old_concrete_is_floated_at_initial_set_at_the_latest():
    # 32 °C, on the road for two hours: it sets before the clock from placing has run.
    hours = [{"at": "06:00", "air_C": 32, "humidity": 0.2, "wind_km_h": 40}]
    scenario = pour_with(
        floor=TWO, plan=WHOLE, weather={"hours": hours}, mix={"delivered_C": 32},
        finishing={"float_from_share": SHARE},
    )  # fmt: skip
    basis = basis_of(scenario)
    found = fronts(basis, day(scenario, (0, 100, 110, 0, 1, -20)))
    initial = basis.initial_set.at(found.batched, found.temperature)
    assert floating_from(basis, found, initial) == pytest.approx(initial)
