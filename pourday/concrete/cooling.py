"""How a thin slab on a steel deck gives up its warmth: a film above, a film below, and the sky.

The slab is one node with the parabolic profile of steady cooling through its depth, so that its
mean and both its faces are known: think of a plate of soup with wind over it and a draught under
it. Per square metre of floor

    density capacity depth dT/dt = H (Te - T)

where H (W/m²K) joins both films and the depth, and Te (°C) is where it would come to rest.

Sources: EN ISO 6946, annex on surface resistances: convection hc = 4 + 4 v (v in m/s), radiation
emissivity x 4 sigma T³ (value from memory); EN ISO 10456, concrete of high density: 2.0 W/mK and
1000 J/kgK (value from memory).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Air, Floats, Relaxation, Rows, all_at, relaxation

CONDUCTIVITY, CAPACITY = 2.0, 1000.0
"""Of concrete: W/mK and J/kgK (EN ISO 10456; value from memory)."""

_EMISSIVITY, _STEFAN_BOLTZMANN, _ZERO = 0.9, 5.67e-8, 273.15
# Films change by no more than this share between two rows of a relaxation.
_FILM_STEP = 0.12


@dataclass(frozen=True)
class CoolingSlab:
    """A slab and what lies around it.

    ``depth`` (m) is the mean one, ``density`` kg/m³. ``sky_loss`` (W/m²) is what the top gives to a
    clear sky beyond the radiation to the air; 0 for a cloudy one. ``wind_below`` is the share of
    the wind that blows under the deck. ``below`` (°C) is the air of a heated enclosure under the
    deck, None for the outdoor air; in it there is no wind. ``cover`` (m²K/W) is the resistance of
    mats on the top, 0 without.
    """

    depth: float
    density: float
    sky_loss: float = 0.0
    wind_below: float = 0.25
    below: float | None = None
    cover: float = 0.0

    @property
    def heat(self) -> float:
        """Heat that a square metre gives for each degree, J/m²K."""
        return self.density * CAPACITY * self.depth


def film(wind: ArrayLike, air: ArrayLike) -> Floats:
    """Film coefficient of a face, W/m²K: 4 + 4 v by wind and 0.9 x 4 sigma T³ by radiation.

    wind: m/s. air: °C. They broadcast. Source: EN ISO 6946, annex on surface resistances (value
    from memory).
    """
    kelvin = np.asarray(air, dtype=float) + _ZERO
    by_radiation = _EMISSIVITY * 4.0 * _STEFAN_BOLTZMANN * kelvin**3
    return np.asarray(4.0 + 4.0 * np.asarray(wind, dtype=float) + by_radiation)


@dataclass(frozen=True, eq=False)
class Faces:
    """Both faces at some moments, all of one shape.

    ``top``, ``bottom``: films W/m²K, mats in the one above. ``over``, ``under``: °C that a face
    comes to where no heat flows, the sky's loss in the one above.
    """

    top: Floats
    bottom: Floats
    over: Floats
    under: Floats


def faces(air: Air, slab: CoolingSlab, t: ArrayLike, day: Rows | int = 0) -> Faces:
    """What both faces of a slab feel at t (s since midnight, any shape), on these days of the air.

    They broadcast.
    """
    when = np.asarray(t, dtype=float)
    warm, wind = all_at(air.times, (air.temperature, air.wind), when, day)
    open_top = film(wind, warm)
    over = warm - slab.sky_loss / open_top
    top = 1.0 / (1.0 / open_top + slab.cover)
    if slab.below is None:
        return Faces(top, film(slab.wind_below * wind, warm), over, warm)
    under = np.full_like(warm, slab.below)
    return Faces(top, film(np.zeros_like(warm), under), over, under)


def joined(around: Faces, depth: float) -> tuple[Floats, Floats]:
    """H (W/m²K) and the resting temperature Te (°C) of the slab's mean temperature.

    With the parabolic profile a face is q_own d/3k - q_other d/6k below the mean, where q are the
    flows out of the faces: two linear equations for both. Source: closed form.
    """
    a, b, c, ground = _network(around, depth)
    upper, lower = b + c, a + c
    rest = (upper * around.over + lower * around.under) / (upper + lower)
    return np.asarray((upper + lower) / ground), np.asarray(rest)


def face_temperatures(around: Faces, depth: float, mean: ArrayLike) -> tuple[Floats, Floats]:
    """Temperature of the top and of the bottom face (°C) of a slab this warm on average (°C)."""
    a, b, c, ground = _network(around, depth)
    warm = np.asarray(mean, dtype=float)
    up, down = warm - around.over, warm - around.under
    flow_up, flow_down = (b * up + c * down) / ground, (a * down + c * up) / ground
    return around.over + flow_up / around.top, around.under + flow_down / around.bottom


def slab_relaxation(air: Air, slab: CoolingSlab) -> Relaxation:
    """The relaxation of a slab's mean temperature in this air.

    The weather rows are parted where the wind changes much, and each part has one time constant,
    that of its middle. Raises ValueError for a depth or density that is not above 0.
    """
    if not slab.heat > 0.0:
        raise ValueError("a slab needs a depth and a density above 0")
    rough, _ = joined(faces(air, slab, air.times), slab.depth)
    parts = np.maximum(np.ceil(np.abs(np.diff(np.log(rough))) / _FILM_STEP), 1.0).astype(int)
    row = np.repeat(np.arange(len(parts)), parts)
    share = (np.arange(len(row)) - (np.cumsum(parts) - parts)[row]) / parts[row]
    times = np.append(air.times[row] + np.diff(air.times)[row] * share, air.times[-1])
    middle = np.concatenate([times[:1], (times[1:] + times[:-1]) / 2.0, times[-1:]])
    conductance, _ = joined(faces(air, slab, middle), slab.depth)
    _, rest = joined(faces(air, slab, times), slab.depth)
    return relaxation(times, rest, slab.heat / conductance)


def under_mats(slab: CoolingSlab, resistance: float) -> CoolingSlab:
    """The same slab under mats of this resistance, m²K/W; the sky then draws on the mats."""
    return slab if resistance <= 0.0 else replace(slab, cover=resistance)


def _network(around: Faces, depth: float) -> tuple[Floats, Floats, float, Floats]:
    through = depth / CONDUCTIVITY
    a, b, c = 1.0 / around.top + through / 3.0, 1.0 / around.bottom + through / 3.0, through / 6.0
    return a, b, c, a * b - c * c
