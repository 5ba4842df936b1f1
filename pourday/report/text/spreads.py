"""Figures of many days as a table shows them: spreads, chances, paired differences."""

from __future__ import annotations

import math

from pourday.report.basis import NOT_JUDGED
from pourday.report.words import clock, money, percent
from pourday.study.choice import Breach
from pourday.study.rare import RareMean
from pourday.study.statistics import Interval, Spread


def exact(share: float) -> str:
    """A share with a tenth of a per cent where it has one: a limit just broken must look broken."""
    text = f"{share * 100:.1f}".removesuffix(".0")
    return f"{text} %"


def deck_breach(breach: Breach) -> str:
    """What of the deck a plan does not keep on any day, in words."""
    if breach.kind == "tips":
        return "the deck TIPS once a support lets go (`pourday deck`)"
    if breach.kind == "sag":
        return (
            f"the deck sags {breach.found * 1e3:.1f} mm when full, past {breach.limit * 1e3:.1f} "
            "mm (limits.sag_rule)"
        )
    what = {
        "fixing": "fixings of the deck",
        "end": "resistance at the end of a sheet",
        "prop": "capacity of a prop line",
    }[breach.kind]
    return f"{exact(breach.found)} of the {what} (engineer and supplier decide)"


def spread_cell(spread: Spread, form: str) -> str:
    """Median and the range from P10 to P90."""
    middle, low, high = (number(v, form) for v in (spread.p50, spread.p10, spread.p90))
    return middle if low == high == middle else f"{middle} ({low}-{high})"


def when_cell(spread: Spread) -> str:
    """Clock of the middle day, and by when it is on 9 days in 10."""
    middle, late = number(spread.p50, "clock"), number(spread.p90, "clock")
    return middle if late == middle else f"{middle}, 9/10 by {late}"


def rare_cell(rare: RareMean) -> str:
    """Metres that come up on few days: the mean and its interval, or on how many days how many."""
    if not math.isnan(rare.mean.low):
        low, high = max(rare.mean.low, 0.0), rare.mean.high
        return f"mean {rare.mean.value:.1f} ({low:.1f}-{high:.1f})"
    if math.isnan(rare.then):
        return "none"
    return f"{rare.then:.1f} on {exact(rare.share.value)} of days"


def number(value: float, form: str) -> str:
    """A figure in the form of its column."""
    match form:
        case "clock":
            return clock(value * 3600)
        case "percent":
            return percent(value)
        case "money":
            return money(value)
        case _:
            return form.format(value)


def difference_cell(interval: Interval, form: str) -> str:
    """A paired difference with its interval."""
    if math.isnan(interval.value):
        return NOT_JUDGED

    def _show(value: float) -> str:
        if form == "money":
            return ("+" if value > 0 else "") + money(value)
        if form == "points":
            return f"{value * 100:+.1f}"
        return form.format(value)

    if math.isnan(interval.low):
        return f"{_show(interval.value)} (too few days)"
    return f"{_show(interval.value)} ({_show(interval.low)} to {_show(interval.high)})"
