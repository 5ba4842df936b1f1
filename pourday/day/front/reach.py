"""How far over the floor a stand-by reaches that is not part of the plan."""

from __future__ import annotations

from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPlan, Standby


def reaches(standby: Standby, floor: FloorPlan, strip: Strip) -> bool:
    """Whether a stand-by beside the floor reaches all of a strip from the nearest edge.

    No place is known for it beforehand, so any side of the floor counts as one where it can stand.
    """
    if standby.reach is None:
        return True
    across = _deepest(strip.x0, strip.x1, floor.supports[0], floor.supports[-1])
    along = _deepest(strip.y0, strip.y1, 0.0, floor.length_y)
    return min(across, along) <= standby.reach


def _deepest(low: float, high: float, begin: float, end: float) -> float:
    """How far from the nearer end the deepest point between ``low`` and ``high`` lies (m)."""
    middle = min(max((begin + end) / 2.0, low), high)
    return max(0.0, min(middle - begin, end - middle))
