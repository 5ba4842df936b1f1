"""Concrete that the sag takes: every cell of every line struck in its turn, deck and beams sagging.

On rigid supports each bay is a problem of its own; on beams the whole floor is one, since a strip
placed anywhere on a beam moves what was struck beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.limits import ponding_allowance, ponding_counts
from pourday.deck.ponding import DeckTooSoftError, SaggingDeck, Struck, sagging_deck, strike
from pourday.floor.lines.frame import Frame
from pourday.floor.lines.lines import BayDeck, LinePlace
from pourday.floor.lines.local import prop_give
from pourday.scenario.model.scenario import Scenario

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_NEAR = 1e-6


@dataclass(frozen=True, eq=False)
class FloorStruck:
    """What was struck on every line, and how the frame's nodes moved meanwhile.

    ``steps`` are (strip, lines) placed together; ``moved`` (steps + 1, N) m is how far every node
    has gone down before the first step and after each, crew not counted; empty without a frame.
    """

    lines: tuple[Struck, ...]
    steps: tuple[tuple[int, tuple[int, ...]], ...]
    moved: Floats


def floor_struck(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    upward: Sequence[bool],
    frame: Frame | None,
) -> FloorStruck:
    """Strike the floor in placing order.

    Raises:
        pourday.deck.ponding.DeckTooSoftError: where the deck is too soft to be levelled.
        pourday.deck.grillage.BeamTooSoftError: where the beams under it are.
    """
    steps = _steps(decks, places, upward)
    if frame is None:
        known: dict[int, Struck] = {}
        for place in places:
            if place.deck not in known:
                known[place.deck] = _bay_alone(scenario, decks[place.deck])
        lines = tuple(known[place.deck] for place in places)
        return FloorStruck(lines, steps, np.zeros((len(steps) + 1, 0)))
    return _on_beams(scenario, decks, places, steps, frame)


def loaded_thickness(scenario: Scenario, deck: BayDeck, struck: Struck) -> Floats:
    """Thickness (C,) m that the deck carries: as struck, and not less than the rule for ponding.

    Where the sag of a span under deck and slab as designed reaches a tenth of the depth, 0.7 of it
    counts all over the span (EN 1994-1-1 9.3.2(2)) wherever the computed fill is less. Struck to an
    even thickness nothing fills the sag.
    """
    slab, unit = scenario.slab, deck.unit
    if slab.strike == "thickness":
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


def _bay_alone(scenario: Scenario, deck: BayDeck) -> Struck:
    groups = [[n for n, c in enumerate(deck.cells) if c.strip == strip] for strip in deck.strips]
    cells = len(deck.cells)
    sag = deck.coarse.mean_deflection
    bare = sag @ np.full(cells, scenario.bare_weight)
    neighbours = [_beside(n, cells) for n in range(cells)]
    return _strike(scenario, _levelled(scenario, sag, bare), groups, neighbours)


def _levelled(scenario: Scenario, sag: Floats, bare_sag: Floats) -> SaggingDeck:
    theory = scenario.slab.depth - scenario.deck.void_volume
    return sagging_deck(sag, scenario.slab.wet_density, theory, bare_sag)


def _strike(
    scenario: Scenario,
    deck: SaggingDeck,
    groups: Sequence[Sequence[int]],
    neighbours: Sequence[Sequence[int]],
) -> Struck:
    """Strike groups of cells in order as the scenario says, its crew on the group being struck."""
    crew = np.zeros((len(groups), len(deck.theory)))
    for k, group in enumerate(groups):
        crew[k, group] = scenario.loads.crew
    how = scenario.slab.strike
    return strike(deck, groups, how=how, neighbours=neighbours, crew=crew)  # type: ignore[arg-type]


@dataclass(frozen=True, eq=False)
class _WholeFloor:
    """The cells of all lines, line after line, as one deck on beams.

    ``first`` (lines + 1,) is where the cells of each line begin, ``push`` (N, C) N on the frame's
    nodes for 1 Pa on a cell, ``neighbours`` the cells beside each one on its line.
    """

    first: Ints
    push: Floats
    deck: SaggingDeck
    neighbours: list[list[int]]


def _whole_floor(
    scenario: Scenario, decks: Sequence[BayDeck], places: Sequence[LinePlace], frame: Frame
) -> _WholeFloor:
    first = np.concatenate([[0], np.cumsum([len(decks[p.deck].cells) for p in places])])
    total = int(first[-1])
    push = np.zeros((frame.move.shape[0], total))
    follow = np.zeros((total, frame.move.shape[0]))  # mean sag of a cell for 1 m of a node
    sag = np.zeros((total, total))
    presag = np.zeros(total)
    neighbours: list[list[int]] = []
    for n, place in enumerate(places):
        bay, mine = decks[place.deck], slice(first[n], first[n + 1])
        nodes = frame.nodes_of(bay.supports, place.station.y)
        push[nodes, mine] += place.station.width * bay.coarse.reaction
        follow[mine, nodes] += bay.coarse_settled.mean_deflection
        sag[mine, mine] = bay.coarse.mean_deflection
        camber = frame.camber_of(bay.supports, place.station.y)
        # The deck lies on the bent beam as it comes: straight between supports.
        presag[mine] = -_straight(bay, camber)
        cells = len(bay.cells)
        neighbours += [[first[n] + m for m in _beside(c, cells)] for c in range(cells)]
    on_beams = follow @ (frame.move @ push)
    sag += on_beams
    presag += sag @ np.full(total, scenario.bare_weight)
    # A line is struck while the front stands on it: half of the width it stands for lies behind the
    # front, half is still to come. Without that, lines twice as wide change the ponding by 5 %.
    for n, place in enumerate(places):
        mine = slice(first[n], first[n + 1])
        on_beams[mine, mine] -= _on_own_props(scenario, decks[place.deck])
    deck = replace(_levelled(scenario, sag, presag), later=on_beams / 2)
    return _WholeFloor(first, push, deck, neighbours)


def _on_own_props(scenario: Scenario, deck: BayDeck) -> Floats:
    """Mean sag (C, C) of cells for 1 Pa on each, by elastic props under the same metre of deck."""
    under = np.array([scenario.props.under(x) for x in deck.supports])
    if scenario.props.stiffness is None or not under.any():
        return np.zeros((len(deck.cells), len(deck.cells)))
    settled = deck.coarse_settled
    give = prop_give(settled.stiffness, under, scenario.props.stiffness)
    return np.asarray(settled.mean_deflection[:, under] @ give @ deck.coarse.reaction[under])


def _on_beams(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    steps: tuple[tuple[int, tuple[int, ...]], ...],
    frame: Frame,
) -> FloorStruck:
    floor = _whole_floor(scenario, decks, places, frame)
    first, push = floor.first, floor.push
    groups = [
        [
            int(first[n]) + c
            for n in lines
            for c, cell in enumerate(decks[places[n].deck].cells)
            if cell.strip == strip
        ]
        for strip, lines in steps
    ]
    try:
        whole = _strike(scenario, floor.deck, groups, floor.neighbours)
    except DeckTooSoftError as error:
        raise _blame(scenario, decks, error) from None
    moved = np.zeros((len(groups) + 1, frame.move.shape[0]))
    force = push @ np.full(int(first[-1]), scenario.bare_weight)
    moved[0] = frame.move @ force
    steps_force = np.stack(
        [push[:, g] @ (scenario.slab.wet_density * whole.thickness[g]) for g in groups]
    )
    moved[1:] = moved[0] + np.cumsum(steps_force, axis=0) @ frame.move
    lines_struck = tuple(
        Struck(*(getattr(whole, name)[first[n] : first[n + 1]] for name in _FIELDS))
        for n in range(len(places))
    )
    return FloorStruck(lines_struck, steps, moved)


_FIELDS = ("thickness", "extra", "sag_when_struck", "final_sag", "later_movement")


def _beside(cell: int, cells: int) -> list[int]:
    return [m for m in (cell - 1, cell + 1) if 0 <= m < cells]


def _straight(deck: BayDeck, camber: Floats) -> Floats:
    """Upward bend of the middle of every cell, straight between the supports."""
    middles = [(cell.low + cell.high) / 2 for cell in deck.cells]
    return np.interp(middles, deck.supports, camber)


def _blame(scenario: Scenario, decks: Sequence[BayDeck], error: DeckTooSoftError) -> Exception:
    """Say whether it is the deck or the beams: strike each bay on rigid supports to find out."""
    if "no concrete left" in str(error):
        return error
    for deck in decks:
        try:
            _bay_alone(scenario, deck)
        except DeckTooSoftError as alone:
            return DeckTooSoftError(f"bay {deck.bay.name}: {alone}")
    return BeamTooSoftError(
        "the beams are too soft to level the floor on: the deck alone can be levelled, but with "
        "[beams] the fill in the sag makes the beams sag by as much again; look at their I_cm4"
    )
