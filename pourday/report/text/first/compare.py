"""``compare``: which plan, how surely, and what rules the others out, on one screen."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from rich.console import Console

from pourday.concrete.evaporation import ACT
from pourday.report.basis import NOT_JUDGED
from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.text.spreads import deck_breach, exact
from pourday.report.text.verdict import (
    HAPPENS,
    against,
    breach_words,
    left_open,
    still_open,
    way_back,
    worth_knowing,
)
from pourday.report.units import Units
from pourday.report.words import clock, money, percent
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Breach, Choice
from pourday.study.compare import Comparison, PlanSummary
from pourday.study.verdict.rounds import FIRST_LOOK

_HOUR = 3600.0
_OFTEN = 0.1  # share of days with late finishers that is worth a warning
_BEFOREHAND = 4  # lines of it
_FEW = 4  # plans that fit on one screen
NO_PRICES = "no prices"
_NOTE = (
    "about, waits, no truck: the middle day; by, leave by, deck used: 9 days in 10 are not past "
    "it; cold edge: share of days; ? a limit is not decided by these days"
)


def first_compare(
    console: Console,
    scenario: Scenario,
    comparison: Comparison,
    choice: Choice,
    warnings: Sequence[str] = (),
) -> None:
    """Print the verdict in two sentences, what decides, what is out, and where to look next."""
    summaries = {each.plan: each for each in comparison.summaries}
    plans = f"{len(summaries)} plan{'s' * (len(summaries) > 1)}"
    days = f"the same {choice.days:,} days for each" if len(summaries) > 1 else ""
    parts = [
        titled(scenario.title, f"{plans}, {days or f'{choice.days:,} days'}"),
        BLANK,
        *_verdict(scenario, choice, summaries),
        BLANK,
        _table(scenario, comparison.summaries, choice),
        *_fresh(choice),
        Part(_NOTE, 2),
        BLANK,
        *_out(scenario, choice, summaries),
    ]
    found = list(_warnings(scenario, comparison.summaries, warnings, units_of(console)))
    if found:
        parts.append(said("WARNING", "; ".join(found) + "."))
    parts.append(said("NEXT", "every figure: --full   strips: check   paper: sheet"))
    # What so few days cannot decide stands above, in lines of its own.
    room = LINES - (_BEFOREHAND if choice.days < FIRST_LOOK * 2 else 0)
    show(console, parts, room if len(summaries) <= _FEW else LINES + 2 * len(summaries))


def _verdict(
    scenario: Scenario, choice: Choice, summaries: Mapping[str, PlanSummary]
) -> Iterator[Part]:
    """Two sentences: which plan, and how surely or what would change it."""
    likely, currency = choice.not_decided, scenario.prices.currency
    name = choice.plan or (likely.plan if likely else choice.least_bad)
    figures = summaries[name].figures
    end, cost = figures["end_h"], figures["cost_total"].mean
    paid = f", {money(cost)} {currency} on average" if cost else ""
    when = f"last concrete about {_clock(end.p50)}, by {_clock(end.p90)} on 9 days in 10"
    if choice.plan:
        kept = [plan for plan, found in choice.breaches.items() if not found]
        least = min(summaries[plan].figures["cost_total"].mean for plan in kept)
        what = "the cheapest that keeps the limits"
        if cost > least:
            what = "it keeps the limits, and none known to is cheaper by what is worth knowing"
        yield said("PREFER", f"{name!r}: {what}{paid}; {when}.")
    elif likely:
        yield said(
            "LIKELY",
            f"{name!r}: the cheapest that may keep the limits{paid}; {when}; no plan is known to "
            "keep them yet.",
        )
    else:
        yield said("NO PLAN", f"keeps the limits; {name!r} breaks them least{paid}; {when}.")
    if likely:
        yield Part(still_open(choice, likely, currency))
    elif choice.runner_up and choice.saving and choice.earlier:
        worth = worth_knowing(scenario, summaries.values())
        pair = choice.saving, choice.earlier
        yield Part(against(choice, choice.runner_up, *pair, currency, worth))
    else:
        yield Part(way_back(choice, dict(summaries), currency))


def _fresh(choice: Choice) -> Iterator[Part]:
    """Which rows are of other days than the rest."""
    if choice.fresh:
        named = " and ".join(map(repr, choice.finalists))
        yield Part(f"{named}: figures of {choice.fresh:,} fresh days, which did not choose them")


def _table(scenario: Scenario, summaries: Sequence[PlanSummary], choice: Choice) -> Part:
    currency = scenario.prices.currency
    heads = (
        "last\nabout", "conc.\nby", "leave\nby", f"{currency}\naverage", "cold\nedge",
        "truck\nwaits", "no\ntruck", "deck\nused",
    )  # fmt: skip
    return table_of("plan", heads, [(s.plan, _cells(s, choice)) for s in summaries])


def _cells(summary: PlanSummary, choice: Choice) -> list[str]:
    figures = summary.figures
    open_ = [each.kind for each in choice.verdict.of(summary.plan).open]
    mark = " ?" if "cold" in open_ else ""
    cost = figures["cost_total"].mean
    use = figures["use"].p90
    return [
        _clock(figures["end_h"].p50),
        _clock(figures["end_h"].p90),
        _clock(figures["finishing_end_h"].p90),
        money(cost) if cost else NO_PRICES,
        percent(summary.chances["cold"].value) + mark,
        f"{figures['mean_wait_min'].p50:.0f} min",
        f"{figures['starved_h'].p50 * 60:.0f} min",
        NOT_JUDGED if math.isnan(use) else percent(use),
    ]


def _clock(hours: float) -> str:
    return clock(hours * _HOUR)


def _out(
    scenario: Scenario, choice: Choice, summaries: Mapping[str, PlanSummary]
) -> Iterator[Part]:
    """Plans beyond a limit, those of one reason together; the others that are not decided."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for plan, found in choice.breaches.items():
        if found:
            alike.setdefault(tuple(_short(each, scenario) for each in found), []).append(plan)
    for why, plans in alike.items():
        yield said("OUT", f"{', '.join(map(repr, plans))}: {'; '.join(why)}.")
    cheaper, dearer = left_open(choice, summaries)
    if cheaper:
        yield said("OPEN TOO", f"{', '.join(map(repr, cheaper))}: not decided, and cheaper.")
    if dearer:
        yield said("NO MATTER", f"{', '.join(map(repr, dearer))}: not decided, and not cheaper.")


