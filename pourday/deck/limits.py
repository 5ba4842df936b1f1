"""Limits of the deck, one rule a function, each with its clause; all work on numpy arrays.

A share of resistance used says how far a number is from its limit. It is no approval of a deck.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def moment_reaction_use(
    moment: ArrayLike,
    moment_resistance: ArrayLike,
    reaction: ArrayLike,
    reaction_resistance: ArrayLike,
) -> Floats:
    """Share of resistance used by moment and support reaction together (1 = used up).

    EN 1993-1-3:2006 6.1.11 (from memory; there is an edition of 2024, not read): M/Mc <= 1,
    F/Rw <= 1 and M/Mc + F/Rw <= 1.25; the greatest of the three, the last divided by 1.25. The
    sign of the moment does not matter (give the resistance of its direction); a negative reaction
    (uplift) does not press on the webs and counts as zero.

    N m/m and N/m, any shapes that broadcast. ValueError where a resistance is not above zero.
    """
    m = np.abs(moment) / _positive(moment_resistance, "moment resistance")
    f = np.maximum(reaction, 0.0) / _positive(reaction_resistance, "reaction resistance")
    use: Floats = np.maximum(np.maximum(m, f), (m + f) / 1.25)
    return use


def ponding_counts(sag: ArrayLike, slab_depth: ArrayLike) -> NDArray[np.bool_]:
    """True where ponding has to be allowed for.

    EN 1994-1-1 9.3.2: it may be ignored while the middle sag under deck and wet
    concrete is less than a tenth of the slab depth. Both in m.
    """
    counts: NDArray[np.bool_] = np.asarray(sag) >= _positive(slab_depth, "slab depth") / 10.0
    return np.asarray(counts)


def ponding_allowance(sag: ArrayLike) -> Floats:
    """Thickness to add over the whole span for ponding, m: 0.7 of the middle sag.

    EN 1994-1-1 9.3.2. A downward sag is positive; an upward one adds nothing.
    """
    return np.asarray(0.7 * np.maximum(sag, 0.0))


def fixing_force(reaction: ArrayLike) -> Floats:
    """Force that fixings must hold down where a support lifts, N/m: statics, max(0, -reaction)."""
    return np.asarray(np.maximum(-np.asarray(reaction, dtype=float), 0.0))


def _positive(values: ArrayLike, what: str) -> Floats:
    out = np.asarray(values, dtype=float)
    if not np.all(out > 0):
        raise ValueError(f"{what} must be above 0, found {float(np.min(out)):g}")
    return out
