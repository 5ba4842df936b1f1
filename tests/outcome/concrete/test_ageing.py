"""Temperature and equivalent age of a strip until final set."""

from __future__ import annotations

import math

import pytest
from builders.pours import day_of_rain, pour

from pourday.outcome.concrete.ageing import strip_ages

HOUR = 3600.0


def test_at_20_degrees_age_is_time_and_sets_are_those_of_the_mix():
    outcome = day_of_rain(pour())
    (age,) = strip_ages(outcome.basis, outcome.fronts)
    first, last = outcome.log.visits[0].batched, outcome.log.visits[-1].batched
    assert age.temperature == pytest.approx(20.0)
    assert age.age == pytest.approx(age.time - last, abs=1e-3)
    assert age.time[0] == pytest.approx(outcome.log.end)
    # Tables of set are within half a minute.
    assert age.initial_set == pytest.approx(last + 5 * HOUR, abs=30)
    assert age.final_set == pytest.approx(last + 7 * HOUR, abs=30)
    assert age.first_final_set == pytest.approx(first + 7 * HOUR, abs=30)
    assert age.age[-1] == pytest.approx(7 * HOUR, abs=30)


def test_warm_concrete_cools_towards_the_air_and_sets_sooner():
    outcome = day_of_rain(pour(mix={"delivered_C": 30}))
    (age,) = strip_ages(outcome.basis, outcome.fronts)
    last = outcome.log.visits[-1].batched
    # 150 mm, 10 km/h, air of 20 °C: films of 4 + 4 x 2.778 + 5.14 = 20.25 and, with a quarter of
    # the wind, 11.92 W/m²K; through 0.15 / 2.0 of concrete they join to 26.22 W/m²K. 26 kN/m³ and
    # 1000 J/kgK hold 397.6 kJ/m²K: a time constant of 4.21 h.
    top, bottom, through = 4 + 40 / 3.6 + 5.142, 4 + 10 / 3.6 + 5.142, 0.15 / 2.0
    a, b, c = 1 / top + through / 3, 1 / bottom + through / 3, through / 6
    tau = 26e3 / 9.81 * 1000 * 0.15 * (a * b - c * c) / (a + b + 2 * c) / HOUR
    assert tau == pytest.approx(4.21, abs=0.01)
    k = 4
    hours = (age.time[k] - last) / HOUR
    assert age.temperature[k] == pytest.approx(20 + 10 * math.exp(-hours / tau), abs=0.01)
    assert age.final_set < last + 7 * HOUR - 600
