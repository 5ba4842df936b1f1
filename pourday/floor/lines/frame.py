"""The beams of a floor as one frame: which nodes there are, what holds them, how far they move.

Nodes lie where a support line (secondary beam, wall, prop line) crosses a deck line, a primary
beam or the edge of the floor. Deck lines stand for the width of floor around them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.grillage import Beam, grillage
from pourday.floor.cut import FloorCut
from pourday.scenario.model.scenario import BeamData, Scenario

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_NEAR = 1e-6
LEAST_LINES = 9
"""Deck lines between two primary beams. n lines put n point loads on a beam in place of an even
one: its middle sags 1.6 % too much with five, 0.8 % with seven, 0.5 % with nine (worked out by
hand)."""
BESIDE = 0.1
"""Width (m) of the line beside each end of the beams: there the deck lies on supports that hardly
give and hogs most, which lines a ninth of the beam apart do not see."""


@dataclass(frozen=True)
class Station:
    """A deck line along x at ``y`` that stands for the floor from ``low`` to ``high`` (m)."""

    lane: int
    y: float
    low: float
    high: float

    @property
    def width(self) -> float:
        """Width of floor the line stands for (m)."""
        return self.high - self.low


@dataclass(frozen=True, eq=False)
class Frame:
    """Nodes of the beams and how they move.

    ``x`` (S,) support lines, ``y`` (K,) places along them, ``node`` (S, K) node numbers; after
    them come columns that stand under no support line, in ``columns`` as (x, y). ``move`` (N, N) m
    downward of every node for 1 N on each, ``carry`` (N, N) the share of it that walls, columns and
    props take, ``camber`` (S, K) m upward bend before the pour.
    """

    x: Floats
    y: Floats
    node: Ints
    columns: dict[tuple[float, float], int]
    move: Floats
    carry: Floats
    camber: Floats

    def nodes_of(self, supports: tuple[float, ...], y: float) -> Ints:
        """Nodes under a deck line: its supports at its place along y."""
        k = int(np.argmin(np.abs(self.y - y)))
        return self.node[[int(np.argmin(np.abs(self.x - x))) for x in supports], k]

    def camber_of(self, supports: tuple[float, ...], y: float) -> Floats:
        """Upward bend of a deck line's supports before the pour (m)."""
        k = int(np.argmin(np.abs(self.y - y)))
        return self.camber[[int(np.argmin(np.abs(self.x - x))) for x in supports], k]


def stations(
    scenario: Scenario, cut: FloorCut, band_marks: Sequence[float] = ()
) -> tuple[Station, ...]:
    """The deck lines of every lane, even widths of about ``[beams] line_spacing_m``.

    On beams so many between two primary beams, an odd number, so that one line lies in the middle,
    where beams sag most; on rigid supports one line stands for a whole lane: the deck is the same
    all along it. ``band_marks`` are y (m) at which bands of the order "across" meet: a line lies in
    one band only, for which there may be more of them.
    """
    gives = _anything_gives(scenario)
    out = []
    for lane, (low, high) in enumerate(cut.lanes):
        beams = scenario.floor.primary_beams_y if gives else ()
        marks = [low, *(y for y in beams if low + _NEAR < y < high - _NEAR), high]
        for a, b in pairwise(marks):
            inner = [y for y in band_marks if a + _NEAR < y < b - _NEAR]
            out += [
                Station(lane, (c + d) / 2, c, d) for c, d in _even(scenario, [a, *inner, b], gives)
            ]
    return tuple(out)


def _even(scenario: Scenario, marks: Sequence[float], gives: bool) -> Iterator[tuple[float, float]]:
    """Even widths between the marks, so many in all as a length of beam needs."""
    whole, lines = marks[-1] - marks[0], 1
    if gives:
        wanted = whole / scenario.beams.line_spacing
        lines = max(LEAST_LINES, 2 * round((wanted - 1) / 2) + 1)
    ends = (marks[0] + BESIDE, marks[-1] - BESIDE)
    room = min(marks[1] - marks[0], marks[-1] - marks[-2])
    fits = scenario.beams.given and room > 4 * BESIDE
    if fits:
        yield marks[0], ends[0]
        marks = [ends[0], *marks[1:-1], ends[1]]
    for a, b in pairwise(marks):
        count = math.ceil(lines * (b - a) / (marks[-1] - marks[0]) - _NEAR)
        yield from pairwise(np.linspace(a, b, count + 1).tolist())
    if fits:
        yield ends[1], ends[1] + BESIDE


