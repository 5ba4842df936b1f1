"""The load states of a line in order, and the loads of each, apart by kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pourday.deck.loads import WorkingLoad
from pourday.floor.lines.bounds import Loading, Moving
from pourday.floor.lines.lines import BayDeck, Floats
from pourday.floor.lines.ponding import FloorStruck, loaded_thickness, old_weight
from pourday.floor.lines.stacks import Stacked
from pourday.floor.lines.working import ZONE, places_of
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
class Rows:
    """M states of a line and their loads.

    ``loading`` has them apart by kind. ``pressures`` (M, L) are all of them with zone and heap in
    the middle of the strip, without the excess of the heap, ``heaps``, and without the ``heaping``
    of the preset while a strip is filled. ``local`` is what of them stands around the front, (M, L)
    by its width along y (m); ``lying`` (M, stacks) is 1 where a stack still lies.
    """

    states: tuple[State, ...]
    loading: Loading
    pressures: Floats
    heaps: Floats
    heaping: Floats
    local: dict[float, Floats]
    lying: Floats


def rows_of(
    scenario: Scenario,
    deck: BayDeck,
    line: int,
    strips: Sequence[Strip],
    struck: FloorStruck,
    stacks: Sequence[Stacked],
) -> Rows:
    """The states of one line, its number in ``line``."""
    thickness = loaded_thickness(scenario, deck, struck.lines[line], struck.how)
    rows = list(_states(scenario, deck, strips, thickness))
    states = tuple(row.state for row in rows)
    lying = np.array([[_lies(stack, state) for stack in stacks] for state in states], dtype=float)
    lying = lying.reshape(len(states), len(stacks))
    none = np.zeros(deck.unit.reaction.shape[1])
    on_line = np.array([stack.on.get(line, none) for stack in stacks]).reshape(-1, len(none))
    permanent = np.where(np.arange(len(none)) < len(deck.fine), scenario.bare_weight, 0.0)
    permanent[: len(deck.fine)] += deck.hardened * old_weight(scenario)
    loading = Loading(
        permanent=permanent,
        concrete=np.array([row.concrete for row in rows]),
        wide=np.array([row.wide for row in rows]),
        stacks=lying @ on_line,
        around=[[row.line for row in rows], [row.landing for row in rows]],
        zone=[row.zone for row in rows],
        light_zone=[row.light_zone for row in rows],
        heap=[row.heap for row in rows],
    )
    near = [row.near for row in rows]
    heaps, light = (
        np.array([_middle(each, none) for each in some]) for some in (loading.heap, near)
    )
    around = [[_middle(each, none) for each in some] for some in loading.around]
    zones = np.array([_middle(each, none) for each in loading.zone])
    return Rows(
        states=states,
        loading=loading,
        pressures=permanent
        + loading.concrete
        + loading.wide
        + loading.stacks
        + light
        + np.sum(around, axis=0),
        heaps=heaps,
        heaping=zones - light,
        local=_by_width([near, *loading.around], none),
        lying=lying,
    )


def _by_width(kinds: Sequence[Sequence[Moving | None]], none: Floats) -> dict[float, Floats]:
    """Loads (M, L) of all kinds at their middle place, by their width along y (m)."""
    out: dict[float, Floats] = {}
    for kind in kinds:
        for k, load in enumerate(kind):
            if load is not None:
                rows = out.setdefault(load.width, np.zeros((len(kind), len(none))))
                rows[k] += _middle(load, none)
    return out


def _middle(load: Moving | None, none: Floats) -> Floats:
    """A load at the middle of the places at which it is tried."""
    return none if load is None else np.asarray(load.at[len(load.at) // 2])


def _lies(stack: Stacked, state: State) -> bool:
    """Whether a stack still lies on the floor."""
    return state.stage != FULL and (state.stage == BARE or state.strip < stack.gone)


@dataclass(frozen=True, eq=False)
class _Row:
    """One state of a bay: concrete and working load outside the zone (L,), and what moves.

    ``near`` is the zone as it stands in the middle: the light one while a strip is filled.
    """

    state: State
    concrete: Floats
    wide: Floats
    zone: Moving | None = None
    light_zone: Moving | None = None
    near: Moving | None = None
    heap: Moving | None = None
    line: Moving | None = None
    landing: Moving | None = None


def _states(
    scenario: Scenario, deck: BayDeck, strips: Sequence[Strip], thickness: Floats
) -> Iterator[_Row]:
    """The states of a bay in order, its cells (C,) m thick; what is stacked on it is left out."""
    fine, count = len(deck.fine), len(deck.fine) + len(deck.unit.points)
    weight = thickness[deck.owner] * scenario.slab.wet_density
    strip_of = np.array([deck.cells[n].strip if n >= 0 else -1 for n in deck.owner])
    none = np.zeros(count)
    on_deck = np.arange(count) < fine
    placed = none
    yield _Row(State(deck.strips[0], 0, BARE), placed, np.where(on_deck, deck.working.bare, 0.0))
    for turn, i in enumerate(deck.strips):
        reach = deck.reach(strips[i])
        mine = np.zeros(count)
        mine[:fine] = weight * (strip_of == i)
        after = placed + mine
        length = scenario.loads.heap_length
        heap = Moving(mine * _windows(deck, reach, length, True), length)
        landing = _landing(scenario, deck, reach)
        for load in deck.working.of[i]:
            zone, light = _zone(deck, load, reach, 0.0), _zone(deck, load, reach, load.heaping)
            wide = np.where(on_deck, load.outside, 0.0)
            line = None
            if load.line:
                # Of the line, the pipe lies all along the strip; people stand within a zone.
                wide[fine + turn] = deck.gear.pipe
                people = none.copy()
                people[fine + turn] = load.line - deck.gear.pipe
                line = Moving(people[None, :], ZONE)
            yield _Row(State(i, turn, ARRIVE), placed, wide, zone, light, zone, None, line, landing)
            yield _Row(State(i, turn, FRONT), after, wide, zone, light, light, heap, line)
        over = np.where(on_deck, max(load.outside for load in deck.working.of[i]), 0.0)
        yield _Row(State(i, turn, LEFT), after, over)
        placed = after
    yield _Row(State(deck.strips[-1], len(deck.strips) - 1, FULL), placed, none)


def _windows(deck: BayDeck, reach: tuple[float, float], length: float, inside: bool) -> Floats:
    """(P, L) 1 on the cells under a load of this length, at every place where it is tried."""
    places = np.array(places_of(*reach, length, inside))
    out = np.zeros((len(places), deck.unit.reaction.shape[1]))
    middles = deck.fine.mean(axis=1)
    out[:, : len(middles)] = np.abs(middles - places[:, None]) < length / 2
    return out


def _zone(
    deck: BayDeck, load: WorkingLoad, reach: tuple[float, float], less: float
) -> Moving | None:
    """Load inside the zone above that outside it, ``less`` Pa of heaping."""
    if not load.zone_length:
        return None
    more = load.inside - load.outside - less
    return Moving(more * _windows(deck, reach, load.zone_length, False), load.zone_length)


def _landing(scenario: Scenario, deck: BayDeck, reach: tuple[float, float]) -> Moving | None:
    """Pressure of the skip where it is set down, in the middle of the strip."""
    side, weight = scenario.loads.skip_side, deck.gear.skip_landing
    if not weight:
        return None
    middle = sum(reach) / 2
    at = _windows(deck, (middle, middle), side, True)
    return Moving(weight / side**2 * at, side)
