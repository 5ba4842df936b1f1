"""Evaporation against bleed in constant air at 20 °C, where windows are known by hand.

Times are minutes after 08:00. One load, batched at -20, fills the first strip from 0 to 100: its
middle is screeded at 50, 70 min old, and reaches initial set at 280, 230 min later.
"""

from __future__ import annotations

import numpy as np
import pytest
from builders.made_days import (
    CHANGING,
    EIGHT,
    MINUTE,
    TWO,
    WHOLE,
    day,
    measured_day,
    minutes,
    pour_with,
)
from builders.pours import basis_of, measured, pour

from pourday.outcome.base.fronts import fronts
from pourday.outcome.concrete.drying import drying, measure_effects, peak_evaporation

PIECE = (0, 0, 100, 0, 1, -20)
# Uno 1998: 5 (20 + 18)^2.5 (1 - 0.6) (10 + 4) 1e-6 = 0.2492 kg/m²/h.
RATE = 5e-6 * 38**2.5 * 0.4 * 14
COVER = 410.0


def dried(cover=COVER, pieces=(PIECE,), **changes):
    scenario = pour_with(floor=TWO, plan=WHOLE, **changes)
    basis = basis_of(scenario)
    covered = np.array([EIGHT + cover * MINUTE, np.nan])
    found = fronts(basis, day(scenario, *pieces))
    return drying(basis, found, covered)


def air(humidity=0.6, wind=10.0, warm=20.0):
    return {"hours": [{"at": "06:00", "air_C": warm, "humidity": humidity, "wind_km_h": wind}]}


def test_loss_and_bleed_until_cover():
    strip = dried(mix={"bleed_kg_m2_h": 0.4}).strips[0]
    assert strip.peak == pytest.approx(RATE)
    assert pytest.approx(0.2492, abs=1e-4) == RATE
    assert strip.loss == pytest.approx(RATE * 360 / 60)
    assert strip.bleed == pytest.approx(0.4 * 230 / 2 / 60)
    assert strip.shortfall == pytest.approx(RATE * 6 - 0.4 * 23 / 12)
    assert minutes([strip.screeded, strip.covered]) == pytest.approx([50, COVER])


def test_the_surface_is_dry_from_where_the_two_lines_cross():
    # E x = b (x - x²/(2 T)): x = 2 T (1 - E/b) = 460 (1 - 0.6231) = 173.4 min after screeding.
    strip = dried(mix={"bleed_kg_m2_h": 0.4}).strips[0]
    assert minutes(strip.dry) == pytest.approx([50 + 460 * (1 - RATE / 0.4), COVER], abs=0.2)
    assert strip.watch is strip.act is strip.cover is None


def test_where_air_takes_more_than_bleed_from_the_start_it_is_dry_at_once():
    day = dried(mix={"bleed_kg_m2_h": 0.2})
    assert minutes(day.strips[0].dry) == pytest.approx([50, COVER])
    assert day.area_short == pytest.approx(30.0)
    assert day.area_cover == 0.0


def test_where_bleed_keeps_up_nothing_is_dry():
    # Covered at 200, before the lines cross.
    day = dried(cover=200.0)
    assert day.strips[0].dry is None
    assert day.strips[0].shortfall == 0.0
    assert day.area_short == 0.0


def test_wind_that_brings_more_than_a_kilogram_an_hour_asks_for_cover():
    # 5e-6 38^2.5 0.7 (30 + 4) = 1.059 kg/m²/h.
    day = dried(weather=air(humidity=0.3, wind=30.0))
    strip = day.strips[0]
    assert day.peak == pytest.approx(5e-6 * 38**2.5 * 0.7 * 34)
    assert strip.watch == strip.act
    assert minutes(strip.watch) == pytest.approx([50, COVER])
    assert minutes(strip.cover) == pytest.approx([50, COVER])
    assert day.area_watch == day.area_act == day.area_cover == pytest.approx(30.0)


