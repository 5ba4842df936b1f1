"""The finished floor: where its top lies, how thick it is, and how to set the height gauges.

All of it follows from the order of placing; no day is needed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.floor.layout import Layout
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats

BANDS = (0.005, 0.010, 0.015)
"""Half widths of the bands a level survey is judged by (m); common practice, no source."""


@dataclass(frozen=True)
class LevelSurvey:
    """Top of the finished floor against its datum (m, + is low), weighted by area.

    ``low`` and ``high`` are the lowest and the highest place, ``within`` the share of the floor
    inside each of :data:`BANDS`. ``moved_down`` and ``moved_up`` are the greatest later movement of
    a surface already struck. ``extra`` is concrete above theory (m³), ``least`` and ``most`` the
    thickness against theory (m).
    """

    low: float
    high: float
    within: tuple[float, ...]
    moved_down: float
    moved_up: float
    extra: float
    least: float
    most: float


@dataclass(frozen=True)
class GaugePoint:
    """One place along a beam: what the foreman sets out, and what becomes of it (all m).

    ``bend`` is the beam's upward bend before the pour, ``left`` what of it is left when the slab
    is struck there (negative: already below the straight line), ``set_above`` how far above the
    datum the top is struck, ``thickness`` of the slab then over the whole profile, ``finished`` how
    far the top lies above the datum at the end.
    """

    y: float
    bend: float
    left: float
    set_above: float
    thickness: float
    finished: float


@dataclass(frozen=True)
class GaugeLine:
    """A beam line (support at ``x``) with its points from low to high y."""

    x: float
    points: tuple[GaugePoint, ...]


def theory(basis: Basis) -> float:
    """Mean thickness of concrete in theory: depth less the ribs (m)."""
    return basis.scenario.slab.depth - basis.scenario.deck.void_volume


def finished_level(basis: Basis, line: DeckLine) -> Floats:
    """Top of each cell of a line below its datum at the end (m, + is low)."""
    return theory(basis) + line.struck.final_sag - line.struck.thickness


def level_survey(basis: Basis) -> LevelSurvey:
    """Survey the finished floor of a plan."""
    lines = basis.layout.lines
    level = np.concatenate([finished_level(basis, line) for line in lines])
    moved = np.concatenate([line.struck.later_movement for line in lines])
    extra = np.concatenate([line.struck.extra for line in lines])
    area = np.concatenate(
        [[(c.high - c.low) * line.station.width for c in line.cells] for line in lines]
    )
    return LevelSurvey(
        low=float(level.max()),
        high=float(level.min()),
        within=tuple(float(area[np.abs(level) <= band].sum() / area.sum()) for band in BANDS),
        moved_down=float(moved.max(initial=0.0)),
        moved_up=float(-moved.min(initial=0.0)),
        extra=basis.layout.ponding,
        least=float(extra.min()),
        most=float(extra.max()),
    )


def gauge_lines(basis: Basis) -> tuple[GaugeLine, ...]:
    """Height-gauge settings along every beam line that bends; empty on rigid supports.

    The bend is the beam's own, at the moment the first strip over or beside it is struck, crew not
    counted; the deck between the beams sags more, and the gauges stand on the beams.
    """
    layout = basis.layout
    if layout.frame is None or not basis.scenario.beams.given:
        return ()
    out = []
    for s, x in enumerate(layout.frame.x):
        bends = layout.frame.camber[s].any() or layout.struck.moved[:, layout.frame.node[s]].any()
        if bends and not basis.scenario.props.under(float(x)):
            points = _points(basis, layout, float(x))
            if points:
                out.append(GaugeLine(float(x), points))
    return tuple(out)


def _points(basis: Basis, layout: Layout, x: float) -> tuple[GaugePoint, ...]:
    assert layout.frame is not None
    step = {
        (strip, line): number
        for number, (strip, lines) in enumerate(layout.struck.steps)
        for line in lines
    }
    first: dict[float, tuple[int, DeckLine, list[int]]] = {}
    for number, line in enumerate(layout.lines):
        for n, cell in enumerate(line.cells):
            if min(abs(cell.low - x), abs(cell.high - x)) > 1e-6:
                continue
            at = step[cell.strip, number]
            known = first.get(line.station.y)
            if known is None or at < known[0]:
                first[line.station.y] = (at, line, [n])
            elif at == known[0] and known[1] is line:
                known[2].append(n)
    nominal = theory(basis)
    ribs = basis.scenario.slab.depth - nominal
    out = []
    for y, (at, line, cells) in sorted(first.items()):
        node = layout.frame.nodes_of((x,), y)[0]
        bend = float(layout.frame.camber_of((x,), y)[0])
        left = bend - float(layout.struck.moved[at + 1][node])
        end = bend - float(layout.struck.moved[-1][node])
        match basis.plan.strike:
            case "datum":
                top = 0.0
            case "pins":
                # Set level on the bare deck's beams; they have gone down with them since.
                top = -float((layout.struck.moved[at + 1] - layout.struck.moved[0])[node])
            case "thickness":
                top = left
            case _:
                struck = line.struck
                top = float((struck.thickness - struck.sag_when_struck)[cells].mean()) - nominal
        thickness = nominal + top - left
        out.append(
            GaugePoint(
                y=y,
                bend=bend,
                left=left,
                set_above=top,
                thickness=thickness + ribs,
                finished=end + thickness - nominal,
            )
        )
    return tuple(out)
