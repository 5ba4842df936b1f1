"""Level survey of the finished floor: how far its top lies above or below the datum."""

from __future__ import annotations

import math
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.values import Box, CellLevel, cell_levels, share_within
from pourday.report.figures.deck.floor_map import (
    Label,
    Writing,
    fit,
    floor_map,
    free_part,
    furnish,
    grounds,
    legend,
    write,
)
from pourday.report.figures.deck.shades import DOWN, LEVEL, UP, shades
from pourday.report.figures.floor import Pen
from pourday.report.figures.page import INK
from pourday.scenario.model.scenario import Opening

BOUNDS_MM = (5, 10, 15)
"""Bounds of level, either way, for which the share of the floor is told."""
LEAST_TYPE = 5.5
"""Smallest type (pt) of a number; where it does not fit, numbers are thinned out."""
DOWN_HATCH = "...."
_MINUS = "\u2212"


def level_survey(basis: Basis) -> Figure:
    """Map of the finished top against its datum (mean of each cell); + is high.

    Args:
        basis: the plan.
    """
    cells = cell_levels(basis)
    low, high = (1e3 * end(cell.movement for cell in cells) for end in (min, max))
    figure, pen, sheet = floor_map(
        basis, "Level survey of the finished floor", _facts(cells, low, high), None
    )
    most = max(abs(low), abs(high))
    step = _step(most)
    count = 1 + max(_shade(cell.movement, step)[1] for cell in cells)
    ways = {
        False: shades(LEVEL, UP, count + 2)[1:-1],
        True: shades(LEVEL, DOWN, count + 2)[1:-1],
    }
    shade = [_shade(cell.movement, step) for cell in cells]
    hatch = {False: "", True: DOWN_HATCH}
    grounds(
        pen,
        [
            (cell.box, ways[down][band], hatch[down], 0.5)
            for cell, (down, band) in zip(cells, shade, strict=True)
        ],
    )
    places = _numbers(cells, pen, basis.scenario.floor.openings)
    write(
        pen,
        [
            Label(place, _signed(cells[n].movement), ways[shade[n][0]][shade[n][1]], f"level {n}")
            for n, place in places.items()
        ],
    )
    furnish(pen, basis.scenario, basis.layout.cut)
    handles: list[Any] = []
    words: list[str] = []
    for down, band in sorted({*shade}, key=lambda s: s[1] if s[0] else -1 - s[1]):
        style: dict[str, Any] = {"edgecolor": INK, "linewidth": 0.6, "hatch": hatch[down]}
        handles.append(Patch(facecolor=ways[down][band], **style))
        way = "low" if down else "high"
        words.append(f"{band * step:g} to {(band + 1) * step:g} mm {way}")
    note = "numbers where there is room" if len(places) < len(cells) else ""
    legend(figure, basis.scenario, sheet, handles, words, note)
    return figure


def _shade(move: float, step: float) -> tuple[bool, int]:
    """Whether a cell went down, and the number of its shade; both by the number printed."""
    printed = round(1e3 * move)
    return printed > 0, max(0, math.ceil(abs(printed) / step) - 1)


def _facts(cells: list[CellLevel], low: float, high: float) -> list[str]:
    within = ", ".join(
        f"±{bound} mm: {_share(share_within(cells, bound / 1e3))}" for bound in BOUNDS_MM
    )
    return [
        "Where the top of the finished floor lies against its datum, in mm, mean of each cell: "
        f"+ is high, {_MINUS} is low (dotted).",
        f"From {_signed(high / 1e3, 1)} to {_signed(low / 1e3, 1)} mm. "
        f"Share of the floor within {within}.",
    ]


def _numbers(cells: list[CellLevel], pen: Pen, openings: tuple[Opening, ...]) -> dict[int, Writing]:
    """Where each cell's number goes, the largest movement first; no two on top of each other."""
    longest = max(len(_signed(cell.movement)) for cell in cells)
    places: dict[int, Writing] = {}
    for n, cell in enumerate(cells):
        room = free_part(cell.box, openings)
        if room is None:
            continue
        place = fit(longest, room, pen, 10.0)
        if room == cell.box or place.size >= LEAST_TYPE:
            places[n] = place
    cap = max(LEAST_TYPE, 1.4 * min((place.size for place in places.values()), default=LEAST_TYPE))
    out: dict[int, Writing] = {}
    taken: list[Box] = []
    for n in sorted(places, key=lambda n: -abs(cells[n].movement)):
        fits, place = places[n].size >= LEAST_TYPE, places[n]
        place = Writing(max(LEAST_TYPE, min(cap, place.size)), place.on_end, place.x, place.y)
        extent = place.extent(_signed(cells[n].movement), pen)
        if not fits and any(_meet(extent, other) for other in taken):
            continue
        taken.append(extent)
        out[n] = place
    return out


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[1] and b[0] < a[1] and a[2] < b[3] and b[2] < a[3]


def _share(share: float) -> str:
    """Per cent, never rounded up to the whole floor."""
    return f"{math.floor(100 * share + 1e-9)} %"


def _signed(move: float, digits: int = 0) -> str:
    """Way below the datum (m) as mm with the sign of a level; none where it rounds to nothing."""
    text = f"{1e3 * abs(move):.{digits}f}"
    if not float(text):
        return text
    return ("+" if move < 0 else _MINUS) + text


def _step(most: float) -> float:
    """A round step (mm) that makes about four shades to the worse side."""
    steps = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
    return next((s for s in steps if 4.2 * s >= most), most / 4)
