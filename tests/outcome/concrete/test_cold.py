"""Cold and frost, strip by strip: levels, times, measures, the deck before the pour."""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders.made_days import TWO, WHOLE, clock, measured_day, pour_with
from builders.pours import basis_of

from pourday.concrete.cooling import face_temperatures, faces
from pourday.concrete.frost import time_to_resist
from pourday.concrete.temperature import concrete_temperature
from pourday.outcome.concrete.cold import DAYS, cold
from pourday.outcome.concrete.later import DAY, day_mean, repeated, season_words

HOUR = 3600.0
PIECES = (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100)


def chilled(*hours, wind=5.0, **changes):
    """The plain pour from 08:00 in air (clock, °C); 110 mm delivered at 12 °C."""
    rows = [{"at": at, "air_C": warm, "humidity": 0.8, "wind_km_h": wind} for at, warm in hours]
    mix = {"delivered_C": 12, "water_cement_ratio": 0.6} | changes.pop("mix", {})
    weather = {"hours": rows} | changes.pop("weather", {})
    scenario = pour_with(
        floor=TWO, plan=WHOLE, slab={"depth_mm": 110}, mix=mix, weather=weather, **changes
    )
    return measured_day(scenario, *PIECES)


NIGHT = ("06:00", 3), ("14:00", 4), ("18:00", 0), ("22:00", -5), ("30:00", -5)


def test_concrete_at_20_degrees_has_no_level_and_costs_no_look():
    day = chilled(("06:00", 20), mix={"delivered_C": 20}).cold
    assert (day.level, day.strips, day.area_cold, day.area_frost) == ("", (), 0.0, 0.0)
    assert day.area == pytest.approx(60.0)
    assert math.isnan(day.lowest)
    assert not day.icy


def test_a_night_at_five_below_freezes_all_of_it():
    day = chilled(*NIGHT).cold
    assert day.level == "FROST"
    assert day.area_frost == pytest.approx(60.0)
    assert day.lowest < -3.0
    for each in day.strips:
        assert each.cold_from < each.frost_from < each.lowest_time
        # Between sunset and midnight, as the air does a little earlier.
        assert 18.0 < each.frost_from / HOUR < 24.0


def test_the_first_moment_below_zero_is_that_of_the_colder_face():
    outcome = chilled(*NIGHT)
    basis, first = outcome.basis, outcome.cold.strips[0]
    for level, when in ((5.0, first.cold_from), (0.0, first.frost_from)):
        mean = concrete_temperature(basis.relax, when, clock(-20), 12.0)
        sides = face_temperatures(faces(basis.air, basis.slab, when), basis.slab.depth, mean)
        # The table looks every half hour and draws a line between.
        assert float(min(sides)) == pytest.approx(level, abs=0.05)


def test_air_between_0_and_5_degrees_is_cold_and_not_frost():
    day = chilled(("06:00", 3)).cold
    assert day.level == "COLD"
    assert (day.area_cold, day.area_frost) == (pytest.approx(60.0), 0.0)
    assert 3.0 <= day.lowest < 5.0


def test_it_stands_frost_after_the_time_of_the_table_and_what_comes_then_is_no_frost():
    # 42.5N, w/c 0.60, 10 °C: between 2 and 1.5 days. Cold comes on the third night only.
    day = chilled(("06:00", 4.9), mix={"delivered_C": 4.9}).cold
    (first, second) = day.strips
    expected = float(time_to_resist(4.9, "42.5N", 0.6))
    assert first.resists - clock(100) == pytest.approx(expected, abs=60.0)
    assert second.resists - clock(220) == pytest.approx(expected, abs=60.0)


def test_quick_cement_stands_frost_sooner_than_slow_cement():
    slow, quick = (
        chilled(("06:00", 4), mix={"cement_strength": c}).cold for c in ("32.5N", "52.5N")
    )
    assert quick.resists - clock(220) < (slow.resists - clock(220)) / 4.0


def test_the_night_after_the_pour_comes_again():
    # A pour that ends at noon on a mild day: it freezes in a later night if at all, never at 4 °C.
    outcome = chilled(("00:00", -4), ("05:00", -4), ("07:00", 6), ("20:00", 6), ("24:00", -4))
    days = outcome.cold
    assert days.level == "FROST"
    assert days.strips[0].frost_from > DAY
    air = repeated(outcome.basis.air, None, 3)
    assert np.interp(2 * DAY + 3 * HOUR, air.times, air.temperature) == pytest.approx(-4.0)
    warmer = repeated(outcome.basis.air, day_mean(outcome.basis.air) + 5.0, 3)
    assert np.interp(2 * DAY + 3 * HOUR, warmer.times, warmer.temperature) == pytest.approx(1.0)
    assert air.times[-1] == pytest.approx(4 * DAY)


def test_every_measure_of_the_trade_helps_and_cooler_concrete_is_none():
    outcome = chilled(*NIGHT, curing={"later_C": 6})
    effects = {each.name: each for each in outcome.cold_effects}
    none = effects.pop("none")
    assert none.area_frost == pytest.approx(60.0)
    assert not [name for name in effects if "cooler" in name]
    for each in effects.values():
        assert each.resists < none.resists
    heated = effects["enclosure, 15 °C below deck"]
    assert heated.area_frost == 0.0
    assert heated.lowest > 0.0
    assert effects["enclosure and mats"].lowest >= heated.lowest
    drying = [each.name for each in chilled(*NIGHT).measure_effects]
    assert not [name for name in drying if "cooler" in name]


