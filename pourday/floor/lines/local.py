"""How far supports go down under what stands on a few metres of floor: the width it has counts.

A zone, a heap or a skip is as wide along the beams as it is, whatever the deck lines stand for: its
weight goes to every line it touches, by the part it touches. A prop stands under its own metre of
deck and shares nothing with the next one: it takes what lies on that metre.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

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


def local_down(
    deck: BayDeck,
    station: Station,
    frame: Frame,
    loads: Mapping[float, Floats],
    across: Iterable[Station],
) -> Floats:
    """Way down (M, n+1), m, of a line's supports under loads that lie around it.

    ``loads`` are rows (M, L) of Pa and N/m by their width along y (m); ``across`` all lines of the
    floor.
    """
    mine = frame.nodes_of(deck.supports, station.y)
    stations = list(across)
    length_y = max(each.high for each in stations)
    down: Floats = np.zeros((1, len(mine)))
    for width, rows in loads.items():
        low, high = window(station, width, length_y)
        moves = np.zeros((len(mine), len(mine)))
        for each in stations:
            touched = min(high, each.high) - max(low, each.low)
            if touched > 0:
                nodes = frame.nodes_of(deck.supports, each.y)
                moves += touched * frame.move[np.ix_(nodes, mine)]
        down = down + rows @ deck.unit.reaction.T @ moves
    return down


def props_down(
    deck: BayDeck, pressures: Floats, down: Floats, under: NDArray[np.bool_], stiffness: float
) -> Floats:
    """The same way down (M, n+1), elastic props by what lies on their own metre of deck.

    ``under`` (n+1,) marks the prop lines, ``stiffness`` N/m per metre; beams keep their way down.
    The deck over the props is in balance: (k + K_pp) u_p = r_p - K_pb u_b, with r the reactions
    on rigid supports and K the stiffness of the deck seen from its supports (static condensation,
    any textbook of structural analysis).
    """
    if not under.any():
        return down
    pressed = pressures @ deck.unit.reaction[under].T
    pressed -= down[:, ~under] @ deck.settled.stiffness[~under][:, under]
    out = down.copy()
    out[:, under] = pressed @ prop_give(deck.settled.stiffness, under, stiffness)
    return out


def prop_give(held: Floats, under: NDArray[np.bool_], stiffness: float) -> Floats:
    """Way down (P, P) of prop lines, m, for 1 N/m of reaction on each, all else held.

    ``held`` (n+1, n+1) is the deck's stiffness seen from its supports, per metre width.
    """
    firm = held[np.ix_(under, under)] + stiffness * np.eye(int(under.sum()))
    return np.asarray(np.linalg.inv(firm))
