"""What a sheet run or a beam does when its supports go down: shapes, moments, and its stiffness.

The stiffness is that of the supports' verticals alone, with every rotation free to follow: a beam
seen from outside, by what it takes to push its nodes down. Units as in :mod:`pourday.deck.beam`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.deck.beam import beam_element, hermite, hermite_area, hermite_bend

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Settlement:
    """Response to each of the n+1 supports going down by 1 m; columns are supports.

    ``stiffness`` (n+1, n+1) N/m: the downward forces on the supports that hold the shape; the
    upward reaction is their negative. ``moment`` (S, n+1) N m, sagging positive; ``deflection``
    (S, n+1) and ``mean_deflection`` (C, n+1), downward positive; ``support_moment`` (n+1, n+1).
    """

    stiffness: Floats
    moment: Floats
    deflection: Floats
    mean_deflection: Floats
    support_moment: Floats


def settlement(
    supports: ArrayLike, stiffness: ArrayLike, cells: ArrayLike = (), stations: ArrayLike = ()
) -> Settlement:
    """Solve a run for unit settlements of its supports.

    Args:
        supports: (n+1,) m, increasing, at least two.
        stiffness: EI in N m² (per metre width for deck): one value, or one a span.
        cells: (C, 2) m, each within one span.
        stations: (S,) m.

    Source: direct stiffness method, any textbook of structural analysis.
    """
    run = np.asarray(supports, dtype=float)
    lengths = np.diff(run)
    rigidity = np.broadcast_to(np.asarray(stiffness, dtype=float), lengths.shape)
    nodes = len(run)
    whole = np.zeros((2 * nodes, 2 * nodes))
    for s, (length, ei) in enumerate(zip(lengths, rigidity, strict=True)):
        ends_of = slice(2 * s, 2 * s + 4)
        whole[ends_of, ends_of] += beam_element(float(length), float(ei))
    down, turn = slice(0, None, 2), slice(1, None, 2)
    slopes = -np.linalg.solve(whole[turn, turn], whole[turn, down])
    move = np.empty((2 * nodes, nodes))
    move[down], move[turn] = np.eye(nodes), slopes
    held = whole[down, down] + whole[down, turn] @ slopes

    at = np.asarray(stations, dtype=float).reshape(-1)
    patches = np.asarray(cells, dtype=float).reshape(-1, 2)
    moment, deflection = np.zeros((len(at), nodes)), np.zeros((len(at), nodes))
    mean = np.zeros((len(patches), nodes))
    over = np.zeros((nodes, nodes))
    home = np.clip(np.searchsorted(run, at, side="right") - 1, 0, len(lengths) - 1)
    middle = patches.mean(axis=1)
    cell_home = np.clip(np.searchsorted(run, middle, side="right") - 1, 0, len(lengths) - 1)
    for s, (length, ei) in enumerate(zip(lengths, rigidity, strict=True)):
        ends = move[2 * s : 2 * s + 4]
        here = home == s
        x = at[here] - run[s]
        deflection[here] = hermite(x, length).T @ ends
        moment[here] = -ei * hermite_bend(x, length).T @ ends
        over[s : s + 2] = -ei * hermite_bend(np.array([0.0, length]), length).T @ ends
        mine = cell_home == s
        a, b = patches[mine, 0] - run[s], patches[mine, 1] - run[s]
        area = (hermite_area(b, length) - hermite_area(a, length)).T @ ends
        mean[mine] = area / (b - a)[:, None]
    return Settlement((held + held.T) / 2, moment, deflection, mean, over)
