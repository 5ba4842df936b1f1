"""The deck of a plan against its rules, clause by clause; no day is needed."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourday.deck.history import balance
from pourday.deck.limits import ponding_allowance, ponding_counts
from pourday.deck.sag_rules import SAG_RULES, SagRule, sag_limit
from pourday.floor.lines.states import FULL, DeckLine
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.level import theory
from pourday.outcome.deck.peaks import excess_of, heap_factors


@dataclass(frozen=True)
class DeckChecks:
    """Rules and what was found, at the worst place of the floor (SI).

    ``sag`` is that of the deck between its supports under its own weight and the finished slab,
    beside ``sag_limit`` in the span from ``span_low`` to ``span_high``; ``sag_rule`` is the clause
    and the limit in words.
    ``nominal_sag`` is that under the slab as designed, without ponding; ``ponding_counts`` says
    whether it reaches a tenth of the slab depth (EN 1994-1-1 9.3.2); ``rule_extra`` is the rule's
    0.7 of it, ``mean_extra`` the computed extra of that span. ``least_depth`` is the thinnest slab
    over the whole profile (mean of a cell).
    ``unbalance`` (N/m) is the greatest difference of load between the two spans beside an inner
    support at ``unbalance_x``, with the strip during which it occurs. ``beam_down`` is the greatest
    way down of a beam, ``beam_left`` the upward bend that is left at the end (negative: lost),
    where it is greatest either way; both 0 on rigid supports.
    """

    sag: float
    sag_limit: float
    sag_rule: str
    span_low: float
    span_high: float
    nominal_sag: float
    ponding_counts: bool
    rule_extra: float
    mean_extra: float
    least_depth: float
    unbalance: float
    unbalance_x: float
    unbalance_strip: int
    beam_down: float
    beam_left: float


def deck_checks(basis: Basis) -> DeckChecks:
    """Check every line of a plan, heaps at their mean height factor."""
    lines = basis.layout.lines
    spans = [(line, found) for line in lines for found in _sags(basis, line)]
    line, (_, low, high, sag) = max(spans, key=lambda each: each[1][0])
    in_span = _cells_in(line, low, high)
    widths = [line.cells[n].high - line.cells[n].low for n in in_span]
    nominal = _nominal_sag(basis, line, low, high)
    limit, words = _limit(basis, high - low, nominal)
    unbalance, unbalance_x, strip = max(_unbalance(basis, line) for line in lines)
    beam_down, beam_left = _beams(basis)
    least = min(float(each.struck.extra.min()) for each in lines)
    return DeckChecks(
        sag=sag,
        sag_limit=limit,
        sag_rule=words,
        span_low=low,
        span_high=high,
        nominal_sag=nominal,
        ponding_counts=bool(ponding_counts(nominal, basis.scenario.slab.depth)),
        rule_extra=float(ponding_allowance(nominal)),
        mean_extra=float(np.average(line.struck.extra[in_span], weights=widths)),
        least_depth=basis.scenario.slab.depth + least,
        unbalance=unbalance,
        unbalance_x=unbalance_x,
        unbalance_strip=strip,
        beam_down=beam_down,
        beam_left=beam_left,
    )


def _sags(basis: Basis, line: DeckLine) -> list[tuple[float, float, float, float]]:
    """(sag over its limit, span from, to, sag) of every span of a line when all is placed.

    A span is judged between neighbouring supports, and also between those that are no props: a
    prop that gives does not halve a span. A span in which nothing is placed this day is not judged.
    """
    full = next(k for k, state in enumerate(line.states) if state.stage == FULL)
    at = line.deck.unit.stations
    down = line.supports_down[full]
    whole = line.base.deflection[full] + np.interp(at, line.supports, down)
    firm = [x for x in line.supports if not basis.scenario.props.under(x)]
    out = []
    for ends in (line.supports, firm):
        straight = np.interp(at, ends, np.interp(ends, line.supports, down))
        for a, b in pairwise(ends):
            if not _cells_in(line, a, b):
                continue
            sag = float((whole - straight)[(at >= a) & (at <= b)].max())
            limit, _ = _limit(basis, b - a, _nominal_sag(basis, line, a, b))
            out.append((sag / limit, a, b, sag))
    return out


def _cells_in(line: DeckLine, low: float, high: float) -> list[int]:
    """Cells of a line between two supports."""
    return [n for n, c in enumerate(line.cells) if c.low >= low - 1e-6 and c.high <= high + 1e-6]


def rule_of(basis: Basis) -> SagRule:
    """The scenario's limit of sag, its own values in place of the rule's."""
    limits = basis.scenario.limits
    rule = SAG_RULES[limits.sag_rule]
    return SagRule(
        clause=rule.clause,
        over=limits.sag_span_over or rule.over,
        most=limits.sag_most or rule.most,
        ponded_over=limits.ponded_sag_span_over or rule.ponded_over,
        ponded_most=limits.ponded_sag_most or rule.ponded_most,
    )


def _limit(basis: Basis, span: float, nominal: float) -> tuple[float, str]:
    """Limit of sag of a span (m), and its clause and terms in words.

    The sag that is judged has the concrete that fills it in it. Where that has to be counted
    (``nominal``, the sag without it, from a tenth of the depth on), the limit with ponding holds.
    """
    rule, note = rule_of(basis), ""
    over, most = rule.over, rule.most
    has = rule.ponded_over is not None or rule.ponded_most is not None
    if has and ponding_counts(nominal, basis.scenario.slab.depth):
        over, most = rule.ponded_over or rule.over, rule.ponded_most
        note = " with ponding"
    words = f"{rule.clause}: span/{over:g}"
    if most is not None:
        words += f" and {most * 1e3:.0f} mm"
    return float(sag_limit(span, over, most)), words + note


def _nominal_sag(basis: Basis, line: DeckLine, low: float, high: float) -> float:
    """Sag of a span under the deck and the slab as designed, on rigid supports."""
    scenario, unit = basis.scenario, line.deck.unit
    weight = theory(basis) * scenario.slab.wet_density + scenario.bare_weight
    shape = unit.deflection[:, : len(line.deck.fine)].sum(axis=1) * weight
    return float(shape[(unit.stations >= low) & (unit.stations <= high)].max())


def _unbalance(basis: Basis, line: DeckLine) -> tuple[float, float, int]:
    """Greatest difference of load, unfactored, with the heap of the day or a preset's heaping."""
    if len(line.supports) < 3:
        return 0.0, line.supports[0], line.strips[0]
    excess = excess_of(line, heap_factors(basis, None))[:, None]
    ways = []
    for on_top in (excess * line.heap_pressures, line.heaping_pressures):
        loads = line.pressures + on_top
        found = balance(line.supports, line.deck.fine, loads, line.deck.unit.points)
        worst = int(np.argmax(np.abs(found.difference)))
        strip = line.states[int(found.state[worst])].strip
        ways.append((abs(float(found.difference[worst])), float(found.x[worst]), strip))
    return max(ways)


def _beams(basis: Basis) -> tuple[float, float]:
    """Greatest way down of a beam, and the upward bend left (+) or lost (-) at the end."""
    frame, moved = basis.layout.frame, basis.layout.struck.moved
    beams = (
        []
        if frame is None
        else [s for s, x in enumerate(frame.x) if not basis.scenario.props.under(x)]
    )
    if frame is None or not beams or not basis.scenario.beams.given:
        return 0.0, 0.0
    nodes = frame.node[beams]
    left = frame.camber[beams] - moved[-1][nodes]
    worst = np.unravel_index(int(np.abs(left).argmax()), left.shape)
    return float(moved[:, nodes].max()), float(left[worst])
