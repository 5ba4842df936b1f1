"""The floor's fresh edges by risk over many days: width and dashes say it, numbers beside them."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from pourday.report.figures.deck.floor_map import floor_map, furnish, legend
from pourday.report.figures.page import DARK, GREY, INK
from pourday.report.words import percent
from pourday.study.pictures import Pictured

_MOST = 12
_LOOKS: dict[str, dict[str, Any]] = {
    "cold": {"color": INK, "linewidth": 5.0},
    "stiff": {"color": DARK, "linewidth": 3.0, "linestyle": (0, (3, 1.2))},
    "fresh": {"color": GREY, "linewidth": 1.2},
}


def edges_figure(found: Pictured) -> Figure:
    """Every edge pair as it may end: cold on 1 day in 20 or more, stiff or cold so, or neither."""
    basis, pairs = found.basis, found.basis.layout.pairs
    looks = [look_of(found, n) for n in range(len(pairs))]
    facts = (
        f"{found.days} days. Beside the edges at most risk, on how many of them each went cold, "
        "or stiff.",
    )
    figure, pen, sheet = floor_map(basis, "Edges by risk", facts, None)
    for strip in basis.layout.strips:
        pen.box(strip.x0, strip.x1, strip.y0, strip.y1, facecolor="none", edgecolor="#c9c9c9")
    furnish(pen, basis.scenario, basis.layout.cut)
    for pair, look in zip(pairs, looks, strict=True):
        ends = (pair.at, pair.low, pair.at, pair.high)
        if pair.along == "x":
            ends = (pair.low, pair.at, pair.high, pair.at)
        style = {"zorder": 4.2, "solid_capstyle": "butt", **_LOOKS[look]}
        pen.line(*ends, gid=f"edge {look}", **style)
    ranked = sorted(range(len(pairs)), key=lambda n: (-found.cold[n], -found.stiff[n], n))
    worst = [n for n in ranked if looks[n] != "fresh"][:_MOST]
    for place, n in enumerate(worst):
        pair, cold = pairs[n], looks[n] == "cold"
        share = float(found.cold[n] if cold else found.stiff[n])
        # Neighbours' numbers stand at different heights, so that none lies on another.
        along = pair.low + (0.25, 0.42, 0.59, 0.76)[place % 4] * (pair.high - pair.low)
        at = (pair.at, along) if pair.along == "y" else (along, pair.at)
        words = f"{'cold' if cold else 'stiff'} {percent(share)}"
        pen.text(*at, words, along=True, size=8, weight="bold", zorder=7, gid=f"risk {n}")
    names = {
        "cold": "cold on 5 % of days or more",
        "stiff": "stiff or cold on 5 % or more",
        "fresh": "neither",
    }
    legend(
        figure,
        basis.scenario,
        sheet,
        [Line2D([], [], **_LOOKS[look]) for look in names],
        list(names.values()),
    )
    return figure


def look_of(found: Pictured, pair: int) -> str:
    """How an edge pair is drawn: "cold", "stiff" or "fresh"."""
    if found.cold[pair] >= 0.05:
        return "cold"
    return "stiff" if found.cold[pair] + found.stiff[pair] >= 0.05 else "fresh"
