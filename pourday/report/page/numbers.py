"""How the page writes quantities: every unit that a reader of it sees stands in this file.

Values come in SI and are said in the reader's units. Clock times, spans, money and shares are
those of ``pourday/report/words.py``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from pourday.report.units import SI, Unit, Units
from pourday.report.words import clock, hours, money, percent, strip_of
from pourday.scenario.base.upsets import RAIN, Upset, upset_text

__all__ = [
    "HOUR", "clock", "depth", "hours", "length", "minutes", "money", "percent", "place",
    "quantity", "rate", "said", "span_of", "strip_of", "upset_words", "volume", "volume_of",
]  # fmt: skip
HOUR = 3600.0


def volume(cubic_metres: float, units: Units = SI) -> str:
    """A volume, "23.4 m³"."""
    return units.volume.text(cubic_metres, 1)


def volume_of(part: float, whole: float, units: Units = SI) -> str:
    """A part of a volume, "23.4 of 62.8 m³"."""
    return f"{units.volume.figure(part, 1)} of {volume(whole, units)}"


def quantity(amount: float, metric: str, units: Units = SI) -> str:
    """So much of what counts in a metric unit or none of any, "23.4 m³", "7.0 h"."""
    unit: Unit = units.of(metric)
    return unit.text(amount, 1)


def length(metres: float, units: Units = SI) -> str:
    """A length, "12.0 m"."""
    return units.length.text(metres, 1)


def place(metres: float, units: Units = SI) -> str:
    """A place along the floor, "3.25 m"."""
    return "-" if math.isnan(metres) else units.length.text(metres, 2)


def depth(metres: float, units: Units = SI) -> str:
    """A sag or a thickness, "12 mm"."""
    return units.depth.text(metres * 1e3, 0)


def span_of(low: float, high: float, units: Units = SI) -> str:
    """From one place to another, "3.2 to 9.0 m"."""
    return f"{units.length.figure(low, 1)} to {length(high, units)}"


def rate(cubic_metres_a_second: float, units: Units = SI) -> str:
    """A rate of placing, "12 m³/h"."""
    return units.volume_rate.text(cubic_metres_a_second * HOUR, 0)


def minutes(seconds: float) -> str:
    """A wait, "24 min"."""
    return "-" if not math.isfinite(seconds) else f"{seconds / 60.0:.0f} min"


def said(sentence: str, units: Units, names: Iterable[str] = ()) -> str:
    """A sentence that was written in metric units, in these; quoted ``names`` stay as they are."""
    kept = "|".join(re.escape(repr(name)) for name in names)
    if not kept:
        return units.said(sentence)
    parts = re.split(f"({kept})", sentence)
    return "".join(part if n % 2 else units.said(part) for n, part in enumerate(parts))


def upset_words(upset: Upset, units: Units = SI) -> str:
    """What goes wrong, as the file or a draw has it."""
    words = upset_text(upset)
    if upset.kind != RAIN or units.rain.is_metric:
        return words
    return re.sub(r"([\d.]+) mm/h", lambda found: units.rain.text(float(found[1]), 1), words)
