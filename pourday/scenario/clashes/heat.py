"""What heat makes doubtful or impossible: concrete too cool for its materials, too much ice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from pourday.concrete.mix_temperature import (
    ice_refused,
    ice_to_cool,
    mix_temperature,
    most_cooling,
)
from pourday.scenario.base.faults import Fault
from pourday.scenario.materials import materials
from pourday.scenario.tables.batch import BatchTable
from pourday.scenario.tables.concrete import MeasuresTable, MixTable, WeatherTable

HOT_AIR = 30.0
"""Warmest air (°C) from which a cool delivery is asked about (common practice, no source)."""
DOUBTFUL = 3.0
"""How much cooler than its materials (°C) a delivery may be said to be without a question."""


def _cool_concrete_on_a_hot_day(
    mix: MixTable, batch: BatchTable, weather: WeatherTable
) -> Iterator[Fault]:
    if max(row.air_C for row in weather.hours) < HOT_AIR:
        return
    ours = materials(batch, weather)
    found, made = mix.delivered_C.mean, mix_temperature(ours)
    by = made - found
    if by <= DOUBTFUL:
        return
    refused = ice_refused(ours, round(by, 1))
    ice = ice_to_cool(ours, by)
    how = (
        refused
        if refused is not None
        else f"that is {ice:.0f} kg/m³ of ice ({ice / ours.water:.0%} of the batch water)"
    )
    advice = f"{how}; ask the plant what it can do (heat balance of batch, ACI 305R-99)"
    usual = f"about {made:.0f}, what the materials give on this day"
    yield Fault("mix.delivered_C", f"{found:g}", usual, "°C", advice, "warning")


def _no_more_than_ice_can_cool(
    measures: MeasuresTable, batch: BatchTable, weather: WeatherTable
) -> Iterator[Fault]:
    ours = materials(batch, weather)
    refused = ice_refused(ours, measures.cooler_C)
    if refused is not None:
        rule = f"up to {most_cooling(ours):.1f}, what ice can do in this mix"
        advice = f"{refused}; concrete cooled otherwise is a lower mix.delivered_C"
        yield Fault("measures.cooler_C", f"{measures.cooler_C:g}", rule, "°C", advice)


Check = Callable[..., Iterator[Fault]]
HEAT_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("mix", "batch", "weather"), _cool_concrete_on_a_hot_day),
    (("measures", "batch", "weather"), _no_more_than_ice_can_cool),
)
