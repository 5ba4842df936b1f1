"""The floor with its stop ends: which part is poured on which day, with dimensions to the beams.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.floor.cut import floor_cut
from pourday.report.figures.page import page, type_size
from pourday.report.figures.png import save_png
from pourday.report.figures.style import DARK, FAINT, GREY, INK, LIGHT, PALE
from pourday.report.units import SI, Units
from pourday.report.words import clock, money
from pourday.scenario.model.scenario import Scenario
from pourday.study.pours.places import bays_words
from pourday.study.pours.split import Poured, Split, SplitStudy

_FILLS = ((PALE, ""), (FAINT, "///"), ("white", "..."), (LIGHT, "xx"))
_HOUR = 3600.0
_AT = 0.69
_ROOM = 0.28 * 11.69 * 72


def save_split_figure(
    scenario: Scenario, found: SplitStudy, folder: Path, units: Units = SI
) -> list[Path]:
    """Write split.png, the parts of the preferred split; nothing where there is none.

    Raises:
        OSError: where the folder cannot be written to.
    """
    if found.best is None:
        return []
    folder.mkdir(parents=True, exist_ok=True)
    return [save_png(split_figure(scenario, found, found.best, units), folder / "split.png")]


def split_figure(scenario: Scenario, found: SplitStudy, split: Split, units: Units = SI) -> Figure:
    """Plan of the floor to scale, parts and stop ends numbered; beside it what each of them is."""
    currency = scenario.prices.currency
    facts = (
        f"{len(split.pours)} pours, {money(split.cost.mean)} {currency} in all; the long day "
        f"{money(found.long.summary.figures['cost_total'].mean)} {currency}. Means over "
        f"{found.days} day{'s' * (found.days > 1)} of each.",
        "Double lines: sheets join there. Thick broken lines: stop ends. Their place is the "
        "engineer's.",
    )
    figure = page("Pours and stop ends", scenario.title, found.plan, None, facts)
    axes = figure.add_axes((0.04, 0.07, 0.62, 0.78))
    floor = scenario.floor
    low, high, deep = floor.supports[0], floor.supports[-1], floor.length_y
    axes.set_xlim(low - 0.02 * (high - low), high + 0.02 * (high - low))
    axes.set_ylim(-0.06 * deep, 1.10 * deep)
    axes.set_aspect("equal", adjustable="box")
    axes.axis("off")
    for number, pour in enumerate(split.pours):
        _part(axes, scenario, pour, number)
    _lines(axes, scenario)
    for hole in floor.openings:
        (x0, x1), (y0, y1) = hole.x, hole.y
        axes.fill([x0, x1, x1, x0], [y0, y0, y1, y1], facecolor="white", edgecolor=INK, zorder=4)
    for number, end in enumerate(split.ends):
        at = [end.x, end.x]
        axes.plot(at, [-0.03 * deep, 1.03 * deep], color=INK, lw=2.6, ls="--", zorder=3.5)
        where = f"S{number + 1}"
        axes.text(
            end.x, 1.045 * deep, where, size=9, weight="bold", ha="center", va="bottom", color=INK
        )
    _beside(figure, scenario, split, units)
    return figure


def _beside(figure: Figure, scenario: Scenario, split: Split, units: Units) -> None:
    """What every number on the plan stands for, from the top of the sheet down."""
    said: list[tuple[str, list[str]]] = []
    metre = units.length
    for number, pour in enumerate(split.pours, start=1):
        of, figures = pour.pouring, pour.summary.figures
        lines = [
            f"sheet runs {bays_words(scenario.floor, of.part)}, "
            f"x {metre.figure(of.part.low, 2)} to {metre.text(of.part.high, 2)}",
            f"{units.volume.text(of.volume, 1)}, {units.area.text(of.area)}, {of.people} people",
            f"last concrete about {clock(figures['end_h'].p50 * _HOUR)}, limits "
            f"{'beyond' if pour.breaches else 'within'}",
        ]
        said.append((f"{number}  {of.name}, {of.date.isoformat()}", lines))
    for number, end in enumerate(split.ends, start=1):
        lines = [
            f"{units.depth.text(abs(end.offset) * 1e3)} from the beam at x = "
            f"{metre.text(end.beam, 2)}",
            f"({end.kind}), {metre.text(end.length, 1)} long",
        ]
        said.append((f"S{number}  stop end at x = {metre.text(end.x, 2)}", lines))
    rows = sum(1.6 + len(lines) for _, lines in said)
    step = min(0.023, 0.76 / rows)
    y = 0.83
    for head, lines in said:
        size = type_size(head, _ROOM, 9.5, least=5.0)
        figure.text(_AT, y, head, size=size, weight="bold", color=INK, va="center")
        for line in lines:
            y -= step
            size = type_size(line, _ROOM, 8.5, least=5.0)
            figure.text(_AT + 0.015, y, line, size=size, color=INK, va="center")
        y -= 1.6 * step


def _part(axes: Axes, scenario: Scenario, pour: Poured, number: int) -> None:
    part, deep = pour.pouring.part, scenario.floor.length_y
    fill, hatch = _FILLS[number % len(_FILLS)]
    x, y = [part.low, part.high, part.high, part.low], [0, 0, deep, deep]
    axes.fill(x, y, facecolor=fill, edgecolor=LIGHT, hatch=hatch, lw=0, zorder=1)
    axes.fill(x, y, facecolor="none", edgecolor=INK, lw=1.2, zorder=3)
    box = {"boxstyle": "circle,pad=0.3", "facecolor": "white", "edgecolor": DARK}
    axes.text(
        (part.low + part.high) / 2,
        0.28 * deep,
        f"{number + 1}",
        size=12,
        weight="bold",
        ha="center",
        va="center",
        color=INK,
        bbox=box,
        zorder=7,
    )


def _lines(axes: Axes, scenario: Scenario) -> None:
    floor, deep = scenario.floor, scenario.floor.length_y
    joints = floor_cut(floor).joints
    wide = floor.supports[-1] - floor.supports[0]
    for x in floor.supports:
        joined = any(abs(x - joint) < 1e-6 for joint in joints)
        for side in (-0.0015, 0.0015) if joined else (0.0,):
            at = x + side * wide
            axes.plot([at, at], [0, deep], color=INK if joined else GREY, lw=0.9, zorder=2)
