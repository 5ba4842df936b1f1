"""A pour that is over against its forecast, as JSON: units in the names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from pourday.study.afterwards.afterwards import Afterwards, Figure, Pour

_UNITS = {"clock": ("h", 1 / 3600.0), "time": ("min", 1 / 60.0), "rate": ("m3_h", 3600.0)}


def afterwards_record(found: Afterwards, names: Sequence[str]) -> dict[str, Any]:
    """The numbers of pours that are over; ``names`` are those of their tickets."""
    return {
        "schema": "pourday.afterwards/1",
        "title": found.basis.scenario.title,
        "plan": found.basis.plan.name,
        "days": found.days,
        "cause_days": found.cause_days,
        "pours": [_pour(pour, name) for pour, name in zip(found.pours, names, strict=True)],
        "coverage": [
            {
                "figure": _key(each.name),
                "inside": each.inside,
                "of": each.n,
                "share_low": each.share.low,
                "share_high": each.share.high,
                "can_be_80": each.fits,
            }
            for each in found.coverage
        ],
        "mean_causes_min": {_key(cause.name): cause.late / 60.0 for cause in found.mean_causes()},
    }


def _pour(pour: Pour, name: str) -> dict[str, Any]:
    return {
        "tickets": name,
        "loads": len(pour.seen.loads),
        "late_min": pour.late / 60.0,
        "figures": [_figure(figure) for figure in pour.figures],
        "causes": [
            {
                "cause": _key(c.name),
                "late_min": c.late / 60.0,
                "alone_min": c.alone / 60.0,
                "error_min": c.error / 60.0 if math.isfinite(c.error) else None,
            }
            for c in pour.causes
        ],
        "trips_factor": pour.told.slower,
        "stops": [
            {
                "why": stop.why,
                "from_h": stop.since / 3600.0,
                "until_h": stop.until / 3600.0,
                "pump": stop.front + 1,
                "is_break": stop.is_break,
            }
            for stop in pour.seen.stops
        ],
        "remarks": [{"line": each.row, "text": each.text} for each in pour.seen.remarks],
    }


def _figure(figure: Figure) -> dict[str, Any]:
    unit, factor = _UNITS.get(figure.unit, ("m3", 1.0))
    band = figure.forecast
    values = {"low": band.low, "about": band.about, "by": band.by, "was": figure.was}
    numbers = {
        f"{name}_{unit}": value * factor if math.isfinite(value) else None
        for name, value in values.items()
    }
    return {"figure": _key(figure.name), **numbers, "inside": figure.inside}


def _key(name: str) -> str:
    return name.replace(" ", "_")
