"""What all records share: numbers that JSON can hold, and the deck's peaks by name.

Units stand in the names; hours are clock hours of the pour day (7.5 is half past seven); what never
came is None.
"""

from __future__ import annotations

import math
from typing import Any

from pourday.floor.lines.judging import factors_of
from pourday.outcome.base.basis import Basis, edge_rule
from pourday.outcome.deck.peaks import DeckOutcome, DeckPeak
from pourday.report.basis import basis_of_shares, why_not_judged
from pourday.report.words import edge_rule_words
from pourday.scenario.model.scenario import Mix, Scenario
from pourday.study.statistics import Interval, Spread

PEAK_NAMES = {
    "sag_moment": ("sag_moment_kNm_per_m", 1e-3),
    "hog_moment": ("hog_moment_kNm_per_m", 1e-3),
    "reaction": ("reaction_kN_per_m", 1e-3),
    "uplift": ("uplift_kN_per_m", 1e-3),
    "deflection": ("deflection_mm", 1e3),
    "use": ("use", 1.0),
}
"""Peak -> its name with unit, and the factor from SI."""


def peaks(deck: DeckOutcome) -> dict[str, float | None]:
    """Peaks of a deck in the units of their names."""
    return {
        name: number(getattr(deck, key).value * factor)
        for key, (name, factor) in PEAK_NAMES.items()
    }


def factored(deck: DeckOutcome) -> dict[str, float | None]:
    """The peaks that have a factored value, with partial factors, in the units of their names."""
    return {
        name: number(getattr(deck, key).factored * factor)
        for key, (name, factor) in PEAK_NAMES.items()
        if key not in ("deflection", "use")
    }


def basis_record(scenario: Scenario) -> dict[str, Any]:
    """What shares of resistance stand on: kind of resistance, factors, and the same in words."""
    f, missing = factors_of(scenario.loads), why_not_judged(scenario)
    return {
        "judged": not missing,
        "words": missing or basis_of_shares(scenario),
        "resistance_is": scenario.deck.resistance_is,
        "loads": scenario.loads.basis,
        "factors": {
            "permanent": list(f.permanent),
            "concrete": list(f.concrete),
            "working": [f.working, 0.0],
            "heap": [f.heap, 0.0],
        },
    }


def where(basis: Basis, peak: DeckPeak) -> dict[str, Any]:
    """Place, strip, stage and time of a peak."""
    strip = basis.layout.strips[peak.strip]
    return {
        "bay": peak.bay,
        "x_m": number(peak.x),
        "strip": strip.name,
        "stage": peak.stage,
        "from_h": hour(peak.time),
        **({"cause": peak.cause} if peak.cause else {}),
    }


def hour(seconds: float) -> float | None:
    """Clock hours of the pour day; None where a time never came."""
    return number(seconds / 3600)


def number(value: float) -> float | None:
    """Six significant decimals are plenty on site; nan and infinity have no place in JSON."""
    return round(float(value), 6) if math.isfinite(value) else None


def edge_rule_record(mix: Mix) -> dict[str, Any]:
    """The rule by which edges are judged; ages in minutes at 20 °C, null where none counts."""
    rule = edge_rule(mix)
    return {
        "rule": rule.name,
        "counts_from": "placing" if rule.cold is None else "loading",
        "stiff_ratio": number(rule.stiff_from),
        "stiff_age_min": _minutes(rule.stiff),
        "cold_age_min": _minutes(rule.cold),
        "words": edge_rule_words(mix),
    }


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else number(seconds / 60)


def spread(value: Spread) -> dict[str, float | None]:
    """Mean and percentiles."""
    return {key: number(getattr(value, key)) for key in ("mean", "p10", "p50", "p90")}


def interval(value: Interval) -> dict[str, float | None]:
    """Estimate and interval."""
    return {key: number(getattr(value, key)) for key in ("value", "low", "high")}
