"""The result of a search: which candidate, by how much, what limits cost, what else there is."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import (
    BAD_DAY,
    caution,
    clock,
    dim,
    edge_rule_words,
    heading,
    marked,
    money,
    percent,
    table,
)
from pourday.scenario.candidates import Search
from pourday.scenario.plan_text import plan_block
from pourday.study.metrics import NAMES
from pourday.study.search.found import Found, LimitPrice
from pourday.study.search.study import Fresh
from pourday.study.search.trial import FIRST, Trial
from pourday.study.statistics import Interval, spread
from pourday.study.verdict.limits import bad_days

HOUR = 3600.0
_MOST_REFUSED, _MOST_FRONT = 6, 12


_NOT_TOLD = (
    "No table [search] in the file: every plan is tried at whole minutes around its own spacing. "
)


def search_words(search: Search) -> str:
    """What is tried, in one sentence."""
    of = f"plan {search.plans[0]!r}" if len(search.plans) == 1 else f"{len(search.plans)} plans"
    varied = ", ".join(
        f"{key} ({len(values)})" for key, values in zip(search.keys, search.values, strict=True)
    )
    head = "" if search.told else _NOT_TOLD
    count = len(search.candidates)
    return f"{head}{count} candidate{'s' if count > 1 else ''} of {of}: {varied}."


def first_answer(console: Console, found: Found) -> None:
    """The first answer, said to be one: to be printed as soon as all have had their first days."""
    if found.chosen is None:
        text = "no candidate keeps all limits as found."
    else:
        cost = float(found.trial.costs(found.chosen, FIRST).mean())
        name = found.search.candidates[found.chosen].name
        text = f"{name!r}, {money(cost)} {_currency(found)} on average."
    console.print(
        marked(
            ("First answer", "bold"),
            f" ({FIRST} days of each, limits not decided, the cheapest flattered): {text}",
        )
    )


def choose_report(
    console: Console, found: Found, fresh: Fresh | None, warnings: Sequence[str] = ()
) -> None:
    """Print the result of a search."""
    search = found.search
    console.print(marked((search.scenario.title, "bold"), f"   {search_words(search)}"))
    for text in warnings:
        console.print(marked(("warning:", "bold"), f" {text}"))
    _refused(console, search)
    console.print(edge_rule_words(search.scenario.mix, units_of(console)), highlight=False)
    heading(console, "Which plan")
    _chosen(console, found, fresh)
    if found.chosen is not None:
        _limits(console, found)
        _front(console, found)
    heading(console, "Played")
    for said in played_sentences(found):
        console.print(Text(said))
    if found.chosen is not None:
        heading(console, "For the file")
        number = fresh.chosen if fresh else found.chosen
        taken = tuple(plan.name for plan in search.scenario.plans)
        console.print(Text(plan_block(search.candidates[number], taken)), soft_wrap=True)
    caution(console)


def _currency(found: Found) -> str:
    return found.search.scenario.prices.currency


def _refused(console: Console, search: Search) -> None:
    for each in search.refused[:_MOST_REFUSED]:
        console.print(Text(f"left out: {each.name}: {each.faults[0].text}"))
    if len(search.refused) > _MOST_REFUSED:
        console.print(Text(f"left out: {len(search.refused) - _MOST_REFUSED} more such"))


def _chosen(console: Console, found: Found, fresh: Fresh | None) -> None:
    said = chosen_sentences(found, fresh, units_of(console))
    for sentence in (*said, *map(Text, doubts(found, fresh))):
        console.print(sentence)


def chosen_sentences(found: Found, fresh: Fresh | None, units: Units = SI) -> list[Text]:
    """Which candidate to take, how it does, and what separates it from the next."""
    names = [each.name for each in found.search.candidates]
    currency = _currency(found)
    if found.chosen is None:
        kinds = _broken(found.trial, found.least_bad)
        return [
            marked(
                ("No candidate keeps all limits", "bold"),
                f"; {names[found.least_bad]!r} breaks them least ({kinds}). Change a plan before "
                "you change a limit.",
            )
        ]
    number = fresh.chosen if fresh else found.chosen
    rows = found.trial.values[number]
    if fresh:
        days = fresh.summaries[0].days
        figures, said = fresh.summaries[0].figures, f"{days:,} fresh days"
        shares = bad_days(fresh.days[0], found.trial.limits).mean(axis=1)
    else:
        days = len(rows)
        figures = {name: spread(rows[:, NAMES.index(name)]) for name in _FIGURES}
        said = f"the {days} days that chose it, which flatter it"
        shares = found.trial.found(number)
    sure = "keeps all limits"
    if not found.trial.within[number]:
        sure += " as found, not yet surely"
    out = [
        marked(
            (f"Take {names[number]!r}", "bold"),
            f": it {sure}, at {money(figures['cost_total'].mean)} {currency} on average ({said}).",
        ),
        Text(
            f"Last concrete at {clock(figures['end_h'].p50 * HOUR)} on the middle day, by "
            f"{clock(figures['end_h'].p90 * HOUR)} on 9 days in 10; finishers leave at "
            f"{clock(figures['finishing_end_h'].p50 * HOUR)}, by "
            f"{clock(figures['finishing_end_h'].p90 * HOUR)}. Stiff edges "
            f"{units.length.text(figures['stiff_length_m'].mean, 1)} and cold ones "
            f"{units.length.text(figures['cold_length_m'].mean, 1)} a day on average."
        ),
        Text(f"Days with {_shares(found.trial, number, shares)}."),
    ]
    if fresh and fresh.runner_up is not None and fresh.saving and fresh.earlier:
        out.append(_next(found, fresh, (fresh.saving, fresh.earlier), units))
    elif not fresh and found.runner_up is not None:
        out.append(Text(f"Next: {names[found.runner_up]!r}."))
    out.append(Text(_binding(found)))
    return out


_FIGURES = ("cost_total", "end_h", "finishing_end_h", "stiff_length_m", "cold_length_m")


def _shares(trial: Trial, number: int, shares: Sequence[float]) -> str:
    """Share of bad days beside each limit that the candidate could break."""
    parts = [
        f"{BAD_DAY[limit.kind]} {percent(float(share))} (limit {percent(limit.share)})"
        for k, (limit, share) in enumerate(zip(trial.every, shares, strict=True))
        if limit.share < 1.0 and trial.rules.shares[number, k] >= 0.0
    ]
    return ", ".join(parts) or "anything that a limit forbids: none can come"


def _broken(trial: Trial, number: int) -> str:
    found = trial.found(number)
    parts = [
        f"{BAD_DAY[limit.kind]} on {percent(float(share))} of days, limit {percent(limit.share)}"
        for limit, share in zip(trial.every, found, strict=True)
        if share > limit.share
    ]
    return "; ".join(parts) or "by its deck, whatever the day: see `pourday deck`"


def _next(found: Found, fresh: Fresh, apart: tuple[Interval, Interval], units: Units) -> Text:
    """The next candidate, and what separates it: money and hours."""
    saving, earlier = apart
    assert fresh.runner_up is not None
    name = found.search.candidates[fresh.runner_up].name
    currency = _currency(found)
    ends = f"{abs(earlier.value):.1f} h {'earlier' if earlier.value < 0 else 'later'}"
    if abs(earlier.value) < 0.05:
        ends = "at the same time"
    costs = f"{money(abs(saving.value))} {currency} {'more' if saving.value >= 0 else 'less'}"
    if abs(saving.value) < 0.5:
        costs = "the same"
    text = (
        f": costs {costs} on the same days (95 % interval {money(saving.low)} to "
        f"{money(saving.high)}), ends {ends}"
    )
    worth = found.trial.delta
    if abs(saving.value) < worth:
        text += f"; under {money(worth)}, for which nobody would change a plan (worth_knowing)"
    more = found.trial.steps[fresh.chosen] - found.trial.steps[fresh.runner_up]
    if saving.value < 0 and more < 0:
        text += ", and it needs more of what has no price"
    first, second = (each.figures["stiff_length_m"].mean for each in fresh.summaries)
    if abs(first - second) >= 1.0:
        length = units.length
        text += f"; stiff edges {length.text(second, 1)} against {length.text(first, 1)}"
    return marked((f"Next {name!r}", "bold"), f"{text}.")


def _binding(found: Found) -> str:
    if found.binding is None:
        return "No limit binds: no candidate that breaks one would be cheaper."
    return (
        f"The limit that binds is that of days with {BAD_DAY[found.binding]}: without it a cheaper "
        "candidate would do."
    )


def doubts(found: Found, fresh: Fresh | None) -> list[str]:
    """Where the answer is good only within what was tried, or not sure."""
    search, out = found.search, []
    names = [each.name for each in search.candidates]
    for number, kinds in fresh.fell if fresh else ():
        said = " and ".join(BAD_DAY[kind] for kind in kinds)
        out.append(f"{names[number]!r} looked cheaper, but has {said} on too many fresh days.")
    if found.open is not None:
        limits = " and ".join(BAD_DAY[kind] for kind in found.open.kinds)
        needed = found.open.needed
        days = "more days than anybody plays" if needed is None else f"about {needed:,} days"
        out.append(
            f"Not decided: {names[found.open.number]!r} would save "
            f"{money(found.open.saving.value)} {_currency(found)}, but whether it keeps the limit "
            f"of {limits} takes {days}."
        )
    if found.chosen is not None:
        own = search.candidates[fresh.chosen if fresh else found.chosen].values
        out += [
            f"{key} is at the end of the range tried: a better value may lie beyond."
            for key, value, tried in zip(search.keys, own, search.values, strict=True)
            if _is_range(tried) and value in (tried[0], tried[-1])
        ]
    for each in found.free if found.chosen is not None else ():
        alike = ", ".join(map(str, each.alike))
        same = f" {alike} cost the same to the cent on every day." if alike else ""
        out.append(
            f"warning: nothing in the file prices {each.key}.{same} More of it is named only where "
            "it saves what is worth knowing."
        )
    return out


def _is_range(values: Sequence[object]) -> bool:
    """Whether it has ends: three numbers or more."""
    return len(values) > 2 and all(
        isinstance(v, int | float) and not isinstance(v, bool) for v in values
    )


def _limits(console: Console, found: Found) -> None:
    """What relaxing each limit by a step would save."""
    if not found.prices:
        return
    heading(console, "The price of each limit (on the days of the search)")
    rows = table("days with", "limit>", "relaxed to>", "saves>", "with")
    for each in found.prices:
        rows.add_row(
            BAD_DAY[each.kind], percent(each.limit), percent(each.relaxed), *_price(found, each)
        )
    console.print(rows, highlight=False)


def _price(found: Found, price: LimitPrice) -> tuple[str, str]:
    if price.number is not None and price.saves is not None:
        return money(price.saves.value), found.search.candidates[price.number].name
    if price.first is not None and price.first_saves is not None:
        saves = f"{money(price.first_saves)} {_currency(found)}"
        return "nothing", f"from {percent(price.first)} on something does: {saves}"
    return "nothing", "nothing cheaper breaks this limit alone"


def _front(console: Console, found: Found) -> None:
    heading(console, f"What else there is (means of the first {FIRST} days of all)")
    length = units_of(console).length
    edges = (f"stiff {length.word}>", f"cold {length.word}>")
    rows = table("candidate that no other beats in all four", "cost>", "finished>", *edges)
    for each in found.front[:_MOST_FRONT]:
        rows.add_row(
            found.search.candidates[each.number].name,
            money(each.cost),
            clock(each.finish_h * HOUR),
            length.figure(each.stiff_m, 1),
            length.figure(each.cold_m, 1),
        )
    console.print(rows, highlight=False)
    if len(found.front) > _MOST_FRONT:
        console.print(dim(f"and {len(found.front) - _MOST_FRONT} more, in --json"))


def played_sentences(found: Found) -> list[str]:
    """How many days it took against the full grid, and why it ended."""
    trial = found.trial
    if not trial.played:
        return ["No day: without one it is known that every candidate breaks a limit."]
    days = int(trial.days.max())
    why = {
        "decided": "It is decided: more days would change nothing.",
        "days": f"Not all is decided within {found.most_days:,} days of a candidate (--most-days).",
        "time": "The time asked for is over (--minutes); this is a first answer, not decided.",
        "none": "No candidate is left.",
        "stopped": "Stopped: this is the best so far, not decided.",
    }[found.why]
    out = [
        f"{found.played:,} days of candidates; {days:,} days of each of {len(trial.values)} would "
        f"be {found.grid:,}: {percent(found.saved)} saved. {why}"
    ]
    out_by = int(trial.beyond.sum())
    same = sum(map(len, found.same.values()))
    parts = []
    if out_by:
        parts.append(f"{out_by} break a limit")
    if same:
        parts.append(f"{same} do the same as another on every day and count as one with it")
    if parts:
        out.append(f"Of the candidates {', '.join(parts)}.")
    return out
