"""Shades for maps: even steps of lightness, so that order survives a black and white print.

Steps are even in Oklab (B. Ottosson, "A perceptual color space for image processing", 2020), a
space made so that equal distances look equal. One hue, or that hue and grey, which no colour
blindness takes for one another, and always a hatch, a number or a sign beside them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
LIGHT, DEEP = "#f7f7f5", "#16294a"
"""Least and most of a one-way map."""
DOWN, LEVEL, UP = "#595959", "#f7f7f5", "#285899"
"""Ends and middle of a two-way map; both ends are about as dark."""
_TO_CONE = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def shades(first: str, last: str, count: int) -> list[str]:
    """``count`` colours in even steps from ``first`` to ``last``, as "#rrggbb"."""
    ends = np.stack([_lab(first), _lab(last)])
    share = np.linspace(0.0, 1.0, count)[:, None]
    return [_hex(lab) for lab in ends[0] * (1 - share) + ends[1] * share]


def lightness(colour: str) -> float:
    """How light a colour looks, 0 black to 1 white (L of Oklab)."""
    return float(_lab(colour)[0])


def ink_on(colour: str, dark: str) -> str:
    """White on deep shades, ``dark`` on light ones."""
    return "white" if lightness(colour) < 0.62 else dark


def _lab(colour: str) -> Floats:
    rgb = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return np.asarray(_TO_LAB @ np.cbrt(_TO_CONE @ linear))


def _hex(lab: Floats) -> str:
    linear = np.linalg.solve(_TO_CONE, np.linalg.solve(_TO_LAB, lab) ** 3)
    linear = np.clip(linear, 0.0, 1.0)
    rgb = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * float(c)):02x}" for c in rgb)
