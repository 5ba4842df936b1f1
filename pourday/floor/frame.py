"""The beams of a floor as one frame: which nodes there are, what holds them, how far they move.

Nodes lie where a support line (secondary beam, wall, prop line) crosses a deck line, a primary
beam or the edge of the floor. Deck lines stand for the width of floor around them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.grillage import Beam, flexibility
from pourday.floor.bays import lanes, sheet_runs
from pourday.scenario.model import BeamData, Scenario

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_NEAR = 1e-6


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

    ``x`` (S,) support lines, ``y`` (K,) places along them, ``node`` (S, K) node numbers,
    ``move`` (N, N) m downward of every node for 1 N on each, ``camber`` (S, K) m upward bend
    before the pour.
    """

    x: Floats
    y: Floats
    node: Ints
    move: Floats
    camber: Floats

    def nodes_of(self, supports: tuple[float, ...], y: float) -> Ints:
        """Nodes under a deck line: its supports at its place along y."""
        k = int(np.argmin(np.abs(self.y - y)))
        return self.node[[int(np.argmin(np.abs(self.x - x))) for x in supports], k]

    def camber_of(self, supports: tuple[float, ...], y: float) -> Floats:
        """Upward bend of a deck line's supports before the pour (m)."""
        k = int(np.argmin(np.abs(self.y - y)))
        return self.camber[[int(np.argmin(np.abs(self.x - x))) for x in supports], k]


def stations(scenario: Scenario) -> tuple[Station, ...]:
    """The deck lines of every lane, even widths of about ``[beams] line_spacing_m``.

    Without beams one line stands for a whole lane: the deck is the same all along it.
    """
    out = []
    for lane, (low, high) in enumerate(lanes(scenario.floor)):
        count = 1
        if scenario.beams.given:
            count = max(1, round((high - low) / scenario.beams.line_spacing))
        edges = np.linspace(low, high, count + 1)
        out += [Station(lane, (a + b) / 2, a, b) for a, b in pairwise(edges.tolist())]
    return tuple(out)


def frame(scenario: Scenario) -> Frame | None:
    """Build the frame; ``None`` where no beam is given, so that every support is rigid.

    Raises:
        pourday.deck.grillage.BeamTooSoftError: where a beam line is held by nothing.
    """
    if not scenario.beams.given:
        return None
    floor, props, beams = scenario.floor, scenario.props, scenario.beams
    x = np.array(sorted({*floor.supports, *props.lines_x}))
    is_prop = np.array([not np.any(np.abs(np.array(floor.supports) - a) < _NEAR) for a in x])
    lines = stations(scenario)
    y = np.unique(np.round([0.0, floor.length_y, *floor.primary_beams_y, *(s.y for s in lines)], 9))
    node = np.arange(len(x) * len(y)).reshape(len(x), len(y))
    secondary: list[BeamData | None] = []
    of_floor = iter(beams.secondary)
    for prop in is_prop:
        secondary.append(None if prop else next(of_floor))
    columns = _columns(beams.columns_x, x, node)
    count = node.size + len(columns.extra)
    held = _held(scenario, x, y, node, secondary, is_prop, count, columns)
    springs = np.zeros(count)
    for s in np.flatnonzero(is_prop):
        for line in lines:
            k = int(np.argmin(np.abs(y - line.y)))
            springs[node[s, k]] += (props.stiffness or 0.0) * line.width
    parts = [
        *_secondary_beams(floor.primary_beams_y, y, node, secondary),
        *_primary_beams(scenario, x, y, node, is_prop, columns),
        *_deck_lines(scenario, x, y, node, lines),
    ]
    return Frame(
        x=x,
        y=y,
        node=node,
        move=flexibility(count, parts, held, springs),
        camber=_camber(scenario, x, y, secondary),
    )


@dataclass(frozen=True, eq=False)
class _Columns:
    """x of the columns, and the extra nodes (by primary, by column) for those off the supports."""

    x: tuple[float, ...]
    at_support: dict[int, int]
    extra: tuple[int, ...]
    first_extra: int


def _columns(columns_x: tuple[float, ...], x: Floats, node: Ints) -> _Columns:
    at = {c: int(np.argmin(np.abs(x - a))) for c, a in enumerate(columns_x)}
    at = {c: s for c, s in at.items() if abs(x[s] - columns_x[c]) < _NEAR}
    extra = tuple(c for c in range(len(columns_x)) if c not in at)
    return _Columns(columns_x, at, extra, node.size)


