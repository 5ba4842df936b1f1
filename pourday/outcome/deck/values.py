"""What the deck figures show, as numbers: a day's response of each line, use by span, levels.

Reads the states of the layout and the heaps of the day; brings no drawing with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourday.deck.factors import Bounds
from pourday.deck.history import Peak, shares
from pourday.floor.lines.frame import BESIDE
from pourday.floor.lines.states import ARRIVE, BARE, FULL, LEFT, DeckLine, State
from pourday.outcome.base.basis import Basis, Floats, LineGroup
from pourday.outcome.deck.peaks import bounds_of, heap_factors, response_of
from pourday.outcome.deck.surface import surfaces

Box = tuple[float, float, float, float]
"""x0, x1, y0, y1 on the floor (m)."""


@dataclass(frozen=True, eq=False)
class Envelope:
    """Greatest and least moment (N m/m) at every place, and reaction (N/m) at every support.

    Factored: what resistances are compared with. ``x`` (S,) and ``supports`` (n+1,) are m from the
    low-x end of the sheet run; all lines of the group and all states of the day are in it.
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
    effects = group.felt.effects
    order = np.argsort(effects.places, kind="stable")
    every = [bounds_of(basis.layout.lines[n], factors)[1] for n in group.lines]
    most = np.max([b.most.max(axis=0) for b in every], axis=0)
    least = np.min([b.least.min(axis=0) for b in every], axis=0)
    start = float(effects.supports[0])
    return Envelope(
        x=effects.places[order] - start,
        supports=effects.supports - start,
        most=most[effects.factored.moment][order],
        least=least[effects.factored.moment][order],
        reaction_most=most[effects.factored.reaction],
        reaction_least=least[effects.factored.reaction],
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


def span_shares(line: DeckLine, factored: Bounds) -> Floats:
    """Share of resistance used in every state and span, (K, n), supports of the span included.

    The checks are those of ``deck.history.peaks``, so the greatest of a state is the same there;
    nan where no share is judged.
    """
    if line.resistance is None:
        return np.full((len(line.states), len(line.supports) - 1), np.nan)
    every = shares(factored, line.felt.effects, line.resistance)
    checks = [found for found in every if found[1].size]
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


def drawn_lines(lines: Sequence[DeckLine]) -> list[tuple[int, tuple[int, ...], float, float]]:
    """Lines as a plan shows them: number, all that are drawn as one with it, low and high y (m).

    A line beside a primary beam is too narrow for a box of its own: its neighbour's covers it.
    """
    narrow = {n for n, line in enumerate(lines) if line.station.width < 1.5 * BESIDE}
    out = []
    for n, line in enumerate(lines):
        if n in narrow:
            continue
        mine = line.station
        beside = [
            m
            for m in narrow
            if lines[m].deck is line.deck
            and (
                abs(lines[m].station.high - mine.low) < 1e-6
                or abs(lines[m].station.low - mine.high) < 1e-6
            )
        ]
        ends = [mine, *(lines[m].station for m in beside)]
        low, high = min(e.low for e in ends), max(e.high for e in ends)
        out.append((n, (n, *beside), low, high))
    return out


def cell_uses(basis: Basis, seed: int | None) -> list[CellUse]:
    """Peak use of every span of every line drawn in the day with this seed."""
    factors = heap_factors(basis, seed)
    lines = basis.layout.lines
    used = [span_shares(line, bounds_of(line, factors)[1]) for line in lines]
    out = []
    for n, members, low, high in drawn_lines(lines):
        for i, (a, b) in enumerate(pairwise(lines[n].supports)):
            most = max(members, key=lambda m: float(used[m][:, i].max()))
            worst = int(np.argmax(used[most][:, i]))
            share, strip = float(used[most][worst, i]), lines[most].states[worst].strip
            out.append(CellUse(n, i, (a, b, low, high), share, strip))
    return out


def cell_levels(basis: Basis) -> list[CellLevel]:
    """Finished top of every struck cell of every line drawn, where it is farthest off."""
    out, found = [], surfaces(basis)
    for n, members, low, high in drawn_lines(basis.layout.lines):
        for number, cell in enumerate(basis.layout.lines[n].cells):
            tops = np.concatenate([found[m].top[found[m].cell == number] for m in members])
            down = float(tops[np.argmax(np.abs(tops))])
            out.append(CellLevel(n, cell.strip, (cell.low, cell.high, low, high), down))
    return out


def worst_sag(basis: Basis, seed: int | None) -> tuple[int, int]:
    """Line in which the deck sags most as it lies, and the state in which it does.

    A shape needs one load state: zone and heap stand in the middle of their strip here.
    """
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
