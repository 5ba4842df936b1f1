"""Material that lies on the bare deck before the pour, and what it weighs on lines and beams."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.floor.lines.frame import Frame
from pourday.floor.lines.lines import BayDeck, LinePlace
from pourday.scenario.model.scenario import Scenario, Stack

Floats = NDArray[np.float64]
_STAYS = 10**9


@dataclass(frozen=True, eq=False)
class Stacked:
    """A stack on the floor, whole until the first strip under it is begun.

    ``gone`` is the index of that strip; ``on`` its pressures (Pa) on the loads of every line it
    touches, by the line's number; ``moved`` (N,) m how far it presses the frame's nodes down.
    """

    gone: int
    on: dict[int, Floats]
    moved: Floats


def stacked(
    scenario: Scenario,
    decks: Sequence[BayDeck],
    places: Sequence[LinePlace],
    frame: Frame | None,
) -> tuple[Stacked, ...]:
    """Every stack of the scenario that lies on deck."""
    found = (_stacked(stack, decks, places, frame) for stack in scenario.loads.stacks)
    return tuple(stack for stack in found if stack is not None)


def _stacked(
    stack: Stack, decks: Sequence[BayDeck], places: Sequence[LinePlace], frame: Frame | None
) -> Stacked | None:
    area = (stack.x[1] - stack.x[0]) * (stack.y[1] - stack.y[0])
    under: set[int] = set()
    on: dict[int, Floats] = {}
    moved = np.zeros(0 if frame is None else frame.move.shape[0])
    for n, place in enumerate(places):
        deck, station = decks[place.deck], place.station
        width = min(stack.y[1], station.high) - max(stack.y[0], station.low)
        middles = deck.fine.mean(axis=1)
        inside = (middles > stack.x[0]) & (middles < stack.x[1])
        if width <= 0 or not inside.any():
            continue
        row = np.zeros(deck.unit.reaction.shape[1])
        row[: len(deck.fine)] = np.where(inside, stack.weight / area, 0.0)
        on[n] = row
        under |= {deck.cells[c].strip for c in deck.owner[inside] if c >= 0}
        if frame is not None:
            nodes = frame.nodes_of(deck.supports, station.y)
            moved += frame.move[:, nodes] @ (deck.unit.reaction @ row * width)
    # On deck that is not poured this day a stack lies on.
    return Stacked(min(under, default=_STAYS), on, moved) if on else None
