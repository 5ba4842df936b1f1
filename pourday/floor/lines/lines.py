"""Lines across the floor where deck, strips and beams meet, a metre of deck wide.

On rigid supports a sheet run is the same all along y, and one line stands for a bay; on beams
there are several, each for a width of floor. The front passes every line strip after strip in an
order that the plan fixes, so ponding and load states follow from the order alone; the day only
says when each state comes (``outcome.deck``).
"""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.beam import Influence, influence
from pourday.deck.settlement import Settlement, settlement
from pourday.floor.cut import Bay, FloorCut
from pourday.floor.lines.frame import Station
from pourday.floor.lines.working import Gear, WorkingLoads, places_of, working_loads
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPart, Scenario

Floats = NDArray[np.float64]

# Wide strips are struck as finely as narrow ones, so that cuts can be compared.
LONGEST_CELL = 1 / 3
# Places nearer to each other than this are one (m).
_APART = 1e-6


@dataclass(frozen=True)
class Cell:
    """A strip within one span: ``strip`` is its index in placing order; x from low to high (m)."""

    strip: int
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class BayDeck:
    """What all lines of a bay share: supports, strips that cross them in order, cells, statics.

    In the order "across" it is one band of a bay. ``along`` is the way of the fronts. ``cells`` are
    strips within spans; ``fine`` (C, 2) cuts them further at heaps, working zones and stacks;
    ``owner`` (C,) is the cell of each fine cell, -1 beyond the part of the floor that is poured;
    ``hardened`` (C,) is 1 on fine cells with concrete of an earlier day, ``beyond`` (cells,) m the
    mean sag of the cells under 1 Pa of bare deck and under 1 Pa of old concrete beyond the part.
    ``coarse`` and ``unit`` are the influence of cells
    and fine cells, ``coarse_settled`` and ``settled`` what settling supports do.
    """

    bay: Bay
    supports: tuple[float, ...]
    strips: tuple[int, ...]
    along: str
    cells: tuple[Cell, ...]
    gear: Gear
    working: WorkingLoads
    fine: Floats
    owner: NDArray[np.intp]
    coarse: Influence
    unit: Influence
    coarse_settled: Settlement
    settled: Settlement
    hardened: Floats
    beyond: tuple[Floats, Floats]

    def middle(self, strip: Strip) -> float:
        """Middle of the part of a strip that lies on this sheet run (m)."""
        return sum(_reach(strip, self.bay)) / 2

    def reach(self, strip: Strip) -> tuple[float, float]:
        """The part of a strip that lies on this sheet run, from and to (m)."""
        return _reach(strip, self.bay)


@dataclass(frozen=True)
class LinePlace:
    """One line: the bay it crosses and the width of floor it stands for."""

    deck: int
    station: Station


def bay_decks(
    scenario: Scenario,
    cut: FloorCut,
    pieces: Sequence[tuple[Bay, Gear]],
    strips: Sequence[Strip],
    how: str,
) -> list[BayDeck]:
    """Prepare the bays, or bands of bays, on which any strip lies.

    Pieces that differ along y only are alike: the deck is solved for the first, whichever way the
    hose crosses the others.
    """
    known: dict[tuple[object, ...], BayDeck] = {}
    out: list[BayDeck] = []
    for piece, gear in pieces:
        crossing = [i for i, strip in enumerate(strips) if crosses(strip, piece)]
        if not crossing:  # openings take it whole
            continue
        by_x = sorted(crossing, key=lambda i: (strips[i].x0, strips[i].x1))
        extents = tuple((strips[i].x0, strips[i].x1, strips[i].along) for i in by_x)
        key = (piece.run, gear, extents)
        if key not in known:
            known[key] = bay_deck(scenario, cut, piece, strips, (gear, how))
            out.append(known[key])
            continue
        first = known[key]
        like = sorted(first.strips, key=lambda i: (strips[i].x0, strips[i].x1))
        deck = renumbered(first, dict(zip(like, by_x, strict=True)))
        out.append(replace(deck, bay=piece, strips=tuple(crossing)))
    return out


