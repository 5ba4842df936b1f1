"""Concrete that the sag takes: every cell of every line struck in its turn, deck and beams sagging.

On rigid supports each bay is a problem of its own; on beams the whole floor is one, since a strip
placed anywhere on a beam moves what was struck beside it. So it is, too, where bands of the order
"across" are struck level with the band before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.limits import ponding_allowance, ponding_counts
from pourday.deck.ponding import DeckTooSoftError, How, SaggingDeck, Struck, sagging_deck, strike
from pourday.floor.lines.frame import Frame
from pourday.floor.lines.lines import BayDeck, LinePlace
from pourday.floor.lines.local import prop_give
from pourday.floor.lines.screed import Group, following
from pourday.scenario.model.scenario import Scenario

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_NEAR = 1e-6


@dataclass(frozen=True)
class Striking:
    """How a plan strikes the top: ``how`` (the words of the plan's ``strike``), how far the screed
    follows behind the hose in bands (``lag``, m), and by strip which way its front goes."""

    how: str
    lag: float
    upward: Sequence[bool]


@dataclass(frozen=True, eq=False)
class FloorStruck:
    """What was struck on every line, and how the frame's nodes moved meanwhile.

    ``steps`` are (strip, lines) placed together; ``moved`` (steps + 1, N) m is how far every node
    has gone down before the first step and after each, crew not counted; empty without a frame.
    ``moved_then`` (K, N) m is the same at the moments of striking, the crew that strikes counted:
    row k belongs to ``Struck.struck_in`` k of any line. ``how`` the top was struck.
    """

    lines: tuple[Struck, ...]
    steps: tuple[tuple[int, tuple[int, ...]], ...]
    moved: Floats
    moved_then: Floats
    how: str


def floor_struck(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    way: Striking,
    frame: Frame | None,
) -> FloorStruck:
    """Strike the floor in placing order.

    Raises:
        pourday.deck.ponding.DeckTooSoftError: where the deck is too soft to be levelled.
        pourday.deck.grillage.BeamTooSoftError: where the beams under it are.
    """
    steps = _steps(decks, places, way.upward)
    in_bands = any(deck.along == "x" for deck in decks)
    if frame is None and not (in_bands and way.how == "guides"):
        known: dict[tuple[object, ...], Struck] = {}
        alike = [_pattern(deck, way) for deck in decks]
        for deck, key in zip(decks, alike, strict=True):
            if key not in known:
                known[key] = _bay_alone(scenario, deck, way)
        lines = tuple(known[alike[place.deck]] for place in places)
        still = np.zeros((len(steps) + 1, 0))
        return FloorStruck(lines, steps, still, still, way.how)
    return _as_one(scenario, decks, places, steps, (way, frame))


def loaded_thickness(scenario: Scenario, deck: BayDeck, struck: Struck, how: str) -> Floats:
    """Thickness (C,) m that the deck carries: as struck, and not less than the rule for ponding.

    Where the sag of a span under deck and slab as designed reaches a tenth of the depth, 0.7 of it
    counts all over the span (EN 1994-1-1 9.3.2(2)) wherever the computed fill is less. Struck to an
    even thickness nothing fills the sag.
    """
    slab, unit = scenario.slab, deck.unit
    if how == "thickness":
        return struck.thickness
    theory = slab.depth - scenario.deck.void_volume
    weight = theory * slab.wet_density + scenario.bare_weight
    sag = unit.deflection[:, : len(deck.fine)].sum(axis=1) * weight
    least = np.zeros(len(deck.cells))
    for a, b in pairwise(deck.supports):
        most = sag[(unit.stations >= a) & (unit.stations <= b)].max()
        if ponding_counts(most, slab.depth):
            inside = [a - _NEAR <= cell.low and cell.high <= b + _NEAR for cell in deck.cells]
            least[inside] = theory + float(ponding_allowance(most))
    return np.maximum(struck.thickness, least)


def old_weight(scenario: Scenario) -> float:
    """Weight (Pa) of what an earlier day has poured: the slab as designed, no fill in its sag."""
    return (scenario.slab.depth - scenario.deck.void_volume) * scenario.slab.wet_density


def before_the_pour(scenario: Scenario, deck: BayDeck) -> Floats:
    """Mean sag (C,) m of the cells by the deck beyond the part that is poured, and what lies there.

    Zero where all of the floor is poured on one day.
    """
    bare, old = deck.beyond
    return bare * scenario.bare_weight + old * old_weight(scenario)


def _steps(
    decks: Sequence[BayDeck], places: Sequence[LinePlace], upward: Sequence[bool]
) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """(strip, lines it crosses at one place along y), in placing order."""
    crossed: dict[int, dict[float, list[int]]] = {}
    for n, place in enumerate(places):
        for strip in decks[place.deck].strips:
            # A front that runs along x passes all lines of its band at once.
            where = 0.0 if decks[place.deck].along == "x" else place.station.y
            crossed.setdefault(strip, {}).setdefault(where, []).append(n)
    return tuple(
        (strip, tuple(crossed[strip][y]))
        for strip in sorted(crossed)
        for y in sorted(crossed[strip], reverse=not upward[strip])
    )


def _pattern(deck: BayDeck, way: Striking) -> tuple[object, ...]:
    """What two bays have in common that are struck alike: statics, order and ways of the fronts."""
    turn = {strip: n for n, strip in enumerate(deck.strips)}
    ways = tuple(way.upward[strip] for strip in deck.strips) if deck.along == "x" else ()
    return id(deck.coarse), tuple(turn[cell.strip] for cell in deck.cells), ways


def _bay_alone(scenario: Scenario, deck: BayDeck, way: Striking) -> Struck:
    cells = len(deck.cells)
    groups = [
        Group(
            [n for n, c in enumerate(deck.cells) if c.strip == strip],
            deck.along == "x",
            way.upward[strip],
        )
        for strip in deck.strips
    ]
    sag = deck.coarse.mean_deflection
    bare = sag @ np.full(cells, scenario.bare_weight) + before_the_pour(scenario, deck)
    neighbours = [_beside(n, cells) for n in range(cells)]
    alone = _levelled(scenario, sag, bare, None)
    spots = np.array([(c.low, c.high) for c in deck.cells])
    return _strike(scenario, alone, groups, (way, neighbours, spots))


def _levelled(
    scenario: Scenario, sag: Floats, bare_sag: Floats, pins: Floats | None
) -> SaggingDeck:
    theory = scenario.slab.depth - scenario.deck.void_volume
    return sagging_deck(sag, scenario.slab.wet_density, theory, bare_sag, pins)


def _strike(
    scenario: Scenario,
    deck: SaggingDeck,
    groups: Sequence[Group],
    by: tuple[Striking, Sequence[Sequence[int]], Floats],
) -> Struck:
    """Strike groups of cells in order as the plan says, its crew on what is being struck.

    ``by`` are the way of striking, the neighbours of every cell and its place along x (C, 2).
    """
    way, neighbours, spots = by
    placed, again = following(groups, spots, way.lag)
    crew = np.zeros((len(placed), len(deck.theory)))
    for k, group in enumerate(placed if again is None else again):
        crew[k, group] = scenario.loads.crew
    how: How = way.how  # type: ignore[assignment]
    return strike(deck, placed, how=how, neighbours=neighbours, crew=crew, again=again)


@dataclass(frozen=True, eq=False)
class _WholeFloor:
    """The cells of all lines, line after line, as one deck, on beams or not.

    ``first`` (lines + 1,) is where the cells of each line begin, ``push`` (N, C) N on the frame's
    nodes for 1 Pa on a cell, ``later`` (N, C) m the part of their way down by a step's own weight
    that comes only after it is struck, ``neighbours`` the cells beside each one, ``spots`` (C, 2)
    where each lies along x.
    """

    first: Ints
    push: Floats
    later: Floats
    deck: SaggingDeck
    neighbours: list[list[int]]
    spots: Floats


def _whole_floor(
    scenario: Scenario, decks: Sequence[BayDeck], places: Sequence[LinePlace], frame: Frame | None
) -> _WholeFloor:
    first = np.concatenate([[0], np.cumsum([len(decks[p.deck].cells) for p in places])])
    total = int(first[-1])
    nodes_of_frame = 0 if frame is None else frame.move.shape[0]
    push = np.zeros((nodes_of_frame, total))
    follow = np.zeros((total, nodes_of_frame))  # mean sag of a cell for 1 m of a node
    pinned = np.zeros((total, nodes_of_frame))  # way down of pins over a cell for 1 m of a node
    sag = np.zeros((total, total))
    presag = np.zeros(total)
    neighbours: list[list[int]] = []
    for n, place in enumerate(places):
        deck, mine = decks[place.deck], slice(first[n], first[n + 1])
        sag[mine, mine] = deck.coarse.mean_deflection
        presag[mine] = before_the_pour(scenario, deck)
        cells = len(deck.cells)
        neighbours += [[int(first[n]) + m for m in _beside(c, cells)] for c in range(cells)]
        if frame is None:
            continue
        nodes = frame.nodes_of(deck.supports, place.station.y)
        push[nodes, mine] += place.station.width * deck.coarse.reaction
        follow[mine, nodes] += deck.coarse_settled.mean_deflection
        pinned[mine, nodes] += between_beams(scenario, deck.supports, _middles(deck))
        camber = frame.camber_of(deck.supports, place.station.y)
        # The deck lies on the bent beam as it comes: straight between supports.
        presag[mine] -= np.interp(_middles(deck), deck.supports, camber)
    pins, later = None, np.zeros((0, total))
    if frame is not None:
        moved = frame.move @ push
        sag += follow @ moved
        pins = pinned @ moved
        # A line is struck while the front stands on it: half of the width it stands for lies behind
        # the front, half is still to come. Without that, lines twice as wide change the ponding by
        # 5 %. Props stand under their own metre of deck, and that is all there.
        later = (moved - _on_own_props(scenario, decks, places, first, frame)) / 2
    presag += sag @ np.full(total, scenario.bare_weight)
    _beside_in_next_band(decks, places, first, neighbours)
    spots = np.array([(c.low, c.high) for place in places for c in decks[place.deck].cells])
    deck_of_all = _levelled(scenario, sag, presag, pins)
    if frame is not None:
        deck_of_all = replace(deck_of_all, later=follow @ later)
    return _WholeFloor(first, push, later, deck_of_all, neighbours, spots)


def _on_own_props(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    first: Ints,
    frame: Frame,
) -> Floats:
    """Way down (N, C) of the frame's nodes on elastic props for 1 Pa on the same metre of deck."""
    out = np.zeros((frame.move.shape[0], int(first[-1])))
    if scenario.props.stiffness is None:
        return out
    for n, place in enumerate(places):
        deck = decks[place.deck]
        under = np.array([scenario.props.under(x) for x in deck.supports])
        if under.any():
            give = prop_give(deck.coarse_settled.stiffness, under, scenario.props.stiffness)
            nodes = frame.nodes_of(deck.supports, place.station.y)[under]
            out[nodes, first[n] : first[n + 1]] = give @ deck.coarse.reaction[under]
    return out


def between_beams(scenario: Scenario, supports: Sequence[float], x: Floats) -> Floats:
    """How far pins on the beams beside each x go down for 1 m of each support, (len(x), supports).

    Pins stand on beams and walls, the screed runs straight between them; prop lines carry none.
    """
    firm = [n for n, support in enumerate(supports) if not scenario.props.under(support)]
    at = np.array([supports[n] for n in firm])
    out = np.zeros((len(x), len(supports)))
    for k, n in enumerate(firm):
        out[:, n] = np.interp(x, at, np.eye(len(firm))[k])
    return out


def _beside_in_next_band(
    decks: Sequence[BayDeck], places: Sequence[LinePlace], first: Ints, out: list[list[int]]
) -> None:
    """Add the cells at the same x in the nearest lines of the two bands beside each band."""
    bands: dict[tuple[int, int], list[int]] = {}
    for n, place in enumerate(places):
        bay = decks[place.deck].bay
        if decks[place.deck].along == "x":
            bands.setdefault((bay.run, place.deck), []).append(n)
    ends = {key: decks[key[1]].bay for key in bands}
    for key, lines in bands.items():
        for other, bay in ends.items():
            mine = ends[key]
            touch = min(abs(mine.y1 - bay.y0), abs(bay.y1 - mine.y0))
            if key[0] != other[0] or mine.lane != bay.lane or key == other or touch > 1e-6:
                continue
            near = min(
                bands[other], key=lambda n: abs(places[n].station.y - mine.y0 / 2 - mine.y1 / 2)
            )
            for n in lines:
                for c, cell in enumerate(decks[places[n].deck].cells):
                    for m, beside in enumerate(decks[places[near].deck].cells):
                        if (
                            abs(cell.low - beside.low) < 1e-6
                            and abs(cell.high - beside.high) < 1e-6
                        ):
                            out[int(first[n]) + c].append(int(first[near]) + m)


def _as_one(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    steps: tuple[tuple[int, tuple[int, ...]], ...],
    by: tuple[Striking, Frame | None],
) -> FloorStruck:
    way, frame = by
    floor = _whole_floor(scenario, decks, places, frame)
    first, push = floor.first, floor.push
    groups = [
        Group(
            [
                int(first[n]) + c
                for n in lines
                for c, cell in enumerate(decks[places[n].deck].cells)
                if cell.strip == strip
            ],
            decks[places[lines[0]].deck].along == "x",
            way.upward[strip],
        )
        for strip, lines in steps
    ]
    try:
        whole = _strike(scenario, floor.deck, groups, (way, floor.neighbours, floor.spots))
    except DeckTooSoftError as error:
        raise _blame(scenario, decks, way, error) from None
    lines_struck = tuple(_of_line(whole, slice(first[n], first[n + 1])) for n in range(len(places)))
    if frame is None:
        still = np.zeros((len(groups) + 1, 0))
        return FloorStruck(lines_struck, steps, still, still, way.how)
    moved = np.zeros((len(groups) + 1, frame.move.shape[0]))
    moved[0] = frame.move @ (push @ np.full(int(first[-1]), scenario.bare_weight))
    steps_force = np.stack(
        [push[:, g.cells] @ (scenario.slab.wet_density * whole.thickness[g.cells]) for g in groups]
    )
    moved[1:] = moved[0] + np.cumsum(steps_force, axis=0) @ frame.move
    then = moved[0] + (whole.load_then @ push.T) @ frame.move
    if not (way.lag and any(g.in_band for g in groups)):  # struck as placed, not behind the hose
        for k, g in enumerate(groups):
            weight = scenario.slab.wet_density * whole.thickness[g.cells]
            then[k] -= floor.later[:, g.cells] @ weight
    return FloorStruck(lines_struck, steps, moved, then, way.how)


def _of_line(whole: Struck, mine: slice) -> Struck:
    """The cells of one line."""
    fields = {name: getattr(whole, name)[mine] for name in _FIELDS}
    return Struck(**fields, load_then=whole.load_then[:, mine])


_FIELDS = (
    "thickness",
    "extra",
    "sag_when_struck",
    "final_sag",
    "later_movement",
    "struck_in",
)


def _beside(cell: int, cells: int) -> list[int]:
    return [m for m in (cell - 1, cell + 1) if 0 <= m < cells]


def _middles(deck: BayDeck) -> Floats:
    return np.array([(cell.low + cell.high) / 2 for cell in deck.cells])


def _blame(
    scenario: Scenario, decks: Sequence[BayDeck], way: Striking, error: DeckTooSoftError
) -> Exception:
    """Say whether it is the deck or the beams: strike each bay on rigid supports to find out."""
    if "no concrete left" in str(error):
        return error
    for deck in decks:
        try:
            _bay_alone(scenario, deck, way)
        except DeckTooSoftError as alone:
            return DeckTooSoftError(f"bay {deck.bay.name}: {alone}")
    return BeamTooSoftError(
        "the beams are too soft to level the floor on: the deck alone can be levelled, but with "
        "[beams] the fill in the sag makes the beams sag by as much again; look at their I_cm4"
    )
