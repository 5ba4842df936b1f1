"""Which plan to prefer, why, and what would change that."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.checks import deck_checks
from pourday.outcome.deck.level import AT_COLUMNS, level_survey
from pourday.outcome.deck.supports import support_checks
from pourday.scenario.model.scenario import Limits
from pourday.study.compare import Comparison, PlanSummary
from pourday.study.days import PlanDays
from pourday.study.statistics import Interval, paired_difference

# A price that would have to change by more than this turns nothing in practice.
FARTHEST = 5.0
# Parts of the cost that move with one price of the file each.
PRICED = {
    "concrete": ("cost_concrete",),
    "pump": ("cost_pump",),
    "labour": ("cost_labour", "cost_overtime"),
    "waiting": ("cost_waiting",),
    "cold joints": ("cost_cold_joints",),
    "stiff edges": ("cost_stiff_edges",),
    "truck and plant charges": ("cost_trucks",),
    "curing": ("cost_curing",),
    "a late finish": ("cost_late",),
}


@dataclass(frozen=True)
class Breach:
    """A limit that a plan does not keep.

    ``kind`` is "deck", "cold" (a cold joint), "stiff", "below 5", "frost", "curfew", "unfinished",
    "fixing", "end" or "prop" (share of what the file says they take), "tips" (the deck does),
    "sag" or "level" (``found`` and ``limit`` are m; the latter how far off the datum the top was
    struck over supports).
    """

    kind: str
    found: float
    limit: float


@dataclass(frozen=True)
class Turn:
    """What would make ``plan`` the cheaper one: the price of ``kind`` times ``factor``."""

    plan: str
    kind: str
    factor: float


@dataclass(frozen=True)
class Choice:
    """The plan to prefer.

    ``plan`` is None where every plan breaks a limit; ``least_bad`` then names the one that breaks
    fewest, by least. ``runner_up`` is the next cheapest plan within the limits, ``saving`` what
    the preferred plan saves against it (paired by day, with interval), ``earlier`` how much
    earlier it ends (h). ``turn`` says which price would have to change, and by how much; None
    where none would within a factor of :data:`FARTHEST`.
    """

    plan: str | None
    least_bad: str
    breaches: dict[str, tuple[Breach, ...]]
    runner_up: str | None
    saving: Interval | None
    earlier: Interval | None
    turn: Turn | None


def breaches_of(summary: PlanSummary, limits: Limits) -> tuple[Breach, ...]:
    """The limits a plan does not keep: deck use at its P90, shares of days as found."""
    found = []
    use = summary.figures["use"].p90
    if use > limits.deck_use:
        found.append(Breach("deck", use, limits.deck_use))
    for kind, chance, limit in (
        ("cold", "cold", limits.cold_joint_share),
        ("stiff", "stiff", limits.stiff_edge_share),
        ("below 5", "below_5_C", limits.cold_share),
        ("frost", "frost", limits.frost_share),
        ("curfew", "past_curfew", limits.past_curfew_share),
        ("unfinished", "unfinished", 0.0),
    ):
        share = summary.chances[chance].value
        if share > limit:
            found.append(Breach(kind, share, limit))
    return tuple(found)


def struck_off(plans: Sequence[Basis]) -> dict[str, float]:
    """How far off the datum each plan strikes its top over supports (m), by its name."""
    return {each.plan.name: level_survey(each).over_supports for each in plans}


def of_the_deck(plans: Sequence[Basis]) -> dict[str, tuple[Breach, ...]]:
    """What the deck of each plan does not keep on any day, heaps at their mean, by its name.

    The limit of sag, and what fixings, ends of sheets and props take where the file says it.
    """
    out = {}
    for each in plans:
        checks, supports = deck_checks(each), support_checks(each)
        found = []
        if checks.sag > checks.sag_limit:
            found.append(Breach("sag", checks.sag, checks.sag_limit))
        for kind, force in (
            ("fixing", supports.fixing), ("end", supports.end), ("prop", supports.prop)
        ):  # fmt: skip
            if force is not None and force.share is not None and force.share > 1.0:
                found.append(Breach(kind, force.share, 1.0))
        if supports.tips:
            found.append(Breach("tips", 1.0, 1.0))
        out[each.plan.name] = tuple(found)
    return out


def choose(
    comparison: Comparison,
    all_days: tuple[PlanDays, ...],
    limits: Limits,
    off: Mapping[str, float] | None = None,
    deck: Mapping[str, tuple[Breach, ...]] | None = None,
) -> Choice:
    """Of the plans within the limits, the one with the least mean cost.

    ``off`` is that of :func:`struck_off`: a plan whose top creeps away from the datum is ruled out;
    ``deck`` that of :func:`of_the_deck`.
    Plans that cost the same in whole units of the currency are told apart by metres of stiff edge.
    """
    breaches = {s.plan: breaches_of(s, limits) for s in comparison.summaries}
    for plan, found in (off or {}).items():
        if found > AT_COLUMNS:
            breaches[plan] += (Breach("level", found, AT_COLUMNS),)
    for plan, more in (deck or {}).items():
        breaches[plan] += more
    by_plan = {days.plan: days for days in all_days}

    def _cost(plan: str) -> tuple[int, float, float]:
        cost, stiff = (by_plan[plan].of(name).mean() for name in ("cost_total", "stiff_length_m"))
        return round(float(cost)), float(stiff), float(cost)

    # A floor left unfinished is worse than any number of other breaches.
    order = sorted(
        by_plan,
        key=lambda plan: (
            any(breach.kind == "unfinished" for breach in breaches[plan]),
            len(breaches[plan]),
            _excess(breaches[plan]),
            *_cost(plan),
        ),
    )
    fit = sorted((plan for plan in by_plan if not breaches[plan]), key=_cost)
    if not fit:
        return Choice(None, order[0], breaches, None, None, None, None)
    best = fit[0]
    if len(fit) == 1:
        return Choice(best, best, breaches, None, None, None, None)
    second = fit[1]
    a, b = by_plan[best], by_plan[second]
    return Choice(
        plan=best,
        least_bad=best,
        breaches=breaches,
        runner_up=second,
        saving=paired_difference(a.of("cost_total"), b.of("cost_total")),
        earlier=paired_difference(a.of("end_h"), b.of("end_h")),
        turn=_turn(a, b),
    )


def _excess(breaches: tuple[Breach, ...]) -> float:
    return sum(breach.found - breach.limit for breach in breaches)


def _turn(best: PlanDays, second: PlanDays) -> Turn | None:
    """The kind of cost whose price needs the smallest change to make the second plan cheaper.

    Every kind is linear in its price: with the total T and the part C of a kind, the plans cost
    the same where T1 + (k - 1) C1 = T2 + (k - 1) C2.
    """
    lead = float((second.of("cost_total") - best.of("cost_total")).mean())
    turns = []
    for kind, parts in PRICED.items():
        apart = sum(float((best.of(part) - second.of(part)).mean()) for part in parts)
        if abs(apart) > 1e-9:
            factor = 1.0 + lead / apart
            if 1.0 / FARTHEST < factor < FARTHEST:
                turns.append(Turn(second.plan, kind, factor))
    return min(turns, key=lambda turn: abs(math.log(turn.factor)), default=None)
