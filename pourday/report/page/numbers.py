"""How the page writes quantities: every unit that a reader of it sees stands in this file.

Values come in SI. Clock times, spans, money and shares are those of ``pourday/report/words.py``.
"""

from __future__ import annotations

import math

from pourday.floor.layout import Layout
from pourday.report.words import clock, hours, money, percent, strip_words

__all__ = [
    "HOUR", "area", "clock", "hours", "length", "minutes", "money", "percent", "place", "rate",
    "span_of", "strip_label", "volume", "volume_of",
]  # fmt: skip
HOUR = 3600.0


def volume(cubic_metres: float) -> str:
    """A volume, "23.4 m³"."""
    return f"{cubic_metres:.1f} m³"


def volume_of(part: float, whole: float) -> str:
    """A part of a volume, "23.4 of 62.8 m³"."""
    return f"{part:.1f} of {volume(whole)}"


def length(metres: float) -> str:
    """A length, "12.0 m"."""
    return f"{metres:.1f} m"


def place(metres: float) -> str:
    """A place along the floor, "3.25 m"."""
    return "-" if math.isnan(metres) else f"{metres:.2f} m"


def span_of(low: float, high: float) -> str:
    """From one place to another, "3.2 to 9.0 m"."""
    return f"{low:.1f} to {length(high)}"


def area(square_metres: float) -> str:
    """An area, "590 m²"."""
    return f"{square_metres:.0f} m²"


def rate(cubic_metres_a_second: float) -> str:
    """A rate of placing, "12 m³/h"."""
    return f"{cubic_metres_a_second * HOUR:.0f} m³/h"


def minutes(seconds: float) -> str:
    """A wait, "24 min"."""
    return "-" if not math.isfinite(seconds) else f"{seconds / 60.0:.0f} min"


def strip_label(layout: Layout, strip: int) -> str:
    """A strip as everybody calls it: its number in order and its name, "12 (1b joint)"."""
    return strip_words(strip + 1, layout.strips[strip].name)
