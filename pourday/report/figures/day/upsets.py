"""Upsets on a time line: a lane with a numbered bar for each, and their words below the sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.report.figures.page import POINTS, type_size
from pourday.report.figures.style import INK
from pourday.scenario.base.upsets import Upset, upset_text

LINE = 9.5
"""Height of a line of words (pt)."""
_COLUMNS = 3
_MOST = 24  # put into words; all are drawn
_SIZE, _LEAST = 7.5, 5.0
_FLAG = 13.0  # width of a number in its box (pt)


@dataclass(frozen=True)
class Marked:
    """An upset on the time line: its number there, its level, and from, to (s) as drawn."""

    upset: Upset
    number: int
    level: int
    start: float
    end: float


def marked(upsets: Sequence[Upset], low: float, high: float, wide: float) -> tuple[Marked, ...]:
    """The upsets that touch a time line, numbered by time, on as many levels as they need.

    Args:
        upsets: of the day, in order of time.
        low: first clock time of the axis (s).
        high: last clock time of the axis (s).
        wide: width of the axis (pt).
    """
    flag = _FLAG * (high - low) / wide
    free: list[float] = []  # when each level is free again
    out: list[Marked] = []
    for upset in upsets:
        begin, finish = max(low, upset.at), min(high, upset.at + upset.length)
        if finish < begin or begin >= high or (finish <= low and upset.length > 0):
            continue
        # A flag at the right end of the axis stands to the left of its bar.
        left = min(begin, high - flag)
        level = next((n for n, until in enumerate(free) if until <= left), len(free))
        free[level : level + 1] = [max(finish, begin + flag)]
        out.append(Marked(upset, len(out) + 1, level, begin, finish))
    return tuple(out)


def lane_height(marks: Sequence[Marked]) -> float:
    """Height of the lane (pt); 0 where there is nothing to show."""
    levels = max((mark.level for mark in marks), default=-1) + 1
    return 0.0 if levels == 0 else 10.0 * levels + 2.0


def words_height(marks: Sequence[Marked], upsets: Sequence[Upset]) -> float:
    """Height of the words below the sheet (pt)."""
    return LINE * math.ceil(len(upset_words(marks, upsets)) / _COLUMNS)


def upset_lane(ax: Axes, through: Sequence[Axes], marks: Sequence[Marked]) -> None:
    """Draw the lane, and a dotted line at the beginning of each upset ``through`` other lanes."""
    low, high = ax.get_xlim()
    wide = ax.get_position().width * ax.figure.bbox.width / ax.figure.dpi * POINTS
    flag = _FLAG * (high - low) / wide
    for mark in marks:
        bar: dict[str, Any] = {"height": 0.4, "facecolor": INK, "edgecolor": INK, "linewidth": 0.3}
        gid = f"upset bar {mark.number}"
        ax.barh(mark.level, mark.end - mark.start, left=mark.start, gid=gid, zorder=2, **bar)
        box = {"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": INK}
        style: dict[str, Any] = {"size": 6.5, "weight": "bold", "color": INK, "va": "center"}
        style |= {"ha": "left", "bbox": box | {"linewidth": 0.7}, "zorder": 5}
        left = min(mark.start + 0.12 * flag, high - 0.8 * flag)
        ax.text(left, mark.level, f"{mark.number}", gid=f"upset {mark.number}", **style)
        for each in (ax, *through) if mark.start > low else ():
            each.axvline(mark.start, color=INK, linewidth=0.8, linestyle=(0, (1, 2)), zorder=1)
    ax.set_ylim(max((mark.level for mark in marks), default=0) + 0.6, -0.6)
    ax.set_yticks([])
    name: dict[str, Any] = {"transform": ax.transAxes, "ha": "right", "va": "center", "size": 8}
    ax.text(-0.008, 0.5, "goes wrong", weight="bold", color=INK, **name)


def upset_words(marks: Sequence[Marked], upsets: Sequence[Upset]) -> list[str]:
    """A line for each upset on the time line, and what the numbers leave out."""
    lines = [
        f"{mark.number}  {upset_text(mark.upset)}{' *' if mark.upset.drawn else ''}"
        for mark in marks[:_MOST]
    ]
    if len(marks) > _MOST:
        lines.append(f"{_MOST + 1} to {len(marks)}: not listed here")
    if len(upsets) > len(marks):
        lines.append(f"and {len(upsets) - len(marks)} outside these hours")
    if any(mark.upset.drawn for mark in marks):
        lines.append("* drawn by chance")
    return lines


def write_upsets(
    figure: Figure, lines: Sequence[str], left: float, top: float, width: float
) -> None:
    """Write the lines in columns, down each in turn; ``left``, ``top`` and ``width`` in pt."""
    wide, tall = figure.get_size_inches() * POINTS
    rows = math.ceil(len(lines) / _COLUMNS)
    room = width / _COLUMNS - 8.0
    for n, line in enumerate(lines):
        size = type_size(line, room, _SIZE, _LEAST)
        most = int(room / (0.6 * size))
        text = line if len(line) <= most else line[: most - 1] + "…"
        x = left + (n // rows) * width / _COLUMNS
        y = top - (n % rows + 0.5) * LINE
        style: dict[str, Any] = {"size": size, "va": "center", "color": INK}
        figure.text(x / wide, y / tall, text, gid=f"upset words {n + 1}", **style)
