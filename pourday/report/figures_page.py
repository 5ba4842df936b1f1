"""The sheet that every figure is drawn on: A4 landscape, heading, facts, foot, clock axis.

Ink does the work: fills differ in lightness and hatch, so that a black and white print says the
same as the screen. Only the object interface of matplotlib is used; nothing global is touched.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MultipleLocator

from pourday.day.log import DayLog

A4 = (11.69, 8.27)
"""Width and height of the sheet (in)."""
POINTS = 72.0
"""Points in an inch."""
DPI = 200
FOOT = (
    "Planning aid. Deck, props and pour stay with the licensed engineer, the deck supplier and "
    "the local code."
)
INK, DARK, MIDDLE, PALE, WARM, GREY = (
    "#1a1a1a",
    "#27466f",
    "#7f9fbe",
    "#d6e2ee",
    "#f2d79b",
    "#8c8c8c",
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
        plan: its name.
        day: number of the day, ``None`` where no day was played.
        facts: one or two lines that say in words what the figure shows.
        scale: 1 for A4, larger sheets where a floor needs them; type keeps its size.
    """
    figure = Figure(figsize=(A4[0] * scale, A4[1] * scale), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    width, height = figure.get_size_inches() * POINTS
    heading = f"{what} · {title} · plan “{plan}”" + ("" if day is None else f" · day {day}")
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


def clock(seconds: float) -> str:
    """Clock time "HH:MM"; past midnight "HH:MM +1", unknown "--:--"."""
    if not math.isfinite(seconds):
        return "--:--"
    minutes = math.floor(seconds / 60 + 0.5)
    days, rest = divmod(minutes, 24 * 60)
    return f"{rest // 60:02d}:{rest % 60:02d}" + (f" +{days}" if days else "")


def span(seconds: float) -> str:
    """A length of time in words: "3 h 05 min"; under an hour "45 min"."""
    minutes = math.floor(seconds / 60 + 0.5)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def last_moment(log: DayLog) -> float:
    """Last time (s) of which the log knows anything, also where the pour never ended."""
    times = [
        log.ready,
        log.end,
        *(s.end for s in log.stretches),
        *(v.left_site for v in log.visits),
    ]
    return max(t for t in times if math.isfinite(t))


def clock_axis(ax: Axes, start: float, end: float, *, labels: bool = True) -> None:
    """Clock on x with a line at every full hour (or second, fourth hour on a long day)."""
    low, high = math.floor(start / 1800) * 1800, math.ceil(end / 1800) * 1800
    hours = max(1, (high - low) / 3600)
    step = next(s for s in (1, 2, 4, 8, 1e9) if hours / s <= 17)
    ax.set_xlim(low, max(high, low + 1800))
    ax.xaxis.set_major_locator(MultipleLocator(step * 3600))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda t, _: clock(t)))
    ax.tick_params(axis="x", labelsize=8, labelbottom=labels, bottom=labels)
    ax.grid(axis="x", color="#c9c9c9", linewidth=0.6)
    ax.set_axisbelow(True)


def mark_breaks(axes: Iterable[Axes], log: DayLog, *, label: Axes | None = None) -> None:
    """Grey bands where the crew took its breaks, with the word "break" at the top of ``label``."""
    pauses = [stop for stop in log.stops if stop.kind == "idle"]
    for ax in axes:
        for pause in pauses:
            ax.axvspan(pause.start, pause.end, facecolor="#ececec", edgecolor="none", zorder=0.2)
    for pause in pauses if label is not None else []:
        assert label is not None
        label.text(
            (pause.start + pause.end) / 2,
            0.985,
            "break",
            transform=label.get_xaxis_transform(),
            rotation=90,
            ha="center",
            va="top",
            size=7.5,
            color=INK,
        )
