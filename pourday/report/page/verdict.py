"""The verdict in the words of the other reports: the one place where the page asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.outcome.base.basis import Basis
from pourday.outcome.edges.stop_end import left_open
from pourday.outcome.measure import Outcome
from pourday.report.page.numbers import (
    clock,
    hours,
    said,
    strip_of,
    volume,
    volume_of,
)
from pourday.report.text.verdict import choice_sentences
from pourday.report.units import SI, Units
from pourday.report.words import WHY_NOT_PLACED, cold_words, percent
from pourday.study.choice import Choice
from pourday.study.compare import Comparison
from pourday.study.verdict.evidence import NOT_DECIDED, WITHIN

PREFERRED, OUT, KEPT, LEAST = "preferred", "out", "within limits", "out, by least"


@dataclass(frozen=True)
class Verdict:
    """``said`` is which plan to prefer and how surely, ``out`` what is out and why."""

    said: tuple[str, ...]
    out: tuple[str, ...]


def verdict_of(
    comparison: Comparison, choice: Choice, plans: Sequence[Basis], units: Units = SI
) -> Verdict:
    """The sentences of ``pourday compare``, parted into the verdict and what is out."""
    found = choice_sentences(plans[0].scenario, comparison, choice, plans)
    names = [each.plan.name for each in plans]
    first = tuple(said(each, units, names) for each in (*found.first, *found.then))
    return Verdict(first, tuple(said(each.strip(), units, names) for each in found.out))


def standing_of(choice: Choice, plan: str) -> str:
    """How one plan stands, in a word."""
    if plan == choice.plan:
        return PREFERRED
    if choice.breaches.get(plan):
        return LEAST if choice.plan is None and plan == choice.least_bad else OUT
    return KEPT if choice.verdict.of(plan).standing == WITHIN else NOT_DECIDED


def verdict_of_day(outcome: Outcome, units: Units = SI) -> Verdict:
    """What became of a day: ``said`` what is in and when, ``out`` what was not as it should be."""
    log = outcome.log
    if not log.stretches:
        found = ", ".join(sorted({visit.outcome for visit in log.visits})) or "none was called"
        return Verdict((f"NOTHING WAS PLACED: every load ended so: {found}",), ())
    first = (
        f"First concrete {clock(log.start)}, last concrete {clock(log.end)}: "
        f"{hours(outcome.duration)} of pouring, {volume(log.placed, units)} placed. "
        f"Pump washed out {clock(log.wash_out_end)}.",
    )
    return Verdict(first, tuple(_but(outcome, units)))


def _but(outcome: Outcome, units: Units) -> list[str]:
    log, scenario, edges = outcome.log, outcome.basis.scenario, outcome.edges
    out = []
    if log.unfinished > 0:
        out.append(f"NOT PLACED: {volume(log.unfinished, units)}: {WHY_NOT_PLACED}.")
        bare = int(left_open(outcome).sum())
        out.append(f"LEFT OPEN: {bare} fresh {'edge' if bare == 1 else 'edges'} never covered.")
    if edges.cold_pairs or edges.cold_fronts:
        out.append(
            f"COLD: {edges.cold_pairs} of {len(edges.ratio)} fresh edges and {edges.cold_fronts} "
            "stopped fronts were covered too late."
        )
    back = sum(visit.rejected for visit in log.visits)
    if back > 0:
        out.append(f"{volume_of(back, outcome.ordered, units)} ordered sent away.")
    curfew = scenario.site.curfew
    if outcome.past_curfew and curfew is not None:
        last = max([log.wash_out_end, *(each.finishers_until for each in outcome.hours)])
        out.append(f"Work goes on to {clock(last)}, past the curfew of {clock(curfew)}.")
    if outcome.deck.use.value > scenario.limits.deck_use:
        out.append(
            f"The deck is used to {percent(outcome.deck.use.value)} at "
            f"{strip_of(outcome.basis.layout, outcome.deck.use.strip)}, above your limit of "
            f"{percent(scenario.limits.deck_use)}: engineer and supplier decide."
        )
    if outcome.cold.area_cold > 0 or outcome.cold.area_frost > 0:
        out.append(cold_words(outcome.cold, units))
    return out
