"""Level survey of the finished floor: how far its top lies above or below the datum."""

from __future__ import annotations

import math
from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck import level as found
from pourday.outcome.deck.level import BANDS, LevelSurvey
from pourday.outcome.deck.values import Box, CellLevel, cell_levels
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
from pourday.report.figures.style import INK
from pourday.report.units import SI, Unit, Units
from pourday.scenario.model.scenario import Opening

LEAST_TYPE = 5.5
"""Smallest type (pt) of a number; where it does not fit, numbers are thinned out."""
DOWN_HATCH = "...."
_MINUS = "\u2212"


def level_survey(basis: Basis, units: Units = SI) -> Figure:
    """Map of the finished top against its datum, each cell where it is farthest off; + is high.

    Args:
        basis: the plan.
        units: of the reader.
    """
    cells = cell_levels(basis)
    survey = found.level_survey(basis)
    figure, pen, sheet = floor_map(
        basis, "Level survey of the finished floor", _facts(survey, units), None, units
    )
    unit = units.depth
    most = unit.value(1e3 * max(abs(cell.movement) for cell in cells))
    step = _step(most, unit)
    shade = [_shade(cell.movement, step, unit) for cell in cells]
    count = 1 + max(band for _, band in shade)
    ways = {
        False: shades(LEVEL, UP, count + 2)[1:-1],
        True: shades(LEVEL, DOWN, count + 2)[1:-1],
    }
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
            Label(
                place,
                _signed(cells[n].movement, unit),
                ways[shade[n][0]][shade[n][1]],
                f"level {n}",
            )
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
        words.append(f"{band * step:g} to {(band + 1) * step:g} {unit.word} {way}")
    note = "numbers where there is room" if len(places) < len(cells) else ""
    legend(figure, basis.scenario, sheet, handles, words, note)
    return figure


def _shade(move: float, step: float, unit: Unit) -> tuple[bool, int]:
    """Whether a cell went down, and the number of its shade; both by the number printed."""
    printed = float(unit.figure(1e3 * move))
    return printed > 0, max(0, math.ceil(abs(printed) / step - 1e-9) - 1)


def _facts(survey: LevelSurvey, units: Units) -> list[str]:
    within = ", ".join(
        f"±{units.said(f'{band * 1e3:.0f} mm')}: {_share(share)}"
        for band, share in zip(BANDS, survey.within, strict=True)
    )
    unit, word = units.depth, units.depth.word
    return [
        f"Where the top of the finished floor lies against its datum, in {word}, at the place of "
        f"each cell that is farthest off: + is high, {_MINUS} is low (dotted).",
        f"From {_signed(survey.high, unit, 1)} to {_signed(survey.low, unit, 1)} {word}, "
        "24 points a span. "
        f"Share of the floor within {within}. "
        f"Under a {units.said('2 m')} straightedge along the sheets "
        f"{unit.text(1e3 * survey.straightedge)}.",
    ]


def _numbers(cells: list[CellLevel], pen: Pen, openings: tuple[Opening, ...]) -> dict[int, Writing]:
    """Where each cell's number goes, the largest movement first; no two on top of each other."""
    longest = max(len(_signed(cell.movement, pen.units.depth)) for cell in cells)
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
        extent = place.extent(_signed(cells[n].movement, pen.units.depth), pen)
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


def _signed(move: float, unit: Unit, digits: int = 0) -> str:
    """Way below the datum (m) with the sign of a level, ``digits`` of mm; none if it is nothing."""
    text = unit.figure(1e3 * abs(move), digits)
    if not float(text):
        return text
    return ("+" if move < 0 else _MINUS) + text


def _step(most: float, unit: Unit) -> float:
    """A round step that makes about four shades to the worse side; from what is printed up."""
    least = 10.0 ** -max(0, unit.more)
    steps = [least * times for times in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)]
    return next((s for s in steps if 4.2 * s >= most), most / 4)
