"""What a stand does to pump and line: concrete in it gets too old, or blocks it."""

from __future__ import annotations

import math

import numpy as np

from pourday.concrete.age import arrhenius_rate, equivalent_age
from pourday.concrete.temperature import relaxation
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
    if (now - batched) * float(arrhenius_rate(warmest, mix.activation)) <= allowed:
        return False
    air = np.array(rows.air) + warmer
    relax = relaxation(np.array(rows.at), air, mix.relaxation)
    return bool(equivalent_age(relax, batched, now, warm, mix.activation) > allowed)


def chance_to_block(pump: Pump, stood: float) -> float:
    """Chance that a stand of ``stood`` seconds has blocked the line."""
    too_long = stood - pump.stand_free
    if pump.stand_to_block is None or too_long <= 0:
        return 0.0
    return -math.expm1(-too_long / pump.stand_to_block)
