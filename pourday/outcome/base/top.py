"""The top of the floor as finishers meet it: area of each strip, and edges to work by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.floor.cut import FloorCut
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPlan

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_BESIDE = 1e-6


@dataclass(frozen=True, eq=False)
class FloorTop:
    """Area (m²) and length of edge (m) of every strip, counted up from its low y.

    ``keys``, ``area``, ``edge`` (K,) hold all strips end to end; the key of place ``y`` in strip
    ``i`` is ``i`` times ``reach`` plus ``y``. Between two marks both grow evenly with y.
    """

    reach: float
    keys: Floats
    area: Floats
    edge: Floats

    @property
    def edge_of_all(self) -> float:
        """Length of edge of the whole floor (m)."""
        return float(np.maximum(np.diff(self.edge), 0.0).sum())


def floor_top(cut: FloorCut, strips: Sequence[Strip]) -> FloorTop:
    """Areas and edges of strips given in placing order.

    An edge is a side of concrete at an opening or at the edge of the floor; a floor end that is a
    joint with another pour has none, nor has the side of another strip. The edges across a strip
    are spread evenly over the stretch between two marks (openings' ends) that they bound.
    """
    floor = cut.floor
    reach = 2.0 * (1.0 + floor.length_y)
    keys, area, edge = [], [], []
    for number, strip in enumerate(strips):
        marks = cut.y_marks(strip.y0, strip.y1)
        rows = [_stretch(floor, strip, low, high) for low, high in pairwise(marks)]
        keys.append(number * reach + np.array(marks))
        area.append(np.cumsum([0.0, *(row[0] for row in rows)]))
        edge.append(np.cumsum([0.0, *(row[1] for row in rows)]))
    return FloorTop(reach, np.concatenate(keys), np.concatenate(area), np.concatenate(edge))


def work_between(top: FloorTop, strip: Ints, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Area (m²) and edge (m) of each strip between y = ``low`` and ``high`` (m); all (N,)."""
    at_low, at_high = strip * top.reach + low, strip * top.reach + high
    area = np.interp(at_high, top.keys, top.area) - np.interp(at_low, top.keys, top.area)
    edge = np.interp(at_high, top.keys, top.edge) - np.interp(at_low, top.keys, top.edge)
    return area, edge


def _stretch(floor: FloorPlan, strip: Strip, low: float, high: float) -> tuple[float, float]:
    """Area and edge of the part of a strip between two y marks."""
    inner = {x for hole in floor.openings for x in hole.x if strip.x0 < x < strip.x1}
    middle, depth = (low + high) / 2, high - low
    area = edge = 0.0
    for left, right in pairwise((strip.x0, *sorted(inner), strip.x1)):
        centre, width = (left + right) / 2, right - left
        if not _goes_on(floor, centre, middle):
            continue
        area += width * depth
        edge += depth * (not _goes_on(floor, left - _BESIDE, middle))
        edge += depth * (not _goes_on(floor, right + _BESIDE, middle))
        edge += width * (not _goes_on(floor, centre, low - _BESIDE))
        edge += width * (not _goes_on(floor, centre, high + _BESIDE))
    return area, edge


def _goes_on(floor: FloorPlan, x: float, y: float) -> bool:
    """Whether there is concrete at a place, of this pour or of one beyond a joint."""
    if x < floor.supports[0]:
        return floor.low_x_end == "joint"
    if x > floor.supports[-1]:
        return floor.high_x_end == "joint"
    if not 0.0 <= y <= floor.length_y:
        return False
    return not any(
        hole.x[0] < x < hole.x[1] and hole.y[0] < y < hole.y[1] for hole in floor.openings
    )
