"""States in which a support would have to pull and cannot, solved again without it.

The loads of such a state are arranged for each effect that matters as if every support held, and
each arrangement is then solved with those let go that cannot pull. In all other states the bounds
of the run with every support held stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourday.deck.effects import Where
from pourday.deck.factors import UNFACTORED, Bounds, Factors
from pourday.deck.history import effects_of_response, response_of_effects
from pourday.deck.release import Contact, release
from pourday.floor.lines.arrangements import Target, arranged
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Floats, Ints
from pourday.outcome.deck.peaks import excess_of

# A pull smaller than this share of the greatest reaction is rounding.
_NONE = 1e-9


@dataclass(frozen=True, eq=False)
class Freed:
    """Bounds of all M states of a line, supports let go that cannot pull.

    ``gap`` and ``factored_gap`` (M, n+1) m are how far the deck lifts off at most, under the loads
    as they are and factored.
    """

    plain: Bounds
    factored: Bounds
    gap: Floats
    factored_gap: Floats


def freed(line: DeckLine, touch: Contact, factors: Floats, held: Freed) -> Freed:
    """The line with every support let go that would have to pull and cannot; heaps by strip.

    Raises:
        pourday.deck.release.DeckTipsError: where what is left cannot hold the deck.
    """
    effects, excess = line.felt.effects, excess_of(line, factors)
    plain, gap = _again(line, touch, excess, held.plain, (effects.plain, UNFACTORED))
    factored, factored_gap = _again(
        line, touch, excess, held.factored, (effects.factored, line.loaded.factors)
    )
    return Freed(plain, factored, gap, factored_gap)


def _again(
    line: DeckLine, touch: Contact, excess: Floats, held: Bounds, by: tuple[Where, Factors]
) -> tuple[Bounds, Floats]:
    """Bounds and gaps by one set of factors."""
    (where, factors), effects = by, line.felt.effects
    gap = np.zeros((len(line.states), len(line.supports)))
    pull = held.least[:, where.reaction][:, touch.lays]
    size = np.abs(held.most[:, where.reaction]).max(initial=1.0)
    loose = np.flatnonzero((pull < -_NONE * size).any(axis=1))
    if not len(loose):
        return held, gap
    most, least = held.most.copy(), held.least.copy()
    rows = effects.plain_rows if factors is UNFACTORED else effects.factored_rows
    for k in loose:
        target = _targets(line, held, int(k), where)
        found = arranged(line.loaded, factors, int(k), target, float(excess[k]))
        response = response_of_effects(found, effects)
        free = release(response, line.deck.settled, line.deck.unit.stations, touch)
        every = effects_of_response(free.response, line.resistance)[:, rows]
        most[k], least[k] = every.max(axis=0), every.min(axis=0)
        gap[k] = free.gap.max(axis=0)
    return Bounds(most, least), gap


def _targets(line: DeckLine, held: Bounds, k: int, where: Where) -> Target:
    """Each reaction at its most and least, each hog moment, and the most of every span."""
    effects = line.felt.effects
    stations, supports = effects.stations, effects.supports
    reaction = np.arange(len(supports)) + effects.plain.reaction.start
    hog = np.arange(len(supports)) + effects.plain.support_moment.start
    sag: list[int] = []
    for a, b in pairwise(supports):
        inside = np.flatnonzero((stations >= a) & (stations <= b))
        moments = held.most[k, where.moment][inside]
        sag.append(len(stations) + int(inside[moments.argmax()]))
        if where.deflection.stop > where.deflection.start:
            sag.append(int(inside[held.most[k, where.deflection][inside].argmax()]))
    rows: Ints = np.concatenate([reaction, reaction, hog, np.array(sag, dtype=np.intp)])
    signs = np.repeat([1.0, -1.0, -1.0, 1.0], [len(reaction), len(reaction), len(hog), len(sag)])
    return Target(rows, signs)
