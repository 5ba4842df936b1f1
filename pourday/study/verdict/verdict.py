"""What days decide of plans, as values: for a table, a record, a sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.scenario.model.scenario import Limits
from pourday.study.days import PlanDays
from pourday.study.statistics import Interval
from pourday.study.verdict.evidence import (
    BEYOND,
    NOT_DECIDED,
    WITHIN,
    days_needed,
    least_days,
)
from pourday.study.verdict.limits import DayLimit, Known, bad_days, day_limits, rules_for
from pourday.study.verdict.rounds import Played, Race, Rules, run_rounds

MOST_DAYS = 5000
"""Days of each plan that are played at most where nobody says how many."""


@dataclass(frozen=True)
class LimitStanding:
    """One limit of one plan.

    ``kind`` as in :data:`pourday.study.verdict.limits.METRICS`, or "deck"; ``limit`` the share of
    days accepted; ``standing`` "within", "beyond" or "not decided". ``known`` says that it is
    decided without days. ``bad`` of ``days`` broke it; ``share`` is the interval that decides.
    ``needed`` are about the days that would decide it, in all, if as many of them go on being bad;
    None where no number would, or nothing is left to decide.

    A limit of 0 that no day has broken counts as "within" though no number of days shows it.
    """

    kind: str
    limit: float
    standing: str
    known: bool
    bad: int
    days: int
    share: Interval
    needed: int | None


@dataclass(frozen=True)
class PlanStanding:
    """One plan: ``days`` played, mean ``cost`` over them, its limits, and for which plan it was
    given up because it costs more (None where it was not).

    ``out`` says that it is ruled out whatever its days bring.
    """

    plan: str
    days: int
    cost: float
    limits: tuple[LimitStanding, ...]
    given_up_for: str | None
    out: bool

    @property
    def standing(self) -> str:
        """The worst of its limits: "beyond", else "not decided", else "within"."""
        found = {each.standing for each in self.limits}
        if self.out or BEYOND in found:
            return BEYOND
        return NOT_DECIDED if NOT_DECIDED in found else WITHIN

    @property
    def open(self) -> tuple[LimitStanding, ...]:
        """The limits that are not decided."""
        return tuple(each for each in self.limits if each.standing == NOT_DECIDED)

    @property
    def needed(self) -> int | None:
        """About the days that would decide all of them, in all; None where no number would."""
        wanted = [each.needed for each in self.open]
        return None if None in wanted else max((n for n in wanted if n is not None), default=0)


@dataclass(frozen=True)
class Verdict:
    """What so many days decide of all plans, in the order of the plans.

    ``decided`` says that more days would change nothing; ``days`` are those of the last look.
    ``tests`` is K, plans x limits that days have to decide; all of them together are wrong in at
    most ``alpha_limits`` of studies, the cheapest plan is given up for one dearer by more than
    ``indifference`` (money; nan before the first look) in at most ``alpha_cost``.
    """

    plans: tuple[PlanStanding, ...]
    days: int
    decided: bool
    tests: int
    alpha_limits: float
    alpha_cost: float
    indifference: float

    def of(self, plan: str) -> PlanStanding:
        """The standing of the plan of this name."""
        return next(each for each in self.plans if each.plan == plan)


@dataclass(frozen=True)
class Undecidable:
    """A limit that so many days cannot show any plan to be within; ``needed`` can, if all good."""

    kind: str
    limit: float
    needed: int


def undecidable(rules: Rules, limits: Limits, days: int) -> tuple[Undecidable, ...]:
    """Limits that ``days`` cannot show to be kept, to be said before a day is played."""
    out = []
    for number, each in enumerate(day_limits(limits)):
        asked = rules.shares[~rules.out, number]
        least = least_days(each.share, rules.level) if 0.0 < each.share < 1.0 else None
        if least is not None and least > days and (asked == each.share).any():
            out.append(Undecidable(each.kind, each.share, least))
    return tuple(out)


def race_of(
    plans: Sequence[str],
    limits: Limits,
    known: Mapping[str, Known] | None = None,
    out: Mapping[str, bool] | None = None,
) -> Race:
    """The race of these plans, no day of it played: ``known`` and ``out`` as in the rules, by name.

    What a mapping leaves out is not known, and not out.
    """
    return Race(
        rules_for(
            limits,
            [(known or {}).get(name, {}) for name in plans],
            [(out or {}).get(name, False) for name in plans],
        )
    )


def follow(race: Race, all_days: Sequence[PlanDays], limits: Limits, until: int) -> None:
    """Look at days that are played already as if they came in round by round, up to ``until``.

    All plans have these days. It stops at the look that decides; later days are not looked at. May
    be called again with more days.
    """

    def _play(plans: tuple[int, ...], days: range) -> Played:
        at = slice(days.start, days.stop)
        some = [replace(all_days[n], values=all_days[n].values[at]) for n in plans]
        return Played(
            np.array([each.of("cost_total") for each in some]),
            np.array([bad_days(each, limits) for each in some]),
        )

    run_rounds(race, _play, until)


def looked_at(race: Race, all_days: Sequence[PlanDays], limits: Limits) -> None:
    """One look at all days of all plans, none of which is given up before it."""
    plans, days = range(len(all_days)), range(all_days[0].days)
    cost = np.array([each.of("cost_total") for each in all_days])
    race.enter(plans, days, Played(cost, np.array([bad_days(each, limits) for each in all_days])))
    race.judge()


def verdict_of(race: Race, plans: Sequence[str], limits: Limits) -> Verdict:
    """The race as a value, plans by name."""
    every, rules = day_limits(limits), race.rules
    return Verdict(
        plans=tuple(
            PlanStanding(
                plan=name,
                days=int(race.days[n]),
                cost=race.mean_cost(n),
                limits=tuple(_limit(race, n, k, each) for k, each in enumerate(every)),
                given_up_for=plans[race.given_up[n]] if race.given_up[n] >= 0 else None,
                out=bool(rules.out[n]),
            )
            for n, name in enumerate(plans)
        ),
        days=race.look,
        decided=race.decided,
        tests=rules.tests,
        alpha_limits=rules.alpha_limits,
        alpha_cost=rules.alpha_cost,
        indifference=float(race.delta),
    )


def _limit(race: Race, plan: int, number: int, limit: DayLimit) -> LimitStanding:
    bad, days = int(race.bad[plan, number]), int(race.days[plan])
    share = float(race.rules.shares[plan, number])
    known = math.isnan(share) or share < 0.0
    found = str(race.standings[plan, number])
    if limit.share == 0.0 and found == NOT_DECIDED and not bad and days:
        found = WITHIN
    needed = None
    if found == NOT_DECIDED and days:
        needed = days_needed(bad / days, limit.share, race.rules.level)
    return LimitStanding(
        kind=limit.kind,
        limit=limit.share,
        standing=found,
        known=known,
        bad=bad,
        days=days,
        share=race.interval(plan, number),
        needed=needed,
    )