def _held(
    scenario: Scenario,
    x: Floats,
    y: Floats,
    node: Ints,
    secondary: list[BeamData | None],
    is_prop: NDArray[np.bool_],
    count: int,
    columns: _Columns,
) -> NDArray[np.bool_]:
    """Nodes on walls, columns and rigid props; columns off the supports are held for every one."""
    floor, beams = scenario.floor, scenario.beams
    held = np.zeros(count, dtype=bool)
    held[node.size :] = True
    on_line = np.isin(np.arange(len(y)), [_index(y, s.y) for s in stations(scenario)])
    for s, beam in enumerate(secondary):
        if is_prop[s]:
            # A prop line has nothing to carry where no deck line meets it.
            held[node[s, ~on_line]] = True
            held[node[s]] |= scenario.props.stiffness is None
        elif beam is None:
            held[node[s]] = True
    primaries = dict(zip(floor.primary_beams_y, beams.primary, strict=True))
    for end in (0.0, floor.length_y):
        if not any(abs(end - p) < _NEAR for p in primaries):
            held[node[:, _index(y, end)]] = True
    for place, primary in primaries.items():
        k = _index(y, place)
        if primary is None:
            held[node[:, k]] = True
        for s in columns.at_support.values():
            held[node[s, k]] = True
    return held


def _secondary_beams(
    primaries_y: tuple[float, ...], y: Floats, node: Ints, secondary: list[BeamData | None]
) -> list[Beam]:
    breaks = sorted({0, len(y) - 1, *(_index(y, p) for p in primaries_y)})
    out = []
    for s, beam in enumerate(secondary):
        if beam is None:
            continue
        for a, b in [(0, len(y) - 1)] if beam.continuous else pairwise(breaks):
            out.append(Beam(node[s, a : b + 1], y[a : b + 1], beam.rigidity))
    return out


def _primary_beams(
    scenario: Scenario,
    x: Floats,
    y: Floats,
    node: Ints,
    is_prop: NDArray[np.bool_],
    columns: _Columns,
) -> list[Beam]:
    out = []
    for place, beam in zip(scenario.floor.primary_beams_y, scenario.beams.primary, strict=True):
        if beam is None:
            continue
        k = _index(y, place)
        points = [(float(x[s]), int(node[s, k])) for s in np.flatnonzero(~is_prop)]
        points += [(columns.x[c], columns.first_extra + n) for n, c in enumerate(columns.extra)]
        points.sort()
        places = np.array([p for p, _ in points])
        nodes = np.array([n for _, n in points], dtype=np.intp)
        inner = sorted(c for c in columns.x if places[0] < c < places[-1])
        # Simply supported spans part at the columns between the outer two; what reaches beyond
        # an outer column is part of the span beside it.
        inner = [] if beam.continuous else [c for c in inner if columns.x[0] < c < columns.x[-1]]
        cuts = [0, *(_index(places, c) for c in inner), len(places) - 1]
        out += [Beam(nodes[a : b + 1], places[a : b + 1], beam.rigidity) for a, b in pairwise(cuts)]
    return out


def _deck_lines(
    scenario: Scenario, x: Floats, y: Floats, node: Ints, lines: tuple[Station, ...]
) -> list[Beam]:
    out = []
    for run in sheet_runs(scenario.floor):
        under = np.flatnonzero((x > run.supports[0] - _NEAR) & (x < run.supports[-1] + _NEAR))
        for line in lines:
            nodes = node[under, _index(y, line.y)]
            out.append(Beam(nodes, x[under], scenario.deck.bending_stiffness, line.width))
    return out


def _camber(scenario: Scenario, x: Floats, y: Floats, secondary: list[BeamData | None]) -> Floats:
    """Upward bend: a parabola in every span, on top of the straight line between its ends."""
    floor, beams = scenario.floor, scenario.beams
    camber = np.zeros((len(x), len(y)))
    for place, primary in zip(floor.primary_beams_y, beams.primary, strict=True):
        if primary is not None:
            camber[:, _index(y, place)] = _bow(x, list(beams.columns_x), primary.precamber)
    breaks = [0.0, *(p for p in floor.primary_beams_y if 0 < p < floor.length_y), floor.length_y]
    at = [_index(y, b) for b in breaks]
    for s, beam in enumerate(secondary):
        if beam is not None:
            straight = np.interp(y, y[at], camber[s, at])
            camber[s] = straight + _bow(y, breaks, beam.precamber)
        else:
            camber[s] = 0.0
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