def _anything_gives(scenario: Scenario) -> bool:
    """Whether any support of the deck can go down: a beam, or an elastic prop line."""
    props = scenario.props
    return scenario.beams.given or (bool(props.lines_x) and props.stiffness is not None)


def frame(scenario: Scenario, cut: FloorCut, lines: tuple[Station, ...]) -> Frame | None:
    """Build the frame under the deck lines ``lines``; ``None`` where all supports are rigid.

    Rigid is all where no beam and no elastic prop is given.

    Raises:
        pourday.deck.grillage.BeamTooSoftError: where a beam line is held by nothing.
    """
    if not _anything_gives(scenario):
        return None
    grid = _grid(scenario, lines)
    parts = [
        *_secondary_beams(scenario, grid),
        *_primary_beams(scenario, grid),
        *_deck_lines(scenario, cut, grid),
    ]
    solved = grillage(grid.count, parts, _held(scenario, grid), _springs(scenario, grid))
    return Frame(
        x=grid.x,
        y=grid.y,
        node=grid.node,
        columns=grid.columns,
        move=solved.move,
        carry=solved.carry,
        camber=_camber(scenario, grid),
    )


Columns = dict[tuple[float, float], int]


@dataclass(frozen=True, eq=False)
class _Grid:
    """The nodes, and what runs through them.

    ``x`` (S,) support and prop lines, ``y`` (K,) places along them, ``node`` (S, K) numbers.
    ``is_prop`` (S,), ``secondary`` the beam on each line (``None`` for a wall or a prop line),
    ``lines`` the deck lines, ``columns`` their nodes by (x, y); ``count`` of all nodes.
    """

    x: Floats
    y: Floats
    node: Ints
    is_prop: NDArray[np.bool_]
    secondary: tuple[BeamData | None, ...]
    lines: tuple[Station, ...]
    columns: Columns
    count: int

    def along(self, where: float) -> int:
        """Index of the place along y that is ``where`` (m)."""
        return _index(self.y, where)


def _grid(scenario: Scenario, lines: tuple[Station, ...]) -> _Grid:
    floor, supports = scenario.floor, np.array(scenario.floor.supports)
    x = np.array(sorted({*floor.supports, *scenario.props.lines_x}))
    is_prop = np.array([not np.any(np.abs(supports - a) < _NEAR) for a in x])
    y = np.unique(np.round([0.0, floor.length_y, *floor.primary_beams_y, *(s.y for s in lines)], 9))
    node = np.arange(len(x) * len(y)).reshape(len(x), len(y))
    of_floor = iter(scenario.beams.secondary)
    secondary = tuple(None if prop else next(of_floor) for prop in is_prop)
    # A column under no support line has a node of its own; a prop line is not fixed to the primary.
    columns: Columns = {}
    count = node.size
    for place, primary in zip(floor.primary_beams_y, scenario.beams.primary, strict=True):
        if primary is None:
            continue
        for column in scenario.beams.columns_x:
            near = np.flatnonzero((np.abs(x - column) < _NEAR) & ~is_prop)
            if len(near):
                columns[column, place] = int(node[near[0], _index(y, place)])
            else:
                columns[column, place] = count
                count += 1
    return _Grid(x, y, node, is_prop, secondary, lines, columns, count)


def _held(scenario: Scenario, grid: _Grid) -> NDArray[np.bool_]:
    """Nodes on walls, columns and rigid props."""
    floor, beams, node = scenario.floor, scenario.beams, grid.node
    held = np.zeros(grid.count, dtype=bool)
    held[list(grid.columns.values())] = True
    on_line = np.isin(np.arange(len(grid.y)), [grid.along(s.y) for s in grid.lines])
    for s, beam in enumerate(grid.secondary):
        if grid.is_prop[s]:
            # A prop line has nothing to carry where no deck line meets it.
            held[node[s, ~on_line]] = True
            held[node[s]] |= scenario.props.stiffness is None
        elif beam is None:
            held[node[s]] = True
    primaries = dict(zip(floor.primary_beams_y, beams.primary, strict=True))
    for end in (0.0, floor.length_y):
        if not any(abs(end - p) < _NEAR for p in primaries):
            held[node[:, grid.along(end)]] = True
    for place, primary in primaries.items():
        if primary is None:
            held[node[:, grid.along(place)]] = True
    return held


