"""How much of the floor gets cold, on many days: only days that may be cold are followed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pourday.concrete.cooling import film
from pourday.concrete.frost import COLD
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts, fronts_on
from pourday.outcome.concrete.cold import cold

_HAIR = 1e-6


def cold_areas(basis: Basis, found: Fronts, covered: Floats) -> tuple[Floats, Floats]:
    """Area (m²) of every day (D,) that comes below 5 °C, and below 0 °C, before it stands frost.

    Arguments as in :func:`pourday.outcome.concrete.cold.cold`, for all days of the basis;
    ``covered`` is (D, strips).
    """
    area_cold, area_frost = np.zeros(basis.days), np.zeros(basis.days)
    for day in np.flatnonzero(_may_be_cold(basis, found)).tolist():
        its = cold(basis.on(day), fronts_on(basis, found, day), covered[day])
        area_cold[day], area_frost[day] = its.area_cold, its.area_frost
    return area_cold, area_frost


def _may_be_cold(basis: Basis, found: Fronts) -> NDArray[np.bool_]:
    """On which days (D,) something around the slab, or its concrete, may be below 5 °C.

    By the coldest and stillest hour as if they were one, which is never warmer than any face.
    """
    air, later = basis.air, basis.scenario.curing.later
    coldest, warmest = air.temperature.min(axis=-1), air.temperature.max(axis=-1)
    if later is not None:  # later days are moved by no more than this
        coldest = np.minimum(coldest, coldest + later - warmest)
    slab = replace(basis.slab, below=basis.scenario.measures.heated_below)
    around = coldest - slab.sky_loss / film(air.wind.min(axis=-1), coldest)
    around = np.minimum(around, coldest if slab.below is None else slab.below)
    concrete = np.full(basis.days, np.inf)
    np.minimum.at(concrete, basis.day_of(found.strip), found.temperature)
    return np.asarray(np.minimum(concrete, around) < COLD + _HAIR)
