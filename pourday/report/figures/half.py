"""Pictures half a page wide: 85 mm, no type under 7 pt, as tall as they need.

Pictures with one thing to say are drawn on it; plans of a floor and lists of trucks need a sheet
(``page``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from pourday.report.figures.page import FOOT, POINTS
from pourday.report.figures.style import HEAD, INK, LIGHT, TYPE

WIDE = 85.0 / 25.4 * POINTS
"""Width of the picture (pt)."""
DPI = 600
_MARGIN = 5.0
_LEADING = 1.28  # from line to line, of the type size


@dataclass(frozen=True)
class Half:
    """A picture with its heading, facts and foot; the rest, ``low`` pt from below, is free."""

    figure: Figure
    low: float
    free: float

    def axes(self, left: float, right: float, top: float, tall: float) -> Axes:
        """Axes from ``left`` to ``right``, ``top`` below the facts and ``tall`` (all pt)."""
        high = self.figure.get_size_inches()[1] * POINTS
        bottom = self.low + self.free - top - tall
        at = (left / WIDE, bottom / high, (right - left) / WIDE, tall / high)
        axes = self.figure.add_axes(at)
        axes.tick_params(labelsize=TYPE, length=2.5, pad=2, width=0.6)
        axes.set_axisbelow(True)
        for side, spine in axes.spines.items():
            spine.set_linewidth(0.6)
            spine.set_visible(side in ("left", "bottom"))
        return axes


def half_page(what: str, title: str, plan: str, facts: Sequence[str], tall: float) -> Half:
    """A picture with ``tall`` (pt) free between what is said above and the foot.

    Args:
        what: name of the figure.
        title: of the scenario.
        plan: its name; empty where the figure is of all plans.
        facts: sentences that say in words what the figure shows; broken into lines here.
        tall: room for axes with all that stands round them (pt).
    """
    figure = Figure(figsize=(WIDE / POINTS, 1.0), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    heading = " · ".join([what, title, *([f"plan “{plan}”"] if plan else [])])
    room = WIDE - 2 * _MARGIN
    above = [(line, HEAD, "bold") for line in in_lines(heading, room, HEAD, bold=True)]
    above += [(line, TYPE, "normal") for fact in facts for line in in_lines(fact, room, TYPE)]
    foot = in_lines(FOOT, room, TYPE)
    head = sum(size * _LEADING for _, size, _ in above) + 2 * _MARGIN
    low = len(foot) * TYPE * _LEADING + 1.5 * _MARGIN
    high = head + tall + low
    figure.set_size_inches(WIDE / POINTS, high / POINTS)
    top = high - _MARGIN
    for line, size, weight in above:
        _write(figure, top / high, line, size, weight=weight, gid="said")
        top -= size * _LEADING
    for number, line in enumerate(foot):
        at = low - _MARGIN - number * TYPE * _LEADING
        _write(figure, at / high, line, TYPE, gid="foot")
    return Half(figure, low, tall)


def in_lines(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """Words in lines no longer than ``room`` (pt); a word that is longer by itself is broken."""
    lines = [""]
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}" if lines[-1] else word
        if width_of(joined, size, bold=bold) <= room:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter, size, bold=bold) > room:
                lines.append("")
            lines[-1] += letter
    return lines


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How long a text gets (pt)."""
    font = FontProperties(size=size, weight="bold" if bold else "normal")
    return float(text_to_path.get_text_width_height_descent(text, font, False)[0])


def grid_of(axes: Axes, which: str) -> None:
    """Thin lines at the numbers of an axis, "x" or "y"."""
    axes.grid(axis=which, color=LIGHT, linewidth=0.4)  # type: ignore[arg-type]


def _write(figure: Figure, y: float, line: str, size: float, **style: Any) -> None:
    figure.text(_MARGIN / WIDE, y, line, size=size, color=INK, va="top", **style)
