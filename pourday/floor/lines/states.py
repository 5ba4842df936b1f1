"""Every load state of every line, and what the deck feels in it.

The front comes to a line, fills the strip, and goes; the next strip follows. On beams the line's
supports have moved by what the whole floor carries at that moment, and by what stands around the
front.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.effects import Resistance
from pourday.deck.history import Response, respond
from pourday.deck.ponding import Struck
from pourday.floor.cut import Bay
from pourday.floor.lines.arrangements import Loaded
from pourday.floor.lines.bounds import Felt, Settling, felt_of, statics_of
from pourday.floor.lines.frame import Frame, Station
from pourday.floor.lines.judging import factors_of, resistance_of
from pourday.floor.lines.lines import BayDeck, Cell, Floats, LinePlace
from pourday.floor.lines.local import Around, OnProps, on_props
from pourday.floor.lines.ponding import FloorStruck
from pourday.floor.lines.rows import (
    ARRIVE,
    BARE,
    FRONT,
    FULL,
    LEFT,
    Rows,
    State,
    rows_of,
)
from pourday.floor.lines.stacks import Stacked, stacked
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import Scenario

Ints = NDArray[np.intp]

__all__ = ["ARRIVE", "BARE", "FRONT", "FULL", "LEFT", "DeckLine", "State", "deck_lines"]


@dataclass(frozen=True, eq=False)
class DeckLine:
    """A line with its struck thickness and its load states in order.

    ``felt`` is what the deck feels at its worst, every load where and as heavy as it counts;
    ``loaded`` are those loads.
    ``base`` (M states) is the response to loads as they are, zone and heap in the middle of the
    strip, without the excess of the heap; ``heap`` is that to an excess of one whole strip
    thickness, of which a heap of height factor f adds (f - 1). ``pressures`` and ``heap_pressures``
    are their loads; ``heaping_pressures`` is the heaping of the preset, which takes the place of
    the day's heap and is not in ``base`` while a strip is filled. The deflection of a response is
    that of the deck between its supports; ``supports_down`` (M, n+1) is how far the supports
    themselves have gone (m). ``resistance`` is None where the file does not say what it is.
    """

    deck: BayDeck
    station: Station
    struck: Struck
    states: tuple[State, ...]
    pressures: Floats
    heap_pressures: Floats
    heaping_pressures: Floats
    base: Response
    heap: Response
    felt: Felt
    loaded: Loaded
    supports_down: Floats
    resistance: Resistance | None

    @property
    def bay(self) -> Bay:
        """The bay the line crosses."""
        return self.deck.bay

    @property
    def supports(self) -> tuple[float, ...]:
        """x of the supports (m), prop lines included."""
        return self.deck.supports

    @property
    def strips(self) -> tuple[int, ...]:
        """Strips that cross the line, in placing order."""
        return self.deck.strips

    @property
    def cells(self) -> tuple[Cell, ...]:
        """Strips within spans."""
        return self.deck.cells


def deck_lines(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    strips: Sequence[Strip],
    struck: FloorStruck,
    frame: Frame | None,
) -> tuple[DeckLine, ...]:
    """The lines of a plan with all their states."""
    after = _step_after(struck)
    floor_wide = _floor_wide_moves(decks, places, frame)
    stacks = stacked(scenario, decks, places, frame)
    resistance, factors = resistance_of(scenario), factors_of(scenario.loads)
    props = [_props(scenario, deck) for deck in decks]
    statics = [statics_of(deck, resistance, on) for deck, on in zip(decks, props, strict=True)]
    across = {place.station for place in places}
    out = []
    for n, place in enumerate(places):
        deck = decks[place.deck]
        rows = rows_of(scenario, deck, n, strips, struck, stacks)
        down = heap_down = settling = None
        if frame is not None:
            nodes = frame.nodes_of(deck.supports, place.station.y)
            moments = [_moment(state, n, after, len(struck.steps)) for state in rows.states]
            moved = struck.moved[:, nodes]
            settling = Settling(
                permanent=moved[0],
                concrete=moved[moments] - moved[0],
                stacks=_by_stacks(rows, stacks, nodes),
                own=Around(deck, place.station, frame, across),
                wide=floor_wide[place.deck][nodes],
                props=props[place.deck],
            )
            down, heap_down = _way_down(rows, settling, scenario.loads.heap_length)
        base, supports_down = _response(deck, rows.pressures, down)
        heap_response, _ = _response(deck, rows.heaps, heap_down)
        out.append(
            DeckLine(
                deck=deck,
                station=place.station,
                struck=struck.lines[n],
                states=rows.states,
                pressures=rows.pressures,
                heap_pressures=rows.heaps,
                heaping_pressures=rows.heaping,
                base=base,
                heap=heap_response,
                felt=felt_of(statics[place.deck], rows.loading, settling, factors),
                loaded=Loaded(statics[place.deck], rows.loading, settling, factors),
                supports_down=supports_down,
                resistance=resistance,
            )
        )
    return tuple(out)


def _props(scenario: Scenario, deck: BayDeck) -> OnProps:
    under = np.array([scenario.props.under(x) for x in deck.supports])
    return on_props(deck, under, scenario.props.stiffness)


def _way_down(rows: Rows, settling: Settling, heap_length: float) -> tuple[Floats, Floats]:
    """(M, n+1) m that the supports of a line go down, and what an excess of the heap adds."""
    own, props = settling.own, settling.props
    down = settling.permanent + settling.concrete + settling.stacks.sum(axis=0)
    down = down + rows.loading.wide @ settling.wide.T
    for width, load in rows.local.items():
        down = down + load @ own.of_width(width).T
    # A heap is as wide along y as along x.
    heap_down = rows.heaps @ own.of_width(heap_length).T
    return props.down(rows.pressures, down), props.down(rows.heaps, heap_down)


def _by_stacks(rows: Rows, stacks: Sequence[Stacked], nodes: Ints) -> Floats:
    """(stacks, M, n+1) m that each stack presses the supports of a line down, state by state."""
    each = [np.outer(rows.lying[:, k], stack.moved[nodes]) for k, stack in enumerate(stacks)]
    return np.array(each).reshape(len(stacks), len(rows.states), len(nodes))


def _response(deck: BayDeck, pressures: Floats, down: Floats | None) -> tuple[Response, Floats]:
    """Deck on supports that have gone ``down`` (M, n+1); deflection between the supports."""
    rigid = respond(deck.unit, pressures)
    if down is None:
        return rigid, np.zeros((len(pressures), len(deck.supports)))
    settled = deck.settled
    whole = down @ settled.deflection.T
    # All of it less the straight line between the supports: what bends, not what goes along.
    chord = np.stack([np.interp(deck.unit.stations, deck.supports, row) for row in down])
    return (
        Response(
            moment=rigid.moment + down @ settled.moment.T,
            deflection=rigid.deflection + whole - chord,
            reaction=rigid.reaction - down @ settled.stiffness,
            support_moment=rigid.support_moment + down @ settled.support_moment.T,
        ),
        down,
    )


def _step_after(struck: FloorStruck) -> dict[tuple[int, int], tuple[int, int]]:
    """(strip, line) -> number of the step that fills it there, and of the strip's last step."""
    last: dict[int, int] = {}
    mine: dict[tuple[int, int], int] = {}
    for number, (strip, lines) in enumerate(struck.steps):
        last[strip] = number
        for line in lines:
            mine[strip, line] = number
    return {key: (number, last[key[0]]) for key, number in mine.items()}


def _moment(
    state: State, line: int, after: dict[tuple[int, int], tuple[int, int]], steps: int
) -> int:
    """Row of ``FloorStruck.moved`` that holds in a state."""
    here, last = after[state.strip, line]
    return {BARE: 0, ARRIVE: here, FRONT: here + 1, LEFT: last + 1, FULL: steps}[state.stage]


def _floor_wide_moves(
    decks: Sequence[BayDeck], places: Sequence[LinePlace], frame: Frame | None
) -> list[Floats]:
    """Movement (N, L) of every node for each unit load all along a bay, by bay."""
    if frame is None:
        return []
    out = [np.zeros((frame.move.shape[0], deck.unit.reaction.shape[1])) for deck in decks]
    for place in places:
        deck = decks[place.deck]
        nodes = frame.nodes_of(deck.supports, place.station.y)
        out[place.deck] += frame.move[:, nodes] @ (deck.unit.reaction * place.station.width)
    return out
