"""The unit at the end of a key, and the factor that brings its value to SI.

A key such as ``depth_mm`` names its own unit; inside the program the same value is called
``depth`` and is in metres. One table serves reading, error messages and docs.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any

# Longest ending first: "_kNm2_per_m" must be found before "_m".
UNITS: tuple[tuple[str, str, float], ...] = (
    ("_kNm2_per_m", "kN m² per m", 1e3),
    ("_kNm_per_m", "kN m per m", 1e3),
    ("_kN_per_m", "kN per m", 1e3),
    ("_m3_per_m2", "m³ per m²", 1.0),
    ("_per_m3_h", "money per m³ and hour", 1 / 3600.0),
    ("_per_m2", "money per m²", 1.0),
    ("_m3_per_m", "m³ per m", 1.0),
    ("_m2K_W", "m²K/W", 1.0),
    ("_kg_m2_h", "kg/m²/h", 1.0),
    ("_min_per_m", "min per m", 60.0),
    ("_per_person_h", "money per person and hour", 1 / 3600.0),
    ("_per_min", "money per min", 1 / 60.0),
    ("_per_m3", "money per m³", 1.0),
    ("_per_C", "per °C", 1.0),
    ("_per_m", "money per m", 1.0),
    ("_per_h", "money per hour", 1 / 3600.0),
    ("_W_m2", "W/m²", 1.0),
    ("_kN_m2", "kN/m²", 1e3),
    ("_kg_m2", "kg/m²", 1.0),
    ("_kN_m3", "kN/m³", 1e3),
    ("_kN_m", "kN/m", 1e3),
    ("_mm_h", "mm/h", 1e-3 / 3600.0),
    ("_m3_h", "m³/h", 1 / 3600.0),
    ("_m2_h", "m²/h", 1 / 3600.0),
    ("_km_h", "km/h", 1 / 3.6),
    ("_m_min", "m/min", 1 / 60.0),
    ("_rpm", "turns/min", 2.0 * pi / 60.0),
    ("_cm4", "cm⁴", 1e-8),
    ("_GPa", "GPa", 1e9),
    ("_MPa", "MPa", 1e6),
    ("_kN", "kN", 1e3),
    ("_kg_m3", "kg/m³", 1.0),
    ("_m3", "m³", 1.0),
    ("_mm", "mm", 1e-3),
    ("_m_h", "m/h", 1 / 3600.0),
    ("_min", "min", 60.0),
    ("_days", "days", 86400.0),
    ("_h", "h", 3600.0),
    ("_C", "°C", 1.0),
    ("_K", "K", 1.0),
    ("_m", "m", 1.0),
)

# A key whose ending means something else than it does elsewhere.
_OWN = {"samples_per_m3": ("_per_m3", "samples per m³", 1.0)}


def ending_of(key: str) -> tuple[str, str, float]:
    """Ending, unit in words and SI factor of a key; ``("", "", 1.0)`` for a plain key."""
    if key in _OWN:
        return _OWN[key]
    for ending, unit, factor in UNITS:
        if key.endswith(ending):
            return ending, unit, factor
    return "", "", 1.0


def to_si(values: Mapping[str, Any]) -> dict[str, Any]:
    """The same values with the unit endings taken off the names and the values in SI.

    Numbers, lists of numbers, lists of lists, and distributions (anything with ``scaled``) are
    converted; everything else is passed on as it is. Lists become tuples.
    """
    out: dict[str, Any] = {}
    for key, value in values.items():
        ending, _, factor = ending_of(key)
        out[key.removesuffix(ending) if ending else key] = _scale(value, factor)
    return out


def _scale(value: Any, factor: float) -> Any:
    if isinstance(value, list | tuple):
        return tuple(_scale(item, factor) for item in value)
    if factor == 1.0 or value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, int | float):
        return value * factor
    return value.scaled(factor) if hasattr(value, "scaled") else value
