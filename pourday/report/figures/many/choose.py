"""Cost of the candidates against spacing: a line a pump, crew or order; limits, and the choice.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourday.report.figures.half import WIDE, grid_of, half_page, in_lines
from pourday.report.figures.page import POINTS
from pourday.report.figures.png import save_png
from pourday.report.figures.style import DARK, FAINT, GREY, INK, MIDDLE, TYPE
from pourday.report.words import BAD_DAY, money
from pourday.scenario.candidates import candidate_name
from pourday.study.search.found import Found, keeps
from pourday.study.search.study import Fresh
from pourday.study.search.trial import FIRST
from pourday.study.statistics import mean_interval

_MOST_LINES = 6
_LEFT, _TALL, _BELOW = 44.0, 160.0, 24.0
_WORDS = 195.0  # room for a name of a line (pt)
_LINES = ("-", "--", "-.", ":", (0, (5, 1)), (0, (1, 2)))
_MARKS = ("o", "s", "^", "D", "v", "P")


def spacing_figure(found: Found, fresh: Fresh | None) -> Figure:
    """Mean cost of each candidate with the 95 % band of its mean, by what is on the axis.

    Filled marks keep all limits as found, crossed ones break one. On the axis is the first key with
    numbers, the spacing where it is searched.
    """
    search = found.search
    number = fresh.chosen if fresh else found.chosen
    at = _axis(found)
    name = "nothing keeps all limits" if number is None else search.candidates[number].name
    facts = [
        f"Taken: {name}. Mean of the first {FIRST} days of each, the same for all, with its 95 % "
        "band; a line takes the cheapest of what is not named.",
        "Filled marks keep all limits as found. Crossed ones break one: "
        f"{_limits_in_words(found)}.",
    ]
    lines = _lines(found, at)
    named = [in_lines(label, _WORDS, TYPE) for label, _ in lines]
    below = (sum(map(len, named)) + 2.0) * 1.5 * TYPE
    half = half_page(
        "Cost of the candidates", search.scenario.title, "", facts, _TALL + _BELOW + below
    )
    axes = half.axes(_LEFT, WIDE - 8, 4.0, _TALL)
    for k, (_, numbers) in enumerate(lines):
        _draw(axes, found, at, ("\n".join(named[k]), numbers), k)
    if number is not None:
        x = float(search.candidates[number].values[at]) if at is not None else 0.0
        y = _mean(found, number)
        ring = axes.plot([x], [y], "o", markersize=11, linestyle="none", label="taken")[0]
        ring.set(markerfacecolor="none", markeredgecolor=INK, markeredgewidth=1.4)
    axes.set_xlabel(search.keys[at] if at is not None else "candidates", size=TYPE, labelpad=1)
    axes.set_ylabel(f"cost of a day, {search.scenario.prices.currency}", size=TYPE, labelpad=2)
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: money(value)))
    axes.xaxis.set_major_locator(MaxNLocator(8, integer=True))
    grid_of(axes, "both")
    if axes.lines:
        high = half.figure.get_size_inches()[1] * POINTS
        half.figure.legend(
            *axes.get_legend_handles_labels(), loc="lower left", fontsize=TYPE, frameon=False,
            bbox_to_anchor=(0.0, half.low / high), markerscale=0.7, labelspacing=0.35,
            borderpad=0.2,
        )  # fmt: skip
    return half.figure


def save_choose_figures(found: Found, fresh: Fresh | None, folder: Path) -> list[Path]:
    """Write candidates.png; raises OSError where the folder cannot be written to."""
    folder.mkdir(parents=True, exist_ok=True)
    return [save_png(spacing_figure(found, fresh), folder / "candidates.png")]


def _axis(found: Found) -> int | None:
    """The key on the axis: spacing, else the first whose values are numbers."""
    search = found.search
    numeric = [
        at
        for at, values in enumerate(search.values)
        if len(values) > 1 and all(isinstance(v, int | float) for v in values)
    ]
    spacing = [at for at in numeric if search.keys[at].endswith("spacing_min")]
    return next(iter(spacing or numeric), None)


def _lines(found: Found, at: int | None) -> list[tuple[str, list[int]]]:
    """Combinations of the keys with words (pump, crew, order), each with the cheapest candidate at
    every place of the axis; the cheapest lines first. Of other keys where none has words.
    """
    search, trial = found.search, found.trial
    rest = [n for n in range(len(search.keys)) if n != at]
    words = [n for n in rest if not all(isinstance(v, int | float) for v in search.values[n])]
    groups: dict[str, dict[str, list[int]]] = {}
    for number in range(len(search.candidates)):
        # Of candidates with the same rows only one was played on, and stands for all.
        if len(trial.values[number]) and not trial.out[number]:
            each = search.candidates[number]
            own = [(search.keys[n], each.values[n]) for n in words or rest]
            label = candidate_name(own, each.of if len(search.plans) > 1 else "") or each.of
            place = repr(each.values[at]) if at is not None else each.name
            groups.setdefault(label, {}).setdefault(place, []).append(number)
    lines = {
        label: [trial.cheapest(numbers)[0] for numbers in places.values()]
        for label, places in groups.items()
    }
    order = sorted(lines.items(), key=lambda item: min(_mean(found, n) for n in item[1]))
    return order[:_MOST_LINES]


def _mean(found: Found, number: int) -> float:
    return float(found.trial.costs(number, FIRST).mean())


def _draw(axes: Axes, found: Found, at: int | None, line: tuple[str, list[int]], k: int) -> None:
    label, numbers = line
    trial = found.trial
    x = np.array(
        [float(found.search.candidates[n].values[at]) if at is not None else float(m)
         for m, n in enumerate(numbers)]
    )  # fmt: skip
    means = [mean_interval(trial.costs(n, FIRST)) for n in numbers]
    y = np.array([each.value for each in means])
    colour = (DARK, INK, MIDDLE, GREY, DARK, INK)[k]
    low, high = (np.array([getattr(each, end) for each in means]) for end in ("low", "high"))
    axes.fill_between(x, low, high, color=colour, alpha=0.13, linewidth=0)
    axes.plot(x, y, linestyle=_LINES[k], color=colour, linewidth=1.3)
    kept = np.array([keeps(trial, n) for n in numbers])
    axes.plot(x[kept], y[kept], linestyle="none", marker=_MARKS[k], markersize=4, color=colour,
              label=label)  # fmt: skip
    if (~kept).any():
        axes.plot(x[~kept], y[~kept], linestyle="none", marker=_MARKS[k], markersize=5,
                  markerfacecolor=FAINT, markeredgecolor=colour)  # fmt: skip
        axes.plot(x[~kept], y[~kept], linestyle="none", marker="x", markersize=5, color=INK,
                  label="" if kept.any() else label)  # fmt: skip


def _limits_in_words(found: Found) -> str:
    """The limits that days of some candidate break."""
    trial = found.trial
    parts = [
        f"{BAD_DAY[limit.kind]} on more than {limit.share * 100:g} % of days"
        for k, limit in enumerate(trial.every)
        if limit.share < 1.0 and trial.bad[:, k].any()
    ]
    return "; ".join(parts) or "none here"