def _short(breach: Breach, scenario: Scenario) -> str:
    """A limit that is not kept, without its interval: that stands under --full."""
    if breach.kind in HAPPENS and breach.kind != "deck":
        if breach.share is None or breach.share.value >= 1.0:
            return f"{HAPPENS[breach.kind]} on every day"
        share = percent(breach.share.value)
        return f"{HAPPENS[breach.kind]} on {share} of days (limit {exact(breach.limit)})"
    if breach.kind == "deck":
        return f"the deck uses more than {exact(scenario.limits.deck_use)} of its resistance"
    return breach_words(breach, scenario) if breach.kind == "level" else deck_breach(breach)


def _warnings(
    scenario: Scenario,
    summaries: Sequence[PlanSummary],
    warnings: Sequence[str],
    units: Units,
) -> Iterator[str]:
    """What holds for every plan, and how much the file itself warns of."""
    least = min(each.chances["finishing_past_curfew"].value for each in summaries)
    if scenario.site.curfew is not None and least > _OFTEN:
        at = clock(scenario.site.curfew)
        often = "every day" if least == 1.0 else f"{percent(least)} of days or more"
        yield f"in every plan the finishers are past {at} on {often}"
    bare = min(each.chances["unfinished"].value for each in summaries)
    if scenario.prices.concrete == 0.0:
        yield "the file has no price of concrete: money and choice are of what it prices"
    if bare > 0.0:
        yield f"every plan leaves concrete to place on {percent(bare)} of days or more"
    use = [each.figures["use"].p90 for each in summaries]
    if min(use) > 1.0:
        yield "every plan takes the deck past the resistance in the file: ask the engineer"
    if all(math.isnan(each) for each in use):
        yield "the file has no resistances, so the deck is not judged"
    if min(each.figures["evaporation_peak_kg_m2_h"].mean for each in summaries) >= ACT:
        yield f"every plan dries over {units.evaporation.short_text(ACT)}: `day` names what helps"
    if warnings:
        yield f"the file has {len(warnings)} warning{'s' * (len(warnings) > 1)}: --full"
