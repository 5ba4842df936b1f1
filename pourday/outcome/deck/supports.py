"""What the supports of a plan's deck take: presses, pulls, and those that let go.

A prop line never pulls, and a support does where the deck is fixed to it. Where one would have to
pull and cannot, the run is solved again without it; only those states are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pourday.deck.factors import Bounds
from pourday.deck.history import peaks
from pourday.deck.release import Contact, DeckTipsError
from pourday.floor.lines.judging import judged
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.freed import Freed, freed
from pourday.outcome.deck.peaks import bounds_of, heap_factors
from pourday.scenario.model.scenario import Scenario

PROP, END, INNER = "prop line", "end of a sheet", "support"


@dataclass(frozen=True)
class LetGo:
    """A support that cannot pull and lets go: where, what, the widest ``gap`` (m), and when.

    ``gap`` is that under the loads as they are, 0 where it lets go under factored loads only.
    """

    x: float
    kind: str
    gap: float
    strip: int
    stage: str


@dataclass(frozen=True)
class Felt:
    """Greatest values of a plan (SI, per metre width): hog moment as a size, ``use`` a share.

    Moments and deflection are those of the loads as they are; ``use`` is factored, nan where no
    share is judged.
    """

    sag_moment: float
    hog_moment: float
    factored_sag_moment: float
    factored_hog_moment: float
    deflection: float
    use: float


@dataclass(frozen=True)
class Force:
    """A force per metre of support (N/m), where, and the share of what the file says it takes.

    ``factored`` is what is judged, at ``x``; ``value`` is the same of the loads as they are.
    """

    value: float
    factored: float
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


def can_let_go(basis: Basis) -> bool:
    """Whether any support cannot pull: a prop line, or one that the deck is not fixed to."""
    return any(contact(basis.scenario, line).lays.any() for line in basis.layout.lines)


def support_checks(basis: Basis, seed: int | None = None) -> SupportChecks:
    """Check the supports of every line, heaps of the day with this seed or of mean height."""
    scenario, lines = basis.scenario, basis.layout.lines
    factors = heap_factors(basis, seed)
    held = [_held(line, factors) for line in lines]
    tips = False
    try:
        free = [
            freed(line, contact(scenario, line), factors, found)
            for line, found in zip(lines, held, strict=True)
        ]
    except DeckTipsError:
        tips, free = True, held
    props = [np.array([scenario.props.under(x) for x in line.supports]) for line in lines]
    pulls = [~contact(scenario, line).lays for line in lines]
    ends = [np.isin(np.arange(len(p)), [0, len(p) - 1]) for p in props]
    deck = scenario.deck
    end_takes = deck.end_reaction_resistance or deck.reaction_resistance

    def _force(where: Sequence[NDArray[np.bool_]], takes: float | None, sign: float) -> Force:
        return _greatest(lines, free, where, judged(deck, takes), sign) or Force(0, 0, 0, None)

    return SupportChecks(
        held=_felt(lines, held),
        free=_felt(lines, free),
        let_go=_let_go(scenario, lines, free),
        tips=tips,
        fixing=_force(pulls, deck.fixing_resistance, -1.0),
        end=_force(ends, end_takes, 1.0),
        prop=_force(props, scenario.props.takes, 1.0) if any(p.any() for p in props) else None,
    )


def _held(line: DeckLine, factors: Floats) -> Freed:
    none = np.zeros((len(line.states), len(line.supports)))
    return Freed(*bounds_of(line, factors), none, none)


def _felt(lines: Sequence[DeckLine], found: Sequence[Freed]) -> Felt:
    every = [
        peaks(each.plain, each.factored, line.felt.effects, line.resistance)
        for line, each in zip(lines, found, strict=True)
    ]
    return Felt(
        sag_moment=max(peak.plain.sag_moment.value for peak in every),
        hog_moment=max(0.0, *(-peak.plain.hog_moment.value for peak in every)),
        factored_sag_moment=max(peak.factored.sag_moment.value for peak in every),
        factored_hog_moment=max(0.0, *(-peak.factored.hog_moment.value for peak in every)),
        deflection=max(peak.deflection.value for peak in every),
        use=max(float(peak.use.max()) for peak in every),
    )


def _greatest(
    lines: Sequence[DeckLine],
    found: Sequence[Freed],
    where: Sequence[NDArray[np.bool_]],
    takes: float | None,
    sign: float,
) -> Force | None:
    """Greatest reaction (sign 1) or pull (-1) at the supports marked; None where none is."""
    best: Force | None = None
    plain = 0.0
    for line, each, marked in zip(lines, found, where, strict=True):
        effects = line.felt.effects
        as_is = _reactions(each.plain, effects.plain.reaction, sign)
        most = _reactions(each.factored, effects.factored.reaction, sign)
        plain = max(plain, float(as_is[marked].max(initial=0.0)))
        for n in np.flatnonzero(marked):
            value = max(0.0, float(most[n]))
            if best is None or value > best.factored:
                share = None if takes is None else value / takes
                best = Force(0.0, value, line.supports[n], share)
    return best and replace(best, value=plain)


def _reactions(found: Bounds, columns: slice, sign: float) -> Floats:
    part = found.most if sign > 0 else -found.least
    return np.asarray(part[:, columns].max(axis=0))


def _let_go(
    scenario: Scenario, lines: Sequence[DeckLine], free: Sequence[Freed]
) -> tuple[LetGo, ...]:
    worst: dict[float, tuple[tuple[float, float], LetGo]] = {}
    for line, each in zip(lines, free, strict=True):
        for n in np.flatnonzero(each.factored_gap.max(axis=0) > 0):
            gap = each.gap if each.gap[:, n].any() else each.factored_gap
            k = int(gap[:, n].argmax())
            x, state = line.supports[n], line.states[k]
            kind = END if n in (0, len(line.supports) - 1) else INNER
            kind = PROP if scenario.props.under(x) else kind
            found = LetGo(x, kind, float(each.gap[k, n]), state.strip, state.stage)
            wide = float(each.gap[k, n]), float(each.factored_gap[:, n].max())
            if x not in worst or worst[x][0] < wide:
                worst[x] = wide, found
    return tuple(worst[x][1] for x in sorted(worst))
