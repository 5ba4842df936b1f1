"""What holds a load up at the pump: told where both show, hidden where one always is the longer."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pourday.study.learn.pace import BOTH, CREW, TRUCK, Paced, fit_pace
from pourday.study.learn.seen import AtPump, Length

PLANNED = 540.0
POURS, LOADS = 6, 30


@cache
def paced(truck: tuple[float, float], rate: float, day_sd: float, seed: int = 1) -> Paced:
    """Six pours of thirty loads: trucks of this mean and sd (s), a crew of this rate by plan."""
    chance = np.random.default_rng(seed)
    spread = np.log1p((truck[1] / truck[0]) ** 2)
    told = []
    for pour in range(POURS):
        own = rate * np.exp(chance.normal(0.0, day_sd) if day_sd else 0.0)
        trucks = np.exp(chance.normal(np.log(truck[0]) - spread / 2, spread**0.5, LOADS))
        took = np.maximum(trucks, PLANNED / own * np.exp(chance.normal(0.0, 0.04, LOADS)))
        begin = chance.uniform(0.0, 36_000.0, LOADS)
        noted = 60.0 * (np.round((begin + took) / 60.0) - np.round(begin / 60.0))
        told += [AtPump(Length(pour, float(t), (60.0, 60.0)), 1.0, PLANNED) for t in noted]
    return fit_pace({0: told}, "lognormal", 400.0)


def test_where_both_show_both_are_told():
    found = paced((480.0, 140.0), 0.9, 0.12)
    assert found.told == BOTH
    assert found.mean is not None
    assert found.mean.low < 480.0 < found.mean.high
    assert found.rate[0].low < 0.9 < found.rate[0].high


def test_a_crew_that_always_takes_longer_hides_the_trucks():
    found = paced((240.0, 40.0), 0.9, 0.12)
    assert found.told == CREW
    assert found.mean is None
    assert found.rate[0].low < 0.9 < found.rate[0].high
    assert found.day_sd is not None


def test_trucks_that_always_take_longer_hide_the_crew():
    found = paced((900.0, 150.0), 1.6, 0.0)
    assert found.told == TRUCK
    assert not found.rate
    assert found.day_sd is None
    assert found.mean is not None
    assert found.mean.low < 900.0 < found.mean.high


def test_the_chances_of_the_times_lie_evenly_between_nothing_and_one():
    found = paced((480.0, 140.0), 0.9, 0.12)
    low, high = found.shares
    assert np.all(low <= high)
    assert float(((low + high) / 2).mean()) == pytest.approx(0.5, abs=0.06)


def test_what_a_figure_draws_adds_up_to_the_loads_that_were_seen():
    cells = paced((480.0, 140.0), 0.9, 0.12).cells
    assert cells.seen.sum() == pytest.approx(POURS * LOADS, abs=6)
    assert cells.fitted.sum() == pytest.approx(POURS * LOADS, rel=0.05)
