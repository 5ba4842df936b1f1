"""The deck beyond the outer supports, as a cantilever with slab and people on it."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.deck.limits import moment_reaction_use
from pourday.deck.overhang import overhang
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.level import theory
from pourday.outcome.deck.peaks import heap_factors, response_of


@dataclass(frozen=True)
class OverhangCheck:
    """An overhang of ``length`` m at the outer support ``x``; all per metre width.

    ``moment`` (N m/m, a size) over the support, ``reaction`` (N/m) there at its greatest, the share
    of resistance they use together, ``next_reaction`` the least at the support behind it (negative:
    it lifts), ``tip`` how far the edge goes down (m), ``volume`` of concrete on it (m³).
    """

    x: float
    length: float
    moment: float
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
            out.append(max(found, key=lambda check: check.use))
    return tuple(out)


def _check(basis: Basis, line: DeckLine, x: float, length: float) -> OverhangCheck:
    scenario, deck = basis.scenario, basis.scenario.deck
    at_end = x == line.supports[-1]
    beside = min(line.strips, key=lambda i: abs(_middle(basis, line, i) - x))
    people = max(max(w.inside, w.outside) for w in line.deck.working.of[beside])
    slab = theory(basis) * scenario.slab.wet_density + deck.self_weight
    stiff = deck.bending_stiffness
    hung = overhang(line.supports, stiff, length, slab + people, at_end)
    reaction = response_of(line, heap_factors(basis, None)).reaction
    end, behind = (-1, -2) if at_end else (0, 1)
    most = float(reaction[:, end].max() + hung.reaction[end])
    takes = deck.end_reaction_resistance or deck.reaction_resistance
    use = moment_reaction_use(hung.moment, deck.hog_moment_resistance, most, takes)
    return OverhangCheck(
        x=x,
        length=length,
        moment=-hung.moment,
        reaction=most,
        use=float(use),
        next_reaction=float(reaction[:, behind].min() + hung.reaction[behind]),
        tip=hung.tip,
        volume=length * scenario.floor.length_y * theory(basis),
    )


def _middle(basis: Basis, line: DeckLine, strip: int) -> float:
    return line.deck.middle(basis.layout.strips[strip])
