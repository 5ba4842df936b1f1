"""The air and the rain of days: the forecast's rows, and what chance makes of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.concrete.cooling import slab_relaxation
from pourday.concrete.temperature import Air, Relaxation, end_to_end
from pourday.day.chance.rain import air_shift, rain_windows
from pourday.day.chance.streams import Stream
from pourday.day.chance.upsets import with_rain
from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis, Floats
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.upsets import RAIN


@dataclass(frozen=True, eq=False)
class Weather:
    """The air of days, and the slab in it; of plans with the same weather and slab the same."""

    air: Air
    relax: Relaxation


def weather_of(basis: Basis, seeds: Sequence[int]) -> Weather:
    """The weather of the days with these seeds.

    The forecast's rows are shifted alike: air and humidity by an amount, wind by a factor.
    """
    scenario, weather, rows = basis.scenario, basis.scenario.weather, basis.air
    if not weather.varies:
        return Weather(basis.air, basis.relax)
    warmer = np.array([[air_shift(scenario, seed)] for seed in seeds])
    moister = _drawn("humidity shift", weather.humidity_shift, seeds)
    windier = _drawn("wind factor", weather.wind_factor, seeds)
    temperature = rows.temperature + warmer
    humidity, wind = np.clip(rows.humidity + moister, 0.0, 1.0), rows.wind * windier
    days = [Air(rows.times, *row) for row in zip(temperature, humidity, wind, strict=True)]
    relax = end_to_end([slab_relaxation(air, basis.slab) for air in days])
    one = len(days) == 1
    return Weather(days[0] if one else Air(rows.times, temperature, humidity, wind), relax)


def same_weather(one: Basis, other: Basis) -> bool:
    """Whether both plans have the same weather on every day."""
    return one.scenario.weather == other.scenario.weather and one.slab == other.slab


def of_days(basis: Basis, logs: Sequence[DayLog], weather: Weather | None = None) -> Basis:
    """The basis with the weather of these days, rain by upsets included.

    ``weather`` where it is known already.
    """
    scenario = basis.scenario
    rains = tuple(
        rain_windows(with_rain(scenario, log.upsets), log.seed)
        if scenario.weather.rain or any(upset.kind == RAIN for upset in log.upsets)
        else ()
        for log in logs
    )
    found = weather or weather_of(basis, [log.seed for log in logs])
    return replace(
        basis,
        days=len(logs),
        rains=rains,
        air=found.air,
        relax=found.relax,
        varied=scenario.weather.varies,
    )


def _drawn(source: str, quantity: Distribution, seeds: Sequence[int]) -> Floats:
    """What weather draws for each day, (D, 1)."""
    return np.array([[Stream(seed, source, quantity)(0)] for seed in seeds])
