"""The finished floor: where its top lies, how thick it is, and how to set the height gauges.

All of it follows from the order of placing; no day is needed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.floor.layout import Layout
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.surface import LineSurface, straightedge_gap, surfaces

BANDS = (0.005, 0.010, 0.015)
"""Half widths of the bands a level survey is judged by (m); common practice, no source."""
AT_COLUMNS = 0.015
"""Level to datum around columns that a composite slab should reach (m): Concrete Society, "Finishes
for composite slabs with steel decking" (fingertips, page 883, read), which rests on its Technical
Report 75. Elsewhere this may not be reached, it says."""
UNDER_STRAIGHTEDGE = 0.010
"""Gap under a straightedge of 2 m, class SR3 of BS 8204 (m); the same page says that it may be
achievable on areas of the floor."""


@dataclass(frozen=True)
class LevelSurvey:
    """Top of the finished floor against its datum (m, + is low), point by point, weighted by area.

    ``low`` and ``high`` are the lowest and the highest place, ``mean`` the mean, ``within`` the
    share of the floor inside each of :data:`BANDS`. ``over_supports`` is the greatest distance from
    the datum, either way, at which the top was struck beside a column, wall or beam: what the
    support has gone down is left out, as if a column stood there. ``straightedge`` is the
    greatest gap under 2 m along the sheets. ``moved_down`` and ``moved_up`` are the greatest later
    movement of a surface already struck. ``extra`` is concrete above theory (m³), ``least`` and
    ``most`` the thickness against theory (m).
    """

    low: float
    high: float
    mean: float
    within: tuple[float, ...]
    over_supports: float
    straightedge: float
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
    found = surfaces(basis)
    different = {id(each.top): each for each in found}  # lines alike share their arrays
    level = np.concatenate([each.top for each in found])
    moved = np.concatenate([each.moved for each in found])
    extra = np.concatenate([each.thickness for each in found]) - theory(basis)
    area = np.concatenate([each.area for each in found])
    placed = area > 0
    return LevelSurvey(
        low=float(level[placed].max()),
        high=float(level[placed].min()),
        mean=float(np.average(level, weights=area)),
        within=tuple(float(area[np.abs(level) <= band].sum() / area.sum()) for band in BANDS),
        over_supports=max(_over_supports(basis, each) for each in found),
        straightedge=max(straightedge_gap(each) for each in different.values()),
        moved_down=float(moved[placed].max(initial=0.0)),
        moved_up=float(-moved[placed].min(initial=0.0)),
        extra=basis.layout.ponding,
        least=float(extra[placed].min()),
        most=float(extra[placed].max()),
    )


def _over_supports(basis: Basis, surface: LineSurface) -> float:
    """Greatest level struck beside a support that is no prop, beyond datum and what pins did."""
    if basis.layout.struck.how != "guides":
        return 0.0  # the laser, pins and gauges of even thickness start from the supports
    firm = [x for x in surface.line.supports if not basis.scenario.props.under(x)]
    near = {int(np.argmin(np.abs(surface.x - (x + side)))) for x in firm for side in (-1e-3, 1e-3)}
    level, pins = surface.struck[sorted(near)], surface.pins[sorted(near)]
    over = np.maximum(level - np.maximum(pins, 0.0), np.minimum(pins, 0.0) - level)
    return float(over.max(initial=0.0))


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
        # While it is struck the front stands there: half of its own step is on the beam.
        left = bend - float(layout.struck.moved[at : at + 2, node].mean())
        end = bend - float(layout.struck.moved[-1][node])
        match basis.plan.strike:
            case "datum":
                top = 0.0
            case "pins":
                # Set level on the bare deck's beams; they have gone down with them since.
                top = left - bend + float(layout.struck.moved[0][node])
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
