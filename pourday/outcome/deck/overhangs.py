"""The deck beyond the outer supports, as a cantilever with slab and people on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourday.deck.effects import Resistance, end_reaction
from pourday.deck.limits import moment_reaction_use
from pourday.deck.overhang import overhang
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.level import theory
from pourday.outcome.deck.peaks import bounds_of, heap_factors


@dataclass(frozen=True)
class OverhangCheck:
    """An overhang of ``length`` m at the outer support ``x``; all per metre width.

    ``moment`` (N m/m, a size) over the support and ``reaction`` (N/m) there at its greatest, of the
    loads as they are; factored the moment again, the share of resistance that both use together
    (nan where none is judged) and ``next_reaction``, the least at the support behind it (negative:
    it lifts). ``tip`` is how far the edge goes down (m), ``volume`` of concrete on it (m³).
    """

    x: float
    length: float
    moment: float
    factored_moment: float
    reaction: float
    use: float
    next_reaction: float
    tip: float
    volume: float


def overhang_checks(basis: Basis) -> tuple[OverhangCheck, ...]:
    """Every overhang of the floor, at its worst line; slab as designed and the crew's zone on it.

    What hangs over takes sag from the end span; that is left out where the span is judged.
    """
    floor, out = basis.scenario.floor, []
    for length, x in (
        (floor.low_x_overhang, floor.supports[0]),
        (floor.high_x_overhang, floor.supports[-1]),
    ):
        if length > 0:
            lines = [n for n in basis.layout.lines if x in (n.supports[0], n.supports[-1])]
            found = [_check(basis, line, x, length) for line in lines]
            out.append(max(found, key=lambda check: (check.factored_moment, check.reaction)))
    return tuple(out)


def _check(basis: Basis, line: DeckLine, x: float, length: float) -> OverhangCheck:
    scenario, deck = basis.scenario, basis.scenario.deck
    at_end = x == line.supports[-1]
    beside = min(line.strips, key=lambda i: abs(_middle(basis, line, i) - x))
    people = max(max(w.inside, w.outside) for w in line.deck.working.of[beside])
    slab, by = theory(basis) * scenario.slab.wet_density, line.loaded.factors
    factored = by.permanent[0] * scenario.bare_weight + by.concrete[0] * slab + by.working * people
    hung, heavy = (
        overhang(line.supports, deck.bending_stiffness, length, pressure, at_end)
        for pressure in (scenario.bare_weight + slab + people, factored)
    )
    bounds, factored_bounds = bounds_of(line, heap_factors(basis, None))
    effects, (end, behind) = line.felt.effects, (-1, -2) if at_end else (0, 1)
    reaction = factored_bounds.most[:, effects.factored.reaction][:, end].max()
    return OverhangCheck(
        x=x,
        length=length,
        moment=-hung.moment,
        factored_moment=-heavy.moment,
        reaction=float(bounds.most[:, effects.plain.reaction][:, end].max() + hung.reaction[end]),
        use=_use(line.resistance, heavy.moment, float(reaction + heavy.reaction[end])),
        next_reaction=float(
            factored_bounds.least[:, effects.factored.reaction][:, behind].min()
            + heavy.reaction[behind]
        ),
        tip=hung.tip,
        volume=length * scenario.floor.length_y * theory(basis),
    )


def _use(resistance: Resistance | None, moment: float, reaction: float) -> float:
    """Share of resistance, nan where none is judged."""
    if resistance is None:
        return math.nan
    takes = end_reaction(resistance)
    return float(moment_reaction_use(moment, resistance.hog_moment, reaction, takes))


def _middle(basis: Basis, line: DeckLine, strip: int) -> float:
    return line.deck.middle(basis.layout.strips[strip])
