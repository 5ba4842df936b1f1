"""By which partial factors the deck is judged, and against which resistance.

A resistance says nothing until it is known what it is: a design value stands beside factored loads,
an allowable one beside loads as they are. Where the file does not say, no share is judged.
"""

from __future__ import annotations

from pourday.deck.effects import Resistance
from pourday.deck.factors import ASD, EN, LRFD, Factors
from pourday.scenario.model.deck import Deck, Loads
from pourday.scenario.model.scenario import Scenario

_PUBLISHED = {"EN": EN, "LRFD": LRFD, "ASD": ASD}


def factors_of(loads: Loads) -> Factors:
    """The partial factors that ``[loads] basis`` names; those of the file where it is "own"."""
    if loads.basis in _PUBLISHED:
        return _PUBLISHED[loads.basis]
    concrete = _or(loads.concrete_factor, 1.0)
    return Factors(
        "own",
        (_or(loads.permanent_factor, 1.0), _or(loads.permanent_favourable_factor, 1.0)),
        (concrete, _or(loads.concrete_favourable_factor, 1.0)),
        _or(loads.working_factor, 1.0),
        concrete,
    )


def resistance_of(scenario: Scenario) -> Resistance | None:
    """What factored effects are compared with; ``None`` where the file leaves it open.

    Characteristic values are divided by ``gamma_M``, nominal ones multiplied by ``phi`` or divided
    by ``omega``; design and allowable values stand as they are.
    """
    deck = scenario.deck
    sag, hog = deck.sag_moment_resistance, deck.hog_moment_resistance
    reaction = deck.reaction_resistance
    if sag is None or hog is None or reaction is None or deck.resistance_is is None:
        return None
    share = _share(deck)
    end = deck.end_reaction_resistance
    return Resistance(sag * share, hog * share, reaction * share, end and end * share)


def judged(deck: Deck, value: float | None) -> float | None:
    """What a factored force is compared with: a value of the file, by what its resistances are."""
    if value is None or deck.resistance_is is None:
        return None
    return value * _share(deck)


def _share(deck: Deck) -> float:
    """What the resistances of the file are multiplied by."""
    if deck.resistance_is == "characteristic":
        return 1.0 / _or(deck.gamma_M, 1.0)
    if deck.resistance_is == "nominal":
        return _or(deck.phi, 1.0) / _or(deck.omega, 1.0)
    return 1.0


def _or(value: float | None, other: float) -> float:
    return other if value is None else value
