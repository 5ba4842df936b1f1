"""Many days of one plan: concrete placed against delivered, and how long trucks wait."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourday.report.figures.axis import clock_ticks, limit_across, round_axis
from pourday.report.figures.half import WIDE, grid_of, half_page, width_of
from pourday.report.figures.style import (
    DARK,
    FAINT,
    GREY,
    INK,
    LINE,
    MIDDLE,
    NAME,
    PALE,
    PAPER,
    TYPE,
)
from pourday.report.units import PLAIN, SI, Units
from pourday.report.words import clock, percent
from pourday.study.pictures import Pictured

_LEFT, _TALL, _BELOW = 36.0, 150.0, 25.0


def concrete_figure(found: Pictured, units: Units = SI) -> Figure:
    """Concrete delivered and placed over the clock: the middle day, and 8 days in 10 about it."""
    basis, volume = found.basis, units.volume
    most = float(found.placed[1, -1])
    facts = (
        f"{found.days} days. Lines: half the days have at most so much. Bands: 8 days in 10 lie "
        f"within. Placed in the end on half the days: {volume.text(most)}.",
    )
    half = half_page(
        "Placed and delivered", basis.scenario.title, basis.plan.name, facts,
        _TALL + _BELOW + 12.0,
    )  # fmt: skip
    axes = half.axes(_LEFT, WIDE - 8 - width_of("delivered", NAME, bold=True), 12.0, _TALL)
    drawn = (
        ("delivered", found.delivered, (0, (4, 1.5)), FAINT, "////", GREY),
        ("placed", found.placed, "-", PALE, "", DARK),
    )
    ends = []
    for name, (low, middle, high), style, fill, hatch, edge in drawn:
        axes.fill_between(
            found.clock, low, high, facecolor=fill, edgecolor=edge, hatch=hatch, lw=0.5, alpha=0.8
        )
        axes.plot(found.clock, middle, ls=style, color=INK, lw=LINE, gid=name)
        ends.append((float(middle[-1]), name))
    top = 1.06 * float(max(found.delivered.max(), found.placed.max(), 1.0))
    axes.set_xlim(found.clock[0], found.clock[-1])
    axes.set_ylim(0.0, top)
    clock_ticks(axes, 6)
    round_axis(axes, "y", volume, 6)
    grid_of(axes, "both")
    axes.set_ylabel(f"concrete, {volume.word}", size=TYPE, labelpad=2)
    axes.set_xlabel("clock", size=TYPE, labelpad=1)
    # Names at the ends of the lines, never nearer to each other than a line of type.
    (low_end, first), (high_end, second) = sorted(ends)
    high_end = max(high_end, low_end + 1.2 * NAME / _TALL * top)
    for at, name in ((low_end, first), (high_end, second)):
        axes.annotate(
            name, (axes.get_xlim()[1], at), xytext=(4, 0), textcoords="offset points",
            va="center", size=NAME, weight="bold", color=INK, annotation_clip=False, gid="name",
        )  # fmt: skip
    curfew = basis.scenario.site.curfew
    if curfew is not None:
        limit_across(axes, curfew, f"curfew {clock(curfew)}")
    return half.figure


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
    above = 2 * 1.4 * NAME + 4
    half = half_page(
        "Trucks waiting", basis.scenario.title, basis.plan.name, facts, _TALL + _BELOW + above
    )
    axes = half.axes(_LEFT, WIDE - 8, above, _TALL)
    most = float(waits.max(initial=10.0))
    width = next((w for w in (1, 2, 5, 10, 20, 30) if most / w <= 9), 60)
    edges = np.arange(0.0, (math.floor(most / width) + 2) * width, width)
    shares = np.histogram(waits, edges)[0] / max(1, len(waits))
    axes.bar(edges[:-1], shares, width, align="edge", facecolor=MIDDLE, edgecolor=INK, lw=0.6)
    top = max(float(shares.max()), 0.01)
    axes.set_xlim(0.0, float(edges[-1]))
    axes.set_ylim(0.0, 1.12 * top)
    for left, share in zip(edges[:-1], shares, strict=True):
        if share > 0:
            axes.text(
                left + width / 2, share + 0.012 * top, percent(float(share)), ha="center",
                va="bottom", size=TYPE, color=INK, gid="share", zorder=5, bbox=PAPER,
            )  # fmt: skip
    ticks = MaxNLocator(6, steps=[1, 2, 5, 10]).tick_values(0.0, 1.12 * top)
    axes.set_yticks([tick for tick in ticks if 0.0 <= tick <= min(1.0, 1.12 * top)])
    per_point = float(edges[-1]) / (WIDE - 8 - _LEFT)
    for at, name, level in ((middle, "half the loads", 1), (nine, "9 loads in 10", 0)):
        words = f"{name}: {at:.0f} min"
        axes.plot(
            [at, at], [0, 1.0 + (3 + 1.4 * NAME * level) / _TALL], color=INK, lw=1.2,
            ls=(0, (4, 2)), transform=axes.get_xaxis_transform(), clip_on=False, zorder=4,
        )  # fmt: skip
        long = (width_of(words, NAME, bold=True) + 3) * per_point
        axes.annotate(
            words, (min(at, float(edges[-1]) - long), 1.0), xycoords=axes.get_xaxis_transform(),
            xytext=(2, 3 + 1.4 * NAME * level), textcoords="offset points", va="bottom", size=NAME,
            weight="bold", color=INK, gid="name", annotation_clip=False,
        )  # fmt: skip
    axes.set_xlabel("wait of a truck, min", size=TYPE, labelpad=1)
    axes.set_ylabel("share of loads", size=TYPE, labelpad=2)
    round_axis(axes, "x", PLAIN, 8)
    axes.yaxis.set_major_formatter(FuncFormatter(lambda share, _: percent(share)))
    return half.figure
