"""The finished floor point by point: its top, its soffit and what lies between, along every line.

The mean of a third of a span hides half of the dip within it. Here each struck cell is looked at in
points, with the deck bent as it was when that cell was struck and as it is at the end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.beam import influence
from pourday.deck.settlement import settlement
from pourday.floor.lines.lines import BayDeck
from pourday.floor.lines.ponding import between_beams, old_weight
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats

POINTS = 24
"""Points in a span along x, at least."""


@dataclass(frozen=True, eq=False)
class LineSurface:
    """A line in P points from low to high x; all (P,), m, levels downward from the datum.

    ``cell`` is the struck cell of each point, ``area`` (m²) the floor it stands for, openings left
    out. ``struck`` is the level at which the top was struck, ``top`` where it lies at the end,
    ``soffit`` how far the deck has gone down from its theoretical place, ``thickness`` of concrete
    between them. ``pins`` is how far pins on the beams had gone down when the top was struck there.
    """

    line: DeckLine
    x: Floats
    cell: NDArray[np.intp]
    area: Floats
    struck: Floats
    top: Floats
    soffit: Floats
    thickness: Floats
    pins: Floats

    @property
    def moved(self) -> Floats:
        """How far the top has gone down since it was struck (m)."""
        return self.top - self.struck


@dataclass(frozen=True, eq=False)
class _Bent:
    """Points of a deck and how it bends there: for 1 Pa on each cell, 1 m down of each support.

    ``beyond`` is the sag by what lies beyond the part of the floor that is poured (m).
    """

    x: Floats
    cell: NDArray[np.intp]
    length: Floats
    shape: Floats
    settled: Floats
    beyond: Floats


def surfaces(basis: Basis, points: int = POINTS) -> list[LineSurface]:
    """Every line of a plan, in the layout's order, at least ``points`` to a span."""
    known: dict[int, _Bent] = {}
    alike: dict[tuple[int, int], LineSurface] = {}
    out = []
    for line in basis.layout.lines:
        key = id(line.deck.coarse)  # bands alike share it
        if key not in known:
            known[key] = _bent(basis, line.deck, points)
        same = alike.get((key, id(line.struck))) if basis.layout.frame is None else None
        if same is None:
            out.append(_surface(basis, line, known[key]))
            alike[key, id(line.struck)] = out[-1]
        else:
            out.append(replace(same, line=line, area=_open(basis, line, known[key])))
    return out


def _bent(basis: Basis, deck: BayDeck, points: int) -> _Bent:
    x: list[float] = []
    cell: list[int] = []
    length: list[float] = []
    for n, each in enumerate(deck.cells):
        wide = each.high - each.low
        span = next(b - a for a, b in pairwise(deck.supports) if each.low < b - 1e-9)
        count = max(1, math.ceil(points * wide / span - 1e-6))
        x += [each.low + wide * (k + 0.5) / count for k in range(count)]
        cell += [n] * count
        length += [wide / count] * count
    stiffness = basis.scenario.deck.bending_stiffness
    bounds = [(c.low, c.high) for c in deck.cells]
    return _Bent(
        x=np.array(x),
        cell=np.array(cell, dtype=np.intp),
        length=np.array(length),
        shape=influence(deck.supports, stiffness, bounds, stations=x).deflection,
        settled=settlement(deck.supports, stiffness, stations=x).deflection,
        beyond=_by_beyond(basis, deck, x),
    )


def _by_beyond(basis: Basis, deck: BayDeck, x: list[float]) -> Floats:
    """Sag (len(x),) m by the deck beyond the part that is poured, and what lies there."""
    out = deck.owner < 0
    if not out.any():
        return np.zeros(len(x))
    scenario, pieces = basis.scenario, deck.fine[out]
    weight = scenario.bare_weight + deck.hardened[out] * old_weight(scenario)
    stiffness = scenario.deck.bending_stiffness
    return influence(deck.supports, stiffness, pieces, stations=x).deflection @ weight


def _surface(basis: Basis, line: DeckLine, bent: _Bent) -> LineSurface:
    scenario, layout, struck = basis.scenario, basis.layout, line.struck
    theory = scenario.slab.depth - scenario.deck.void_volume
    when = struck.struck_in[bent.cell]
    bare = bent.shape.sum(axis=1) * scenario.bare_weight + bent.beyond
    soffit = bare + bent.shape @ (scenario.slab.wet_density * struck.thickness)
    then = bare + (bent.shape * struck.load_then[when]).sum(axis=1)
    pins = np.zeros(len(bent.x))
    if layout.frame is not None:
        nodes = layout.frame.nodes_of(line.supports, line.station.y)
        moved, at = layout.struck.moved[:, nodes], layout.struck.moved_then[:, nodes][when]
        camber = np.interp(
            bent.x, line.supports, layout.frame.camber_of(line.supports, line.station.y)
        )
        soffit += bent.settled @ moved[-1] - camber
        then += (bent.settled * at).sum(axis=1) - camber
        by_pins = between_beams(scenario, line.supports, bent.x)
        pins = (by_pins * (at - moved[0])).sum(axis=1)
    match layout.struck.how:
        case "pins":
            level = pins
        case "guides":
            level = (theory + struck.sag_when_struck - struck.thickness)[bent.cell]
        case "thickness":
            level = then
        case _:
            level = np.zeros(len(bent.x))
    top = level + soffit - then
    return LineSurface(
        line=line,
        x=bent.x,
        cell=bent.cell,
        area=_open(basis, line, bent),
        struck=level,
        top=top,
        soffit=soffit,
        thickness=theory + soffit - top,
        pins=pins,
    )


def _open(basis: Basis, line: DeckLine, bent: _Bent) -> Floats:
    """Area (m²) each point stands for, openings left out."""
    station, cut = line.station, basis.layout.cut
    low, high = station.low, station.high
    deep = np.full(len(bent.x), station.width)
    for hole in basis.scenario.floor.openings:
        if hole.y[0] < high and hole.y[1] > low:
            for n in np.flatnonzero((bent.x >= hole.x[0]) & (bent.x <= hole.x[1])):
                deep[n] = cut.open_depth(low, high, float(bent.x[n]))
    return np.asarray(bent.length * deep)


def straightedge_gap(surface: LineSurface, length: float = 2.0) -> float:
    """Greatest gap (m) under a straightedge of this length (m), laid anywhere along the sheets.

    It rests on the two highest places that hold it; what lies below is the gap.
    """
    x, height = surface.x, -surface.top
    most, worst = 1, 0.0
    while most < len(x) and np.any(x[most:] - x[:-most] <= length + 1e-9):
        most += 1
    for left in range(1, most):
        for right in range(1, most - left):
            a, b, c = x[: -left - right], x[left:-right], x[left + right :]
            fits = c - a <= length + 1e-9
            if not fits.any():
                break
            share = (b - a) / (c - a)
            edge = height[: -left - right] * (1 - share) + height[left + right :] * share
            worst = max(worst, float((edge - height[left:-right])[fits].max()))
    return worst
