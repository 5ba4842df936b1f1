"""Figures of many days as a table shows them: spreads, chances, paired differences."""

from __future__ import annotations

import math

from pourday.report.basis import NOT_JUDGED
from pourday.report.units import PLAIN, SI, Unit, Units
from pourday.report.words import clock, money, percent
from pourday.study.choice import Breach
from pourday.study.rare import RareMean
from pourday.study.statistics import Interval, Spread


def exact(share: float) -> str:
    """A share with a tenth of a per cent where it has one: a limit just broken must look broken."""
    text = f"{share * 100:.1f}".removesuffix(".0")
    return f"{text} %"


def deck_breach(breach: Breach, units: Units = SI) -> str:
    """What of the deck a plan does not keep on any day, in words."""
    if breach.kind == "tips":
        return "the deck TIPS once a support lets go (`pourday deck`)"
    if breach.kind == "sag":
        return (
            f"the deck sags {units.depth.text(breach.found * 1e3, 1)} when full, past "
            f"{units.depth.text(breach.limit * 1e3, 1)} (limits.sag_rule)"
        )
    what = {
        "fixing": "fixings of the deck",
        "end": "resistance at the end of a sheet",
        "prop": "capacity of a prop line",
    }[breach.kind]
    return f"{exact(breach.found)} of the {what} (engineer and supplier decide)"


def labelled(label: str, units: Units) -> tuple[str, Unit]:
    """A label whose metric unit stands at its end, in the reader's unit, and that unit."""
    head, comma, word = label.rpartition(", ")
    unit = units.of(word)
    return units.said(f"{head}{comma}{unit.word}" if comma else label), unit


def spread_cell(spread: Spread, form: str, unit: Unit = PLAIN) -> str:
    """Median and the range from one day in 10 to 9 in 10."""
    middle, low, high = (number(v, form, unit) for v in (spread.p50, spread.p10, spread.p90))
    return middle if low == high == middle else f"{middle} ({low}-{high})"


def when_cell(spread: Spread) -> str:
    """Clock of the middle day, and by when it is on 9 days in 10."""
    middle, late = number(spread.p50, "clock"), number(spread.p90, "clock")
    return middle if late == middle else f"{middle}, 9/10 by {late}"


def rare_cell(rare: RareMean, unit: Unit = PLAIN) -> str:
    """Metres that come up on few days: the mean and its interval, or on how many days how many."""
    if not math.isnan(rare.mean.low):
        low, high = max(rare.mean.low, 0.0), rare.mean.high
        mean, low_, high_ = (unit.figure(each, 1) for each in (rare.mean.value, low, high))
        return f"mean {mean} ({low_}-{high_})"
    if math.isnan(rare.then):
        return "none"
    return f"{unit.figure(rare.then, 1)} on {exact(rare.share.value)} of days"


def number(value: float, form: str, unit: Unit = PLAIN) -> str:
    """A figure in the form of its column."""
    match form:
        case "clock":
            return clock(value * 3600)
        case "percent":
            return percent(value)
        case "money":
            return money(value)
        case _:
            return _in(unit, value, form)


def _in(unit: Unit, value: float, form: str) -> str:
    """A metric figure in a unit, in a form such as "{:+.1f}"."""
    sign, _, decimals = form.strip("{:f}").partition(".")
    return unit.figure(value, int(decimals), sign)


def difference_cell(interval: Interval, form: str, unit: Unit = PLAIN) -> str:
    """A paired difference with its interval."""
    if math.isnan(interval.value):
        return NOT_JUDGED

    def _show(value: float) -> str:
        if form == "money":
            return ("+" if value > 0 else "") + money(value)
        if form == "points":
            return f"{value * 100:+.1f}"
        return _in(unit, value, form)

    if math.isnan(interval.low):
        return f"{_show(interval.value)} (too few days)"
    return f"{_show(interval.value)} ({_show(interval.low)} to {_show(interval.high)})"
