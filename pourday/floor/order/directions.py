"""Which end of a strip its front begins at."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import Plan


def directions(
    strips: Sequence[Strip], turns: Sequence[Sequence[int]], plan: Plan
) -> tuple[bool, ...]:
    """Whether each strip is placed from low to high: it begins at the end nearer to its front.

    ``turns`` are the strips (indices) of each front in placing order. A front's first strip, and
    without ``plan.alternate`` every one, begins where the plan does.
    """
    upward = [True] * len(strips)
    for mine in turns:
        here: float | None = None
        for i in mine:
            upward[i] = rises(strips[i], here, plan)
            here = strips[i].high if upward[i] else strips[i].low
    return tuple(upward)


def rises(strip: Strip, here: float | None, plan: Plan) -> bool:
    """Whether a strip is placed from low to high by a front that stands at ``here`` (m)."""
    told = plan.begin_at != "high_x" if strip.along == "x" else plan.begin_y != "high_y"
    if here is None or not plan.alternate:
        return told
    to_low, to_high = abs(strip.low - here), abs(strip.high - here)
    return told if abs(to_low - to_high) < 1e-9 else to_low < to_high
