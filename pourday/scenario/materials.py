"""What the materials of a file bring to the mixer: masses and temperatures for the heat balance."""

from __future__ import annotations

import numpy as np

from pourday.concrete.mix_temperature import Batch
from pourday.scenario.tables.batch import BatchTable
from pourday.scenario.tables.concrete import WeatherTable

DAY = 86400.0


def materials(table: BatchTable, weather: WeatherTable) -> Batch:
    """The file's materials (kg/m³, °C); a heap of no temperature is as warm as the air's mean."""
    heap = mean_air(weather) if table.aggregate_C is None else table.aggregate_C
    return Batch(
        cement=table.cement_kg_m3,
        aggregate=table.aggregate_kg_m3,
        moisture=table.aggregate_kg_m3 * table.aggregate_moisture_share,
        water=table.water_kg_m3,
        cement_temperature=table.cement_C,
        aggregate_temperature=heap,
        water_temperature=table.water_C,
    )


def mean_air(weather: WeatherTable) -> float:
    """Mean of the file's air (°C) over the 24 hours from its first row."""
    times, air = [row.at for row in weather.hours], [row.air_C for row in weather.hours]
    end = times[0] + DAY
    when = np.array(sorted({t for t in times if t < end} | {end}))
    value = np.interp(when, times, air)
    return float(np.sum((value[1:] + value[:-1]) / 2.0 * np.diff(when)) / DAY)
