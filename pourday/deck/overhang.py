"""A deck that reaches beyond its end support: a cantilever with concrete on it.

What hangs over is statically determinate: its weight times its arm is the moment over the end
support, whatever the run does. On the run it acts as a force and a couple at the end support.
Units and signs as in :mod:`pourday.deck.beam`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.deck.beam import influence

Floats = NDArray[np.float64]
# A couple is two opposite forces this share of the end span apart; the error is of the same order.
_APART = 1e-5


@dataclass(frozen=True, eq=False)
class Overhang:
    """``moment`` over the end support (N m/m, hogging negative), what it adds to the ``reaction``
    of every support (n+1,) N/m, and how far its tip goes down (``tip``, m) beyond the sag of a
    straight line from the end span, as a cantilever and with the slope that it gives the run."""

    moment: float
    reaction: Floats
    tip: float


def overhang(
    supports: ArrayLike, stiffness: float, length: float, pressure: float, at_end: bool
) -> Overhang:
    """What an overhang of ``length`` m under ``pressure`` Pa does, at the high end or the low one.

    ``supports`` (n+1,) m and ``stiffness`` EI are those of the run. Source: statics; slope of the
    run by :func:`pourday.deck.beam.influence`. ValueError where the length is not above 0.
    """
    if not length > 0:
        raise ValueError(f"an overhang is {length:g} m long; it must be above 0")
    run = np.asarray(supports, dtype=float)
    if at_end:  # the mirror image: an overhang at the low end
        run = -run[::-1]
    step = _APART * float(run[1] - run[0])
    unit = influence(run, stiffness, [], [run[0] + step], stations=[run[0] + step])
    couple = pressure * length**2 / 2
    # The couple lifts the inside of the end span: an upward force beside the end support.
    lift = couple / step
    reaction = -lift * unit.reaction[:, 0]
    reaction[0] += lift + pressure * length
    slope = lift * float(unit.deflection[0, 0]) / step
    tip = pressure * length**4 / (8 * stiffness) + slope * length
    return Overhang(-couple, reaction[::-1] if at_end else reaction, tip)
