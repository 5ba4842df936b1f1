"""When young concrete can stand frost, and what that asks of its temperature until then.

Fresh concrete that freezes is lost: ice parts it before it has any strength. From a mean strength
of 5 MPa on it stands being frozen through once (DIN 1045-3; EN 13670 says the same of the surface,
value from memory; ACI 306R takes 3.5 MPa, value from memory). EN 1992-1-1:2004 3.1.2 gives no
strength before three days, so a published table of times stands here in its place.
"""

from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Floats

COLD, FROST = 5.0, 0.0
"""Levels of the colder face (°C) until the concrete can stand frost: to look after, and to stop."""

RESISTS_FROM = 5.0e6
"""Mean strength that stands frost, Pa (DIN 1045-3)."""

Cement = Literal["32.5N", "32.5R", "42.5N", "42.5R", "52.5N", "52.5R"]
"""Strength classes of cement, EN 197-1."""
CEMENTS: tuple[Cement, ...] = get_args(Cement)

_DAY = 86400.0
_TEMPERATURES = np.array([0.0, 5.0, 12.0, 20.0])
# betontechnische-daten.de, 10.4: days at 5, 12 and 20 °C, by w/c 0.40 and 0.60.
_QUICK = ((0.5, 0.25, 0.25), (0.75, 0.5, 0.5))
_MIDDLE = ((1.0, 0.75, 0.5), (2.0, 1.5, 1.0))
_SLOW = ((2.0, 1.5, 1.0), (5.0, 3.5, 2.0))
_ROWS = {
    "32.5N": _SLOW, "32.5R": _MIDDLE, "42.5N": _MIDDLE,
    "42.5R": _QUICK, "52.5N": _QUICK, "52.5R": _QUICK,
}  # fmt: skip
_LEAN, _RICH = 0.60, 0.40


def time_to_resist(temperature: ArrayLike, cement: Cement, water_cement: float) -> Floats:
    """Time (s) at a steady temperature (°C, any shape) until concrete can stand frost.

    The times of the table at 5, 12 and 20 °C, their inverse in a line between; as at 20 °C above.
    Between the table's w/c of 0.40 and 0.60 in a line, on that line beyond 0.60, as at 0.40 below.
    inf at 0 °C and below: the table ends at 5 °C, and the way from there to 0 is set here on the
    cautious side.

    Source: betontechnische-daten.de, 10.4 (after DIN 1045-3: 5 MPa).
    Raises ValueError for a cement that is not in the table.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / rate_of_resistance(temperature, cement, water_cement))


def rate_of_resistance(temperature: ArrayLike, cement: Cement, water_cement: float) -> Floats:
    """Share of the way to standing frost gone in a second at a temperature, 1/s.

    Arguments, source and errors as in `time_to_resist`, whose inverse this is.
    """
    if cement not in _ROWS:
        raise ValueError(f"cement is {cement!r}; allowed are {', '.join(CEMENTS)}")
    rich, lean = (np.array(row) for row in _ROWS[cement])
    share = max(0.0, (water_cement - _RICH) / (_LEAN - _RICH))
    days = rich + share * (lean - rich)
    rates = np.concatenate([[0.0], 1.0 / (days * _DAY)])
    return np.asarray(np.interp(np.asarray(temperature, dtype=float), _TEMPERATURES, rates))


def way_to_resistance(
    step: float, temperature: Floats, cement: Cement, water_cement: float
) -> Floats:
    """Share of the way to standing frost along temperatures (..., N) °C, ``step`` s apart.

    0 at the first; 1 where the concrete can stand frost. Source and errors as in `time_to_resist`;
    that shares of different temperatures add up is what every maturity takes for granted.
    """
    rate = rate_of_resistance(temperature, cement, water_cement)
    way = np.zeros_like(rate)
    np.cumsum((rate[..., 1:] + rate[..., :-1]) / 2.0 * step, axis=-1, out=way[..., 1:])
    return way