def _springs(scenario: Scenario, grid: _Grid) -> Floats:
    """Stiffness (N/m) under every node: elastic props, each for the width of its deck line."""
    springs = np.zeros(grid.count)
    for s in np.flatnonzero(grid.is_prop):
        for line in grid.lines:
            here = grid.node[s, grid.along(line.y)]
            springs[here] += (scenario.props.stiffness or 0.0) * line.width
    return springs


def _secondary_beams(scenario: Scenario, grid: _Grid) -> list[Beam]:
    y, node = grid.y, grid.node
    breaks = sorted({0, len(y) - 1, *(grid.along(p) for p in scenario.floor.primary_beams_y)})
    out = []
    for s, beam in enumerate(grid.secondary):
        if beam is None:
            continue
        for a, b in [(0, len(y) - 1)] if beam.continuous else pairwise(breaks):
            out.append(Beam(node[s, a : b + 1], y[a : b + 1], beam.rigidity))
    return out


def _primary_beams(scenario: Scenario, grid: _Grid) -> list[Beam]:
    x, node = grid.x, grid.node
    out = []
    for place, beam in zip(scenario.floor.primary_beams_y, scenario.beams.primary, strict=True):
        if beam is None:
            continue
        k = grid.along(place)
        points = [(float(x[s]), int(node[s, k])) for s in np.flatnonzero(~grid.is_prop)]
        points += [(c, n) for (c, at), n in grid.columns.items() if at == place and n >= node.size]
        points.sort()
        places = np.array([p for p, _ in points])
        nodes = np.array([n for _, n in points], dtype=np.intp)
        # Simply supported spans part at the columns between the outer two; what reaches beyond
        # an outer column is part of the span beside it.
        inner = [] if beam.continuous else sorted(scenario.beams.columns_x)[1:-1]
        cuts = [0, *(_index(places, c) for c in inner), len(places) - 1]
        out += [Beam(nodes[a : b + 1], places[a : b + 1], beam.rigidity) for a, b in pairwise(cuts)]
    return out


def _deck_lines(scenario: Scenario, cut: FloorCut, grid: _Grid) -> list[Beam]:
    x, stiffness = grid.x, scenario.deck.bending_stiffness
    out = []
    for run in cut.runs:
        under = np.flatnonzero((x > run.supports[0] - _NEAR) & (x < run.supports[-1] + _NEAR))
        for line in grid.lines:
            nodes = grid.node[under, grid.along(line.y)]
            out.append(Beam(nodes, x[under], stiffness, line.width))
    return out


def _camber(scenario: Scenario, grid: _Grid) -> Floats:
    """Upward bend: a parabola in every span, on top of the straight line between its ends.

    Prop lines are set up against the deck as it lies, straight between the lines beside them.
    """
    floor, beams, x, y = scenario.floor, scenario.beams, grid.x, grid.y
    camber = np.zeros((len(x), len(y)))
    for place, primary in zip(floor.primary_beams_y, beams.primary, strict=True):
        if primary is not None:
            camber[:, grid.along(place)] = _bow(x, list(beams.columns_x), primary.precamber)
    breaks = [0.0, *(p for p in floor.primary_beams_y if 0 < p < floor.length_y), floor.length_y]
    at = [grid.along(b) for b in breaks]
    for s, beam in enumerate(grid.secondary):
        if beam is not None:
            straight = np.interp(y, y[at], camber[s, at])
            camber[s] = straight + _bow(y, breaks, beam.precamber)
        else:
            camber[s] = 0.0
    lines = np.flatnonzero(~grid.is_prop)
    for prop in np.flatnonzero(grid.is_prop):
        camber[prop] = [np.interp(x[prop], x[lines], row) for row in camber[lines].T]
    return camber


def _bow(places: Floats, supports: list[float], height: float) -> Floats:
    """A parabola of ``height`` over every span between supports; 0 beyond the outer ones."""
    out = np.zeros(len(places))
    for a, b in pairwise(sorted(supports)):
        inside = (places >= a) & (places <= b)
        share = (places[inside] - a) / (b - a)
        out[inside] = np.maximum(out[inside], 4 * height * share * (1 - share))
    return out


def _index(places: Floats, where: float) -> int:
    return int(np.argmin(np.abs(places - where)))
