"""Warmth that hardening concrete gives: it helps only where something holds it.

In a thin bare slab between two films it moves a face by a few tenths of an hour; under mats or over
heat it counts.
"""

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Floats

_ULTIMATE = 450e3  # J/kg, ordinary cement
_TAU, _SHAPE = 14.0 * 3600.0, 0.9


def heat_given(age: ArrayLike, cement: float, water_cement: float) -> Floats:
    """Heat given up to an equivalent age, J/m³ of concrete.

    age: s at 20 °C, 0 or more, any shape. cement: kg/m³. water_cement: w/c.
    450 kJ/kg of cement x degree in the end 1.031 w/c / (0.194 + w/c) (Mills) x exp(-(14 h/age)^0.9)
    (form of Schindler and Folliard, ACI Materials Journal, 2005): values from memory, of an
    ordinary cement. Raises ValueError for a negative age.
    """
    old = np.asarray(age, dtype=float)
    if not np.all(old >= 0.0):
        raise ValueError("age must be 0 or more (s)")
    degree = 1.031 * water_cement / (0.194 + water_cement)
    with np.errstate(divide="ignore"):
        return np.asarray(cement * _ULTIMATE * degree * np.exp(-((_TAU / old) ** _SHAPE)))