_INFLUENCES = ("moment", "deflection", "reaction", "support_moment", "mean_deflection")


def renumbered(deck: BayDeck, number: dict[int, int]) -> BayDeck:
    """The same deck with strip i called ``number[i]``, its place in the order.

    A deck has one line load for each strip, in order of strips: their columns move along.
    """
    old = sorted(number, key=lambda i: number[i])
    unit, cells = deck.unit, len(deck.fine)
    if len(unit.points):
        turn = [deck.strips.index(i) for i in old]
        columns = [*range(cells), *(cells + k for k in turn)]
        moved = {name: getattr(unit, name)[:, columns] for name in _INFLUENCES}
        unit = replace(unit, points=unit.points[turn], **moved)
    return replace(
        deck,
        strips=tuple(number[i] for i in old),
        cells=tuple(replace(c, strip=number[c.strip]) for c in deck.cells),
        working=WorkingLoads({number[i]: loads for i, loads in deck.working.of.items()}),
        unit=unit,
    )


def bay_deck(
    scenario: Scenario,
    cut: FloorCut,
    bay: Bay,
    strips: Sequence[Strip],
    used: tuple[Gear, str],
) -> BayDeck:
    """Prepare a bay. ``strips`` are all strips of the floor in placing order.

    ``used`` is the gear of its front and how the top is struck.
    """
    gear, how = used
    run = cut.run_of(bay)
    inside = (x for x in scenario.props.lines_x if run.supports[0] < x < run.supports[-1])
    supports = tuple(sorted({*run.supports, *inside}))
    crossing = tuple(i for i, s in enumerate(strips) if crosses(s, bay))
    cells = _cells(supports, strips, crossing, how)
    reaches = {i: _reach(strips[i], bay) for i in crossing}
    middles = {i: sum(reach) / 2 for i, reach in reaches.items()}
    working = working_loads(scenario, supports, middles, gear)
    fine = _fine_cells(scenario, supports, cells, reaches, working, gear)
    part = cut.floor.part
    middle = fine.mean(axis=1)
    owner = np.array([_owner(cells, x) if _within(part, x) else -1 for x in middle], dtype=np.intp)
    stiffness = scenario.deck.bending_stiffness
    points = [middles[i] for i in crossing] if working.has_lines else []
    coarse = influence(supports, stiffness, [(c.low, c.high) for c in cells])
    unit = influence(supports, stiffness, fine, points, _stations(coarse.stations, middles))
    bounds = [(c.low, c.high) for c in cells]
    return BayDeck(
        bay=bay,
        supports=supports,
        strips=crossing,
        along=strips[crossing[0]].along if crossing else "y",
        cells=cells,
        gear=gear,
        working=working,
        fine=fine,
        owner=owner,
        coarse=coarse,
        unit=unit,
        coarse_settled=settlement(supports, stiffness, bounds),
        settled=settlement(supports, stiffness, fine, unit.stations),
        hardened=np.array([1.0 if _hardened(part, x) else 0.0 for x in middle]),
        beyond=_sag_by_beyond(supports, stiffness, bounds, part),
    )


def _within(part: FloorPart | None, x: float) -> bool:
    return part is None or part.low - _APART < x < part.high + _APART


def _hardened(part: FloorPart | None, x: float) -> bool:
    """Whether concrete of an earlier day lies at ``x``."""
    if part is None or _within(part, x):
        return False
    return part.low_hardened if x < part.low else part.high_hardened


