"""The US twin of every key that ends in a metric unit: its ending, its unit, and the way to SI.

Where a file may say ``depth_mm`` it may say ``depth_in``, and so on by rule for every ending of
``units.py``. Factors follow from what is exact by definition: the foot 0.3048 m, the pound
0.45359237 kg, standard gravity 9.80665 m/s², the Btu (IT) 1055.05585262 J.
Source: NIST SP 811 (2008), appendix B; BIPM for standard gravity.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from pourday.scenario.base.units import ending_of

FOOT, POUND, BTU = 0.3048, 0.45359237, 1055.05585262
"""m, kg and J."""
INCH, YARD, MILE = FOOT / 12, FOOT * 3, FOOT * 5280
KILO_POUND = POUND * 9.80665
"""1000 lb of force in kN."""
POUND_FORCE = KILO_POUND / 1000
"""1 lb of force in kN."""
PSI = POUND_FORCE / INCH**2 / 1000
"""1 lb/in² in MPa."""
DEGREE = 5.0 / 9.0
"""1 °F of difference in °C."""

# Metric ending -> US ending, unit in words, number of the metric key for 1 of the US key.
TWINS: dict[str, tuple[str, str, float]] = {
    "_kNm2_per_m": ("_kipin2_per_ft", "kip in² per ft", KILO_POUND * INCH**2 / FOOT),
    "_kNm_per_m": ("_kipft_per_ft", "kip ft per ft", KILO_POUND),
    "_kN_per_m": ("_lb_per_ft", "lb per ft", POUND_FORCE / FOOT),
    "_m3_per_m2": ("_ft3_per_ft2", "ft³ per ft²", FOOT),
    "_per_m3_h": ("_per_yd3_h", "money per yd³ and hour", 1 / YARD**3),
    "_per_m2": ("_per_ft2", "money per ft²", 1 / FOOT**2),
    "_m3_per_m": ("_ft3_per_ft", "ft³ per ft", FOOT**2),
    "_m2K_W": ("_ft2hF_Btu", "ft² h °F/Btu", FOOT**2 * 3600 * DEGREE / BTU),
    "_kg_m2_h": ("_lb_ft2_h", "lb/ft²/h", POUND / FOOT**2),
    "_min_per_m": ("_min_per_ft", "min per ft", 1 / FOOT),
    "_per_m3": ("_per_yd3", "money per yd³", 1 / YARD**3),
    "_per_C": ("_per_F", "per °F", 1 / DEGREE),
    "_per_m": ("_per_ft", "money per ft", 1 / FOOT),
    "_W_m2": ("_Btu_ft2_h", "Btu/ft²/h", BTU / 3600 / FOOT**2),
    "_kN_m2": ("_psf", "lb/ft²", POUND_FORCE / FOOT**2),
    "_kg_m2": ("_lb_ft2", "lb/ft²", POUND / FOOT**2),
    "_kN_m3": ("_pcf", "lb/ft³", POUND_FORCE / FOOT**3),
    "_kN_m": ("_plf", "lb/ft", POUND_FORCE / FOOT),
    "_mm_h": ("_in_h", "in/h", INCH * 1000),
    "_m3_h": ("_yd3_h", "yd³/h", YARD**3),
    "_m2_h": ("_ft2_h", "ft²/h", FOOT**2),
    "_km_h": ("_mph", "mph", MILE / 1000),
    "_m_min": ("_ft_min", "ft/min", FOOT),
    "_cm4": ("_in4", "in⁴", (INCH * 100) ** 4),
    "_GPa": ("_ksi", "ksi", PSI),
    "_MPa": ("_psi", "psi", PSI),
    "_kN": ("_lb", "lb", POUND_FORCE),
    "_kg_m3": ("_lb_yd3", "lb/yd³", POUND / YARD**3),
    "_m3": ("_yd3", "yd³", YARD**3),
    "_mm": ("_in", "inches", INCH * 1000),
    "_m_h": ("_ft_h", "ft/h", FOOT),
    "_C": ("_F", "°F", DEGREE),
    "_m": ("_ft", "ft", FOOT),
}
# Keys of which the unit is not at the end, or means something else there.
_OWN = {
    "samples_per_m3": ("samples_per_yd3", "samples per yd³", 1 / YARD**3),
    "output_loss_per_100m": ("output_loss_per_100ft", "", 1 / FOOT),
    "output_loss_per_10m_height": ("output_loss_per_10ft_height", "", 1 / FOOT),
}
DIFFERENCES = ("air_shift_C", "cooler_C", "warmer_C")
"""Keys in °C that say by how much, not how warm: their twins have no 32 in them."""

# A number of a text, not the length of a list nor part of a word.
_NUMBER = re.compile(r"(?<!list of )(?<![\w.\"])-?\d+(?:\.\d+)?(?:e[+-]?\d+)?(?![\w\"])")
_POINTS = ("mean", "low", "mode", "high", "values")


@dataclass(frozen=True)
class Twin:
    """The US key for a metric one: ``metric = (us - zero) * factor``, ``unit`` in words."""

    metric: str
    key: str
    unit: str
    factor: float
    zero: float = 0.0

    def to_metric(self, value: Any) -> Any:
        """A number, list or distribution as written, for the metric key; else as it is.

        To twelve digits, so that 10 ft are 3.048 m; a spread (``sd``) has no zero.
        """
        match value:
            case bool():
                return value
            case int() | float():
                return _plain(value, self.zero, self.factor)
            case list():
                return [self.to_metric(item) for item in value]
            case dict():
                return {key: self._part(key, item) for key, item in value.items()}
            case _:
                return value

    def from_metric(self, number: float) -> float:
        """The number of this key for one of the metric key."""
        return number / self.factor + self.zero

    def _part(self, key: str, value: Any) -> Any:
        if key in _POINTS:
            return self.to_metric(value)
        if key == "sd" and isinstance(value, int | float) and not isinstance(value, bool):
            return _plain(value, 0.0, self.factor)
        return value


def twin_of(key: str) -> Twin | None:
    """The US twin of a metric key; None for one whose unit both use, or that has none."""
    if key in _OWN:
        return Twin(key, *_OWN[key])
    ending = ending_of(key)[0]
    if ending not in TWINS:
        return None
    us, unit, factor = TWINS[ending]
    zero = 32.0 if ending == "_C" and key not in DIFFERENCES else 0.0
    return Twin(key, key.removesuffix(ending) + us, unit, factor, zero)


def numbers_in_us(text: str, twin: Twin) -> str:
    """A text that says limits or values of a metric key, with its numbers in the twin's unit.

    Of a distribution in words ("lognormal: mean 1, sd 0.3") the spread has no zero.
    """

    def _number(match: re.Match[str]) -> str:
        number = twin.from_metric(float(match[0]))
        if text[: match.start()].endswith("sd "):
            number -= twin.zero
        return f"{number:.5g}"

    return _NUMBER.sub(_number, text)


def _plain(number: float, zero: float, factor: float) -> float:
    try:
        return float(f"{(number - zero) * factor:.12g}")
    except OverflowError:  # a whole number of hundreds of digits: refused by its limits
        return number
