"""Where the floor lies on the drawing: metres to its units, y upward in one and downward in both.

The drawing is 400 units wide, about as many as a telephone has points, so that words on it can be
read there.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.outcome.edges.open_edges import OpenEdge
from pourday.scenario.model.scenario import FloorPlan

WIDTH = 400.0
MARGIN = 14.0
_TALLEST = 520.0


@dataclass(frozen=True)
class Ground:
    """The floor on the drawing: ``scale`` units a metre, ``x0`` and ``y1`` (m) its top left."""

    x0: float
    y1: float
    scale: float
    width: float
    height: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place (m) on the drawing."""
        return (
            round(MARGIN + (x - self.x0) * self.scale, 1),
            round(MARGIN + (self.y1 - y) * self.scale, 1),
        )

    def box(self, x0: float, x1: float, y0: float, y1: float) -> tuple[float, float, float, float]:
        """A rectangle (m) as left, top, width and height on the drawing."""
        left, top = self.at(x0, y1)
        right, bottom = self.at(x1, y0)
        return left, top, round(right - left, 1), round(bottom - top, 1)

    def edge(self, edge: OpenEdge) -> tuple[float, float, float, float]:
        """Both ends of an open edge on the drawing."""
        if edge.along == "y":
            ends = (edge.at, edge.low), (edge.at, edge.high)
        else:
            ends = (edge.low, edge.at), (edge.high, edge.at)
        return (*self.at(*ends[0]), *self.at(*ends[1]))


def ground_of(floor: FloorPlan) -> Ground:
    """The floor as large as the drawing lets it be."""
    x0 = floor.supports[0] - floor.low_x_overhang
    wide = floor.supports[-1] + floor.high_x_overhang - x0
    scale = min((WIDTH - 2 * MARGIN) / wide, (_TALLEST - 2 * MARGIN) / floor.length_y)
    height = floor.length_y * scale + 2 * MARGIN
    return Ground(x0, floor.length_y, scale, wide * scale + 2 * MARGIN, height)
