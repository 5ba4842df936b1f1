"""Many days of one plan: concrete placed against delivered, and how long trucks wait."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourday.report.figures.page import DARK, INK, MIDDLE, PALE, clock_axis, page
from pourday.report.words import percent
from pourday.study.pictures import Pictured

_AREA = (0.075, 0.09, 0.80, 0.74)


def concrete_figure(found: Pictured) -> Figure:
    """Concrete delivered and placed over the clock: the middle day, and 8 days in 10 about it."""
    basis = found.basis
    most = float(found.placed[1, -1])
    facts = (
        f"{found.days} days. Lines: half the days have at most so much. Bands: 8 days in 10 lie "
        "within.",
        f"Placed in the end on half the days: {most:.0f} m³.",
    )
    figure = page("Placed and delivered", basis.scenario.title, basis.plan.name, None, facts)
    axes = figure.add_axes(_AREA)
    drawn = (
        ("delivered", found.delivered, "--", PALE, "///", MIDDLE),
        ("placed", found.placed, "-", "#b9c8d8", "", DARK),
    )
    ends = []
    for name, (low, middle, high), style, fill, hatch, ink in drawn:
        axes.fill_between(
            found.clock, low, high, facecolor=fill, edgecolor=ink, hatch=hatch, lw=0.4, alpha=0.75
        )
        axes.plot(found.clock, middle, ls=style, color=INK, lw=2.0, gid=name)
        ends.append((float(middle[-1]), name))
    clock_axis(axes, float(found.clock[0]), float(found.clock[-1]))
    top = float(max(found.delivered.max(), found.placed.max(), 1.0))
    axes.set_ylim(0.0, 1.06 * top)
    axes.yaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    axes.set_ylabel("concrete, m³", size=9)
    # Names at the ends of the lines, never nearer to each other than a line of type.
    (low, first), (high, second) = sorted(ends)
    high = max(high, low + 0.045 * top)
    for at, name in ((low, first), (high, second)):
        axes.annotate(
            name, (axes.get_xlim()[1], at), xytext=(6, 0), textcoords="offset points",
            va="center", size=10, weight="bold", color=INK, annotation_clip=False,
        )  # fmt: skip
    _plain(axes)
    return figure


def waits_figure(found: Pictured) -> Figure:
    """Share of all loads by how long their trucks wait, with the wait of half and of 9 in 10."""
    basis = found.basis
    waits = found.waits / 60.0
    middle, nine = np.percentile(waits, (50, 90)) if len(waits) else (0.0, 0.0)
    facts = (
        f"{found.days} days, {found.loads_a_day:.1f} loads a day. Waiting before discharge; gate, "
        "positioning and test not counted.",
        f"Half the loads wait {middle:.0f} min at most, 9 loads in 10 {nine:.0f} min at most.",
    )
    figure = page("Trucks waiting", basis.scenario.title, basis.plan.name, None, facts)
    axes = figure.add_axes(_AREA)
    most = float(waits.max(initial=10.0))
    width = next((w for w in (1, 2, 5, 10, 20, 30) if most / w <= 20), 60)
    edges = np.arange(0.0, (math.floor(most / width) + 2) * width, width)
    shares = np.histogram(waits, edges)[0] / max(1, len(waits))
    axes.bar(edges[:-1], shares, width, align="edge", facecolor=MIDDLE, edgecolor=INK, lw=0.8)
    top = max(float(shares.max()), 0.01)
    for left, share in zip(edges[:-1], shares, strict=True):
        if share > 0:
            axes.text(
                left + width / 2, share + 0.01 * top, percent(float(share)), ha="center",
                va="bottom", size=8, color=INK, gid="share", zorder=5,
                bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"},
            )  # fmt: skip
    axes.set_xlim(0.0, float(edges[-1]))
    axes.set_ylim(0.0, 1.22 * top)
    ticks = MaxNLocator(7, steps=[1, 2, 5, 10]).tick_values(0.0, 1.22 * top)
    axes.set_yticks([tick for tick in ticks if 0.0 <= tick <= min(1.0, 1.22 * top)])
    for at, words, level in ((middle, "half the loads", 1.19), (nine, "9 loads in 10", 1.11)):
        axes.plot([at, at], [0, level * top], color=INK, lw=1.2, ls=(0, (4, 2)))
        axes.annotate(
            f"{words}: {at:.0f} min", (at, level * top), xytext=(4, 0),
            textcoords="offset points", va="top", size=9, weight="bold", color=INK,
        )  # fmt: skip
    axes.set_xlabel("wait of a truck, min", size=9)
    axes.set_ylabel("share of loads", size=9)
    axes.xaxis.set_major_locator(MaxNLocator(10, steps=[1, 2, 5, 10], integer=True))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda share, _: percent(share)))
    _plain(axes)
    return figure


def _plain(axes: Axes) -> None:
    axes.tick_params(labelsize=9)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
