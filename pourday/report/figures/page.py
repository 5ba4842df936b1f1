"""The sheet that every figure is drawn on: A4 landscape, heading, facts, foot, clock axis.

Ink does the work: fills differ in lightness and hatch, so that a black and white print says the
same as the screen. Only the object interface of matplotlib is used; nothing global is touched.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MultipleLocator

from pourday.day.log import IDLE, DayLog
from pourday.report.figures.png import DPI
from pourday.report.figures.style import FAINT, INK, LIGHT, LIMIT, PAPER
from pourday.report.words import clock

A4 = (11.69, 8.27)
"""Width and height of the sheet (in)."""
POINTS = 72.0
"""Points in an inch."""
FOOT = (
    "Planning aid. Deck, props and pour stay with the licensed engineer, the deck supplier and "
    "the local code."
)
_LEFT = 0.035
_EM = 0.60  # mean width of a letter, as a share of the type size


def page(
    what: str, title: str, plan: str, day: int | None, facts: Sequence[str], scale: float = 1.0
) -> Figure:
    """An empty sheet with heading, lines of facts below it, and the foot.

    Args:
        what: name of the figure.
        title: of the scenario.
        plan: its name; empty where the figure is of all plans.
        day: number of the day, ``None`` where no day was played.
        facts: one or two lines that say in words what the figure shows.
        scale: 1 for A4, larger sheets where a floor needs them; type keeps its size.
    """
    figure = Figure(figsize=(A4[0] * scale, A4[1] * scale), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    width, height = figure.get_size_inches() * POINTS
    heading = " · ".join([what, title, *([f"plan “{plan}”"] if plan else [])])
    heading += "" if day is None else f" · day {day}"
    room = width * (1 - 2 * _LEFT)
    top = height - 26
    size = type_size(heading, room / 1.1, 15, least=8)
    figure.text(_LEFT, top / height, heading, size=size, weight="bold", color=INK, va="center")
    for line in facts:
        top -= 15
        size = type_size(line, room, 9.5, least=6.5)
        figure.text(_LEFT, top / height, line, size=size, color=INK, va="center")
    figure.text(_LEFT, 11 / height, FOOT, size=7, color=INK, va="center")
    return figure


def type_size(text: str, room: float, most: float, least: float) -> float:
    """Type size (pt) at which ``text`` fits into ``room`` (pt), from ``least`` to ``most``."""
    return max(least, min(most, room / (_EM * max(1, len(text)))))


def last_moment(log: DayLog) -> float:
    """Last time (s) of which the log knows anything, also where the pour never ended."""
    times = [
        log.ready,
        log.end,
        *(s.end for s in log.stretches),
        *(v.left_site for v in log.visits),
    ]
    return max(t for t in times if math.isfinite(t))


def full_axis(start: float, end: float) -> tuple[float, float]:
    """From, to (s) of a clock axis: full half hours, at least one."""
    low, high = math.floor(start / 1800) * 1800.0, math.ceil(end / 1800) * 1800.0
    return low, max(high, low + 1800.0)


def clock_axis(ax: Axes, start: float, end: float, *, labels: bool = True) -> None:
    """Clock on x with a line at every full hour; closer on a short day, wider on a long one."""
    low, high = full_axis(start, end)
    hours = max(1, (high - low) / 3600)
    step = next(s for s in (1 / 6, 1 / 2, 1, 2, 4, 8, 1e9) if hours / s <= 17)
    ax.set_xlim(low, high)
    ax.xaxis.set_major_locator(MultipleLocator(step * 3600))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda t, _: clock(t)))
    ax.tick_params(axis="x", labelsize=8, labelbottom=labels, bottom=labels)
    ax.grid(axis="x", color=LIGHT, linewidth=0.6)
    ax.set_axisbelow(True)


def mark_curfew(axes: Sequence[Axes], curfew: float | None, label: Axes | None = None) -> None:
    """The curfew (s) where it lies on the clock axis, named on end beside its line.

    Its name stands low on the first of ``axes``, where late in the day nothing is; or high on
    ``label``.
    """
    low, high = axes[0].get_xlim()
    if curfew is None or not low <= curfew <= high:
        return
    for ax in axes:
        ax.axvline(curfew, zorder=3.5, gid="limit", **LIMIT)
    at = label or axes[0]
    side = -1 if curfew > low + 0.5 * (high - low) else 1
    at.annotate(
        f"curfew {clock(curfew)}", (curfew, 0.97 if label else 0.03), (3 * side, 0),
        xycoords=at.get_xaxis_transform(), textcoords="offset points", rotation=90, size=8,
        weight="bold", color=INK, gid="curfew", ha="right" if side < 0 else "left",
        va="top" if label else "bottom", bbox=PAPER, zorder=6,
    )  # fmt: skip


def clock_words(ax: Axes, curfew: float | None) -> str:
    """What stands at a clock axis; a curfew that lies beyond it is said there."""
    low, high = ax.get_xlim()
    beyond = curfew is not None and not low <= curfew <= high
    return f"clock; curfew {clock(curfew)}" if curfew is not None and beyond else "clock"


def breaks(log: DayLog) -> list[tuple[float, float]]:
    """From, to (s) of the breaks in which every front stands that has work to do just then.

    A front has work from its first concrete to its last. A break that only one of two fronts takes
    is none of the site; crews that take theirs in turns never stand.
    """
    idle = [stop for stop in log.stops if stop.kind == IDLE]
    at_work = [(front.start, front.end) for front in log.fronts]
    marks = {t for stop in idle for t in (stop.start, stop.end)}
    marks |= {t for times in at_work for t in times if math.isfinite(t)}
    out: list[tuple[float, float]] = []
    for start, end in pairwise(sorted(marks)):
        middle = (start + end) / 2
        stand = {stop.front for stop in idle if stop.start <= middle <= stop.end}
        work = {n for n, (a, b) in enumerate(at_work) if a <= middle <= b}
        if not stand or work - stand:
            continue
        if out and out[-1][1] == start:
            start = out.pop()[0]
        out.append((start, end))
    return out


def mark_breaks(axes: Iterable[Axes], log: DayLog, *, label: Axes | None = None) -> None:
    """Grey bands where the crews took their breaks, with the word "break" above ``label``."""
    pauses = breaks(log)
    for ax in axes:
        for start, end in pauses:
            ax.axvspan(start, end, facecolor=FAINT, edgecolor="none", zorder=0.2)
    for start, end in pauses if label is not None else []:
        assert label is not None
        label.text(
            (start + end) / 2,
            1.008,
            "break",
            transform=label.get_xaxis_transform(),
            ha="center",
            va="bottom",
            size=7.5,
            color=INK,
        )
