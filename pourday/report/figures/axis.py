"""Numbers of an axis in the reader's units: round ones, wherever the data are metric."""

from __future__ import annotations

import math
from collections.abc import Callable

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from pourday.report.figures.half import width_of
from pourday.report.figures.page import POINTS
from pourday.report.figures.style import INK, LIMIT, TYPE
from pourday.report.units import Unit
from pourday.report.words import clock

_STEPS = [1, 2, 5, 10]
_HOURS = (1 / 12, 1 / 6, 1 / 4, 1 / 2, 1, 2, 3, 4, 6, 12, 24)


def plain(value: float) -> str:
    """A number without zeros at its end."""
    return f"{value:.10g}".replace("-", "\N{MINUS SIGN}")


def round_axis(
    axes: Axes,
    which: str,
    unit: Unit,
    most: int = 8,
    text: Callable[[float], str] = plain,
    within: tuple[float, float] | None = None,
) -> None:
    """Numbers at round values of ``unit`` on an axis whose data are metric, its limits set.

    Args:
        axes: where.
        which: "x" or "y".
        unit: of the numbers.
        most: numbers at most.
        text: what is written for a number.
        within: part of the axis that has numbers (metric); all of it unless told.
    """
    axis = axes.xaxis if which == "x" else axes.yaxis
    ends = [unit.value(end) for end in within or axis.get_view_interval()]
    low, high = min(ends), max(ends)
    spare = 1e-9 * (high - low)
    shown: list[float] = []
    for count in range(most, 0, -1) if which == "x" else range(most, most + 6):
        ticks = MaxNLocator(count, steps=_STEPS, min_n_ticks=1).tick_values(low, high)
        shown = [float(t) for t in ticks if low - spare <= t <= high + spare]
        if which == "y":
            if len(shown) > 2:
                break
        elif _fit(axes, [text(t) for t in shown], (ticks[1] - ticks[0]) / (high - low)):
            break
    axis.set_ticks([(t - unit.zero) / unit.factor for t in shown], [text(t) for t in shown])


def _fit(axes: Axes, words: list[str], step: float) -> bool:
    """Whether words find room at steps of such a share of the x axis."""
    size = axes.xaxis.get_major_ticks()[0].label1.get_fontproperties().get_size_in_points()
    longest = max((width_of(each, size) for each in words), default=0.0)
    return len(words) < 2 or longest + 3 < _wide(axes) * step


def _wide(axes: Axes) -> float:
    """Width of axes (pt)."""
    return float(axes.get_position().width * axes.figure.bbox.width / axes.figure.dpi * POINTS)


def clock_ticks(axes: Axes, most: int) -> None:
    """At most so many round clock times along x (s)."""
    low, high = axes.get_xlim()
    hours = max((high - low) / 3600.0, 1e-9)
    room = width_of(clock(high), TYPE) + 4
    step = next(
        (s for s in _HOURS if hours / s < most and room < _wide(axes) * s / hours), _HOURS[-1]
    )
    first = math.ceil(low / (step * 3600.0) - 1e-9)
    last = math.floor(high / (step * 3600.0) + 1e-9)
    shown = [n * step * 3600.0 for n in range(first, last + 1)]
    axes.set_xticks(shown, [clock(t) for t in shown])


def limit_across(axes: Axes, at: float, words: str, size: float = TYPE) -> None:
    """A limit at ``at`` of x, its words above the axes, no farther out than these.

    Where the limit lies beyond the axis, an arrow beside the words points to it.
    """
    low, high = axes.get_xlim()
    inside = low <= at <= high
    if inside:
        axes.axvline(at, zorder=3.5, gid="limit", **LIMIT)
    else:
        words = f"{words} \u2192" if at > high else f"\u2190 {words}"
    half = min(0.5 * width_of(words, size, bold=True) / _wide(axes), 0.5)
    middle = min(max((at - low) / (high - low), half), 1.0 - half)
    axes.annotate(
        words, (middle, 1.0), xycoords="axes fraction", xytext=(0, 1.5), ha="center", va="bottom",
        textcoords="offset points", size=size, weight="bold", color=INK, gid="limit",
    )  # fmt: skip
