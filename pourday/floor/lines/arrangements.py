"""Loads of one state arranged for the worst of one effect, and all that this arrangement does.

Bounds say how far each effect can go and not what else happens then. Where a support lets go the
whole arrangement has to be known, since the run is solved again under it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.factors import Factors
from pourday.floor.lines.bounds import DeckStatics, Influences, Loading, Moving, Settling

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Loaded:
    """A line with its loads, and how its supports go down under them."""

    deck: DeckStatics
    loading: Loading
    settling: Settling | None
    factors: Factors


@dataclass(frozen=True, eq=False)
class Target:
    """N effects that are wanted at their worst: ``rows`` (N,) of the matrix of effects, ``signs``
    (N,) 1 where the greatest is wanted, -1 where the least."""

    rows: NDArray[np.intp]
    signs: Floats


def arranged(loaded: Loaded, factors: Factors, state: int, target: Target, excess: float) -> Floats:
    """All R effects (N, R) of the loads of a state, arranged for each of N targets.

    ``excess`` is the heap above the strip's thickness, in shares of it.
    """
    loading, settling = loaded.loading, loaded.settling
    influences = Influences(loaded.deck, settling)
    deck, settled, working = influences.of_deck, loaded.deck.settled, (factors.working, 0.0)
    out = _cells(loading.permanent, deck, target, factors.permanent)
    out += _cells(loading.concrete[state], deck, target, factors.concrete)
    out += _cells(loading.wide[state], influences.wide(), target, working)
    out += _cells(loading.stacks[state], deck, target, working)
    if settling is not None:
        out += _whole(settled @ settling.permanent, target, factors.permanent)
        out += _whole(settled @ settling.concrete[state], target, factors.concrete)
        for stack in settling.stacks:
            out += _whole(settled @ stack[state], target, working)

    def _moving(load: Moving | None, factor: float) -> Floats:
        return _worst_place(load, influences.of_width, target, factor)

    for kind in loading.around:
        out += _moving(kind[state], factors.working)
    stands = _moving(loading.zone[state], factors.working)
    heaped = _moving(loading.light_zone[state], factors.working)
    heaped += excess * _moving(loading.heap[state], factors.heap)
    n = np.arange(len(target.rows))
    worse = target.signs * (heaped - stands)[n, target.rows] > 0
    return np.asarray(out + np.where(worse[:, None], heaped, stands))


def _cells(load: Floats, matrix: Floats, target: Target, factor: tuple[float, float]) -> Floats:
    """(N, R) of a load (L,) that is heavy or light cell by cell."""
    heavy = target.signs[:, None] * matrix[target.rows] > 0
    return np.asarray((np.where(heavy, *factor) * load) @ matrix.T)


def _whole(effect: Floats, target: Target, factor: tuple[float, float]) -> Floats:
    """(N, R) of something that comes as one, heavy or light."""
    heavy = target.signs * effect[target.rows] > 0
    return np.asarray(np.where(heavy, *factor)[:, None] * effect)


def _worst_place(
    load: Moving | None, influence: Callable[[float], Floats], target: Target, factor: float
) -> Floats:
    """(N, R) of a load at the place where it is worst, away from cells where it relieves."""
    if load is None or not load.at.any():
        return np.zeros((len(target.rows), len(influence(0.0))))
    matrix = influence(load.width)
    raises = np.maximum(target.signs[:, None] * matrix[target.rows], 0.0)
    place = np.argmax(raises @ load.at.T, axis=1)
    return np.asarray((factor * (raises > 0) * load.at[place]) @ matrix.T)
