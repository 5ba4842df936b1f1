"""Where two crews would come too near each other, strip by strip.

A front has a working zone to itself (``site.working_zone_m``, about a metre; common practice, no
source), and crews on one sheet run keep ``site.crews_apart_m``. A part of a strip from which some
strip of another front is nearer than that is shared ground: a crew enters it only while no other
crew is in ground too near to it. Everywhere else crews cannot meet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pourday.floor.cut import SheetRun
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import Site


@dataclass(frozen=True)
class Shared:
    """Shared ground of a strip: from ``low`` to ``high`` along its front's way (m).

    ``side0`` and ``side1`` (m) are its sides, which the front stands between; all fronts of a plan
    go the same way. ``runs`` are the sheet runs (by number) the strip lies on.
    """

    strip: int
    side0: float
    side1: float
    low: float
    high: float
    runs: frozenset[int]


def distance_kept(a: frozenset[int], b: frozenset[int], site: Site) -> float:
    """Least distance (m) of crews whose strips lie on these sheet runs."""
    return max(site.working_zone, site.crews_apart) if a & b else site.working_zone


def too_near(a: Shared, b: Shared, site: Site) -> bool:
    """Whether crews in these two could come nearer than they may."""
    across = max(0.0, a.side0 - b.side1, b.side0 - a.side1)
    along = max(0.0, a.low - b.high, b.low - a.high)
    least = distance_kept(a.runs, b.runs, site)
    return across * across + along * along < (least - 1e-9) ** 2


def runs_under(strip: Strip, runs: Sequence[SheetRun]) -> frozenset[int]:
    """Numbers of the sheet runs a strip lies on."""
    return frozenset(
        run.number
        for run in runs
        if run.supports[0] < strip.x1 - 1e-9 and strip.x0 < run.supports[-1] - 1e-9
    )


def shared_ground(
    strips: Sequence[Strip],
    front_of: Sequence[int],
    runs: Sequence[SheetRun],
    site: Site,
) -> tuple[tuple[Shared, ...], ...]:
    """Shared ground of every strip, from its low end, pieces apart; empty for one front."""
    if len(set(front_of)) < 2:
        return ((),) * len(strips)
    side0, side1 = np.array([strip.sides for strip in strips]).T
    begin, end = np.array([(strip.low, strip.high) for strip in strips]).T
    fronts = np.array(front_of)
    under = [runs_under(strip, runs) for strip in strips]
    on = np.array([[run.number in mine for run in runs] for mine in under])
    out = []
    for i, strip in enumerate(strips):
        same_run = (on & on[i]).any(axis=1)
        least = np.where(same_run, max(site.working_zone, site.crews_apart), site.working_zone)
        across = np.maximum(0.0, np.maximum(side0 - strip.sides[1], strip.sides[0] - side1))
        near = np.flatnonzero((fronts != fronts[i]) & (across < least - 1e-9))
        # Along the way the distance left by Pythagoras: crews stand across the whole strip.
        reach = np.sqrt(least[near] ** 2 - across[near] ** 2)
        low = np.maximum(strip.low, begin[near] - reach)
        high = np.minimum(strip.high, end[near] + reach)
        spans = sorted((a, b) for a, b in zip(low.tolist(), high.tolist(), strict=True) if b > a)
        merged: list[tuple[float, float]] = []
        for a, b in spans:
            if merged and a <= merged[-1][1] + 1e-9:
                merged[-1] = (merged[-1][0], max(merged[-1][1], b))
            else:
                merged.append((a, b))
        out.append(tuple(Shared(i, *strip.sides, a, b, under[i]) for a, b in merged))
    return tuple(out)
