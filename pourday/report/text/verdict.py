"""Which plan to prefer, how surely, and what would change that: the verdict in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rich.console import Console

from pourday.concrete.evaporation import ACT
from pourday.outcome.base.basis import Basis
from pourday.report.basis import basis_of_shares
from pourday.report.text.spreads import deck_breach, exact
from pourday.report.words import money, percent, strips_of, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import FARTHEST, Breach, Choice, NotDecided, Turn
from pourday.study.compare import Comparison, PlanSummary
from pourday.study.statistics import Interval
from pourday.study.verdict.evidence import NOT_DECIDED
from pourday.study.verdict.rounds import FIRST_LOOK
from pourday.study.verdict.verdict import (
    MOST_DAYS,
    LimitStanding,
    PlanStanding,
    Undecidable,
    Verdict,
)

HAPPENS = {
    "deck": "the deck above its limit of use",
    "cold": "a cold joint",
    "stiff": "a stiff edge",
    "below 5": "fresh concrete below 5 °C",
    "frost": "frost in fresh concrete",
    "curfew": "work past the curfew",
    "unfinished": "a floor left unfinished",
}
"""What a limit of days is about, as it follows "on 3 % of days"."""


def beforehand(limits: Sequence[Undecidable], days: int) -> list[str]:
    """What so many days cannot decide, to be said before they are played."""
    alike: dict[tuple[float, int], list[str]] = {}
    for each in limits:
        alike.setdefault((each.limit, each.needed), []).append(HAPPENS[each.kind])
    played = f"{days:,} day{'' if days == 1 else 's'}"
    return [
        f"{played} cannot show that the limit on {' and that on '.join(kinds)} (at most "
        f"{exact(limit)} of days) is kept: that takes {needed:,} days without one."
        for (limit, needed), kinds in alike.items()
    ]


def limits_table(console: Console, verdict: Verdict) -> None:
    """Print a row for each plan: what its days say of every limit that they have to decide."""
    asked = [
        n
        for n, each in enumerate(verdict.plans[0].limits)
        if 0.0 < each.limit < 1.0 and not all(plan.limits[n].known for plan in verdict.plans)
    ]
    if not asked:
        return
    heads = [
        f"{HAPPENS[each.kind]}, at most {exact(each.limit)}"
        for each in (verdict.plans[0].limits[n] for n in asked)
    ]
    rows = table("share of days", *heads)
    for plan in verdict.plans:
        rows.add_row(plan.plan, *(_cell(plan, plan.limits[n], verdict.days) for n in asked))
    console.print(rows, highlight=False)
    console.print(
        f"In brackets what the days leave open: all {verdict.tests} of these are right together in "
        f"{exact(1.0 - verdict.alpha_limits)} of such studies, however often one looks.",
        highlight=False,
    )


def _cell(plan: PlanStanding, limit: LimitStanding, days: int) -> str:
    if limit.known:
        return f"{limit.standing}, without a day"
    if not limit.days:
        return "not looked at: out anyway"
    text = f"{limit.standing}: {share_words(limit.share)}"
    if limit.days != days:
        text += f", on {limit.days:,} days"
    if limit.standing == NOT_DECIDED and plan.given_up_for:
        text += ", dearer anyway"
    return text


def share_words(share: Interval) -> str:
    """A share of days with the interval that decides, its ends rounded away from the middle."""
    low, high = math.floor(share.low * 1e3 + 1e-6) / 1e3, math.ceil(share.high * 1e3 - 1e-6) / 1e3
    return f"{exact(share.value)} ({exact(low).removesuffix(' %')} to {exact(high)})"


@dataclass(frozen=True)
class Sentences:
    """What is said of a choice: ``first`` which plan and how surely, ``out`` what is out and why,
    ``then`` what would change it and which days that is from.
    """

    first: tuple[str, ...]
    out: tuple[str, ...]
    then: tuple[str, ...]


def choice_sentences(
    scenario: Scenario, comparison: Comparison, choice: Choice, plans: Sequence[Basis]
) -> Sentences:
    """Which plan to prefer, how surely, what rules others out, and what would change it."""
    currency = scenario.prices.currency
    summaries = {summary.plan: summary for summary in comparison.summaries}
    out = [_first(choice, summaries, currency)]
    if choice.runner_up and choice.saving and choice.earlier:
        worth = worth_knowing(scenario, comparison.summaries)
        pair = choice.saving, choice.earlier
        out.append(against(choice, choice.runner_up, *pair, currency, worth))
        out += _tie(summaries, str(choice.plan), choice.runner_up)
        out += _but(summaries, best=str(choice.plan), second=choice.runner_up)
    if choice.not_decided:
        out.append(still_open(choice, choice.not_decided, currency))
    out += _no_matter(choice, summaries)
    then = []
    if choice.turn:
        then.append(_turn(choice.turn, choice.earlier, choice.saving, currency))
    elif choice.runner_up:
        then.append(
            f"What would change that: no single price in the file, short of {FARTHEST:g} times as "
            "much or as little."
        )
    elif choice.plan or not choice.not_decided:
        then.append(way_back(choice, summaries, currency))
    return Sentences(
        tuple(out),
        tuple(_ruled_out(scenario, summaries, choice, plans)),
        (*then, *_from_where(choice)),
    )


def _ruled_out(
    scenario: Scenario,
    summaries: dict[str, PlanSummary],
    choice: Choice,
    plans: Sequence[Basis],
) -> Iterator[str]:
    """Which plans are out and why, and where their coldest edge is."""
    for plan, found in choice.breaches.items():
        if found:
            yield f"Not {plan!r}: {'; '.join(breach_words(breach, scenario) for breach in found)}."
            yield from _coldest_edge(plan, found, summaries[plan], plans)


def _first(choice: Choice, summaries: dict[str, PlanSummary], currency: str) -> str:
    """The plan to prefer, or the likely one, or none."""
    best, likely = choice.plan, choice.not_decided
    if best:
        cost = money(summaries[best].figures["cost_total"].mean)
        return f"Prefer {best!r}: it stays within the limits at {cost} {currency} on average."
    if likely:
        cost = money(summaries[likely.plan].figures["cost_total"].mean)
        return (
            f"LIKELY {likely.plan!r}: the cheapest that may stay within the limits, at {cost} "
            f"{currency} on average. No plan is known to stay within them yet."
        )
    return (
        f"No plan stays within the limits; {choice.least_bad!r} breaks them least. "
        "Change a plan before you change a limit."
    )


def still_open(choice: Choice, found: NotDecided, currency: str) -> str:
    """The cheapest plan that is not decided: what is open, what it would save, how many days."""
    standing = choice.verdict.of(found.plan)
    what = "; ".join(
        f"{HAPPENS[each.kind]} on {share_words(each.share)} of days, your limit is "
        f"{exact(each.limit)}"
        for each in standing.open
    )
    text = f"NOT YET DECIDED {found.plan!r}: {what}."
    if found.saving:
        text += (
            f" It would save {money(found.saving.value)} {currency} a day "
            f"({money(found.saving.low)} to {money(found.saving.high)})."
        )
    return f"{text} {_more_days(found.needed, standing.days)}"


def _more_days(needed: int | None, played: int) -> str:
    """How many more days decide a plan, as far as anybody can say."""
    if needed is None:
        return "It lies on the limit: no number of days is sure to tell."
    if needed > MOST_DAYS:
        return (
            f"To tell takes more than the budget of {MOST_DAYS:,} days (about {needed:,}): change "
            "the plan, so that it lies clearly on one side."
        )
    more = max(needed - played, 1)
    return f"About {math.ceil(more / 10) * 10:,} more days would tell: --until-decided."


def left_open(choice: Choice, summaries: Mapping[str, PlanSummary]) -> tuple[list[str], list[str]]:
    """Plans that are not decided beside the one that is named: the cheaper, and the dearer.

    Held against the preferred plan; the dearer need not be decided.
    """
    if not choice.plan:
        return [], []
    named = choice.not_decided.plan if choice.not_decided else ""
    left = [
        each.plan
        for each in choice.verdict.plans
        if each.standing == NOT_DECIDED and each.plan != named
    ]
    cost = {name: each.figures["cost_total"].mean for name, each in summaries.items()}
    cheaper = [plan for plan in left if cost[plan] < cost[choice.plan]]
    return cheaper, [plan for plan in left if plan not in cheaper]


def _no_matter(choice: Choice, summaries: Mapping[str, PlanSummary]) -> Iterator[str]:
    cheaper, dearer = left_open(choice, summaries)
    if cheaper:
        yield f"Not decided, and cheaper too: {', '.join(map(repr, cheaper))}."
    if dearer:
        yield f"Not decided, and no matter: {', '.join(map(repr, dearer))} (not cheaper)."


def _coldest_edge(
    plan: str, found: Sequence[Breach], summary: PlanSummary, plans: Sequence[Basis]
) -> list[str]:
    pair = summary.worst_pair
    if not pair or not any(breach.kind == "cold" for breach in found):
        return []
    layout = next(b.layout for b in plans if b.plan.name == plan)
    sides = layout.pairs[pair[0]]
    names = strips_of(layout)
    first, second = names[sides.first], names[sides.second]
    share = percent(pair[1])
    return [f"   The edge that goes cold most often is {first} to {second} ({share} of days)."]


def _from_where(choice: Choice) -> list[str]:
    """Which days the figures come from."""
    verdict = choice.verdict
    if choice.fresh:
        named = ", ".join(map(repr, choice.finalists))
        return [
            f"Figures of {named} are of {choice.fresh:,} fresh days, which had no part in "
            f"choosing; limits were looked at on {verdict.days:,} days, or until they were decided."
        ]
    if choice.finalists:
        return ["The figures are of the days that chose, which flatter whatever they chose."]
    return []


def worth_knowing(scenario: Scenario, summaries: Iterable[PlanSummary]) -> float:
    """A difference in cost that nobody would act on, in the money of the file."""
    least = min(abs(each.figures["cost_total"].mean) for each in summaries)
    return scenario.limits.worth_knowing * least


def against(
    choice: Choice, second: str, saving: Interval, earlier: Interval, currency: str, worth: float
) -> str:
    """What the preferred plan saves against the next, with its interval, and how it ends.

    ``worth`` is what is worth knowing: less than that is called too little to act on.
    """
    amount, low, high = saving.value, saving.low, saving.high
    does = "saves"
    if amount < 0.0:
        does, amount, low, high = "costs", -amount, -high, -low
    text = (
        f"Against {second!r} it {does} {money(amount)} {currency} a day"
        f"{' more' if does == 'costs' else ''} on the same days (95 % interval {money(low)} to "
        f"{money(high)})"
    )
    if low <= 0.0:
        text += ", which these days do not tell from nothing"
    elif does == "saves" and _open_against(choice, second):
        text += ", not yet told apart as surely as asked"
    if abs(saving.value) < worth:
        text += f"; under {money(worth)} nobody would change a plan (worth_knowing)"
    ends = "earlier" if earlier.value > 0 else "later"
    return f"{text}, and ends {abs(earlier.value):.1f} h {ends}."


def _open_against(choice: Choice, second: str) -> bool:
    verdict = choice.verdict
    return verdict.of(second).given_up_for is None and verdict.days >= FIRST_LOOK


def _tie(summaries: dict[str, PlanSummary], best: str, second: str) -> list[str]:
    """What tells two plans of one cost apart."""
    ours, theirs = (summaries[plan].figures for plan in (best, second))
    mine, other = ours["stiff_length_m"].mean, theirs["stiff_length_m"].mean
    if round(ours["cost_total"].mean) != round(theirs["cost_total"].mean) or mine >= other:
        return []
    return [f"They cost the same; it has less stiff edge, {mine:.1f} m against {other:.1f} m."]


def way_back(choice: Choice, summaries: dict[str, PlanSummary], currency: str) -> str:
    """What the plans that are ruled out would have to mend, the cheapest first."""
    ruled_out = [plan for plan, found in choice.breaches.items() if found]
    if not ruled_out:
        return "What would change that: another plan in the file."

    def _cost(plan: str) -> float:
        return summaries[plan].figures["cost_total"].mean

    cheapest = min(ruled_out, key=_cost)
    mend = " and ".join(_MEND[breach.kind] for breach in choice.breaches[cheapest])
    if choice.plan is None:
        return f"What would change that: {cheapest!r}, the cheapest, {mend}."
    saved = _cost(choice.plan) - _cost(cheapest)
    if saved <= 0:
        return f"What would change that: nothing in the file; {choice.plan!r} is also the cheapest."
    return f"What would change that: {cheapest!r}, {mend}, would save {money(saved)} {currency}."


_MEND = {
    "level": "struck to a datum or to pins",
    "deck": "with props or another order that the engineer agrees to",
    "cold": "with more time to set (retarder), a larger crew or another order of bays",
    "stiff": "with more time to set (retarder), a larger crew or another order of bays",
    "below 5": "on a warmer day, or kept warm",
    "frost": "on a warmer day, or kept warm (heat below, mats, warmer concrete)",
    "curfew": "begun earlier or with a larger crew",
    "unfinished": "with loads and people to the end (plants that stay open or are nearer, a larger "
    "crew)",
}


def _turn(turn: Turn, earlier: Interval | None, saving: Interval | None, currency: str) -> str:
    text = (
        f"What would change that: {turn.plan!r} would cost the same if the price of {turn.kind} "
        f"were {turn.factor:.2f} times that of the file"
    )
    if earlier and saving and earlier.value < -0.1 and saving.value > 0:
        worth = money(saving.value / -earlier.value)
        text += f", or if ending an hour earlier were worth {worth} {currency}"
    return f"{text}."


def _but(summaries: dict[str, PlanSummary], best: str, second: str) -> list[str]:
    """What the preferred plan is worse in and no limit or price of the file looks at."""
    ours, theirs = summaries[best].figures, summaries[second].figures
    out = []
    late = ours["missed_area_m2"].mean - theirs["missed_area_m2"].mean
    if late > 1.0:
        out.append(f"{late:.0f} m² more are finished too late")
    drying = ours["evaporation_peak_kg_m2_h"].mean
    if drying >= ACT > theirs["evaporation_peak_kg_m2_h"].mean:
        out.append(f"its fresh front dries at {drying:.2f} kg/m²/h, over the line of {ACT:.1f}")
    return [f"But against {second!r} {' and '.join(out)}: no limit looks at that."] if out else []


def breach_words(breach: Breach, scenario: Scenario) -> str:
    """A limit that a plan does not keep, with the interval that decides."""
    match breach.kind:
        case "deck":
            most = exact(scenario.limits.deck_use)
            return (
                f"the deck uses more than {most} of {basis_of_shares(scenario)} on {_days(breach)} "
                "(engineer and supplier decide)"
            )
        case "cold" | "stiff" | "below 5" | "frost" | "curfew" | "unfinished":
            return f"{HAPPENS[breach.kind]} on {_days(breach)}"
        case "sag" | "fixing" | "end" | "prop" | "tips":
            return deck_breach(breach)
        case "level":
            return (
                f"its top is struck {breach.found * 1e3:.0f} mm off the datum over supports, past "
                f"±{breach.limit * 1e3:.0f} mm"
            )
        case _:
            raise ValueError(f"a limit of no kind: {breach.kind}")


def _days(breach: Breach) -> str:
    """On how many days a limit is broken, against how many may."""
    if breach.share is None:
        return "every day, whatever the day brings"
    return f"{share_words(breach.share)} of days, above {exact(breach.limit)}"
