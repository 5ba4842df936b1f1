"""The units that people read: metric, or US; passed down with the console, never looked up.

Everything inside is SI. A report hands over the number that it would print in metric units (mm,
kN, °C, as the page says) and gets it as the reader knows it. Factors are those of the keys of a
file (``scenario/base/us_units.py``), exact by definition; JSON stays metric.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from pourday.scenario.base.us_units import POUND, TWINS

# "12.5 °C": a number and its metric unit; of a difference the word that says so as well.
_SAID = re.compile(
    r"(?<![\w.])(-?\d+(?:\.\d+)?) (m³/h|m³|m²K/W|m²/h|m²|kg/m²/h|kg/m³|kN/m²|kN/m³|kN/m|kN|MPa"
    r"|mm/h|mm|°C|km/h|m)(?![\w²³/])( (?:cooler|warmer))?"
)


@dataclass(frozen=True)
class Unit:
    """A unit as printed: its word, and how a metric number becomes one of it.

    ``factor`` and ``zero``: number = metric * factor + zero. ``more``: decimals more (or fewer)
    than the metric number has, so that both say about as much.
    """

    word: str
    factor: float = 1.0
    zero: float = 0.0
    more: int = 0

    def value(self, metric: float) -> float:
        """The number in this unit."""
        return metric * self.factor + self.zero

    def figure(self, metric: float, decimals: int = 0, sign: str = "") -> str:
        """The number with as many decimals as ``decimals`` of the metric one are worth.

        ``sign`` "+" writes a plus too.
        """
        places = decimals if self.is_metric else max(decimals + self.more, 0)
        return f"{self.value(metric):{sign}.{places}f}"

    def text(self, metric: float, decimals: int = 0, sign: str = "") -> str:
        """The same with its unit: "12.3 m³"."""
        return f"{self.figure(metric, decimals, sign)} {self.word}"

    def digits(self, metric: float) -> str:
        """The number to three digits."""
        return f"{self.value(metric):.3g}"

    def short(self, metric: float) -> str:
        """The number without zeros at its end: as it is in metric, to four digits in US units."""
        return f"{metric:g}" if self.is_metric else f"{self.value(metric):.4g}"

    def short_text(self, metric: float) -> str:
        """The same with its unit."""
        return f"{self.short(metric)} {self.word}"

    @property
    def is_metric(self) -> bool:
        """Whether numbers stay as they are."""
        return self.factor == 1.0 and self.zero == 0.0


PLAIN = Unit("")
"""A number without a unit, or in one that everybody uses."""


@dataclass(frozen=True)
class Units:
    """A unit for every kind of quantity; the metric one of each stands beside it here.

    ``name`` is "si" or "us". ``length`` m, ``depth`` mm (also sag, level, slump), ``area`` m²,
    ``volume`` m³, ``volume_rate`` m³/h, ``area_rate`` m²/h, ``length_rate`` m/h, ``pace`` m/min,
    ``speed`` km/h, ``rain`` mm/h; ``temperature`` °C, ``warmer`` a difference in °C;
    ``evaporation`` kg/m²/h; ``moment`` kNm (``moment_per_width`` kNm/m) of a metre of deck,
    ``line_load`` kN/m, ``per_width`` kN of a metre of deck, ``force`` kN of a point load,
    ``load`` kN/m², ``weight`` kN/m³, ``strength`` MPa, ``stiffness`` kN m² per m; ``mesh`` kg/m²,
    ``content`` kg/m³, ``mass`` t; ``heat`` W/m²,
    ``insulation`` m²K/W.
    """

    name: str = "si"
    length: Unit = Unit("m")
    depth: Unit = Unit("mm")
    area: Unit = Unit("m²")
    volume: Unit = Unit("m³")
    volume_rate: Unit = Unit("m³/h")
    area_rate: Unit = Unit("m²/h")
    length_rate: Unit = Unit("m/h")
    pace: Unit = Unit("m/min")
    speed: Unit = Unit("km/h")
    rain: Unit = Unit("mm/h")
    temperature: Unit = Unit("°C")
    warmer: Unit = Unit("°C")
    evaporation: Unit = Unit("kg/m²/h")
    moment: Unit = Unit("kNm")
    moment_per_width: Unit = Unit("kNm/m")
    line_load: Unit = Unit("kN/m")
    per_width: Unit = Unit("kN")
    force: Unit = Unit("kN")
    load: Unit = Unit("kN/m²")
    weight: Unit = Unit("kN/m³")
    strength: Unit = Unit("MPa")
    stiffness: Unit = Unit("kN m² per m")
    mesh: Unit = Unit("kg/m²")
    content: Unit = Unit("kg/m³")
    mass: Unit = Unit("t")
    heat: Unit = Unit("W/m²")
    insulation: Unit = Unit("m²K/W")

    def of(self, metric: str) -> Unit:
        """The unit by its metric word ("m³"), for words that stand in data; else that word."""
        for kind, unit in vars(SI).items():
            if isinstance(unit, Unit) and unit.word == metric:
                found: Unit = getattr(self, kind)
                return found
        return Unit(metric)

    def said(self, text: str) -> str:
        """A sentence that was written in metric units (a rule, a source), in these.

        Each "6 mm" or "20 °C" becomes the reader's, to two figures at least.
        """
        return text if self.name == "si" else _SAID.sub(self._said, text)

    def _said(self, match: re.Match[str]) -> str:
        number, metric = match[1], match[2]
        unit = self.warmer if match[3] else self.of(metric)
        if unit.is_metric:
            return match[0]
        decimals = len(number.partition(".")[2])
        size = abs(unit.value(float(number)))
        figures = 1 - math.floor(math.log10(size)) if size > 0 else 0
        more = max(figures - unit.more - decimals, 0)
        said = unit.figure(float(number), decimals + more)
        said = said.removesuffix(".0") if more else said
        return f"{said} {unit.word}{match[3] or ''}"

    @property
    def width(self) -> str:
        """What deck values are per: "metre" or "foot"."""
        return "metre" if self.name == "si" else "foot"


def _us(ending: str, word: str, more: int = 0, zero: float = 0.0) -> Unit:
    return Unit(word, 1.0 / TWINS[ending][2], zero, more)


SI = Units()
"""Metric units, as all reports had them from the beginning."""
US = Units(
    name="us",
    length=_us("_m", "ft"),
    depth=_us("_mm", "in", 1),
    area=_us("_m2_h", "ft²"),
    volume=_us("_m3", "yd³"),
    volume_rate=_us("_m3_h", "yd³/h"),
    area_rate=_us("_m2_h", "ft²/h"),
    length_rate=_us("_m_h", "ft/h"),
    pace=_us("_m_min", "ft/min"),
    speed=_us("_km_h", "mph"),
    rain=_us("_mm_h", "in/h", 2),
    temperature=_us("_C", "°F", 0, 32.0),
    warmer=_us("_C", "°F"),
    evaporation=_us("_kg_m2_h", "lb/ft²/h", 1),
    moment=_us("_kNm_per_m", "kip-ft", 1),
    moment_per_width=_us("_kNm_per_m", "kip-ft/ft", 1),
    line_load=_us("_kN_m", "plf", -1),
    per_width=_us("_kN_m", "lb", -1),
    force=_us("_kN", "lb", -2),
    load=_us("_kN_m2", "psf", -1),
    weight=_us("_kN_m3", "pcf"),
    strength=_us("_MPa", "psi", -2),
    stiffness=_us("_kNm2_per_m", "kip in² per ft"),
    mesh=_us("_kg_m2", "lb/ft²", 1),
    content=_us("_kg_m3", "lb/yd³"),
    mass=Unit("lb", 1000.0 / POUND, 0.0, -1),
    heat=_us("_W_m2", "Btu/ft²/h"),
    insulation=_us("_m2K_W", "ft²h°F/Btu"),
)
"""US customary units. Deck values are per foot of width, forces in pounds."""


def units_named(name: str | None) -> Units:
    """The units of that name, "si" or "us"; metric where nobody said."""
    return US if name == "us" else SI
