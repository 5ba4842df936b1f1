"""Cold and frost of a day, and the temperature of its loads, for the JSON."""

from __future__ import annotations

from typing import Any

import numpy as np

from pourday.outcome.measure import Outcome
from pourday.report.records.parts import hour, number


def cold_record(outcome: Outcome) -> dict[str, Any]:
    """Levels, areas, strips below 5 °C and what each measure does; hours of the pour day."""
    day, strips = outcome.cold, outcome.basis.layout.strips
    return {
        "level": day.level or None,
        "area_below_5_m2": number(day.area_cold),
        "area_below_0_m2": number(day.area_frost),
        "lowest_C": number(day.lowest),
        "lowest_at_h": hour(day.lowest_time),
        "stands_frost_h": _hour(day.resists),
        "deck_before_C": number(day.deck),
        "deck_lowest_before_C": number(day.deck_lowest),
        "strips": [
            {
                "strip": strips[each.strip].name,
                "below_5_h": hour(each.cold_from),
                "below_0_h": hour(each.frost_from),
                "lowest_C": number(each.lowest),
                "lowest_at_h": hour(each.lowest_time),
                "stands_frost_h": _hour(each.resists),
                "area_m2": number(each.area),
                "area_below_0_m2": number(each.area_frost),
            }
            for each in day.strips
        ],
        "measures": [
            {
                "measure": each.name,
                "lowest_C": number(each.lowest),
                "area_below_5_m2": number(each.area_cold),
                "area_below_0_m2": number(each.area_frost),
                "stands_frost_h": _hour(each.resists),
            }
            for each in (outcome.cold_effects if day.strips else ())
        ],
    }


def delivered_record(outcome: Outcome) -> dict[str, Any]:
    """The rule for the temperature at delivery, and every load discharged."""
    rule = outcome.basis.scenario.mix.delivery
    return {
        "rule": rule.name,
        "outside": sum(load.outside for load in outcome.delivered),
        "loads": [
            {
                "id": load.truck + 1,
                "at_h": hour(load.time),
                "temperature_C": number(load.temperature),
                "air_C": number(load.air),
                "least_C": None if load.least is None else number(load.least),
                "most_C": None if load.most is None else number(load.most),
                "outside": load.outside,
            }
            for load in outcome.delivered
        ],
    }


def _hour(time: float) -> float | None:
    return hour(time) if np.isfinite(time) else None
