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
    """Area (m²) and length of edge (m) of every strip, counted up from its low end.

    ``keys``, ``area``, ``edge`` (K,) hold all strips end to end; the key of a place in
    strip ``i`` is ``i`` times ``reach`` plus the place along the front's way (m). Between two marks
    both grow evenly.
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
    ends = (0.0, floor.length_y, floor.supports[0], floor.supports[-1])
    reach = 2.0 * (1.0 + max(abs(end) for end in ends))
    keys, area, edge = [], [], []
    for number, strip in enumerate(strips):
        marks = (cut.x_marks if strip.along == "x" else cut.y_marks)(strip.low, strip.high)
        rows = [_stretch(floor, strip, low, high) for low, high in pairwise(marks)]
        keys.append(number * reach + np.array(marks))
        area.append(np.cumsum([0.0, *(row[0] for row in rows)]))
        edge.append(np.cumsum([0.0, *(row[1] for row in rows)]))
    return FloorTop(reach, np.concatenate(keys), np.concatenate(area), np.concatenate(edge))


def work_between(top: FloorTop, strip: Ints, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Area (m²) and edge (m) of each strip between ``low`` and ``high`` (m); all (N,)."""
    at_low, at_high = strip * top.reach + low, strip * top.reach + high
    area = np.interp(at_high, top.keys, top.area) - np.interp(at_low, top.keys, top.area)
    edge = np.interp(at_high, top.keys, top.edge) - np.interp(at_low, top.keys, top.edge)
    return area, edge


def _stretch(floor: FloorPlan, strip: Strip, low: float, high: float) -> tuple[float, float]:
    """Area and edge of the part of a strip between two marks along the way of its front."""
    band = strip.along == "x"
    side0, side1 = strip.sides
    ends = (hole.y if band else hole.x for hole in floor.openings)
    inner = {end for pair in ends for end in pair if side0 < end < side1}
    middle, depth = (low + high) / 2, high - low
    area = edge = 0.0
    for left, right in pairwise((side0, *sorted(inner), side1)):
        centre, width = (left + right) / 2, right - left
        if not _goes_on(floor, (centre, middle), band):
            continue
        area += width * depth
        edge += depth * (not _goes_on(floor, (left - _BESIDE, middle), band))
        edge += depth * (not _goes_on(floor, (right + _BESIDE, middle), band))
        edge += width * (not _goes_on(floor, (centre, low - _BESIDE), band))
        edge += width * (not _goes_on(floor, (centre, high + _BESIDE), band))
    return area, edge


def _goes_on(floor: FloorPlan, place: tuple[float, float], band: bool) -> bool:
    """Whether there is concrete at a place, of this pour or of one beyond a joint.

    The place is given across and along the way of the front: x and y, turned round in a band.
    """
    x, y = place[::-1] if band else place
    if x < floor.supports[0]:
        return floor.low_x_end == "joint"
    if x > floor.supports[-1]:
        return floor.high_x_end == "joint"
    if not 0.0 <= y <= floor.length_y:
        return False
    return not any(
        hole.x[0] < x < hole.x[1] and hole.y[0] < y < hole.y[1] for hole in floor.openings
    )
