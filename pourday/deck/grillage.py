"""Beams that carry the deck, and each other: one stiffness for the verticals where they meet.

Every beam gives the stiffness of its own nodes (:mod:`pourday.deck.settlement`); a hinge is where
one beam ends and the next begins. Nodes that stand on a wall, a column or a rigid prop do not move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.settlement import settlement

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


class BeamTooSoftError(ValueError):
    """Beams that do not hold the floor: a mechanism, or filling the sag never ends."""


@dataclass(frozen=True, eq=False)
class Beam:
    """A beam through nodes: ``nodes`` (n,) their numbers, ``places`` (n,) m along it, EI in N m².

    ``width`` multiplies its stiffness: 1 for a steel beam, the width it stands for with deck.
    """

    nodes: Ints
    places: Floats
    rigidity: float
    width: float = 1.0


@dataclass(frozen=True, eq=False)
class Grillage:
    """``move`` (N, N) m downward of every node for 1 N on each, zero rows where held; ``carry``
    (N, N) of that 1 N, the share that each held node or prop takes, zero rows at other nodes."""

    move: Floats
    carry: Floats


def grillage(
    count: int, beams: Sequence[Beam], held: NDArray[np.bool_], springs: Floats | None = None
) -> Grillage:
    """Solve the beams once for 1 N on every node.

    Args:
        count: number of nodes.
        beams: all beams, deck lines included.
        held: (count,) nodes that do not move.
        springs: (count,) N/m, elastic props under nodes.

    Raises:
        BeamTooSoftError: where a node that is not held is carried by nothing.
    """
    stiff = stiffness(count, beams)
    below = np.zeros(count) if springs is None else springs
    free = np.flatnonzero(~held)
    move = np.zeros((count, count))
    if len(free):
        part = (stiff + np.diag(below))[np.ix_(free, free)]
        if not _carries(part):
            raise BeamTooSoftError(
                "a beam line is held by nothing: every secondary beam needs primary beams or "
                "walls at its ends, every primary beam at least two columns"
            )
        move[np.ix_(free, free)] = np.linalg.inv(part)
    carry = below[:, None] * move
    carry[held] = np.eye(count)[held] - stiff[held] @ move
    return Grillage(move, carry)


def stiffness(count: int, beams: Sequence[Beam]) -> Floats:
    """Downward forces (count, count) N that hold a node 1 m down and all others where they are."""
    stiff = np.zeros((count, count))
    known: dict[tuple[float, ...], Floats] = {}
    for beam in beams:
        # Beams alike (the lines of a bay, the spans of a secondary) are worked out once.
        steps = tuple(np.round(np.diff(beam.places), 9))
        if steps not in known:
            known[steps] = settlement(np.concatenate([[0.0], np.cumsum(steps)]), 1.0).stiffness
        stiff[np.ix_(beam.nodes, beam.nodes)] += beam.rigidity * beam.width * known[steps]
    return stiff


def _carries(stiff: Floats) -> bool:
    """Whether no movement of the nodes is free of force (Cholesky, pivots against the diagonal)."""
    try:
        pivots = np.diag(np.linalg.cholesky(stiff)) ** 2
    except np.linalg.LinAlgError:
        return False
    return bool(np.all(pivots > 1e-10 * np.diag(stiff)))
