"""Plans beside each other in one picture: middle day and range of what they are compared by.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourday.outcome.measure import Outcome
from pourday.report.figures.page import DARK, INK, MIDDLE, page
from pourday.report.figures.png import save_png
from pourday.report.figures.save import save_figures
from pourday.report.words import clock, edge_rule_words, money, percent
from pourday.scenario.model.scenario import Scenario
from pourday.study.compare import Comparison
from pourday.study.told import Told, nobody, within

_PANELS = (
    ("last concrete, clock", "end_h", "clock"),
    ("mean truck wait, min", "mean_wait_min", "{:.0f}"),
    ("pump without truck, h", "starved_h", "{:.1f}"),
    ("deck: use of resistance", "use", "percent"),
    ("cost in all", "cost_total", "money"),
)


def plans_figure(scenario: Scenario, comparison: Comparison) -> Figure:
    """A row for each plan, a panel for each figure: mark at the middle day.

    The bar is from one day in 10 to 9 in 10.

    The last panel is the chance of a cold joint with its 95 % interval.
    """
    days = {summary.plan: summary.days for summary in comparison.summaries}
    same = f"{next(iter(days.values()))} days each, the same days for every plan."
    if len(set(days.values())) > 1:
        same = "; ".join(f"{plan}: {count:,} days" for plan, count in days.items()) + "."
    facts = [
        f"{same} Mark: middle day. Bar: from the day that 1 in 10 stays below to the day that 1 in "
        "10 goes above.",
        edge_rule_words(scenario.mix),
    ]
    figure = page("Plans side by side", scenario.title, "", None, facts)
    names = [summary.plan for summary in comparison.summaries]
    grid = figure.add_gridspec(2, 3, left=0.15, right=0.97, top=0.86, bottom=0.09, hspace=0.45)
    for n, (label, metric, form) in enumerate(_PANELS):
        axes = figure.add_subplot(grid[n // 3, n % 3])
        spreads = [summary.figures[metric] for summary in comparison.summaries]
        _ranges(axes, [(s.p10, s.p50, s.p90) for s in spreads], form)
        _dress(axes, label, names, first=n % 3 == 0)
        axes.xaxis.set_major_locator(MaxNLocator(5))
        axes.xaxis.set_major_formatter(FuncFormatter(partial(_tick, form=form)))
        if form == "percent":
            most = np.nan_to_num([s.p90 for s in spreads]).max()
            axes.set_xlim(0.0, max(1.05, 1.05 * float(most)))
            axes.axvline(1.0, color=INK, linewidth=1.2)
    axes = figure.add_subplot(grid[1, 2])
    chances = [summary.chances["cold"] for summary in comparison.summaries]
    _ranges(axes, [(c.low, c.value, c.high) for c in chances], "percent")
    axes.set_xlim(-0.03, 1.03)
    axes.xaxis.set_major_formatter(FuncFormatter(partial(_tick, form="percent")))
    _dress(axes, "days with a cold joint (95 % interval)", names, first=False)
    return figure


def save_compare_figures(
    scenario: Scenario,
    comparison: Comparison,
    days: Sequence[Outcome],
    folder: Path,
    told: Told = nobody,
) -> list[Path]:
    """Write plans.png, and the figures of one day of each plan in a folder of its own.

    Args:
        scenario: for the title.
        comparison: what plans.png shows.
        days: one day of each plan.
        folder: where they go; made where it is missing.
        told: hears how far it is.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = [save_png(plans_figure(scenario, comparison), folder / "plans.png")]
    for number, outcome in enumerate(days, start=1):
        plain = re.sub(r"[^A-Za-z0-9]+", "_", outcome.log.plan).strip("_").lower()
        part = within(told, (number - 1) / len(days), number / len(days))
        written += save_figures(outcome, folder / f"{number}_{plain}", part)
    return written


def _ranges(axes: Axes, ranges: Sequence[tuple[float, float, float]], form: str) -> None:
    for row, (low, middle, high) in enumerate(ranges):
        axes.plot([low, high], [row, row], color=MIDDLE, linewidth=7, solid_capstyle="butt")
        axes.plot([middle], [row], marker="|", markersize=15, markeredgewidth=2.5, color=DARK)
        axes.annotate(
            _text(middle, form),
            (middle, row),
            textcoords="offset points",
            xytext=(0, 11),
            ha="center",
            size=8,
            color=INK,
        )


def _dress(axes: Axes, label: str, names: Sequence[str], first: bool) -> None:
    axes.set_title(label, size=10, loc="left", color=INK)
    axes.set_ylim(len(names) - 0.5, -0.7)
    axes.set_yticks(range(len(names)), names if first else [""] * len(names), size=9)
    axes.margins(x=0.18)
    axes.tick_params(axis="x", labelsize=8)
    axes.grid(axis="x", linewidth=0.4, alpha=0.6)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)


def _tick(value: float, _: int, form: str) -> str:
    return _text(value, form)


def _text(value: float, form: str) -> str:
    if form == "clock":
        return clock(value * 3600)
    if form == "percent":
        return percent(value)
    return money(value) if form == "money" else form.format(value)
