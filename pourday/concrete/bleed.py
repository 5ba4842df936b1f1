"""Water that rises to the surface of fresh concrete while its solids settle.

As long as bleed keeps up with what the air takes, the surface stays wet; once it falls behind,
the surface dries and may crack while still plastic.
"""

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Floats

_HOUR = 3600.0


def bleed_rate(
    age: ArrayLike, placed_age: ArrayLike, initial_set: ArrayLike, rate: ArrayLike
) -> Floats:
    """Bleed water at an equivalent age, kg/m² in an hour of equivalent age.

    age: now; placed_age: when it was placed; initial_set: when bleeding ends, retarder added; all
    equivalent ages from loading, s at 20 °C. rate: kg/m²/h at 20 °C at placing, 0 or more. The
    arrays broadcast. The rate falls linearly from placing to 0 at initial set, and is 0 before
    the one and after the other. In clock time multiply by `age.arrhenius_rate`.

    Raises ValueError for ages or a rate below 0 or not finite.
    Source: common practice, no source.
    """
    now, begin, end, first = _checked(age, placed_age, initial_set, rate)
    span = np.maximum(end - begin, 0.0)
    left = np.where((now >= begin) & (now <= end), end - now, 0.0)
    return np.asarray(first * left / np.where(span > 0.0, span, np.inf))


def accumulated_bleed(
    age: ArrayLike, placed_age: ArrayLike, initial_set: ArrayLike, rate: ArrayLike
) -> Floats:
    """Bleed water from placing to an equivalent age, kg/m².

    Arguments, errors and source as in `bleed_rate`, of which this is the integral: with
    x = age - placed_age and T = initial_set - placed_age, rate (x - x²/(2 T)), which stays at
    rate T/2 from initial set on. 0 before placing, and 0 for ever where concrete is placed past
    its initial set.
    """
    now, begin, end, first = _checked(age, placed_age, initial_set, rate)
    span = np.maximum(end - begin, 0.0)
    gone = np.clip(now - begin, 0.0, span)
    lost = gone * gone / (2.0 * np.where(span > 0.0, span, np.inf))
    return np.asarray(first * (gone - lost) / _HOUR)


def _checked(*values: ArrayLike) -> tuple[Floats, ...]:
    columns = tuple(np.asarray(value, dtype=float) for value in values)
    if not all(np.all(np.isfinite(column) & (column >= 0.0)) for column in columns):
        raise ValueError("ages (s) and the bleed rate (kg/m²/h) must be finite and 0 or more")
    return columns
