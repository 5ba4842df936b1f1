"""How a floor lies on the sheet, and a pen that draws on it in metres."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from pourday.floor.layout import Layout
from pourday.report.figures.axis import round_axis
from pourday.report.figures.page import A4, POINTS
from pourday.report.figures.style import INK, LIGHT
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import FloorPlan

# Free border round the floor, and the low end of every bay kept for its name (pt), by whether the
# floor lies turned on the sheet.
ROUND = {False: 26.0, True: 48.0}
BAND = {False: 15.0, True: 36.0}


@dataclass(frozen=True)
class Bounds:
    """A rectangle (m) that the plan shows: the floor, or more where things stand beside it."""

    x0: float
    x1: float
    y0: float
    y1: float


@dataclass(frozen=True)
class Sheet:
    """How the floor lies on the sheet: points a metre, turned or not, legend below or beside."""

    scale: float
    points: float
    turned: bool
    beside: bool
    bounds: Bounds


@dataclass(frozen=True)
class Pen:
    """Draws in metres of the floor, whichever way it lies on the sheet; ``units`` of its words."""

    ax: Axes
    points: float
    turned: bool
    units: Units = SI

    def box(self, x0: float, x1: float, y0: float, y1: float, **style: Any) -> None:
        """A rectangle."""
        corner = (y0, x0) if self.turned else (x0, y0)
        size = (y1 - y0, x1 - x0) if self.turned else (x1 - x0, y1 - y0)
        self.ax.add_patch(Rectangle(corner, *size, **style))

    def line(self, x0: float, y0: float, x1: float, y1: float, **style: Any) -> None:
        """A straight line."""
        ends = ([y0, y1], [x0, x1]) if self.turned else ([x0, x1], [y0, y1])
        self.ax.plot(*ends, **style)

    def arrow(self, begin: tuple[float, float], end: tuple[float, float]) -> None:
        """The way of a front from place (x, y) to place, a dot where it begins."""
        tail, head = (begin[::-1], end[::-1]) if self.turned else (begin, end)
        style = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "mutation_scale": 7}
        style |= {"shrinkA": 0, "shrinkB": 0}
        self.ax.annotate("", head, tail, arrowprops=style, zorder=4)
        self.ax.plot(*tail, marker="o", markersize=2.6, color=INK, zorder=4)

    def text(self, x: float, y: float, words: str, *, along: bool = False, **style: Any) -> None:
        """Words in a white box; ``along`` the strip where it stands upright on the sheet."""
        at = (y, x) if self.turned else (x, y)
        box = {"boxstyle": "square,pad=0.12", "facecolor": "white", "edgecolor": "none"}
        usual: dict[str, Any] = {"bbox": box, "zorder": 6, "color": INK}
        usual |= {
            "ha": "center",
            "va": "center",
            "rotation": 90 if along and not self.turned else 0,
        }
        self.ax.text(*at, words, **(usual | style))


def lay_on_sheet(floor: FloorPlan, layout: Layout, bounds: Bounds | None = None) -> Sheet:
    """The smallest sheet, and the way to lay the floor on it, where numbers can be read.

    ``bounds`` is what has to be on the sheet; the floor alone unless told.
    """
    show = bounds or Bounds(floor.supports[0], floor.supports[-1], 0.0, floor.length_y)
    wide, deep = show.x1 - show.x0, show.y1 - show.y0
    best = Sheet(1.0, 0.0, False, False, show)
    for scale in (1.0, math.sqrt(2.0), 2.0, 2.0 * math.sqrt(2.0)):
        best = Sheet(scale, 0.0, False, False, show)
        for turned in (False, True):
            for beside in (True, False):
                room = _room(scale, beside)
                across, up = (deep, wide) if turned else (wide, deep)
                edge = 2 * ROUND[turned]
                points = min((room[2] - edge) / across, (room[3] - edge) / up)
                # A floor is turned only where that pays: people know it the way it is drawn.
                if points > best.points * (1.5 if turned and not best.turned else 1.0):
                    best = Sheet(scale, points, turned, beside, show)
        if min(strip.sides[1] - strip.sides[0] for strip in layout.strips) * best.points >= 7.0:
            break
    return best


def _room(scale: float, beside: bool) -> tuple[float, float, float, float]:
    """Left, bottom, width and height (pt) that the floor may take on the sheet."""
    width, height = A4[0] * POINTS * scale, A4[1] * POINTS * scale
    left, bottom = 52.0, (46.0 if beside else 94.0)
    return left, bottom, width - left - (170.0 if beside else 24.0), height - bottom - 54.0


def axes_of(figure: Figure, sheet: Sheet, units: Units = SI) -> Pen:
    """Axes in metres, to scale, where ``sheet`` wants the floor; returns the pen for them."""
    left, bottom, width, height = _room(sheet.scale, sheet.beside)
    page_width, page_height = figure.get_size_inches() * POINTS
    show = sheet.bounds
    wide, deep = show.x1 - show.x0, show.y1 - show.y0
    across, up = (deep, wide) if sheet.turned else (wide, deep)
    edge = 2 * ROUND[sheet.turned]
    w, h = across * sheet.points + edge, up * sheet.points + edge
    bottom += height - h if sheet.beside else (height - h) / 2
    left += (width - w) / 2
    at = (left / page_width, bottom / page_height, w / page_width, h / page_height)
    ax = figure.add_axes(at)
    border = ROUND[sheet.turned] / sheet.points
    along_x, along_y = (show.x0 - border, show.x1 + border), (show.y0 - border, show.y1 + border)
    ax.set_xlim(along_y if sheet.turned else along_x)
    ax.set_ylim(along_x[::-1] if sheet.turned else along_y)
    word = units.length.word
    names = (f"y ({word})", f"x ({word}), along the sheets")
    ax.set_xlabel(names[0] if sheet.turned else names[1], size=8)
    ax.set_ylabel(names[1] if sheet.turned else names[0], size=8)
    ax.tick_params(labelsize=7.5)
    for side in ax.spines.values():
        side.set_color(LIGHT)
    for which in ("x", "y"):
        round_axis(ax, which, units.length)
    return Pen(ax, sheet.points, sheet.turned, units)