def test_the_watch_line_is_crossed_where_the_wind_rises_through_it():
    # Wind from 0 at 08:00 to 60 km/h at 14:00: E = k (w + 4), 0.5 at w = 0.5/k - 4.
    k = 5e-6 * 38**2.5 * 0.4
    rows = [
        {"at": "08:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 0},
        {"at": "14:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 60},
    ]
    strip = dried(weather={"hours": rows}, cover=360.0).strips[0]
    assert minutes(strip.watch) == pytest.approx([6 * (0.5 / k - 4), 360], abs=1e-3)
    assert minutes(strip.act) == pytest.approx([6 * (1.0 / k - 4), 360], abs=1e-3)


def test_measures_of_the_scenario_change_the_rate():
    def peak(**keys):
        return dried(measures=keys).peak

    assert peak() == pytest.approx(RATE)
    assert peak(wind_share=0.5) == pytest.approx(RATE * 9 / 14)
    assert peak(fog_humidity=0.5) == pytest.approx(RATE)
    assert peak(film_share=0.25) == pytest.approx(RATE / 4)
    assert peak(film_share=0.0) == 0.0
    assert peak(cooler_C=5.0) < RATE


def test_fog_is_a_measure_that_wind_defeats():
    # Up to 5 km/h it stays, at 10 half of it, from 15 none: no "0 m² to cover" at 20 km/h.
    def fogged(wind, **more):
        hours = [{"at": "06:00", "air_C": 20, "humidity": 0.6, "wind_km_h": wind}]
        return dried(weather={"hours": hours}, measures={"fog_humidity": 0.9, **more})

    k = 5e-6 * 38**2.5
    for wind, humidity in ((0, 0.9), (5, 0.9), (10, 0.75), (15, 0.6), (20, 0.6)):
        assert fogged(wind).peak == pytest.approx(k * (1 - humidity) * (wind + 4))
    assert fogged(20).area_short == fogged(20).area > 0.0
    # Behind a windbreak that leaves a quarter of 20 km/h it stays.
    assert fogged(20, wind_share=0.25).peak == pytest.approx(k * 0.1 * 9)


def test_each_measure_by_itself_beside_none():
    scenario = pour(floor=TWO, plan=WHOLE)
    outcome = measured_day(scenario, PIECE)
    effects = {each.name.split(":")[0]: each for each in outcome.measure_effects}
    assert effects["none"].peak == pytest.approx(RATE)
    assert effects["windbreak"].peak == pytest.approx(RATE * 9 / 14)
    # 10 km/h carries half of the fog off (it was RATE / 4, as in still air): 0.75 for 0.9.
    assert effects["fog"].peak == pytest.approx(RATE * 0.25 / 0.4)
    assert effects["evaporation retarder"].peak == pytest.approx(RATE / 2)
    assert effects["concrete 5 °C cooler as delivered"].peak < RATE
    assert len(effects) == 5


def test_measures_the_scenario_takes_stand_in_a_row_of_their_own():
    scenario = pour_with(floor=TWO, plan=WHOLE, measures={"film_share": 0.5})
    basis = basis_of(scenario)
    found = fronts(basis, day(scenario, PIECE))
    covered = np.array([EIGHT + COVER * MINUTE, np.nan])
    effects = measure_effects(basis, found, covered)
    assert effects[-1].name == "as in the scenario"
    assert effects[-1].peak == pytest.approx(RATE / 2)
    assert effects[0].peak == pytest.approx(RATE)


def test_the_peak_alone_is_the_peak_of_all():
    scenario = pour(floor=TWO, plan=WHOLE, weather=CHANGING)
    outcome = measured(scenario)
    basis, whole = outcome.basis, outcome.drying
    alone = peak_evaporation(basis, outcome.fronts, outcome.finishing.covered)
    assert alone == (whole.peak, whole.peak_time)
    assert whole.strips[[s.strip for s in whole.strips].index(whole.peak_strip)].peak == whole.peak
    assert whole.area == pytest.approx(60.0)
    assert sum(s.area for s in whole.strips) == pytest.approx(60.0)
    assert sum(s.area_short for s in whole.strips) == pytest.approx(whole.area_short)


def test_strips_that_are_not_covered_or_not_placed_are_left_out():
    assert [s.strip for s in dried().strips] == [0]
    nothing = dried(cover=np.nan)
    assert nothing.strips == ()
    assert nothing.peak == 0.0
    assert nothing.peak_strip == -1
