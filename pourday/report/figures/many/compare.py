"""Plans beside each other in one picture: middle day and range of what they are compared by.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.outcome.measure import Outcome
from pourday.report.figures.axis import clock_ticks, limit_across, round_axis
from pourday.report.figures.half import WIDE, grid_of, half_page, in_lines, width_of
from pourday.report.figures.png import save_png
from pourday.report.figures.save import save_figures
from pourday.report.figures.style import DARK, INK, MIDDLE, NAME, TYPE
from pourday.report.units import PLAIN, SI, Units
from pourday.report.words import clock, edge_rule_words, money, percent
from pourday.scenario.model.scenario import Scenario
from pourday.study.compare import Comparison, PlanSummary
from pourday.study.told import Told, nobody, within

_HOUR = 3600.0
_NAMES = 68.0  # room for the names of plans at most (pt)
_GAP = 6.0  # between what stands beside one another (pt)
_TITLE, _LIMIT, _TICKS = 12.0, 10.0, 17.0  # above and below the rows of a panel (pt)
_LINE = 9.0


@dataclass(frozen=True)
class _Panel:
    """A figure of all plans: its words, low, middle and high of each, and the limit it has.

    ``form`` is "clock" (values in s), "percent", "money" or how a number is written.
    """

    title: str
    form: str
    ranges: tuple[tuple[float, float, float], ...]
    limits: tuple[tuple[float, str], ...] = ()


def plans_figure(scenario: Scenario, comparison: Comparison, units: Units = SI) -> Figure:
    """A row for each plan, a panel for each figure: mark at the middle day, bar of 8 days in 10.

    The last panel is the chance of a cold joint with its 95 % interval. Values stand in a column
    of their own at the right of each panel, limits above it.
    """
    names = [summary.plan for summary in comparison.summaries]
    wide = min(_NAMES, max(width_of(name, TYPE) for name in names))
    lines = [in_lines(name, wide, TYPE) for name in names]
    row = max(_LINE + 2, *(_LINE * len(each) + 2 for each in lines))
    panels = _panels(scenario, comparison.summaries)
    tall = row * len(names)
    pitch = _TITLE + _LIMIT + tall + _TICKS
    facts = _facts(scenario, comparison, units)
    half = half_page("Plans side by side", scenario.title, "", facts, pitch * -(-len(panels) // 2))
    left = 5 + wide + _GAP
    room = (WIDE - 5 - left - _GAP) / 2
    values = max(width_of(_text(p[1], each.form), TYPE) for each in panels for p in each.ranges)
    for n, panel in enumerate(panels):
        at = left + (n % 2) * (room + _GAP)
        top = (n // 2) * pitch + _TITLE + _LIMIT
        axes = half.axes(at, at + room - values - 4, top, tall)
        _draw(axes, panel, len(names))
        axes.set_yticks(
            range(len(names)), ["\n".join(each) for each in lines] if n % 2 == 0 else []
        )
        axes.tick_params(axis="y", length=0, labelsize=TYPE)
        axes.annotate(
            panel.title, (0, 1), xycoords="axes fraction", xytext=(0, _LIMIT + 1), va="bottom",
            textcoords="offset points", size=NAME, weight="bold", color=INK, gid="title",
        )  # fmt: skip
    return half.figure


def save_compare_figures(
    scenario: Scenario,
    comparison: Comparison,
    days: Sequence[Outcome],
    folder: Path,
    units: Units = SI,
    told: Told = nobody,
) -> list[Path]:
    """Write plans.png, and the figures of one day of each plan in a folder of its own.

    Args:
        scenario: for the title.
        comparison: what plans.png shows.
        days: one day of each plan.
        folder: where they go; made where it is missing.
        units: of the reader.
        told: hears how far it is.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = [save_png(plans_figure(scenario, comparison, units), folder / "plans.png")]
    for number, outcome in enumerate(days, start=1):
        plain = re.sub(r"[^A-Za-z0-9]+", "_", outcome.log.plan).strip("_").lower()
        part = within(told, (number - 1) / len(days), number / len(days))
        written += save_figures(outcome, folder / f"{number}_{plain}", units, part)
    return written


