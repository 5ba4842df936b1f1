"""A stand-by that is not part of the plan: what it does at a front, how far over the floor."""

from __future__ import annotations

import math
from typing import NamedTuple

from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPlan, Standby


class Relief(NamedTuple):
    """A stand-by that was ordered for a front.

    It is there at ``comes`` and places ``rate`` (m³/s) from ``since`` (nan before, and where it
    came in vain), until the own pump works again, ``back`` (s), and a strip is full: ``until`` (s).
    ``flowed`` and ``batched`` (s) are when concrete last moved in the own line, and when that was
    batched; ``washed`` that it is washed out while the stand-by places.
    """

    name: str
    comes: float
    rate: float
    back: float
    since: float = math.nan
    until: float = math.inf
    flowed: float = math.nan
    batched: float = math.nan
    washed: bool = False

    @property
    def places(self) -> bool:
        """Whether it places now, in the place of the own pump."""
        return not math.isnan(self.since) and math.isinf(self.until)

    @property
    def awaited(self) -> bool:
        """Whether it is called and not there yet."""
        return math.isnan(self.since) and math.isfinite(self.comes)


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
