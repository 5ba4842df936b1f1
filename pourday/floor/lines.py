"""Lines across the floor where deck and strips meet: one for each bay, a metre of deck wide.

Along y a sheet run is the same at every place, so one line stands for the bay: the front passes it
strip after strip, in an order that the plan fixes. Ponding and the load states follow from the
order alone; the day only says when each state comes (``outcome.deck``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.beam import Influence, influence
from pourday.deck.history import Resistance, Response, respond
from pourday.deck.loads import WorkingLoad, en_1991_1_6, us_practice
from pourday.deck.ponding import Struck, strike
from pourday.floor.bays import Bay, SheetRun
from pourday.floor.strips import Strip
from pourday.scenario.model import Loads, Scenario

Floats = NDArray[np.float64]
BARE, ARRIVE, FRONT, LEFT, FULL = "bare", "arrive", "front", "left", "full"


@dataclass(frozen=True)
class Cell:
    """A strip within one span: ``strip`` is its index in placing order; x from low to high (m)."""

    strip: int
    low: float
    high: float


@dataclass(frozen=True)
class State:
    """What is on the line: the strip the front is in, and how far it has come.

    ``stage`` is "bare" (deck alone), "arrive" (crew on the line, strip still empty), "front"
    (strip placed, heap and crew on it), "left" (strip placed, crew elsewhere) or "full" (all
    placed, nobody there). ``turn`` is the place of the strip in the line's own order.
    """

    strip: int
    turn: int
    stage: str


@dataclass(frozen=True, eq=False)
class DeckLine:
    """A bay's line: its cells, struck thickness, and every load state in order.

    ``base`` (M states) is the response without the excess of the heap, ``heap`` the response to
    an excess of one whole strip thickness; a heap of height factor f adds (f - 1) of it.
    """

    bay: Bay
    supports: tuple[float, ...]
    strips: tuple[int, ...]
    cells: tuple[Cell, ...]
    struck: Struck
    influence: Influence
    states: tuple[State, ...]
    pressures: Floats
    heap_pressures: Floats
    base: Response
    heap: Response
    resistance: Resistance


def deck_line(scenario: Scenario, bay: Bay, run: SheetRun, strips: Sequence[Strip]) -> DeckLine:
    """Build the line of one bay. ``strips`` are all strips of the floor in placing order.

    Raises:
        pourday.deck.ponding.DeckTooSoftError: where levelling the deck would never end.
    """
    props = [x for x in scenario.props.lines_x if run.supports[0] < x < run.supports[-1]]
    supports = tuple(sorted({*run.supports, *props}))
    crossing = [i for i, s in enumerate(strips) if _crosses(s, bay)]
    cells = _cells(supports, strips, crossing)
    struck = _struck(scenario, supports, cells, crossing)
    working = _working_loads(scenario, supports, strips, bay)
    fine = _fine_cells(scenario.loads, supports, cells, strips, crossing, working)
    points = _points(bay, strips, crossing) if any(w.line for w in working[0]) else []
    lines = influence(supports, scenario.deck.bending_stiffness, fine, points)
    states, pressures, heaps = _states(
        scenario, bay, strips, crossing, cells, struck, working, fine, len(points)
    )
    return DeckLine(
        bay=bay,
        supports=supports,
        strips=tuple(crossing),
        cells=cells,
        struck=struck,
        influence=lines,
        states=states,
        pressures=pressures,
        heap_pressures=heaps,
        base=respond(lines, pressures),
        heap=respond(lines, heaps),
        resistance=Resistance(
            scenario.deck.sag_moment_resistance,
            scenario.deck.hog_moment_resistance,
            scenario.deck.reaction_resistance,
        ),
    )


def _crosses(strip: Strip, bay: Bay) -> bool:
    in_lane = min(strip.y1, bay.y1) - max(strip.y0, bay.y0) > 1e-6
    return in_lane and min(strip.x1, bay.x1) - max(strip.x0, bay.x0) > 1e-6


def _cells(
    supports: tuple[float, ...], strips: Sequence[Strip], crossing: Sequence[int]
) -> tuple[Cell, ...]:
    cells = [
        Cell(i, max(a, strips[i].x0), min(b, strips[i].x1))
        for i in crossing
        for a, b in pairwise(supports)
        if min(b, strips[i].x1) - max(a, strips[i].x0) > 1e-6
    ]
    return tuple(sorted(cells, key=lambda cell: cell.low))


def _struck(
    scenario: Scenario,
    supports: tuple[float, ...],
    cells: tuple[Cell, ...],
    crossing: Sequence[int],
) -> Struck:
    bounds = [(c.low, c.high) for c in cells]
    sag = influence(supports, scenario.deck.bending_stiffness, bounds).mean_deflection
    steps = [[n for n, c in enumerate(cells) if c.strip == strip] for strip in crossing]
    crew = np.zeros((len(steps), len(cells)))
    for k, step in enumerate(steps):
        crew[k, step] = scenario.loads.crew
    own_weight = np.full(len(cells), scenario.deck.self_weight)
    return strike(
        sag,
        scenario.slab.wet_density,
        np.full(len(cells), scenario.slab.depth - scenario.deck.void_volume),
        steps,
        how=scenario.slab.strike,  # type: ignore[arg-type]
        neighbours=[[m for m in (n - 1, n + 1) if 0 <= m < len(cells)] for n in range(len(cells))],
        crew=crew,
        deck_sag=sag @ own_weight,
    )


def _working_loads(
    scenario: Scenario, supports: tuple[float, ...], strips: Sequence[Strip], bay: Bay
) -> list[tuple[WorkingLoad, ...]]:
    """Alternatives of the working load for each strip of the floor (the worse one counts)."""
    loads = scenario.loads
    weight = (scenario.slab.depth - scenario.deck.void_volume) * scenario.slab.wet_density
    out: list[tuple[WorkingLoad, ...]] = []
    for strip in strips:
        middle = _middle(strip, bay)
        span = next((b - a for a, b in pairwise(supports) if a <= middle <= b), 3.0)
        if loads.preset == "en_1991_1_6":
            out.append((en_1991_1_6(weight, span),))
        elif loads.preset == "us_practice":
            out.append(us_practice())
        elif loads.preset == "own":
            own = WorkingLoad(loads.inside or 0.0, loads.outside or 0.0, loads.zone, 0.0)
            out.append((own,))
        else:
            out.append((WorkingLoad(0.0, 0.0, 0.0, 0.0),))
    return out


def _middle(strip: Strip, bay: Bay) -> float:
    """Middle of the part of a strip that lies on the bay's sheet run."""
    return (max(strip.x0, bay.x0) + min(strip.x1, bay.x1)) / 2


