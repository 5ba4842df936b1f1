"""The same text in metric and in US units: number by number, by factors of somebody else's."""

from __future__ import annotations

import re

from scipy import constants

# Metric word -> US word, and US numbers in one of the metric (scipy.constants, CODATA).
FACTORS = {
    "m³/h": ("yd³/h", 1.0 / constants.yard**3),
    "m³": ("yd³", 1.0 / constants.yard**3),
    "m²": ("ft²", 1.0 / constants.foot**2),
    "mm": ("in", 1e-3 / constants.inch),
    "m": ("ft", 1.0 / constants.foot),
    "km/h": ("mph", constants.kmh / constants.mph),
    "°C": ("°F", 1.8),
}
_ENDS = r"(?![\w²³/])"
_NUMBER = r"(?<![\w.])(-?\d+(?:\.\d+)?) "
_OURS = re.compile(f"{_NUMBER}({'|'.join(FACTORS)}){_ENDS}")
_THEIRS = re.compile(f"{_NUMBER}({'|'.join(us for us, _ in FACTORS.values())}){_ENDS}")


def compared(metric: str, us: str) -> set[str]:
    """Which metric units were met; every number of ``us`` is that of ``metric`` in its unit."""
    ours, theirs = _OURS.findall(metric), _THEIRS.findall(us)
    assert not _OURS.findall(us)
    assert len(ours) == len(theirs) > 0
    for (number, unit), (found, word) in zip(ours, theirs, strict=True):
        wanted, factor = FACTORS[unit]
        assert word == wanted, (number, unit, found, word)
        zero = 32.0 if unit == "°C" else 0.0
        apart = abs(float(found) - float(number) * factor - zero)
        assert apart <= _half(number) * factor + _half(found) + 1e-9, (number, unit, found, word)
    return {unit for _, unit in ours}


def _half(number: str) -> float:
    """What rounding may have taken from a printed number."""
    return 0.5 * 10.0 ** -len(number.partition(".")[2])
