"""Plan of the floor: how much of the deck's resistance is used where, and by which strip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.deck.history import Peaks
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.values import CellUse, cell_uses
from pourday.report.basis import NOT_JUDGED, basis_of_shares, why_not_judged
from pourday.report.figures.deck.floor_map import (
    Label,
    fit,
    fit_below,
    floor_map,
    free_part,
    furnish,
    grounds,
    legend,
    write,
)
from pourday.report.figures.deck.shades import DEEP, LIGHT, shades
from pourday.report.figures.style import INK
from pourday.report.units import SI, Units

STEPS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
"""Lower bounds of the shades; the same on every plan, so that two plans can be laid together."""
OVER_HATCH, LOOK_HATCH = "xxxx", "///"
_LEAST = 4.5  # type size (pt) below which a number beside an opening is left out


def use_plan(
    basis: Basis, by_group: tuple[Peaks, ...], seed: int | None, units: Units = SI
) -> Figure:
    """Plan of the floor with the highest use of every span of every line in a day.

    Args:
        basis: the plan.
        by_group: ``outcome.deck.group_peaks`` of it in the day with this seed.
        seed: of the day; it draws the heaps.
        units: of the reader.
    """
    cells = cell_uses(basis, seed)
    look = basis.scenario.loads.look_share
    facts = _facts(basis, by_group, look)
    figure, pen, sheet = floor_map(basis, "Use of the deck by place", facts, seed, units)
    colours = shades(LIGHT, DEEP, len(STEPS) + 1)[: len(STEPS)]
    openings = basis.scenario.floor.openings
    longest = max(len(_number(cell.use)) for cell in cells)
    small = max(len(_cause(cell)) for cell in cells)
    grounds(
        pen,
        [(cell.box, colours[_band(cell.use)], *_hatch(cell.use, look)) for cell in cells],
    )
    labels: list[Label] = []
    for cell in cells:
        colour, room = colours[_band(cell.use)], free_part(cell.box, openings)
        if room is None:
            continue
        place = fit(longest, room, pen, 12.0, bold=True)
        if place.size < _LEAST:
            continue
        both = fit_below(place, longest, small, room, pen)
        if both is not None:
            place, under = both
            gid = f"cause {cell.line} {cell.span}"
            labels.append(Label(under, _cause(cell), colour, gid))
        gid = f"use {cell.line} {cell.span}"
        labels.append(Label(place, _number(cell.use), colour, gid, bold=True))
    write(pen, labels)
    furnish(pen, basis.scenario, basis.layout.cut)
    handles, words = _legend(colours, cells, look)
    legend(figure, basis.scenario, sheet, handles, words)
    return figure


def _band(use: float) -> int:
    """Number of the shade, by the number that is printed: two cells with 90 look the same."""
    if math.isnan(use):
        return 0
    printed = use if use > 1.0 else round(100 * use) / 100
    return sum(printed > low + 1e-9 for low in STEPS[1:])


def _hatch(use: float, look: float) -> tuple[str, float]:
    """Hatch and border (pt) of a cell: above the resistance, to stop and look at, or neither."""
    if use > 1.0:
        return OVER_HATCH, 1.6
    return (LOOK_HATCH if use > look else ""), 0.6


def _number(use: float) -> str:
    """Per cent; above the resistance never rounded down to 100, and marked."""
    if math.isnan(use):
        return "?"
    return f"{100 * use:.0f}" if use <= 1.0 else f"! {math.ceil(100 * use - 1e-9)}"


def _cause(cell: CellUse) -> str:
    return f"strip {cell.strip + 1}"


def _facts(basis: Basis, by_group: tuple[Peaks, ...], look: float) -> list[str]:
    missing = why_not_judged(basis.scenario)
    if missing:
        return [missing]
    shares, strips = [], []
    for peak, group in zip(by_group, basis.groups, strict=True):
        shares.append(peak.use)
        strips.append(group.strips.ravel())
    use, strip = np.concatenate(shares), np.concatenate(strips)
    worst = int(np.argmax(use))
    facts = [
        f"Numbers: highest share of {basis_of_shares(basis.scenario)}, in each span, its supports "
        f"included, in per cent; below it the strip that brings it. Highest: "
        f"{100 * use[worst]:.0f} %, strip {strip[worst] + 1}."
    ]
    over, seen = (sorted({int(s) + 1 for s in strip[use > share]}) for share in (1.0, look))
    if over:
        facts.append(
            f"ABOVE THE RESISTANCE of the deck at strips {_listed(over)}: do not pour like this. "
            "Change the plan or ask the engineer."
        )
    elif seen:
        facts.append(f"Stop and look (use above {100 * look:.0f} %) at strips {_listed(seen)}.")
    return facts


def _listed(numbers: Sequence[int], most: int = 24) -> str:
    return ", ".join(map(str, numbers[:most])) + (", ..." if len(numbers) > most else "")


def _legend(
    colours: Sequence[str], cells: Sequence[CellUse], look: float
) -> tuple[list[Any], list[str]]:
    handles: list[Any] = []
    words: list[str] = []
    style: dict[str, Any] = {"edgecolor": INK, "linewidth": 0.6}
    top = len(STEPS) - 1
    for k in sorted({_band(cell.use) for cell in cells} - {top}):
        handles.append(Patch(facecolor=colours[k], **style))
        high = f"{100 * STEPS[k + 1]:.0f} %"
        if any(math.isnan(cell.use) for cell in cells):
            words.append(NOT_JUDGED)
            continue
        words.append(f"up to {high}" if k == 0 else f"{100 * STEPS[k]:.0f} to {high}")
    if any(look < cell.use <= 1.0 for cell in cells):
        handles.append(Patch(facecolor="white", hatch=LOOK_HATCH, **style))
        words.append(f"above {100 * look:.0f} %: stop and look")
    if any(cell.use > 1.0 for cell in cells):
        handles.append(Patch(facecolor=colours[top], hatch=OVER_HATCH, **(style | _WHITE)))
        words.append("! above 100 %: too much")
    return handles, words


_WHITE = {"edgecolor": "white"}
