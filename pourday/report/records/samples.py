"""The samples of a day as plain values."""

from __future__ import annotations

from typing import Any

from pourday.outcome.measure import Outcome
from pourday.report.records.parts import hour, number


def samples_record(outcome: Outcome) -> dict[str, Any]:
    """Which loads are sampled, when, and between what their slump has to be."""
    found, scenario = outcome.sampling, outcome.basis.scenario
    mix, strips = scenario.mix, outcome.basis.layout.strips
    return {
        "rule": found.rule,
        "wanted": found.wanted,
        "slump_mm": [
            number(max(0.0, mix.slump - mix.slump_tolerance) * 1e3),
            number((mix.slump + mix.slump_tolerance) * 1e3),
        ],
        "loads": [
            {
                "id": each.load + 1,
                "plant": each.plant,
                "at_h": hour(each.at),
                "strip": strips[each.strip].name if each.strip >= 0 else None,
                "age_min": number(each.age / 60),
                "temperature_C": number(each.temperature),
            }
            for each in found.samples
        ],
    }
