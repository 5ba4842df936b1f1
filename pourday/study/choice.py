"""Which plan to prefer, why, and what would change that."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.checks import deck_checks
from pourday.outcome.deck.level import AT_COLUMNS, level_survey
from pourday.outcome.deck.supports import support_checks
from pourday.scenario.model.scenario import Limits
from pourday.study.days import PlanDays
from pourday.study.statistics import Interval, paired_difference
from pourday.study.verdict.evidence import BEYOND, NOT_DECIDED, WITHIN
from pourday.study.verdict.limits import Known
from pourday.study.verdict.verdict import PlanStanding, Verdict, follow, race_of, verdict_of

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
}


@dataclass(frozen=True)
class Breach:
    """A limit that a plan does not keep.

    ``kind`` is "deck", "cold" (a cold joint), "stiff", "below 5", "frost", "curfew", "unfinished"
    (shares of days, with the interval that decides in ``share``; None where it is known without
    days), "fixing", "end" or "prop" (share of what the file says they take), "tips" (the deck
    does), "sag" or "level" (``found`` and ``limit`` are m; the latter how far off the datum the top
    was struck over supports).
    """

    kind: str
    found: float
    limit: float
    share: Interval | None = None


@dataclass(frozen=True)
class Turn:
    """What would make ``plan`` the cheaper one: the price of ``kind`` times ``factor``."""

    plan: str
    kind: str
    factor: float


@dataclass(frozen=True)
class NotDecided:
    """The cheapest plan whose limits the days do not decide, where it costs less than the rest.

    ``saving`` is what it would save against the preferred plan (paired by day; None where none is
    preferred), ``needed`` about how many days would decide it, in all; None where none would.
    """

    plan: str
    saving: Interval | None
    needed: int | None


@dataclass(frozen=True)
class Choice:
    """The plan to prefer.

    ``plan`` is the cheapest that is within all limits, None where no plan is known to be;
    ``not_decided`` then, or where it would be cheaper, is what may still be. Where every plan is
    beyond a limit, ``least_bad`` is the one beyond fewest, by least. ``runner_up`` is the next
    cheapest plan that is within, or may be; ``saving`` what the preferred plan saves against it
    (paired by day, with interval), ``earlier`` how much earlier it ends (h). ``turn`` says which
    price would have to change, and by how much; None where none would within a factor of
    :data:`FARTHEST`. ``days`` are those that chose; ``fresh`` is on how many fresh days these
    figures stand, 0 for those that chose.
    """

    plan: str | None
    least_bad: str
    breaches: dict[str, tuple[Breach, ...]]
    runner_up: str | None
    saving: Interval | None
    earlier: Interval | None
    turn: Turn | None
    not_decided: NotDecided | None
    verdict: Verdict
    days: int
    fresh: int = 0

    @property
    def finalists(self) -> tuple[str, ...]:
        """The plans of which figures are printed in sentences: to be played on fresh days."""
        asked = (self.plan, self.runner_up, self.not_decided and self.not_decided.plan)
        return tuple(dict.fromkeys(each for each in asked if each))


def breaches_of(standing: PlanStanding) -> tuple[Breach, ...]:
    """The limits that a plan is beyond, by its days or known without."""
    found = []
    for each in standing.limits:
        if each.standing == BEYOND:
            share = None if each.known else each.share
            found.append(
                Breach(each.kind, 1.0 if each.known else each.share.value, each.limit, share)
            )
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


def ruled_out(
    names: Sequence[str],
    off: Mapping[str, float] | None = None,
    deck: Mapping[str, tuple[Breach, ...]] | None = None,
) -> dict[str, tuple[Breach, ...]]:
    """What puts each plan out whatever its days bring; arguments as in :func:`choose`."""
    more: dict[str, tuple[Breach, ...]] = dict.fromkeys(names, ())
    for plan, found in (off or {}).items():
        if found > AT_COLUMNS:
            more[plan] += (Breach("level", found, AT_COLUMNS),)
    for plan, breaches in (deck or {}).items():
        more[plan] += breaches
    return more


def choose(
    all_days: tuple[PlanDays, ...],
    limits: Limits,
    off: Mapping[str, float] | None = None,
    deck: Mapping[str, tuple[Breach, ...]] | None = None,
    known: Mapping[str, Known] | None = None,
) -> Choice:
    """Of the plans within the limits, the one with the least mean cost.

    ``off`` is that of :func:`struck_off`: a plan whose top creeps away from the datum is ruled out;
    ``deck`` that of :func:`of_the_deck`; ``known`` has
    :func:`pourday.study.verdict.limits.known_of` of each plan, by its name.
    Plans that cost the same in whole units of the currency are told apart by metres of stiff edge.
    """
    names = [each.plan for each in all_days]
    more = ruled_out(names, off, deck)
    out = {name: bool(more[name]) for name in names}
    race = race_of(names, limits, known, out)
    follow(race, all_days, limits, min(each.days for each in all_days))
    verdict = verdict_of(race, names, limits)
    every = {name: breaches_of(verdict.of(name)) + more[name] for name in names}
    return _picked(verdict, every, {each.plan: each for each in all_days})


def _picked(
    verdict: Verdict, breaches: dict[str, tuple[Breach, ...]], days: dict[str, PlanDays]
) -> Choice:
    def _cost(plan: str) -> tuple[int, float, float]:
        cost, stiff = (
            float(days[plan].of(name).mean()) for name in ("cost_total", "stiff_length_m")
        )
        return round(cost), stiff, cost

    # A floor left unfinished is worse than any number of other breaches.
    worst_last = sorted(
        days,
        key=lambda plan: (
            any(breach.kind == "unfinished" for breach in breaches[plan]),
            len(breaches[plan]),
            sum(breach.found - breach.limit for breach in breaches[plan]),
            *_cost(plan),
        ),
    )
    fit = sorted((p for p in days if verdict.of(p).standing == WITHIN), key=_cost)
    left = sorted((p for p in days if verdict.of(p).standing == NOT_DECIDED), key=_cost)
    best = fit[0] if fit else None
    open_ = left[0] if left else None
    if open_ and best and days[open_].of("cost_total").mean() >= days[best].of("cost_total").mean():
        open_ = None
    others = [p for p in fit[1:] or left if p not in (best, open_)]
    picked = Choice(
        plan=best,
        least_bad=best or worst_last[0],
        breaches=breaches,
        runner_up=others[0] if others and best else None,
        saving=None,
        earlier=None,
        turn=None,
        not_decided=NotDecided(open_, None, verdict.of(open_).needed) if open_ else None,
        verdict=verdict,
        days=next(iter(days.values())).days,
    )
    return _with_figures(picked, days)


def on_fresh_days(choice: Choice, fresh: Sequence[PlanDays]) -> Choice:
    """The same choice with its figures from days that had no part in it, of its finalists."""
    if not fresh:
        return choice
    return replace(_with_figures(choice, {each.plan: each for each in fresh}), fresh=fresh[0].days)


def _with_figures(choice: Choice, days: Mapping[str, PlanDays]) -> Choice:
    best, second, open_ = choice.plan, choice.runner_up, choice.not_decided
    if best and second:
        a, b = days[best], days[second]
        choice = replace(
            choice,
            saving=paired_difference(a.of("cost_total"), b.of("cost_total")),
            earlier=paired_difference(a.of("end_h"), b.of("end_h")),
            turn=_turn(a, b),
        )
    if best and open_:
        saving = paired_difference(days[open_.plan].of("cost_total"), days[best].of("cost_total"))
        choice = replace(choice, not_decided=replace(open_, saving=saving))
    return choice


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
