"""Water that dry, windy air takes from a fresh slab before it can be finished and covered.

Where the surface loses water faster than bleed water rises, it cracks while still plastic.
"""

import numpy as np
from numpy.typing import ArrayLike

from pourday.concrete.temperature import Floats

WATCH = 0.5
"""Evaporation to watch, kg/m²/h: half of ACT.

Half of ACI's value is what is said for silica-fume concrete (ACI 305R; value from memory); for
others it is a warning ahead of it (common practice, no source)."""

ACT = 1.0
"""Evaporation at which to act, kg/m²/h.

ACI 305R-99: precautions near 0.2 lb/ft²/h, 1 kg/m²/h (value from memory)."""

_KMH_PER_MS = 3.6
# Magnus over water: WMO-No. 8, Guide to Instruments and Methods of Observation, annex on
# formulae for humidity; stated there for -45 to 60 °C.
_MAGNUS_PRESSURE, _MAGNUS_FACTOR, _MAGNUS_OFFSET = 611.2, 17.62, 243.12


COLDEST = -18.0
"""Temperature (°C) below which the evaporation formula has no value."""


def evaporation_rate(
    concrete_temperature: ArrayLike,
    air_temperature: ArrayLike,
    humidity: ArrayLike,
    wind: ArrayLike,
) -> Floats:
    """Evaporation from a wet concrete surface, kg/m²/h.

    concrete_temperature (of the surface), air_temperature: °C, not below -18. humidity: 0..1.
    wind: m/s, 0 or more. The arrays broadcast. Never below 0: air that condenses water on cold
    concrete is reported as no evaporation. Raises ValueError outside the ranges named.

    Source: P. J. Uno, Plastic Shrinkage Cracking and Evaporation Formulas, ACI Materials
    Journal 95-M34, 1998: E = 5([Tc + 18]^2.5 - r[Ta + 18]^2.5)(V + 4) 1e-6, V in km/h; a fit
    to the ACI 305 chart.
    """
    surface = np.asarray(concrete_temperature, dtype=float)
    air, damp = np.asarray(air_temperature, dtype=float), np.asarray(humidity, dtype=float)
    speed = np.asarray(wind, dtype=float)
    # Below -18 °C the power has no real value: the fit does not reach there.
    if not (np.all(surface >= COLDEST) and np.all(air >= COLDEST)):
        raise ValueError("the evaporation formula holds for temperatures from -18 °C up")
    if not (np.all(damp >= 0.0) and np.all(damp <= 1.0)):
        raise ValueError("humidity must lie in 0..1")
    if not np.all(speed >= 0.0):
        raise ValueError("wind must not be negative (m/s)")
    drive = (surface + 18.0) ** 2.5 - damp * (air + 18.0) ** 2.5
    return np.maximum(5.0e-6 * drive * (speed * _KMH_PER_MS + 4.0), 0.0)


FOG_STAYS, FOG_GONE = 5.0 / _KMH_PER_MS, 15.0 / _KMH_PER_MS
"""Wind (m/s) up to which fog stays over a slab, and from which it is carried off.

5 and 15 km/h (common practice, no source)."""


def fogged_humidity(humidity: ArrayLike, fog: ArrayLike, wind: ArrayLike) -> Floats:
    """Humidity (0..1) over a slab fogged to ``fog`` (0..1) in air of ``humidity`` and ``wind``.

    wind: m/s over the slab. The arrays broadcast. Still air keeps what the nozzles make of it; wind
    carries it off, in the model linearly from :data:`FOG_STAYS` to :data:`FOG_GONE`, where the air
    is as it comes. Never below ``humidity``. Source: common practice, no source.
    """
    damp = np.asarray(humidity, dtype=float)
    kept = np.clip((FOG_GONE - np.asarray(wind, dtype=float)) / (FOG_GONE - FOG_STAYS), 0.0, 1.0)
    return np.asarray(damp + np.maximum(np.asarray(fog, dtype=float) - damp, 0.0) * kept)


def saturation_vapour_pressure(temperature: ArrayLike) -> Floats:
    """Saturation vapour pressure over water, Pa, at temperature in °C (any shape).

    Source: Magnus formula of WMO-No. 8: 611.2 exp(17.62 t / (243.12 + t)), for -45 to 60 °C.
    Raises ValueError outside that range.
    """
    t = np.asarray(temperature, dtype=float)
    if not (np.all(t >= -45.0) and np.all(t <= 60.0)):
        raise ValueError("the Magnus formula over water holds from -45 to 60 °C")
    return np.asarray(_MAGNUS_PRESSURE * np.exp(_MAGNUS_FACTOR * t / (_MAGNUS_OFFSET + t)))


def dew_point(temperature: ArrayLike, humidity: ArrayLike) -> Floats:
    """Temperature at which air of `temperature` (°C) and `humidity` (0..1, above 0) condenses.

    The arrays broadcast. Returns °C. Steel or concrete colder than this is wet.
    Source: WMO-No. 8, the Magnus formula solved for the temperature.
    Raises ValueError for humidity outside 0 < r <= 1 or temperature outside -45 to 60 °C.
    """
    damp = np.asarray(humidity, dtype=float)
    if not (np.all(damp > 0.0) and np.all(damp <= 1.0)):
        raise ValueError("humidity must lie above 0 and not above 1")
    vapour = damp * saturation_vapour_pressure(temperature)
    power = np.log(vapour / _MAGNUS_PRESSURE)
    return np.asarray(_MAGNUS_OFFSET * power / (_MAGNUS_FACTOR - power))
