"""How strong concrete is expected to be at an age: EN 1992-1-1:2004 3.1.2, on equivalent age.

An expectation for the calendar, never a permission: strength is proved by tests.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Floats

CementClass = Literal["R", "N", "S"]

# EN 1992-1-1:2004 3.1.2(6): coefficient s for cement of class R, N and S.
_CEMENT_S: dict[CementClass, float] = {"R": 0.20, "N": 0.25, "S": 0.38}
# EN 1992-1-1:2004 Table 3.1 and 3.1.2(5): fcm = fck + 8 MPa.
_MARGIN = 8.0e6


def strength_ratio(age_days: ArrayLike, cement: CementClass) -> Floats:
    """Mean strength at an age as a share of the mean strength at 28 days, no unit.

    age_days: days at 20 °C, 0 or more, any shape (equivalent age in s / 86400).
    Raises ValueError for a negative age or an unknown cement class.
    Source: EN 1992-1-1:2004 3.1.2(6), formula (3.2): exp(s (1 - sqrt(28 / t))).
    """
    age = np.asarray(age_days, dtype=float)
    if not np.all(age >= 0.0):
        raise ValueError("age_days must be 0 or more")
    if cement not in _CEMENT_S:
        raise ValueError(f"cement class is {cement!r}; allowed are R, N and S")
    with np.errstate(divide="ignore"):
        return np.asarray(np.exp(_CEMENT_S[cement] * (1.0 - np.sqrt(28.0 / age))))


def mean_strength_28(characteristic_strength_28: ArrayLike) -> Floats:
    """Mean strength fcm at 28 days, Pa, from the characteristic strength fck, Pa.

    Source: EN 1992-1-1:2004 Table 3.1: fcm = fck + 8 MPa.
    """
    return np.asarray(np.asarray(characteristic_strength_28, dtype=float) + _MARGIN)


def mean_strength(strength_28: ArrayLike, age_days: ArrayLike, cement: CementClass) -> Floats:
    """Expected mean strength fcm(t), Pa. strength_28: fcm at 28 days, Pa; the arrays broadcast.

    age_days and errors as in `strength_ratio`. Source: EN 1992-1-1:2004 3.1.2(6), formula (3.1).
    """
    return np.asarray(strength_28, dtype=float) * strength_ratio(age_days, cement)


def characteristic_strength(
    strength_28: ArrayLike, age_days: ArrayLike, cement: CementClass
) -> Floats:
    """Expected characteristic strength fck(t), Pa, from fcm at 28 days, Pa; never below 0.

    fcm(t) - 8 MPa for 3 < t < 28 days, fck from 28 days on. nan up to 3 days: the clause gives
    no value there and asks for tests. age_days and errors as in `strength_ratio`.
    Source: EN 1992-1-1:2004 3.1.2(5).
    """
    age = np.asarray(age_days, dtype=float)
    mean = mean_strength(strength_28, np.minimum(age, 28.0), cement)
    return np.asarray(np.where(age > 3.0, np.maximum(mean - _MARGIN, 0.0), np.nan))
