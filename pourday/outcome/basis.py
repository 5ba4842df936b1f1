"""What every day of one plan is measured against; made once, read many times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.concrete.temperature import Air, Relaxation, relaxation
from pourday.floor.layout import Layout
from pourday.scenario.model import Mix, Plan, Scenario, Weather

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Basis:
    """Scenario, plan and layout with the arrays that outcomes need.

    ``pair_first``, ``pair_second`` (P,) are strips of the edge pairs in placing order;
    ``pair_low``, ``pair_high`` (P,) the y range of the side (equal for a side along x).
    ``open_time`` (s at 20 °C) has the retarder in it.
    """

    scenario: Scenario
    plan: Plan
    layout: Layout
    air: Air
    relax: Relaxation
    open_time: float
    pair_first: Ints
    pair_second: Ints
    pair_low: Floats
    pair_high: Floats
    pair_length: Floats


def air_of(weather: Weather) -> Air:
    """Weather rows as arrays."""
    return Air(
        *(np.array(row) for row in (weather.at, weather.air, weather.humidity, weather.wind))
    )


def open_time(mix: Mix) -> float:
    """Open time at 20 °C from batching, retarder added (s)."""
    return mix.open_time + mix.retarder


def basis(scenario: Scenario, plan: Plan, layout: Layout) -> Basis:
    """Prepare a plan for measuring its days."""
    air = air_of(scenario.weather)
    pairs = layout.pairs
    along_y = np.array([p.along == "y" for p in pairs], dtype=bool)
    low = np.array([p.low for p in pairs])
    high = np.array([p.high for p in pairs])
    at = np.array([p.at for p in pairs])
    return Basis(
        scenario=scenario,
        plan=plan,
        layout=layout,
        air=air,
        relax=relaxation(air.times, air.temperature, scenario.mix.relaxation),
        open_time=open_time(scenario.mix),
        pair_first=np.array([p.first for p in pairs], dtype=np.intp),
        pair_second=np.array([p.second for p in pairs], dtype=np.intp),
        pair_low=np.where(along_y, low, at),
        pair_high=np.where(along_y, high, at),
        pair_length=high - low,
    )