def test_measures_of_the_file_are_the_day_s_own():
    plain = chilled(*NIGHT)
    own = chilled(*NIGHT, measures={"heated_below_C": 15.0, "mats_m2K_W": 0.5})
    assert plain.cold.level == "FROST"
    assert own.cold.area_frost == 0.0
    assert own.cold_effects[-1].name == "as in the scenario"
    assert own.cold_effects[-1].area_frost == 0.0
    # Heat below lets it set and be finished sooner too.
    assert own.finishing.end < plain.finishing.end


def test_warmer_concrete_and_an_accelerator_are_the_mix_of_the_day():
    basis = basis_of(pour_with(measures={"warmer_C": 6.0, "accelerator_share": 0.7}))
    assert basis.initial_set.age == pytest.approx(0.7 * 5 * HOUR)
    assert basis.scenario.measures.shift == 6.0
    warm, plain = (
        chilled(("06:00", 8), measures=m).fronts.temperature for m in ({"warmer_C": 6.0}, {})
    )
    assert warm == pytest.approx(plain + 6.0)


def test_mats_count_from_the_last_pass_and_hold_the_warmth_of_hardening():
    outcome = chilled(*NIGHT, curing={"later_C": 6})
    basis, found, covered = outcome.basis, outcome.fronts, outcome.finishing.covered
    used = basis.scenario.measures
    matted = used.__class__(1.0, 0.0, 1.0, 0.0, mats=1.0)
    at_once = cold(basis, found, np.full_like(covered, clock(220)), matted)
    later = cold(basis, found, covered, matted)
    never = cold(basis, found, np.full_like(covered, np.nan), matted)
    bare = cold(basis, found, covered)
    assert at_once.strips[0].frost_from > later.strips[0].frost_from
    assert later.resists < bare.resists
    assert never.strips[0].frost_from == pytest.approx(bare.strips[0].frost_from, abs=1.0)


def test_the_warmth_of_hardening_is_that_of_the_files_cement():
    matted = {"measures": {"mats_m2K_W": 1.0}, "curing": {"later_C": 6}}
    lean, rich = (
        chilled(*NIGHT, batch={"cement_kg_m3": each}, **matted).cold for each in (200, 500)
    )
    assert rich.resists < lean.resists - HOUR
    # A bare slab keeps none of it.
    bare = [chilled(*NIGHT, batch={"cement_kg_m3": each}).cold.resists for each in (200, 500)]
    assert bare[0] == bare[1]


def test_a_clear_sky_brings_frost_at_two_degrees_of_air():
    assert chilled(("06:00", 2), wind=2.0).cold.level == "COLD"
    clear = chilled(("06:00", 2), wind=2.0, weather={"sky_loss_W_m2": 70.0}).cold
    assert clear.level == "FROST"


def test_ice_on_the_deck_is_told_by_the_night_before():
    icy = chilled(("00:00", -3), ("06:00", -2), ("07:30", 4), ("18:00", 6)).cold
    assert icy.icy
    assert icy.deck > 0.0 > icy.deck_lowest
    heated = chilled(
        ("00:00", -3), ("06:00", -2), ("07:30", 4), ("18:00", 6), measures={"heated_below_C": 20.0}
    ).cold
    assert heated.deck_lowest > icy.deck_lowest
    assert not chilled(("06:00", 3)).cold.icy


def test_wind_of_the_file_is_in_kilometres_an_hour():
    # 14.4 km/h is 4 m/s: 4 + 16 + 4.6 W/m²K, 0.04 m²K/W as in EN ISO 6946.
    outcome = chilled(("06:00", 10), wind=14.4)
    assert float(faces(outcome.basis.air, outcome.basis.slab, 0.0).top) == pytest.approx(
        24.6, abs=0.1
    )


def test_what_never_stands_frost_is_said_so():
    day = chilled(("06:00", -3), mix={"delivered_C": 12}).cold
    assert math.isinf(day.resists)
    assert DAYS == 10


@pytest.mark.parametrize(
    ("month", "mean", "own", "word"),
    [
        (12, 18.0, True, "warm day"), (7, 5.0, True, "cold day"), (10, 12.0, True, "colder"),
        (4, 12.0, True, "warmer"), (7, 20.0, True, ""), (10, 12.0, False, ""),
    ],
)  # fmt: skip
def test_the_season_is_noted_where_it_says_otherwise(month, mean, own, word):
    found = season_words(month, mean, own)
    assert word in found
    assert bool(found) is bool(word)


def test_the_calendar_takes_back_what_it_says_of_concrete_that_froze():
    outcome = chilled(*NIGHT)
    (line,) = [each for each in outcome.calendar if "FROST" in each.what]
    assert "engineer's decision" in line.detail
    assert line.when.hour * HOUR + line.when.minute * 60 == pytest.approx(
        outcome.cold.frost_from, abs=31
    )
    assert not [each for each in chilled(("06:00", 8)).calendar if "FROST" in each.what]
