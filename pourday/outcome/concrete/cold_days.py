"""How much of the floor gets cold, on many days: only days that may be cold are followed."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from pourday.concrete.cooling import CoolingSlab
from pourday.concrete.frost import COLD
from pourday.concrete.temperature import Air, end_to_end
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.cold import (
    DAYS,
    Pieces,
    Setting,
    coldest_around,
    followed,
    pieces_of,
    setting_of,
)
from pourday.outcome.concrete.later import repeated


def cold_areas(basis: Basis, found: Fronts, covered: Floats) -> tuple[Floats, Floats]:
    """Area (m²) of every day (D,) that comes below 5 °C, and below 0 °C, before it stands frost.

    Arguments as in :func:`pourday.outcome.concrete.cold.cold`, for all days of the basis;
    ``covered`` is (D, strips).
    """
    used = basis.scenario.measures
    out = np.zeros(basis.days), np.zeros(basis.days)
    slab = replace(basis.slab, below=used.heated_below)
    pieces = pieces_of(basis, found, covered.ravel(), used)
    coldest = np.full(basis.days, np.inf)
    np.minimum.at(coldest, pieces.day, pieces.warm)
    air = repeated(basis.air, basis.scenario.curing.later, 1)
    some = np.flatnonzero(np.minimum(coldest, coldest_around(air, slab)) < COLD)
    pieces = _of_days(pieces, some)
    if not len(pieces.strip):
        return out
    around = _setting(basis, some, slab)
    way = followed(basis, pieces, around, used)
    for area, fell in zip(out, (way.cold_from, way.frost_from), strict=True):
        strips = np.unique(pieces.strip[~np.isnan(fell)])
        for strip in strips.tolist():
            mine = (pieces.strip == strip) & ~np.isnan(fell)
            area[strip // basis.strips] += pieces.area[mine].sum()
    return out


def _of_days(pieces: Pieces, days: Ints) -> Pieces:
    """The pieces of these days, numbered as they come."""
    place = np.searchsorted(days, pieces.day)
    mine = np.append(days, -1)[place] == pieces.day
    columns = {each.name: getattr(pieces, each.name)[mine] for each in fields(pieces)}
    return replace(Pieces(**columns), day=place[mine])


def _setting(basis: Basis, days: Ints, slab: CoolingSlab) -> Setting:
    """What lies around the slab on each of these days and after it."""
    used, later, rows = basis.scenario.measures, basis.scenario.curing.later, basis.air
    if rows.temperature.ndim == 1:
        return setting_of(repeated(rows, later, DAYS + 1), slab, used)
    some = Air(rows.times, rows.temperature[days], rows.humidity[days], rows.wind[days])
    air = repeated(some, later, DAYS + 1)
    each = [
        setting_of(Air(air.times, *its), slab, used)
        for its in zip(air.temperature, air.humidity, air.wind, strict=True)
    ]
    bare = end_to_end([its.bare for its in each])
    kept = end_to_end([its.kept for its in each]) if used.mats else bare
    return Setting(air, slab, each[0].matted, bare, kept)
