"""What a stand does to pump and line: concrete in it gets too old, or blocks it."""

from __future__ import annotations

import math

import numpy as np

from pourday.concrete.age import arrhenius_rate, equivalent_age
from pourday.concrete.cooling import slab_relaxation
from pourday.concrete.temperature import Air
from pourday.day.chance.rain import air_shift
from pourday.scenario.model.scenario import Pump, Scenario


def line_too_old(scenario: Scenario, pump: Pump, seed: int, batched: float, now: float) -> bool:
    """Whether concrete batched then may stay in the line no longer."""
    mix = scenario.mix
    if pump.longest_stand is not None:
        return now - batched > pump.longest_stand
    allowed, warm = mix.open_time + mix.retarder, mix.delivered.mean
    rows, warmer = scenario.weather, air_shift(scenario, seed)
    # It never ages faster than at the warmest it can get: most stands are told by that.
    warmest = max(warm, max(rows.air) + warmer)
    if (now - batched) * float(arrhenius_rate(warmest, mix.set_activation)) <= allowed:
        return False
    warmer_air = np.array(rows.air) + warmer
    air = Air(np.array(rows.at), warmer_air, np.array(rows.humidity), np.array(rows.wind))
    # Concrete in a pipe is taken to follow the air as the slab does.
    relax = slab_relaxation(air, scenario.cooling)
    return bool(equivalent_age(relax, batched, now, warm, mix.set_activation) > allowed)


def chance_to_block(pump: Pump, stood: float) -> float:
    """Chance that a stand of ``stood`` seconds has blocked the line."""
    too_long = stood - pump.stand_free
    if pump.stand_to_block is None or too_long <= 0:
        return 0.0
    return -math.expm1(-too_long / pump.stand_to_block)
