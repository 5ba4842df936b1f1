"""How far supports go down under what stands on a few metres of floor: the width it has counts.

A zone, a heap or a skip is as wide along the beams as it is, whatever the deck lines stand for: its
weight goes to every line it touches, by the part it touches. A prop stands under its own metre of
deck and shares nothing with the next one: it takes what lies on that metre.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.floor.lines.frame import Frame, Station
from pourday.floor.lines.lines import BayDeck

Floats = NDArray[np.float64]


def window(station: Station, width: float, length_y: float) -> tuple[float, float]:
    """From where to where (y, m) a load of ``width`` around a line lies, whole on the floor."""
    wide = min(width, length_y)
    low = min(max(station.y - wide / 2, 0.0), length_y - wide)
    return low, low + wide


class Around:
    """How the supports of a line go down under what lies around it on a few metres of floor."""

    def __init__(
        self, deck: BayDeck, station: Station, frame: Frame, across: Iterable[Station]
    ) -> None:
        self._deck, self._station, self._frame = deck, station, frame
        self._across = tuple(across)
        self._length_y = max(each.high for each in self._across)
        self._known: dict[float, Floats] = {}

    def of_width(self, width: float) -> Floats:
        """(n+1, L) m for 1 Pa or N/m of each load, ``width`` m wide along y."""
        if width not in self._known:
            self._known[width] = self._moves(width) @ self._deck.unit.reaction
        return self._known[width]

    def _moves(self, width: float) -> Floats:
        """(n+1, n+1) m of each support for 1 N/m on each over that width."""
        supports, frame = self._deck.supports, self._frame
        mine = frame.nodes_of(supports, self._station.y)
        low, high = window(self._station, width, self._length_y)
        moves = np.zeros((len(mine), len(mine)))
        for each in self._across:
            touched = min(high, each.high) - max(low, each.low)
            if touched > 0:
                moves += touched * frame.move[np.ix_(mine, frame.nodes_of(supports, each.y))]
        return moves


@dataclass(frozen=True, eq=False)
class OnProps:
    """Elastic props go down by what lies on their own metre of deck, beams as the floor moves them.

    ``own`` (n+1, L) m down for each unit load on that metre, beams held; ``beams`` (n+1, n+1) m
    down for 1 m down of each beam. Without elastic props nothing and the unit matrix.
    The deck over the props is in balance: (k + K_pp) u_p = r_p - K_pb u_b, with r the reactions
    on rigid supports and K the stiffness of the deck seen from its supports (static condensation,
    any textbook of structural analysis).
    """

    own: Floats
    beams: Floats

    def down(self, pressures: Floats, beams_down: Floats) -> Floats:
        """Way down (M, n+1), m, of all supports under loads (M, L) when beams have gone down."""
        return np.asarray(beams_down @ self.beams.T + pressures @ self.own.T)


def on_props(deck: BayDeck, under: NDArray[np.bool_], stiffness: float | None) -> OnProps:
    """Props of a bay: ``under`` (n+1,) marks the prop lines, ``stiffness`` N/m per metre."""
    own, beams = np.zeros_like(deck.unit.reaction), np.eye(len(under))
    if stiffness is not None and under.any():
        held = deck.settled.stiffness
        give = prop_give(held, under, stiffness)
        own[under] = give.T @ deck.unit.reaction[under]
        beams[under] = 0.0
        beams[np.ix_(under, ~under)] = -give.T @ held[np.ix_(~under, under)].T
    return OnProps(own, beams)


def prop_give(held: Floats, under: NDArray[np.bool_], stiffness: float) -> Floats:
    """Way down (P, P) of prop lines, m, for 1 N/m of reaction on each, all else held.

    ``held`` (n+1, n+1) is the deck's stiffness seen from its supports, per metre width.
    """
    firm = held[np.ix_(under, under)] + stiffness * np.eye(int(under.sum()))
    return np.asarray(np.linalg.inv(firm))