def _facts(scenario: Scenario, comparison: Comparison, units: Units) -> list[str]:
    days = {summary.plan: summary.days for summary in comparison.summaries}
    same = f"{next(iter(days.values())):,} days each, the same days for every plan."
    if len(set(days.values())) > 1:
        same = "; ".join(f"{plan}: {count:,} days" for plan, count in days.items()) + "."
    return [
        f"{same} Mark and number: the middle day. Bar: 8 days in 10 lie within; 1 day in 10 is "
        "below it, 1 above. Cold edge: share of days, bar its 95 % interval. Broken lines: limits.",
        edge_rule_words(scenario.mix, units),
    ]


def _panels(scenario: Scenario, plans: Sequence[PlanSummary]) -> list[_Panel]:
    """What plans are compared by, with the limits that the scenario has for it."""
    curfew, limits = scenario.site.curfew, scenario.limits
    late = ((curfew, f"curfew {clock(curfew)}"),) if curfew is not None else ()
    age = scenario.supply.age_rule.limit_at(max(scenario.weather.air)) / 60.0
    use = ((limits.deck_use, f"limit {percent(limits.deck_use)}"),)
    cold = tuple((c.low, c.value, c.high) for c in (plan.chances["cold"] for plan in plans))
    share = limits.cold_joint_share

    def _of(metric: str, factor: float = 1.0) -> tuple[tuple[float, float, float], ...]:
        spreads = [plan.figures[metric] for plan in plans]
        return tuple((s.p10 * factor, s.p50 * factor, s.p90 * factor) for s in spreads)

    finishing = late if scenario.site.curfew_for == "all" else ()
    return [
        _Panel("last concrete", "clock", _of("end_h", _HOUR), late),
        _Panel("finishers leave", "clock", _of("finishing_end_h", _HOUR), finishing),
        _Panel("truck wait, min", "{:.0f}", _of("mean_wait_min")),
        _Panel("no truck, h", "{:.1f}", _of("starved_h")),
        _Panel("oldest load, min", "{:.0f}", _of("oldest_age_min"), ((age, f"limit {age:.0f}"),)),
        _Panel("deck share", "percent", _of("use"), use),
        _Panel(f"cost, {scenario.prices.currency}", "money", _of("cost_total")),
        _Panel("cold edge, days", "percent", cold, ((share, f"limit {percent(share)}"),)),
    ]


def _draw(axes: Axes, panel: _Panel, rows: int) -> None:
    for row, (low, middle, high) in enumerate(panel.ranges):
        style = {"color": MIDDLE, "linewidth": 4.5, "solid_capstyle": "butt"}
        axes.plot([low, high], [row, row], gid=f"range {row}", **style)  # type: ignore[arg-type]
        mark = {"markersize": 7, "markeredgewidth": 1.8, "color": DARK, "linestyle": "none"}
        axes.plot([middle], [row], marker="|", **mark)  # type: ignore[arg-type]
        axes.annotate(
            _text(middle, panel.form), (1.0, row), xycoords=axes.get_yaxis_transform(),
            xytext=(3, 0), textcoords="offset points", va="center", size=TYPE, color=INK,
            gid="value", annotation_clip=False,
        )  # fmt: skip
    axes.set_ylim(rows - 0.5, -0.5)
    axes.set_xlim(*_ends(panel))
    for at, words in panel.limits:
        limit_across(axes, at, words)
    if panel.form == "clock":
        clock_ticks(axes, 4)
    else:
        round_axis(axes, "x", PLAIN, 3, lambda value: _tick(value, panel.form))
    grid_of(axes, "x")
    axes.spines["left"].set_visible(False)


def _ends(panel: _Panel) -> tuple[float, float]:
    """From, to of the axis: all ranges with some air, and the limits that lie near."""
    values = np.array(panel.ranges)
    known = values[np.isfinite(values)]
    if not known.size:
        return 0.0, 1.0
    low, high = float(known.min()), float(known.max())
    least = {"clock": 1800.0, "percent": 0.1, "money": 0.02 * high}.get(panel.form, 1.0)
    wide = max(high - low, least)
    near = [at for at, _ in panel.limits if low - wide <= at <= high + wide]
    low, high = min([low, *near]), max([high, *near])
    spare = 0.12 * max(high - low, least)
    return low - spare, high + spare


def _tick(value: float, form: str) -> str:
    return f"{value:g}" if "{" in form else _text(value, form)


def _text(value: float, form: str) -> str:
    if not np.isfinite(value):
        return "?" if form == "percent" else "-"
    if form == "clock":
        return clock(value)
    if form == "percent":
        return percent(value)
    return money(value) if form == "money" else form.format(value)
