"""The finished floor: where its top lies, how thick it is, and how to set the height gauges.

All of it follows from the order of placing; no day is needed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.floor.layout import Layout
from pourday.floor.states import DeckLine
from pourday.outcome.basis import Basis, Floats

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
    datum the top is struck, ``thickness`` of concrete then (mean over the ribs), ``finished`` how
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
    """Height-gauge settings along every beam line that bends; empty on rigid supports."""
    layout = basis.layout
    if layout.frame is None:
        return ()
    out = []
    for s, x in enumerate(layout.frame.x):
        if layout.frame.camber[s].any() or layout.struck.moved[:, layout.frame.node[s]].any():
            points = _points(basis, layout, float(x))
            if points:
                out.append(GaugeLine(float(x), points))
    return tuple(out)


def _points(basis: Basis, layout: Layout, x: float) -> tuple[GaugePoint, ...]:
    by_y: dict[float, list[tuple[float, ...]]] = {}
    assert layout.frame is not None
    for line in layout.lines:
        beside = [
            n for n, c in enumerate(line.cells) if min(abs(c.low - x), abs(c.high - x)) < 1e-6
        ]
        if not beside:
            continue
        bend = float(layout.frame.camber_of((x,), line.station.y)[0])
        struck, level = line.struck, finished_level(basis, line)
        sag, thickness = struck.sag_when_struck[beside], struck.thickness[beside]
        by_y.setdefault(line.station.y, []).append(
            (
                bend,
                -float(sag.mean()),
                float((thickness - sag).mean()) - theory(basis),
                float(thickness.mean()),
                -float(level[beside].mean()),
            )
        )
    return tuple(
        GaugePoint(y, *(float(v) for v in np.mean(rows, axis=0)))
        for y, rows in sorted(by_y.items())
    )
