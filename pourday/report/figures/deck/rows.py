"""Rows of a sheet: axes on the left, words beside them, one legend below all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.floor.lines.states import ARRIVE, BARE, FRONT, FULL, LEFT
from pourday.report.figures.page import A4, POINTS, type_size
from pourday.report.figures.style import INK

STAGES = {
    BARE: "deck alone",
    ARRIVE: "strip {} still empty, crew on it",
    FRONT: "strip {} being placed",
    LEFT: "strip {} placed, crew has left",
    FULL: "all strips placed",
}
"""Words for each stage of a load state; {} is the strip's number."""
COLUMN = 178.0
"""Room (pt) for the words beside a row."""
_LEFT, _BOTTOM = 62.0, 62.0


@dataclass(frozen=True)
class Area:
    """The part of the sheet (pt) that one row may take."""

    left: float
    bottom: float
    width: float
    height: float

    def axes(self, figure: Figure, low: float, high: float) -> Axes:
        """Axes over a part of the row's height, from share ``low`` to ``high``."""
        wide, tall = figure.get_size_inches() * POINTS
        at = (
            self.left / wide,
            (self.bottom + low * self.height) / tall,
            self.width / wide,
            (high - low) * self.height / tall,
        )
        return figure.add_axes(at)

    def beside(self, figure: Figure, blocks: Sequence[str], most: float = 8.5) -> None:
        """Words on the right of the row, from its top; the first line of a block is bold."""
        wide, tall = figure.get_size_inches() * POINTS
        lines = sum(block.count("\n") + 1 for block in blocks) + 0.5 * (len(blocks) - 1)
        longest = max(len(line) for block in blocks for line in block.split("\n"))
        size = min(most, self.height / (1.25 * lines), type_size(" " * longest, COLUMN, most, 5.0))
        x, y = (self.left + self.width + 12) / wide, self.bottom + self.height
        for block in blocks:
            for number, line in enumerate(block.split("\n")):
                weight = "bold" if number == 0 else "normal"
                style: dict[str, Any] = {"size": size, "va": "top", "color": INK}
                figure.text(x, y / tall, line, weight=weight, gid="beside", **style)
                y -= 1.25 * size
            y -= 0.6 * size


def row_of(row: int, rows: int, facts: int, gap: float) -> Area:
    """The place of a row on an A4 sheet, counted from the top, ``gap`` pt free below it."""
    wide, tall = A4[0] * POINTS, A4[1] * POINTS
    room = tall - _BOTTOM - (26 + 15 * facts + 26) + gap - 14
    height = room / rows
    bottom = _BOTTOM + (rows - 1 - row) * height
    return Area(_LEFT, bottom, wide - _LEFT - COLUMN - 12, height - gap)


def legend_below(figure: Figure, handles: Sequence[Any], words: Sequence[str]) -> None:
    """One line of legend above the foot of the sheet."""
    at = (0.5, 16 / (figure.get_size_inches()[1] * POINTS))
    style: dict[str, Any] = {"fontsize": 7.5, "frameon": False, "ncols": len(words)}
    style |= {"loc": "lower center", "bbox_to_anchor": at, "columnspacing": 1.5}
    figure.legend(handles, words, handlelength=2.6, handleheight=1.1, **style)
