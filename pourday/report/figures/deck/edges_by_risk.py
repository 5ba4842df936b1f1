"""The floor's fresh edges by risk over many days: width and dashes say it, numbers beside them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from pourday.floor.strips import Strip
from pourday.outcome.deck.values import Box
from pourday.report.figures.deck.floor_map import (
    Writing,
    fit,
    floor_map,
    free_part,
    furnish,
    legend,
)
from pourday.report.figures.floor import Pen
from pourday.report.figures.half import width_of
from pourday.report.figures.style import DARK, GREY, INK, LIGHT
from pourday.report.units import SI, Units
from pourday.report.words import percent, strip_words
from pourday.study.pictures import Pictured

_MOST = 12
_SIZE, _LEAST = 8.0, 7.0  # type (pt) of shares, and of the names of strips at least
_LOOKS: dict[str, dict[str, Any]] = {
    "cold": {"color": INK, "linewidth": 5.0},
    "stiff": {"color": DARK, "linewidth": 3.0, "linestyle": (0, (3, 1.2))},
    "fresh": {"color": GREY, "linewidth": 1.2},
}


def edges_figure(found: Pictured, units: Units = SI) -> Figure:
    """Every edge pair as it may end: cold on 1 day in 20 or more, stiff or cold so, or neither."""
    basis, pairs = found.basis, found.basis.layout.pairs
    looks = [look_of(found, n) for n in range(len(pairs))]
    some = " Beside the edges at most risk, on how many of them each went cold, or stiff."
    facts = (
        f"{found.days} days.{some if set(looks) - {'fresh'} else ''} Numbers: strips, in order.",
    )
    figure, pen, sheet = floor_map(basis, "Edges by risk", facts, None, units)
    for strip in basis.layout.strips:
        pen.box(strip.x0, strip.x1, strip.y0, strip.y1, facecolor="none", edgecolor=LIGHT)
    furnish(pen, basis.scenario, basis.layout.cut)
    for pair, look in zip(pairs, looks, strict=True):
        ends = (pair.at, pair.low, pair.at, pair.high)
        if pair.along == "x":
            ends = (pair.low, pair.at, pair.high, pair.at)
        style = {"zorder": 4.2, "solid_capstyle": "butt", **_LOOKS[look]}
        pen.line(*ends, gid=f"edge {look}", **style)
    taken = _shares(found, looks, pen)
    _names(found, pen, taken)
    names = {
        "cold": "cold on 5 % of days or more",
        "stiff": "stiff or cold on 5 % or more",
        "fresh": "stiff or cold on less than 5 %",
    }
    used = [look for look in names if look in looks]
    handles = [Line2D([], [], **_LOOKS[look]) for look in used]
    legend(figure, basis.scenario, sheet, handles, [names[look] for look in used])
    return figure


def look_of(found: Pictured, pair: int) -> str:
    """How an edge pair is drawn: "cold", "stiff" or "fresh"."""
    if found.cold[pair] >= 0.05:
        return "cold"
    return "stiff" if found.cold[pair] + found.stiff[pair] >= 0.05 else "fresh"


def _shares(found: Pictured, looks: list[str], pen: Pen) -> list[Box]:
    """Shares of days beside the edges at most risk, each where it lies on nothing; their boxes."""
    basis, pairs = found.basis, found.basis.layout.pairs
    floor = basis.scenario.floor
    taken: list[Box] = [(*hole.x, *hole.y) for hole in floor.openings]
    ranked = sorted(range(len(pairs)), key=lambda n: (-found.cold[n], -found.stiff[n], n))
    for n in [n for n in ranked if looks[n] != "fresh"][:_MOST]:
        pair, cold = pairs[n], looks[n] == "cold"
        share = float(found.cold[n] if cold else found.stiff[n])
        words = f"{'cold' if cold else 'stiff'} {percent(share)}"
        # Along the edge where there is room for it; a short one is written across.
        long = width_of(words, _SIZE, bold=True) / 2 + 2
        upright = (pair.along == "y") != pen.turned
        if (pair.high - pair.low) * pen.points < 2 * long:
            upright = False
        wide, deep = (0.7 * _SIZE, long) if upright else (long, 0.7 * _SIZE)
        half = (deep, wide) if pen.turned else (wide, deep)
        half_x, half_y = half[0] / pen.points, half[1] / pen.points
        for part in (0.5, 0.3, 0.7, 0.2, 0.8, 0.4, 0.6, 0.1, 0.9):
            along = pair.low + part * (pair.high - pair.low)
            x, y = (pair.at, along) if pair.along == "y" else (along, pair.at)
            # Words on an edge near the border of the floor move in.
            x = min(max(x, floor.supports[0] + half_x), floor.supports[-1] - half_x)
            y = min(max(y, half_y), floor.length_y - half_y)
            box = (x - half_x, x + half_x, y - half_y, y + half_y)
            if not any(_meet(box, other) for other in taken):
                style: dict[str, Any] = {"size": _SIZE, "weight": "bold", "gid": f"risk {n}"}
                pen.text(x, y, words, rotation=90 if upright else 0, zorder=7, **style)
                taken.append(box)
                break
    return taken


def _names(found: Pictured, pen: Pen, taken: list[Box]) -> None:
    """Strips as people call them where there is space, else by number alone, clear of shares."""
    basis = found.basis
    strips, holes = basis.layout.strips, basis.scenario.floor.openings
    whole = [strip_words(n, strip.name) for n, strip in enumerate(strips, start=1)]
    in_full = all(
        (place := _place(strip, words, pen, taken, holes)) is not None and place.size >= _LEAST
        for strip, words in zip(strips, whole, strict=True)
    )
    for n, strip in enumerate(strips, start=1):
        words = whole[n - 1] if in_full else f"{n}"
        place = _place(strip, words, pen, taken, holes)
        if place is None:
            continue
        style: dict[str, Any] = {"size": _LEAST, "gid": f"strip {n}"}
        style["rotation"] = 90 if place.on_end else 0
        pen.text(place.x, place.y, words, zorder=5, **style)


def _place(strip: Strip, words: str, pen: Pen, taken: list[Box], holes: Any) -> Writing | None:
    """Where a strip's name stands at 7 pt: in its middle, or up or down from there."""
    whole: Box = (strip.x0, strip.x1, strip.y0, strip.y1)
    box = free_part(whole, holes)
    if box is None:
        return None
    place = fit(max(1, len(words)), box, pen, _LEAST)
    long = width_of(words, _LEAST) / 2 + 1
    wide, tall = (0.6 * _LEAST, long) if place.on_end else (long, 0.6 * _LEAST)
    half_x, half_y = (tall, wide) if pen.turned else (wide, tall)
    half_x, half_y = half_x / pen.points, half_y / pen.points
    if 2 * half_x > box[1] - box[0] or 2 * half_y > box[3] - box[2]:
        return None
    for part in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9):
        y = min(max(box[2] + part * (box[3] - box[2]), box[2] + half_y), box[3] - half_y)
        mine = (place.x - half_x, place.x + half_x, y - half_y, y + half_y)
        if not any(_meet(mine, other) for other in taken):
            return replace(place, y=y, size=_LEAST)
    return None


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[1] and b[0] < a[1] and a[2] < b[3] and b[2] < a[3]
