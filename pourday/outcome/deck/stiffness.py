"""How the answer moves if the deck is softer or stiffer than its supplier says.

Deck tables give one EI, or one for sagging and one for hogging; in place of iterating between two,
the plan is worked out again at both ends of a range that holds them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError
from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.supports import support_checks

RANGE = (0.85, 1.15)
"""EI -15 % and +15 %; common practice, no source."""


@dataclass(frozen=True)
class AtStiffness:
    """Greatest sag of the deck between its supports (m) and share of resistance at EI x ``factor``;
    both None where so soft a deck cannot be levelled."""

    factor: float
    sag: float | None
    use: float | None


def at_stiffness(basis: Basis) -> tuple[AtStiffness, ...]:
    """The plan at both ends of :data:`RANGE`, ponding worked out anew."""
    return tuple(_at(basis, factor) for factor in RANGE)


def _at(basis: Basis, factor: float) -> AtStiffness:
    deck = basis.scenario.deck
    deck = replace(deck, bending_stiffness=deck.bending_stiffness * factor)
    scenario = replace(basis.scenario, deck=deck)
    try:
        layout = lay_out(scenario, basis.plan, basis.layout.cut)
    except (DeckTooSoftError, BeamTooSoftError):
        return AtStiffness(factor, None, None)
    free = support_checks(replace(basis, scenario=scenario, layout=layout)).free
    return AtStiffness(factor, free.deflection, free.use)
