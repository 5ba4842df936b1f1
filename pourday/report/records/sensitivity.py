"""Machine-readable output of what moves the result."""

from __future__ import annotations

from typing import Any

from pourday.report.records.parts import interval, number
from pourday.study.sensitivity import FIGURES, Sensitivity


def sensitivity_record(found: Sensitivity) -> dict[str, Any]:
    """One plan: total index of every source by figure, swings of the means."""
    return {
        "plan": found.plan,
        "days": found.days,
        "figures": {
            name: {
                "mean": number(found.mean[name]),
                "sd": number(found.sd[name]),
                "days_not_zero": found.not_zero[name],
            }
            for name in FIGURES
        },
        "sources": [
            {
                "source": each.name,
                "total_index": {name: interval(each.index[name]) for name in FIGURES},
            }
            for each in found.sources
        ],
        "swings": [
            {
                "input": each.name,
                "at": list(each.at),
                "low": {name: interval(each.low[name]) for name in FIGURES},
                "high": {name: interval(each.high[name]) for name in FIGURES},
            }
            for each in found.swings
        ],
    }
