"""A plan's price as JSON and CSV; every key in ``docs/outputs.md``."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

from pourday.outcome.base.basis import Basis
from pourday.report.records.parts import interval, number
from pourday.report.words import NOT_PRICED
from pourday.scenario.base.written import replaced
from pourday.study.price import PricedPlan
from pourday.study.statistics import Interval

PRICE_SCHEMA = "pourday.price/1"


def price_record(basis: Basis, found: PricedPlan) -> dict[str, Any]:
    """All of a price; money in the currency of the file, quantities in the unit of the line."""
    return {
        "schema": PRICE_SCHEMA,
        "scenario": basis.scenario.title,
        "plan": found.plan,
        "days": found.days,
        "first_seed": found.first_seed,
        "currency": basis.scenario.prices.currency,
        "lines": [
            {
                "key": line.key,
                "label": line.item.label,
                "group": line.item.group,
                "quantity": number(line.quantity),
                "unit": line.item.unit,
                "rate": number(line.rate),
                "amount": number(line.amount),
                "days": line.days,
            }
            for line in found.lines
            if line.quantity or line.amount
        ],
        "total": {
            "mean": interval(found.mean),
            "p50": interval(found.half),
            "p80": interval(found.eight),
            "p90": interval(found.nine),
            "days": [number(each) for each in found.totals],
        },
        "allowance": interval(found.allowance),
        **_figures(found),
        "waste": [
            {
                "what": line.key,
                "volume_m3": number(line.volume),
                "amount": number(line.amount),
                "days": line.days,
            }
            for line in found.waste
        ],
        "hours": [
            {"job": job, "band": band, "hours_h": number(hours)}
            for (job, band), hours in found.hours.items()
            if hours
        ],
        "reliefs_h": number(found.relief_h),
        "bays": [
            {
                "bay": bay.bay,
                "area_m2": number(bay.area),
                "volume_m3": number(bay.volume),
                "placing_h": number(bay.placing),
                "amount": number(bay.amount),
            }
            for bay in found.bays
        ],
        "unfinished": {"volume_m3": number(found.unfinished[0]), "days": found.unfinished[1]},
        "not_priced": NOT_PRICED,
        "no_price_in_file": [line.key for line in found.without_price],
    }


def _figures(found: PricedPlan) -> dict[str, float | None]:
    def _per(much: float, of: float) -> float | None:
        return number(much / of) if of > 0 else None

    return {
        "placed_m3": number(found.placed),
        "area_m2": number(found.area),
        "man_hours_h": number(found.man_hours),
        "man_hours_per_m3": _per(found.man_hours, found.placed),
        "man_hours_per_m2": _per(found.man_hours, found.area),
        "pace_m3_h": _per(found.placed, found.pour_h),
        "money_per_m3": _per(found.mean.value, found.placed),
        "money_per_m2": _per(found.mean.value, found.area),
    }


def save_price(path: Path, basis: Basis, found: PricedPlan) -> None:
    """Write the lines as CSV, UTF-8, with their total; then what to allow, a line each."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    currency = basis.scenario.prices.currency
    writer.writerow(["group", "line", "quantity", "unit", "rate", f"amount_{currency}", "days"])
    for line in found.lines:
        if line.quantity or line.amount:
            item = line.item
            figures = (f"{line.quantity:.4f}", item.unit, f"{line.rate:.4f}", f"{line.amount:.4f}")
            writer.writerow([item.group, item.label, *figures, line.days])

    def _sum(label: str, value: Interval) -> None:
        writer.writerow(["total", label, "", "", "", f"{value.value:.4f}", found.days])

    for label, value in (
        ("mean", found.mean),
        ("half the days at most", found.half),
        ("8 days in 10 at most", found.eight),
        ("9 days in 10 at most", found.nine),
        ("allowance beyond the mean", found.allowance),
    ):
        _sum(label, value)
    with replaced(path) as file:
        file.write(text.getvalue().encode("utf-8"))
