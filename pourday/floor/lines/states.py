"""Every load state of every line, and what the deck feels in it.

The front comes to a line, fills the strip, and goes; the next strip follows. On beams the line's
supports have moved by what the whole floor carries at that moment, and by what stands around the
front.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pourday.deck.history import Resistance, Response, respond
from pourday.deck.loads import WorkingLoad
from pourday.deck.ponding import Struck
from pourday.floor.cut import Bay
from pourday.floor.lines.frame import Frame, Station
from pourday.floor.lines.lines import BayDeck, Cell, Floats, LinePlace
from pourday.floor.lines.local import local_down, props_down
from pourday.floor.lines.ponding import FloorStruck
from pourday.floor.lines.stacks import Stacked, stacked
from pourday.floor.lines.working import ZONE
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import Scenario

BARE, ARRIVE, FRONT, LEFT, FULL = "bare", "arrive", "front", "left", "full"


@dataclass(frozen=True)
class State:
    """What is on the line: the strip the front is in, and how far it has come.

    ``stage`` is "bare" (deck alone, and what is stacked on it), "arrive" (crew on the line, strip
    still empty), "front" (strip placed, heap and crew on it), "left" (strip placed, crew elsewhere)
    or "full" (all placed, nobody there). ``turn`` is the place of the strip in the line's own
    order.
    """

    strip: int
    turn: int
    stage: str


@dataclass(frozen=True, eq=False)
class DeckLine:
    """A line with its struck thickness and its load states in order.

    ``base`` (M states) is the response without the excess of the heap, ``heap`` the response to
    an excess of one whole strip thickness; a heap of height factor f adds (f - 1) of it. The
    deflection of a response is that of the deck between its supports; ``supports_down`` (M, n+1)
    is how far the supports themselves have gone (m).
    """

    deck: BayDeck
    station: Station
    struck: Struck
    states: tuple[State, ...]
    pressures: Floats
    heap_pressures: Floats
    base: Response
    heap: Response
    supports_down: Floats
    resistance: Resistance

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
    across = {place.station for place in places}
    out = []
    for n, place in enumerate(places):
        deck = decks[place.deck]
        rows = _rows(scenario, deck, n, strips, struck.lines[n], stacks)
        down = heap_down = None
        if frame is not None:
            nodes = frame.nodes_of(deck.supports, place.station.y)
            floor_moved = np.stack(
                [struck.moved[_moment(state, n, after, len(struck.steps))] for state in rows.states]
            )[:, nodes]
            down = (
                floor_moved
                + local_down(deck, place.station, frame, rows.local, across)
                + rows.wide @ floor_wide[place.deck][nodes].T
                + rows.stacked @ np.array([s.moved[nodes] for s in stacks]).reshape(-1, len(nodes))
            )
            # A heap is as wide along y as along x.
            heap = {scenario.loads.heap_length: rows.heaps}
            heap_down = local_down(deck, place.station, frame, heap, across)
            if scenario.props.stiffness is not None:
                props = np.array([scenario.props.under(x) for x in deck.supports])
                give = scenario.props.stiffness
                down = props_down(deck, rows.pressures, down, props, give)
                heap_down = props_down(deck, rows.heaps, heap_down, props, give)
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
                base=base,
                heap=heap_response,
                supports_down=supports_down,
                resistance=Resistance(
                    scenario.deck.sag_moment_resistance,
                    scenario.deck.hog_moment_resistance,
                    scenario.deck.reaction_resistance,
                    scenario.deck.end_reaction_resistance,
                ),
            )
        )
    return tuple(out)


@dataclass(frozen=True, eq=False)
class _Rows:
    """M states of a line: all pressures, heap, and how wide along y each load is.

    ``local`` (M, L) what stands around the front, by its width along y (m);
    ``wide`` (M, L) what lies all along the bay, the working load outside the zone and the pipe;
    ``stacked`` (M, stacks) 1 where a stack still lies on the floor.
    """

    states: tuple[State, ...]
    pressures: Floats
    heaps: Floats
    local: dict[float, Floats]
    wide: Floats
    stacked: Floats


def _rows(
    scenario: Scenario,
    deck: BayDeck,
    line: int,
    strips: Sequence[Strip],
    struck: Struck,
    stacks: Sequence[Stacked],
) -> _Rows:
    rows = list(_states(scenario, deck, strips, struck))
    states = tuple(row.state for row in rows)
    lying = [[_lies(stack, state) for stack in stacks] for state in states]
    pressures = []
    for row, mine in zip(rows, lying, strict=True):
        here = [s.on[line] for s, lies in zip(stacks, mine, strict=True) if lies and line in s.on]
        pressures.append(row.lies + row.near + row.wide + sum(here, np.zeros(len(row.lies))))
    return _Rows(
        states,
        np.array(pressures),
        np.array([row.heap for row in rows]),
        {
            width: np.array([row.local.get(width, np.zeros(len(row.lies))) for row in rows])
            for width in sorted({width for row in rows for width in row.local})
        },
        np.array([row.wide for row in rows]),
        np.array(lying, dtype=float).reshape(len(states), len(stacks)),
    )


def _lies(stack: Stacked, state: State) -> bool:
    """Whether a stack still lies on the floor."""
    return state.stage != FULL and (state.stage == BARE or state.strip < stack.gone)


@dataclass(frozen=True, eq=False)
class _Row:
    """One state of a bay, all loads (L,).

    ``lies`` are deck and concrete, ``heap`` its excess, ``near`` what stands around the front;
    ``local`` and ``wide`` are as in `_Rows`.
    """

    state: State
    lies: Floats
    heap: Floats
    near: Floats
    local: dict[float, Floats]
    wide: Floats


def _states(
    scenario: Scenario, deck: BayDeck, strips: Sequence[Strip], struck: Struck
) -> Iterator[_Row]:
    """The states of a bay struck like this, in order; what is stacked on it is left out."""
    fine, count = len(deck.fine), len(deck.fine) + len(deck.unit.points)
    middles = deck.fine.mean(axis=1)
    weight = struck.thickness[deck.owner] * scenario.slab.wet_density
    strip_of = np.array([deck.cells[n].strip for n in deck.owner])
    none = np.zeros(count)
    on_deck = np.arange(count) < fine
    placed = np.where(on_deck, scenario.deck.self_weight, 0.0)
    yield _Row(State(deck.strips[0], 0, BARE), placed, none, none, {}, none)
    for turn, i in enumerate(deck.strips):
        here = deck.middle(strips[i])
        after = placed.copy()
        after[:fine] += weight * (strip_of == i)
        heap = none.copy()
        heap_zone = np.abs(middles - here) < scenario.loads.heap_length / 2
        heap[:fine] = weight * (strip_of == i) * heap_zone
        landing = none.copy()
        landing[:fine] = _landing(scenario, deck, middles, here)
        for load in deck.working.of[i]:
            near, local = _around_the_front(deck, load, turn, here)
            wide = np.where(on_deck, load.outside, 0.0)
            if load.line:
                wide[fine + turn] = deck.gear.pipe
            side = scenario.loads.skip_side
            set_down = local | {side: local.get(side, none) + landing}
            yield _Row(State(i, turn, ARRIVE), placed, none, near + landing, set_down, wide)
            yield _Row(State(i, turn, FRONT), after, heap, near, local, wide)
        over = np.where(on_deck, max(load.outside for load in deck.working.of[i]), 0.0)
        yield _Row(State(i, turn, LEFT), after, none, none, {}, over)
        placed = after
    yield _Row(State(deck.strips[-1], len(deck.strips) - 1, FULL), placed, none, none, {}, none)


def _around_the_front(
    deck: BayDeck, load: WorkingLoad, turn: int, here: float
) -> tuple[Floats, dict[float, Floats]]:
    """Load of the people around a front at ``here`` (m), and its parts by their width along y."""
    fine, middles = len(deck.fine), deck.fine.mean(axis=1)
    zone, line = np.zeros((2, fine + len(deck.unit.points)))
    inside = np.abs(middles - here) < load.zone_length / 2
    zone[:fine] = np.where(inside, load.inside - load.outside, 0.0)
    if load.line:
        # Of the line, the pipe lies all along the strip; people stand within a zone.
        line[fine + turn] = load.line - deck.gear.pipe
    if load.zone_length == ZONE:
        return zone + line, {ZONE: zone + line}
    return zone + line, {load.zone_length: zone, ZONE: line}


def _landing(scenario: Scenario, deck: BayDeck, middles: Floats, here: float) -> Floats:
    """Pressure of the skip where it is set down, in the middle of the strip."""
    side, weight = scenario.loads.skip_side, deck.gear.skip_landing
    if not weight:
        return np.zeros(len(middles))
    under = np.abs(middles - here) < side / 2
    return np.where(under, weight / side**2, 0.0)


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
