"""What the deck figures show, as numbers: a day's response of each line, use by span, levels.

Reads the states of the layout and the heaps of the day; brings no drawing with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourday.deck.history import Peak, Response, shares
from pourday.floor.lines.states import ARRIVE, BARE, FULL, LEFT, DeckLine, State
from pourday.outcome.base.basis import Basis, Floats, LineGroup
from pourday.outcome.deck.peaks import heap_factors, response_of
from pourday.outcome.deck.surface import surfaces

Box = tuple[float, float, float, float]
"""x0, x1, y0, y1 on the floor (m)."""


@dataclass(frozen=True, eq=False)
class Envelope:
    """Greatest and least moment (N m/m) at every place, and reaction (N/m) at every support.

    ``x`` (S,) and ``supports`` (n+1,) are m from the low-x end of the sheet run; all lines of the
    group and all states of the day are in it.
    """

    x: Floats
    supports: Floats
    most: Floats
    least: Floats
    reaction_most: Floats
    reaction_least: Floats


@dataclass(frozen=True)
class Found:
    """Where a peak of a group was found: line, bay, strip, stage; ``x`` in m from the run's end."""

    value: float
    x: float
    line: int
    bay: str
    strip: int
    stage: str


@dataclass(frozen=True)
class CellUse:
    """Greatest share of resistance used in one span of one line, its two supports included."""

    line: int
    span: int
    box: Box
    use: float
    strip: int


@dataclass(frozen=True)
class CellLevel:
    """Finished top of one struck cell of one line below its datum (m), where it is farthest off."""

    line: int
    strip: int
    box: Box
    movement: float


@dataclass(frozen=True, eq=False)
class Shape:
    """A line in one state: ``deck`` (S,) m between its supports, ``down`` (n+1,) m of these."""

    state: State
    deck: Floats
    down: Floats


def envelope(basis: Basis, group: LineGroup, seed: int | None) -> Envelope:
    """Bounds of moments and reactions over all lines of a group in the day with this seed."""
    factors = heap_factors(basis, seed)
    unit = group.model.deck.unit
    places = np.concatenate([unit.stations, unit.supports])
    order = np.argsort(places, kind="stable")
    both = []
    reactions = []
    for n in group.lines:
        response = response_of(basis.layout.lines[n], factors)
        both.append(np.hstack([response.moment, response.support_moment])[:, order])
        reactions.append(response.reaction)
    moment, reaction = np.concatenate(both), np.concatenate(reactions)
    start = float(unit.supports[0])
    return Envelope(
        x=places[order] - start,
        supports=unit.supports - start,
        most=moment.max(axis=0),
        least=moment.min(axis=0),
        reaction_most=reaction.max(axis=0),
        reaction_least=reaction.min(axis=0),
    )


def found(basis: Basis, group: LineGroup, peak: Peak) -> Found:
    """The line, strip and stage of a peak of ``outcome.deck.group_peaks``."""
    row, number = divmod(peak.state, group.strips.shape[1])
    return Found(
        value=peak.value,
        x=peak.x - group.model.supports[0],
        line=group.lines[row],
        bay=basis.layout.lines[group.lines[row]].bay.name,
        strip=int(group.strips[row, number]),
        stage=group.model.states[number].stage,
    )


def span_shares(line: DeckLine, response: Response) -> Floats:
    """Share of resistance used in every state and span, (K, n), supports of the span included.

    The checks are those of ``deck.history.peaks``, so the greatest of a state is the same there.
    """
    checks = [found for found in shares(response, line.deck.unit, line.resistance) if found[1].size]
    share = np.hstack([share for share, _ in checks])
    places = np.concatenate([places for _, places in checks])
    near = 1e-9
    return np.stack(
        [
            share[:, (places >= a - near) & (places <= b + near)].max(axis=1)
            for a, b in pairwise(line.supports)
        ],
        axis=1,
    )


def cell_uses(basis: Basis, seed: int | None) -> list[CellUse]:
    """Peak use of every span of every line in the day with this seed."""
    factors = heap_factors(basis, seed)
    out = []
    for n, line in enumerate(basis.layout.lines):
        used = span_shares(line, response_of(line, factors))
        for i, (a, b) in enumerate(pairwise(line.supports)):
            worst = int(np.argmax(used[:, i]))
            box = (a, b, line.station.low, line.station.high)
            out.append(CellUse(n, i, box, float(used[worst, i]), line.states[worst].strip))
    return out


def cell_levels(basis: Basis) -> list[CellLevel]:
    """Finished top of every struck cell of every line, at its place farthest from the datum."""
    out = []
    for n, surface in enumerate(surfaces(basis)):
        station = surface.line.station
        for number, cell in enumerate(surface.line.cells):
            tops = surface.top[surface.cell == number]
            down = float(tops[np.argmax(np.abs(tops))])
            box = (cell.low, cell.high, station.low, station.high)
            out.append(CellLevel(n, cell.strip, box, down))
    return out


def worst_sag(basis: Basis, seed: int | None) -> tuple[int, int]:
    """Line in which the deck sags most between its supports, and the state in which it does."""
    factors = heap_factors(basis, seed)
    best = (-np.inf, 0, 0)
    for n, line in enumerate(basis.layout.lines):
        sag = response_of(line, factors).deflection.max(axis=1)
        k = int(np.argmax(sag))
        if sag[k] > best[0]:
            best = (float(sag[k]), n, k)
    return best[1], best[2]


def chosen_shapes(line: DeckLine, worst: int, factors: Floats) -> list[tuple[str, Shape]]:
    """The line bare, after each third of its strips, at its worst and full, in order of time."""
    response = response_of(line, factors)
    count = len(line.strips)
    thirds = {-(-count // 3) - 1, -(-2 * count // 3) - 1} - {count - 1}
    picked = {worst: "worst"}
    for k, state in enumerate(line.states):
        if state.stage == BARE:
            picked.setdefault(k, "start")
        elif state.stage == FULL:
            picked.setdefault(k, "full")
        elif state.stage == LEFT and state.turn in thirds:
            picked.setdefault(k, "between")
    return [
        (
            picked[k],
            Shape(line.states[k], response.deflection[k], line.supports_down[k]),
        )
        for k in sorted(picked)
    ]


def placed_strips(line: DeckLine, state: State) -> tuple[int, ...]:
    """Strips that lie on the line in a state."""
    if state.stage == BARE:
        return ()
    return line.strips[: state.turn + (state.stage != ARRIVE)]
