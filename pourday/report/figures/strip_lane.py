"""The lane of strips below a clock: bars in placing order with their numbers, front by front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from pourday.outcome.measure import Outcome
from pourday.report.figures.page import POINTS
from pourday.report.figures.style import INK

_EM_NUMBER = 0.64  # width of a digit, as a share of the type size
_SIZE = 7.0


def strip_levels(outcome: Outcome, start: float, end: float, wide: float) -> int:
    """Levels that each front needs for its numbers to stand beside one another, 1 to 3.

    Args:
        outcome: the day.
        start: first clock time of the lane (s).
        end: last clock time of the lane (s).
        wide: width of the lane (pt).
    """
    lasts = (outcome.strip_end - outcome.strip_start)[np.isfinite(outcome.strip_start)]
    usual = float(np.quantile(lasts, 0.1)) if len(lasts) else 1.0
    return min(3, max(1, math.ceil(_room(outcome, (end - start) / wide) / max(usual, 1.0))))


def strip_lane(ax: Axes, outcome: Outcome, fills: Sequence[str], height: float = 0.8) -> None:
    """Draw the lane; every front has levels of its own, with its number at their left.

    Args:
        ax: where, its clock axis set.
        outcome: the day.
        fills: of the strips, one after the other.
        height: of a bar, as a share of its level.
    """
    fronts = len(outcome.basis.plan.fronts)
    front_of = np.array(outcome.basis.layout.front_of)
    low, high = ax.get_xlim()
    wide = ax.get_position().width * ax.figure.bbox.width / ax.figure.dpi * POINTS
    levels = strip_levels(outcome, low, high, wide)
    need = _room(outcome, (high - low) / wide)
    begun = np.isfinite(outcome.strip_start)
    for front in range(fronts):
        written = [-math.inf] * levels
        for turn, i in enumerate(np.flatnonzero(begun & (front_of == front))):
            level = turn % levels
            row = front * levels + level
            begin, finish = float(outcome.strip_start[i]), float(outcome.strip_end[i])
            bar: dict[str, Any] = {"height": height, "linewidth": 0.35, "zorder": 2}
            bar["facecolor"] = fills[turn % len(fills)]
            ax.barh(row, finish - begin, left=begin, edgecolor=INK, gid=f"bar {i + 1}", **bar)
            # A number that is in the way of the one before moves to the right inside its bar.
            middle = max((begin + finish) / 2, written[level] + need / 2)
            if middle <= max(finish, (begin + finish) / 2):
                words: dict[str, Any] = {"ha": "center", "va": "center", "size": _SIZE}
                words |= {"color": INK, "gid": f"strip {i + 1}", "zorder": 4}
                ax.text(middle, row + 0.04, f"{i + 1}", **words)
                written[level] = middle + need / 2
        mine = front_of == front
        done = f"{int((begun & mine).sum())} of {int(mine.sum())}"
        middle = front * levels + (levels - 1) / 2
        place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center"}
        place |= {"size": 8, "color": INK}
        ax.text(
            1.008, middle, done + (" " if fronts > 1 and levels == 1 else "\n") + "begun", **place
        )
        if fronts > 1:
            ax.text(-0.006, middle, f"{front + 1}", ha="right", gid=f"front {front + 1}", **place)
            if front:
                ax.axhline(front * levels - 0.5, color=INK, linewidth=0.5)
    ax.set_ylim(fronts * levels - 0.5, -0.5)
    ax.set_yticks([])


def _room(outcome: Outcome, per_point: float) -> float:
    """Time (s) that the longest number takes on the axis, ``per_point`` seconds to a point."""
    return (len(str(len(outcome.strip_start))) * _EM_NUMBER * _SIZE + 2) * per_point
