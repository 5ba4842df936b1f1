"""What moves the result, in one picture: shares of sources, and swings of the means.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.report.figures.page import page
from pourday.report.figures.png import save_png
from pourday.report.figures.style import INK, MIDDLE, PALE
from pourday.report.moves import LABELS, listed, swing_label
from pourday.study.sensitivity import FIGURES, Sensitivity
from pourday.study.statistics import Interval

_SWUNG = (("end_h", "mean finish moves by, min", 60.0), ("cost_total", "mean cost moves by", 1.0))
_FACTS = (
    "Above: share of what varies that each source is behind, alone or with others; line: 95 % "
    "interval. Sorted by the finish.",
    "Below: how far the mean moves with a low (pale) and a high value (darker) of one input; line: "
    "95 % interval.",
)
_MOST = 12


def sensitivity_figure(title: str, found: Sensitivity) -> Figure:
    """A panel for each figure that the days say something of, the swings below."""
    told = [name for name in FIGURES if found.tells(name)]
    figure = page("What moves the result", title, found.plan, None, _FACTS)
    rows = len(told) > 0, len(found.swings) > 0
    shown = listed(found)[0][:_MOST]
    heights = (max(3, len(shown)), 1.7 * max(2, len(found.swings)))
    grid = figure.add_gridspec(
        2, 1, left=0.24, right=0.97, top=0.85, bottom=0.08, hspace=0.28, height_ratios=heights
    )
    if rows[0]:
        upper = grid[0].subgridspec(1, len(told), wspace=0.08)
        for n, name in enumerate(told):
            axes = figure.add_subplot(upper[0, n])
            _shares(axes, [each.index[name] for each in shown])
            _dress(axes, LABELS[name], [each.name for each in shown] if n == 0 else None)
    if rows[1]:
        lower = grid[1].subgridspec(1, len(_SWUNG), wspace=0.08)
        names = [swing_label(each) for each in found.swings]
        for n, (name, label, factor) in enumerate(_SWUNG):
            axes = figure.add_subplot(lower[0, n])
            _tornado(axes, found, name, factor)
            _dress(axes, label, names if n == 0 else None)
    return figure


def save_sensitivity(title: str, found: Sensitivity, folder: Path) -> Path:
    """Write sensitivity_PLAN.png into a folder, made where it is missing.

    Raises:
        OSError: where it cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    plain = re.sub(r"[^A-Za-z0-9]+", "_", found.plan).strip("_").lower()
    return save_png(sensitivity_figure(title, found), folder / f"sensitivity_{plain}.png")


def _shares(axes: Axes, indices: Sequence[Interval]) -> None:
    for row, index in enumerate(indices):
        if not np.isnan(index.value):
            axes.barh(row, index.value, height=0.62, color=MIDDLE, edgecolor=INK, linewidth=0.6)
            axes.plot([index.low, index.high], [row, row], color=INK, linewidth=1.4)
    axes.set_xlim(0.0, 1.02)
    axes.set_xticks([0, 0.25, 0.5, 0.75, 1.0], ["0", "25 %", "50 %", "75 %", "100 %"])
    axes.set_ylim(len(indices) - 0.4, -0.6)


def _tornado(axes: Axes, found: Sensitivity, name: str, factor: float) -> None:
    for row, each in enumerate(found.swings):
        for shift, moved, colour in ((-0.18, each.low, PALE), (0.18, each.high, MIDDLE)):
            by = moved[name]
            at = row + shift
            axes.barh(
                at, by.value * factor, height=0.34, color=colour, edgecolor=INK, linewidth=0.6
            )
            if np.isfinite(by.high - by.low):
                ends = [by.low * factor, by.high * factor]
                axes.plot(ends, [at, at], color=INK, linewidth=1.2)
    axes.axvline(0.0, color=INK, linewidth=1.0)
    axes.set_ylim(len(found.swings) - 0.4, -0.6)


def _dress(axes: Axes, label: str, names: list[str] | None) -> None:
    axes.set_title(label, size=10, loc="left", color=INK)
    ticks = range(len(names)) if names is not None else []
    axes.set_yticks(ticks, names or [], size=7.5)
    axes.tick_params(axis="x", labelsize=8)
    axes.grid(axis="x", linewidth=0.4, alpha=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
