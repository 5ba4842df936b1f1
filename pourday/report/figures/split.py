"""The floor with its stop ends: which part is poured on which day, with dimensions to the beams.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.floor.cut import floor_cut
from pourday.report.figures.page import DARK, GREY, INK, PALE, WARM, page
from pourday.report.figures.png import save_png
from pourday.report.words import clock, money
from pourday.scenario.model.scenario import Scenario
from pourday.study.pours.places import StopPlace, bays_words
from pourday.study.pours.split import Poured, Split, SplitStudy

_FILLS = ((PALE, ""), (WARM, "///"), ("#e9e9e9", "..."), ("#c9d8c9", "xx"))
_HOUR = 3600.0


def save_split_figure(scenario: Scenario, found: SplitStudy, folder: Path) -> list[Path]:
    """Write split.png, the parts of the preferred split; nothing where there is none.

    Raises:
        OSError: where the folder cannot be written to.
    """
    if found.best is None:
        return []
    folder.mkdir(parents=True, exist_ok=True)
    return [save_png(split_figure(scenario, found, found.best), folder / "split.png")]


def split_figure(scenario: Scenario, found: SplitStudy, split: Split) -> Figure:
    """Plan of the floor to scale, its parts hatched apart, stop ends with their dimensions."""
    currency = scenario.prices.currency
    facts = (
        f"{len(split.pours)} pours, {money(split.cost.mean)} {currency} in all; the long day "
        f"{money(found.long.summary.figures['cost_total'].mean)} {currency}. Means over "
        f"{found.days} days of each.",
        "Double lines: sheets join there. Thick broken lines: stop ends, with their distance from "
        "the beam centre line. Their place is the engineer's.",
    )
    figure = page("Pours and stop ends", scenario.title, found.plan, None, facts)
    axes = figure.add_axes((0.05, 0.10, 0.90, 0.74))
    floor = scenario.floor
    low, high, deep = floor.supports[0], floor.supports[-1], floor.length_y
    axes.set_xlim(low - 0.02 * (high - low), high + 0.02 * (high - low))
    axes.set_ylim(-0.16 * deep, 1.10 * deep)
    axes.set_aspect("equal", adjustable="box")
    axes.axis("off")
    for number, pour in enumerate(split.pours):
        _part(axes, scenario, pour, number)
    _lines(axes, scenario)
    for hole in floor.openings:
        (x0, x1), (y0, y1) = hole.x, hole.y
        axes.fill([x0, x1, x1, x0], [y0, y0, y1, y1], facecolor="white", edgecolor=INK, zorder=4)
        axes.text((x0 + x1) / 2, (y0 + y1) / 2, hole.name, size=6.5, ha="center", zorder=5)
    for end in split.ends:
        _stop_end(axes, end, deep)
    return figure


def _stop_end(axes: Axes, end: StopPlace, deep: float) -> None:
    words: dict[str, Any] = {"ha": "center", "color": INK, "zorder": 7}
    axes.plot([end.x, end.x], [-0.03 * deep, 1.03 * deep], color=INK, lw=2.6, ls="--", zorder=3.5)
    where = f"stop end x = {end.x:.2f} m"
    axes.text(end.x, 1.045 * deep, where, size=8.5, weight="bold", va="bottom", **words)
    off = f"{abs(end.offset) * 1e3:.0f} mm from the beam\nat x = {end.beam:.2f} m ({end.kind})"
    axes.text(end.x, -0.04 * deep, off, size=7.5, va="top", **words)


def _part(axes: Axes, scenario: Scenario, pour: Poured, number: int) -> None:
    part, deep = pour.pouring.part, scenario.floor.length_y
    fill, hatch = _FILLS[number % len(_FILLS)]
    x = [part.low, part.high, part.high, part.low]
    axes.fill(
        x, [0, 0, deep, deep], facecolor=fill, edgecolor="#b5b5b5", hatch=hatch, lw=0, zorder=1
    )
    axes.fill(x, [0, 0, deep, deep], facecolor="none", edgecolor=INK, lw=1.2, zorder=3)
    figures = pour.summary.figures
    said = (
        f"{pour.pouring.name}\n{pour.pouring.date.isoformat()}\nsheet runs "
        f"{bays_words(scenario.floor, part)}\n{pour.pouring.volume:.1f} m³, "
        f"{pour.pouring.area:.0f} m²\nlast concrete about {clock(figures['end_h'].p50 * _HOUR)}"
    )
    box = {"boxstyle": "square,pad=0.4", "facecolor": "white", "edgecolor": DARK}
    axes.text((part.low + part.high) / 2, 0.28 * deep, said, size=8, ha="center", va="center",
              color=INK, bbox=box, zorder=7)  # fmt: skip


def _lines(axes: Axes, scenario: Scenario) -> None:
    floor, deep = scenario.floor, scenario.floor.length_y
    joints = floor_cut(floor).joints
    wide = floor.supports[-1] - floor.supports[0]
    for x in floor.supports:
        joined = any(abs(x - joint) < 1e-6 for joint in joints)
        for side in (-0.0015, 0.0015) if joined else (0.0,):
            at = x + side * wide
            axes.plot([at, at], [0, deep], color=INK if joined else GREY, lw=0.9, zorder=2)
