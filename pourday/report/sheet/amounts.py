"""How the sheet prints numbers: clock times, spans, and quantities in the reader's units."""

from __future__ import annotations

import math
from datetime import date

from pourday.report.units import Units

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
BLANK = "____"
"""What somebody fills in by hand, inside a line of text."""


def clock(seconds: float) -> str:
    """Clock time "07:05", "01:24 +1d" past midnight; "-" where there is none."""
    if not math.isfinite(seconds):
        return "-"
    minutes = math.floor(seconds / 60.0 + 0.5)
    days, rest = divmod(minutes, 24 * 60)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (f" {days:+d}d" if days else "")


def from_to(begin: float, end: float) -> str:
    """Two clock times, "07:05–07:40"; the day of the second stands for both."""
    first, second = clock(begin), clock(end)
    if first[5:] == second[5:]:
        return f"{first[:5]}–{second}"
    return f"{first}–{second}"


def span(seconds: float) -> str:
    """A length of time, "2:20"; "-" where there is none."""
    if not math.isfinite(seconds):
        return "-"
    hours, minutes = divmod(math.floor(seconds / 60.0 + 0.5), 60)
    return f"{hours}:{minutes:02d}"


def plus(seconds: float) -> str:
    """A length of time to be added to a real event, "+ 2:20"."""
    return f"+ {span(seconds)}" if math.isfinite(seconds) else "-"


def cubic(volume: float, units: Units) -> str:
    """A volume (m³) without its unit, "5.3"; "-" where there is none."""
    return units.volume.figure(volume, 1) if math.isfinite(volume) else "-"


def volume(amount: float, units: Units) -> str:
    """A volume (m³) with its unit."""
    return f"{cubic(amount, units)} {units.volume.word}"


def length(metres: float, units: Units) -> str:
    """A length on the floor (m) with its unit."""
    return units.length.text(metres, 1)


def place(metres: float, units: Units) -> str:
    """A dimension to set out by (m), to the centimetre, with its unit."""
    return units.length.text(metres + 0.0, 2)


def reading(metres: float, units: Units) -> str:
    """What a gauge reads (m), up to the next whole millimetre or 0.05 in, with its unit."""
    if units.depth.is_metric:
        return f"{math.ceil(metres * 1e3 - 1e-6)} {units.depth.word}"
    twentieths = math.ceil(units.depth.value(metres * 1e3) * 20.0 - 1e-6)
    return f"{twentieths / 20.0:.2f} {units.depth.word}"


def slump(metres: float, units: Units) -> str:
    """A slump (m) with its unit."""
    return units.depth.text(metres * 1e3)


def temperatures(low: float, high: float, units: Units) -> str:
    """Least and most temperature (°C) with their unit."""
    return f"{units.temperature.figure(low)} to {units.temperature.text(high)}"


def winds(low: float, high: float, units: Units) -> str:
    """Least and most wind (m/s) with their unit."""
    return f"{units.speed.figure(low * 3.6)} to {units.speed.text(high * 3.6)}"


def share(value: float) -> str:
    """A share in per cent; nan is what nobody judged."""
    return "not judged" if math.isnan(value) else f"{value * 100:.0f} %"


def day(when: date) -> str:
    """A date, "Tue 20 Apr 2027", whatever language the machine speaks."""
    return f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]} {when.year}"
