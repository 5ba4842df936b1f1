"""Machine-readable output of ``pourday split``: the long day, the splits, their stop ends."""

from __future__ import annotations

from typing import Any

from pourday.report.records.parts import interval, number, spread
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Breach
from pourday.study.pours.places import StopPlace, bays_words
from pourday.study.pours.split import Poured, Split, SplitStudy

SPLIT_SCHEMA = "pourday.split/1"
_FIGURES = (
    "placed_m3", "ordered_m3", "loads", "end_h", "finishing_end_h", "stiff_length_m",
    "cold_length_m", "sag_moment_kNm_per_m", "hog_moment_kNm_per_m", "uplift_kN_per_m", "use",
    "cost_total",
)  # fmt: skip


def split_record(scenario: Scenario, found: SplitStudy) -> dict[str, Any]:
    """The long day and every split tried, the preferred one first."""
    return {
        "schema": SPLIT_SCHEMA,
        "scenario": scenario.title,
        "plan": found.plan,
        "days": found.days,
        "given": found.given,
        "currency": scenario.prices.currency,
        "stop_end_per_m": number(scenario.prices.stop_end),
        "long_day": _pour(scenario, found.long),
        "places": [_place(each) for each in found.places],
        "splits": [_split(scenario, each) for each in found.splits],
    }


def _split(scenario: Scenario, split: Split) -> dict[str, Any]:
    return {
        "within_limits": split.holds,
        "cost": spread(split.cost),
        "more_than_long_day": interval(split.against),
        "more_by_kind": {kind: number(value) for kind, value in split.by_kind.items()},
        "stop_end_cost": number(split.stop_end_cost),
        "crew_days": split.crew_days,
        "stop_ends": [_place(each) for each in split.ends],
        "pours": [_pour(scenario, each) for each in split.pours],
    }


def _pour(scenario: Scenario, pour: Poured) -> dict[str, Any]:
    of, figures = pour.pouring, pour.summary.figures
    return {
        "name": of.name,
        "date": of.date.isoformat(),
        "plan": of.basis.plan.name,
        "from_x_m": number(of.part.low),
        "to_x_m": number(of.part.high),
        "sheet_runs": bays_words(scenario.floor, of.part),
        "beside_hardened_concrete": of.part.low_hardened or of.part.high_hardened,
        "area_m2": number(of.area),
        "volume_m3": number(of.volume),
        "people": of.people,
        **{name: spread(figures[name]) for name in _FIGURES},
        "not_kept": [_breach(each) for each in pour.breaches],
    }


def _place(end: StopPlace) -> dict[str, Any]:
    return {
        "x_m": number(end.x),
        "beam_x_m": number(end.beam),
        "from_beam_mm": number(end.offset * 1e3),
        "kind": end.kind,
        "length_m": number(end.length),
    }


def _breach(breach: Breach) -> dict[str, Any]:
    return {"kind": breach.kind, "found": number(breach.found), "limit": number(breach.limit)}