def _sag_by_beyond(
    supports: tuple[float, ...],
    stiffness: float,
    bounds: list[tuple[float, float]],
    part: FloorPart | None,
) -> tuple[Floats, Floats]:
    """Mean sag (C,) of cells by 1 Pa on all deck beyond the part, and on what is hardened of it."""
    bare, old = np.zeros(len(bounds)), np.zeros(len(bounds))
    if part is not None:
        for a, b in pairwise(supports):
            for low, high in ((a, min(b, part.low)), (max(a, part.high), b)):
                if high - low > _APART:
                    by = influence(supports, stiffness, [*bounds, (low, high)]).mean_deflection
                    bare += by[:-1, -1]
                    old += by[:-1, -1] * _hardened(part, (low + high) / 2)
    return bare, old


def crosses(strip: Strip, bay: Bay) -> bool:
    """Whether a strip lies on a bay, wholly or in part."""
    in_lane = min(strip.y1, bay.y1) - max(strip.y0, bay.y0) > 1e-6
    return in_lane and min(strip.x1, bay.x1) - max(strip.x0, bay.x0) > 1e-6


def _cells(
    supports: tuple[float, ...], strips: Sequence[Strip], crossing: Sequence[int], how: str
) -> tuple[Cell, ...]:
    """Strips within spans, cut evenly to at most :data:`LONGEST_CELL` of the span.

    Struck to guides a strip within a span is one cell: the screed takes its level at its sides.
    """
    cells: list[Cell] = []
    for i in crossing:
        for a, b in pairwise(supports):
            low, high = max(a, strips[i].x0), min(b, strips[i].x1)
            if high - low <= 1e-6:
                continue
            parts = max(1, math.ceil((high - low) / (LONGEST_CELL * (b - a)) - 1e-6))
            if how == "guides":
                parts = 1
            marks = np.linspace(low, high, parts + 1).tolist()
            cells += [Cell(i, x0, x1) for x0, x1 in pairwise(marks)]
    return tuple(sorted(cells, key=lambda cell: cell.low))


def _reach(strip: Strip, bay: Bay) -> tuple[float, float]:
    return max(strip.x0, bay.x0), min(strip.x1, bay.x1)


def _fine_cells(
    scenario: Scenario,
    supports: tuple[float, ...],
    cells: tuple[Cell, ...],
    reaches: dict[int, tuple[float, float]],
    working: WorkingLoads,
    gear: Gear,
) -> Floats:
    """The cells cut at the ends of heaps, zones, landings and stacks wherever they are tried."""
    start, end = supports[0], supports[-1]
    loads = scenario.loads
    marks: set[float] = set()
    for i, (low, high) in reaches.items():
        places = [(x, loads.heap_length) for x in places_of(low, high, loads.heap_length, True)]
        for zone in {load.zone_length for load in working.of[i]}:
            places += [(x, zone) for x in places_of(low, high, zone, False)]
        if gear.skip_landing:
            places.append(((low + high) / 2, loads.skip_side))
        marks |= {x + side * length / 2 for x, length in places for side in (-1, 1)}
    marks |= {x for stack in loads.stacks for x in stack.x}
    # A mark that all but falls on another is that one: supports and cells stay where they are.
    kept = sorted({*supports, *(c.low for c in cells), *(c.high for c in cells)})
    for x in sorted(x for x in marks if start <= x <= end):
        near = bisect_left(kept, x - _APART)
        if near == len(kept) or kept[near] > x + _APART:
            insort(kept, x)
    inside = np.unique(np.round(kept, 9))
    return np.stack([inside[:-1], inside[1:]], axis=1)


def _stations(known: Floats, middles: dict[int, float]) -> Floats:
    """Where moments are worked out: even steps, ends of the cells, and middles of the strips."""
    new = [x for x in middles.values() if np.abs(known - x).min() > _APART]
    return np.sort(np.concatenate([known, np.unique(new)]))


def _owner(cells: tuple[Cell, ...], x: float) -> int:
    """Index of the cell that holds ``x``; the nearest one where an opening has taken its strip."""
    gaps = [max(c.low - x, x - c.high) for c in cells]
    return int(np.argmin(gaps))
