"""Supports that cannot pull: where the deck would have to be held down, it lets go instead.

A prop line, or a support on which the sheet only lies, gives an upward reaction or none. Take a run
solved as if every support held it both ways; where such a support would have to pull, the deck
lifts off by a gap, and the run is solved again without it.

With R the reactions and g the gaps of those supports: R >= 0, g >= 0 and R g = 0 at each, and
R = q + M g, where M is the run's stiffness seen from them. That is the linear complementarity
problem of unilateral contact (Signorini), and the least of 1/2 g M g + q g over g >= 0; solved by
the active set method of Lawson and Hanson, "Solving Least Squares Problems", chapter 23.
Units and signs as in :mod:`pourday.deck.beam`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.history import Response
from pourday.deck.settlement import Settlement

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A pull smaller than this share of the greatest reaction is rounding.
_NONE = 1e-9
_STEPS = 100


class DeckTipsError(ValueError):
    """The supports that are left cannot hold the deck: it tips."""


@dataclass(frozen=True, eq=False)
class Contact:
    """How a run meets its supports, per metre width.

    ``supports`` (n+1,) m are their places, ``lays`` (n+1,) marks those that cannot pull; ``give``
    (n+1,) m per N/m is how far each goes down under its own reaction (elastic props), 0 for those
    that do not.
    """

    supports: Floats
    lays: Bools
    give: Floats


@dataclass(frozen=True, eq=False)
class Released:
    """K states with every support that cannot pull let go where it would have to.

    ``gap`` (K, n+1) m is how far the deck lies above each support, 0 where it touches.
    """

    response: Response
    gap: Floats


def release(response: Response, settled: Settlement, stations: Floats, touch: Contact) -> Released:
    """Solve the states of a run again in which a support would have to pull.

    Args:
        response: K states with every support held both ways; what supports go down is in it.
        settled: the same run's response to settling supports, at ``stations`` (S,) m.
        touch: which supports cannot pull, and what gives.

    Raises:
        DeckTipsError: where fewer supports are left than hold the deck.
    """
    lays = np.flatnonzero(touch.lays)
    reaction = response.reaction
    gap = np.zeros_like(reaction)
    if not len(lays):
        return Released(response, gap)
    # What a gap does to the reactions there, once elastic props have come up with the load.
    seen = settled.stiffness[np.ix_(lays, lays)]
    firm = np.linalg.solve(np.eye(len(lays)) + seen * touch.give[lays], seen)
    size = np.abs(reaction).max(initial=1.0)
    pulls = np.flatnonzero((reaction[:, lays] < -_NONE * size).any(axis=1))
    for k in pulls:
        gap[k, lays] = least_gaps((firm + firm.T) / 2, reaction[k, lays])
    up = np.zeros_like(reaction)
    change = gap[:, lays] @ firm
    up[:, lays] = gap[:, lays] - change * touch.give[lays]
    chord = np.zeros((len(gap), len(stations)))
    for k in pulls:
        # What gives comes up with its load, and the line between the supports with it.
        chord[k] = np.interp(stations, touch.supports, gap[k] - up[k])
    moved = Response(
        moment=response.moment - up @ settled.moment.T,
        deflection=response.deflection - up @ settled.deflection.T - chord,
        reaction=reaction + up @ settled.stiffness,
        support_moment=response.support_moment - up @ settled.support_moment.T,
    )
    return Released(moved, gap)


def least_gaps(firm: Floats, reaction: Floats) -> Floats:
    """Gaps (P,) m of supports that cannot pull: R = reaction + firm g, both >= 0, R g = 0.

    ``firm`` (P, P) N/m per m symmetric, ``reaction`` (P,) N/m with no gap.
    """
    gap = np.zeros(len(reaction))
    open_: Bools = np.zeros(len(reaction), dtype=bool)
    near = _NONE * max(1.0, float(np.abs(reaction).max()))
    for _ in range(_STEPS):
        pull = -(reaction + firm @ gap)
        pull[open_] = 0.0
        if pull.max() <= near:
            return gap
        open_[int(pull.argmax())] = True
        gap = _inside(firm, reaction, gap, open_)
        open_ = gap > 0.0
    raise DeckTipsError("no rest found for the deck on supports that cannot pull")


def _inside(firm: Floats, reaction: Floats, gap: Floats, open_: Bools) -> Floats:
    """Gaps at which the open supports carry nothing, those closed that would close."""
    open_ = open_.copy()
    while True:
        wanted = np.zeros_like(gap)
        at = np.flatnonzero(open_)
        part = firm[np.ix_(at, at)]
        if np.linalg.cond(part) > 1e12:
            raise DeckTipsError("the supports that are left cannot hold the deck: it tips")
        wanted[at] = np.linalg.solve(part, -reaction[at])
        shut = open_ & (wanted <= 0.0)
        if not shut.any():
            return wanted
        share = float((gap[shut] / (gap[shut] - wanted[shut])).min())
        gap = np.where(open_, gap + share * (wanted - gap), 0.0)
        open_ &= gap > 1e-15
        gap = np.where(open_, gap, 0.0)
