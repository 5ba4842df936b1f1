"""Temperature and equivalent age of a strip until final set."""

from __future__ import annotations

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
    outcome = day_of_rain(pour(mix={"delivered_C": 30, "relaxation_h": 6}))
    (age,) = strip_ages(outcome.basis, outcome.fronts)
    last = outcome.log.visits[-1].batched
    # 20 + 10 exp(-t / 6 h) in air of 20 °C.
    k = 4
    hours = (age.time[k] - last) / HOUR
    assert age.temperature[k] == pytest.approx(20 + 10 * 2.718281828459045 ** (-hours / 6))
    assert age.final_set < last + 7 * HOUR - 600
