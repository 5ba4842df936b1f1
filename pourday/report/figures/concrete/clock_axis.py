"""The clock axis of figures that run past midnight, where "00:30+1d" needs more room."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from pourday.report.figures.page import POINTS, clock_axis

_MIDNIGHT = 24 * 3600.0
_ROOM = 42.0  # for "00:30+1d" (pt)


def long_clock_axis(ax: Axes, start: float, end: float, *, labels: bool = True) -> None:
    """Clock on x as on the other figures, with every other mark where long labels would touch."""
    clock_axis(ax, start, end, labels=labels)
    low, high = ax.get_xlim()
    marks = ax.get_xticks()
    wide = ax.get_position().width * ax.figure.bbox.width / ax.figure.dpi * POINTS
    step = float(marks[1] - marks[0])
    if high > _MIDNIGHT and step / (high - low) * wide < _ROOM:
        ax.xaxis.set_major_locator(MultipleLocator(2.0 * step))
