"""What the supports of a plan's deck take: presses, pulls, and those that let go.

A prop line never pulls, and a support does where the deck is fixed to it. Where one would have to
pull and cannot, the run is solved again without it; only those states are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.history import Response, peaks
from pourday.deck.limits import fixing_force
from pourday.deck.release import Contact, DeckTipsError, Released, release
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.peaks import heap_factors, response_of
from pourday.scenario.model.scenario import Scenario

PROP, END, INNER = "prop line", "end of a sheet", "support"


@dataclass(frozen=True)
class LetGo:
    """A support that cannot pull and lets go: where, what, the widest ``gap`` (m), and when."""

    x: float
    kind: str
    gap: float
    strip: int
    stage: str


@dataclass(frozen=True)
class Felt:
    """Greatest values of a plan (SI, per metre width): hog moment as a size, ``use`` a share."""

    sag_moment: float
    hog_moment: float
    deflection: float
    use: float


@dataclass(frozen=True)
class Force:
    """A force per metre of support (N/m), where, and the share of what the file says it takes."""

    value: float
    x: float
    share: float | None


@dataclass(frozen=True)
class SupportChecks:
    """Supports of a plan.

    ``held`` is what the deck feels with every support held both ways, ``free`` with those let go
    that cannot pull (``let_go``, the worst state of each place). ``fixing`` is the greatest pull
    of those that can, ``end`` the greatest reaction at the end of a sheet, ``prop`` that on a prop
    line (``None`` without props). ``tips``: what is left cannot hold the deck, ``free`` is
    ``held``.
    """

    held: Felt
    free: Felt
    let_go: tuple[LetGo, ...]
    tips: bool
    fixing: Force
    end: Force
    prop: Force | None


def contact(scenario: Scenario, line: DeckLine) -> Contact:
    """Which supports of a line cannot pull, and which give under their own load."""
    supports = np.array(line.supports)
    props = np.array([scenario.props.under(x) for x in line.supports])
    end = np.zeros(len(supports), dtype=bool)
    end[[0, -1]] = True
    loose = {"all": np.zeros_like(end), "inner": end, "none": np.ones_like(end)}
    give = np.zeros(len(supports))
    if scenario.props.stiffness is not None:
        give[props] = 1.0 / scenario.props.stiffness
    return Contact(supports, props | loose[scenario.deck.fixed_supports], give)


def released(scenario: Scenario, line: DeckLine, response: Response) -> Released:
    """States of a line with every support let go that would have to pull and cannot.

    Raises:
        pourday.deck.release.DeckTipsError: where what is left cannot hold the deck.
    """
    touch = contact(scenario, line)
    return release(response, line.deck.settled, line.deck.unit.stations, touch)


def can_let_go(basis: Basis) -> bool:
    """Whether any support cannot pull: a prop line, or one that the deck is not fixed to."""
    return any(contact(basis.scenario, line).lays.any() for line in basis.layout.lines)


def support_checks(basis: Basis, seed: int | None = None) -> SupportChecks:
    """Check the supports of every line, heaps of the day with this seed or of mean height."""
    scenario, lines = basis.scenario, basis.layout.lines
    factors = heap_factors(basis, seed)
    held = [response_of(line, factors) for line in lines]
    tips = False
    try:
        free = [released(scenario, each, of) for each, of in zip(lines, held, strict=True)]
    except DeckTipsError:
        tips = True
        free = [Released(of, np.zeros_like(of.reaction)) for of in held]
    after = [each.response for each in free]
    props = [np.array([scenario.props.under(x) for x in line.supports]) for line in lines]
    pulls = [~contact(scenario, line).lays for line in lines]
    lifts = [
        Response(of.moment, of.deflection, fixing_force(of.reaction), of.support_moment)
        for of in after
    ]
    ends = [np.isin(np.arange(len(p)), [0, len(p) - 1]) for p in props]
    deck = scenario.deck
    most_end = deck.end_reaction_resistance or deck.reaction_resistance
    prop = _force(lines, after, props, scenario.props.takes)
    return SupportChecks(
        held=_felt(lines, held),
        free=_felt(lines, after),
        let_go=_let_go(scenario, lines, free),
        tips=tips,
        fixing=_force(lines, lifts, pulls, deck.fixing_resistance) or Force(0.0, 0.0, None),
        end=_force(lines, after, ends, most_end) or Force(0.0, 0.0, None),
        prop=prop,
    )


def _felt(lines: Sequence[DeckLine], responses: Sequence[Response]) -> Felt:
    found = [
        peaks(of, line.deck.unit, line.resistance)
        for line, of in zip(lines, responses, strict=True)
    ]
    return Felt(
        sag_moment=max(peak.sag_moment.value for peak in found),
        hog_moment=max(0.0, *(-peak.hog_moment.value for peak in found)),
        deflection=max(peak.deflection.value for peak in found),
        use=max(float(peak.use.max()) for peak in found),
    )


def _force(
    lines: Sequence[DeckLine],
    responses: Sequence[Response],
    where: Sequence[NDArray[np.bool_]],
    takes: float | None,
) -> Force | None:
    """Greatest reaction at the supports that are marked; None where none is."""
    best: Force | None = None
    for line, of, marked in zip(lines, responses, where, strict=True):
        for n in np.flatnonzero(marked):
            value = max(0.0, float(of.reaction[:, n].max()))
            if best is None or value > best.value:
                share = None if takes is None else value / takes
                best = Force(value, line.supports[n], share)
    return best


def _let_go(
    scenario: Scenario, lines: Sequence[DeckLine], free: Sequence[Released]
) -> tuple[LetGo, ...]:
    worst: dict[float, LetGo] = {}
    for line, each in zip(lines, free, strict=True):
        states: Floats = each.gap
        for n in np.flatnonzero(states.max(axis=0) > 0):
            k = int(states[:, n].argmax())
            x, state = line.supports[n], line.states[k]
            kind = END if n in (0, len(line.supports) - 1) else INNER
            kind = PROP if scenario.props.under(x) else kind
            found = LetGo(x, kind, float(states[k, n]), state.strip, state.stage)
            if x not in worst or worst[x].gap < found.gap:
                worst[x] = found
    return tuple(worst[x] for x in sorted(worst))