def _points(bay: Bay, strips: Sequence[Strip], crossing: Sequence[int]) -> list[float]:
    return [_middle(strips[i], bay) for i in crossing]


def _fine_cells(
    loads: Loads,
    supports: tuple[float, ...],
    cells: tuple[Cell, ...],
    strips: Sequence[Strip],
    crossing: Sequence[int],
    working: Sequence[tuple[WorkingLoad, ...]],
) -> Floats:
    """The cells cut further at the ends of heaps and working zones, shape (C, 2)."""
    start, end = supports[0], supports[-1]
    marks = {*supports, *(c.low for c in cells), *(c.high for c in cells)}
    for i in crossing:
        middle = (max(strips[i].x0, start) + min(strips[i].x1, end)) / 2
        for half in (loads.heap_length / 2, *(w.zone_length / 2 for w in working[i])):
            marks |= {middle - half, middle + half}
    inside = np.unique(np.round([x for x in marks if start <= x <= end], 9))
    return np.stack([inside[:-1], inside[1:]], axis=1)


def _states(
    scenario: Scenario,
    bay: Bay,
    strips: Sequence[Strip],
    crossing: Sequence[int],
    cells: tuple[Cell, ...],
    struck: Struck,
    working: Sequence[tuple[WorkingLoad, ...]],
    fine: Floats,
    points: int,
) -> tuple[tuple[State, ...], Floats, Floats]:
    """States in order, their pressures, and the pressures of one strip thickness of heap."""
    middles = fine.mean(axis=1)
    owner = np.array([_owner(cells, x) for x in middles])
    weight = struck.thickness[owner] * scenario.slab.wet_density
    strip_of = np.array([cells[n].strip for n in owner])
    zeros = np.zeros(points)
    placed = np.full(len(fine), scenario.deck.self_weight)
    none = np.zeros(len(fine) + points)
    states = [State(crossing[0], 0, BARE)]
    rows, heaps = [np.concatenate([placed, zeros])], [none]
    for turn, i in enumerate(crossing):
        here = _middle(strips[i], bay)
        after = placed + weight * (strip_of == i)
        near = np.abs(middles - here) < scenario.loads.heap_length / 2
        heap = np.concatenate([weight * (strip_of == i) * near, zeros])
        for load in working[i]:
            crew = np.where(
                np.abs(middles - here) < load.zone_length / 2, load.inside, load.outside
            )
            line = zeros.copy()
            if load.line:
                line[turn] = load.line
            states += [State(i, turn, ARRIVE), State(i, turn, FRONT)]
            rows += [np.concatenate([placed + crew, line]), np.concatenate([after + crew, line])]
            heaps += [none, heap]
        states.append(State(i, turn, LEFT))
        outside = max(load.outside for load in working[i])
        rows.append(np.concatenate([after + outside, zeros]))
        heaps.append(none)
        placed = after
    states.append(State(crossing[-1], len(crossing) - 1, FULL))
    rows.append(np.concatenate([placed, zeros]))
    heaps.append(none)
    return tuple(states), np.array(rows), np.array(heaps)


def _owner(cells: tuple[Cell, ...], x: float) -> int:
    """Index of the cell that holds ``x``; the nearest one where an opening has taken its strip."""
    gaps = [max(c.low - x, x - c.high) for c in cells]
    return int(np.argmin(gaps))
