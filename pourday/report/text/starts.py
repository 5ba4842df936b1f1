"""The same plan begun at several hours of the day."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.concrete.evaporation import ACT, WATCH
from pourday.outcome.concrete.drying import MILD
from pourday.report.screen import units_of
from pourday.report.words import (
    caution,
    clock,
    edge_rule_words,
    heading,
    marked,
    money,
    percent,
    runs_of_hours,
    table,
)
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Breach
from pourday.study.start_times import HOUR, Ranking, StartTime, StartTimes

_WHOSE = {"all": "wash-out or finishing", "pump": "wash-out"}
_WIDE = 100  # columns that hold hours on site and cost as well
_EVENING = 18 * HOUR
OUT = {
    "unfinished": "the floor is left unfinished on some days",
    "cold": "a cold joint on more days than its limit",
    "stiff": "a stiff edge on more days than its limit",
    "curfew": "past the curfew on more days than its limit",
    "deck": "the deck is used beyond its limit on too many days",
    "frost": "concrete freezes on more days than its limit",
    "below 5": "concrete falls below 5 °C on more days than its limit",
}
_CHANGE = {
    "unfinished": "longer hours of the plant, more trucks, or fewer square metres",
    "cold": "a closer spacing with the trucks for it, a retarder, cooler concrete, shorter strips",
    "stiff": "a closer spacing with the trucks for it, a retarder, shorter strips",
    "curfew": "an earlier start, a later curfew, a larger crew, or fewer square metres",
    "deck": "another order, props, or the engineer's word on the deck",
    "frost": "another day, heat below the deck, mats after the last pass, warmer concrete",
    "below 5": "another day, heat below the deck, mats after the last pass, warmer concrete",
}
ASKED = {
    "drying": "least drying",
    "finish": "shortest from start to the finishers' leaving",
    "cost": "least cost",
}


def starts_report(
    console: Console, scenario: Scenario, found: StartTimes, ranking: Ranking
) -> None:
    """Print one row for each start, which are out and why, and the best of the rest."""
    units = units_of(console)
    console.print(
        marked(
            (scenario.title, "bold"),
            f"   plan {found.plan!r} begun at several hours, {found.days} days each, "
            "the same days for every start",
        )
    )
    heading(console, "Start times, means and shares of days")
    wide = console.width >= _WIDE
    watch, act = (units.evaporation.figure(limit, 1) for limit in (WATCH, ACT))
    more = ("hours>", "cost>") if wide else ()
    rows = table(
        "start", "drying>", "concrete>", "finished>", f"late {units.area.word}>", "stiff>",
        "cold>", "curfew>", "left>", *more,
    )  # fmt: skip
    for each in found.starts:
        rest = (f"{each.on_site.mean:.1f}", money(each.cost.mean)) if wide else ()
        rows.add_row(
            clock(each.start),
            units.evaporation.figure(each.drying.mean, 2),
            clock(each.last_concrete.mean * HOUR),
            clock(each.finished.mean * HOUR),
            units.area.figure(each.missed_area.mean),
            percent(each.stiff.value),
            percent(each.cold.value),
            percent(each.past_curfew.value),
            percent(each.unfinished.value),
            *rest,
        )
    console.print(rows)
    console.print(
        f"drying: peak evaporation in {units.evaporation.word} that a place sees until its initial "
        "set or its "
        f"cover, mean over the floor (watch at {watch}, act at {act}); concrete: the last "
        f"of it; late: area whose power-float pass came after final set; stiff edge, cold joint, "
        f"curfew ({_WHOSE[scenario.site.curfew_for]}), left unfinished: share of days",
        highlight=False,
    )
    console.print(edge_rule_words(scenario.mix, units), highlight=False)
    _verdict(console, scenario, found, ranking)
    _notes(console, scenario, found)
    caution(console)


def _verdict(console: Console, scenario: Scenario, found: StartTimes, ranking: Ranking) -> None:
    """Who is out and why; the best of the rest, with ties; or what to change."""
    units = units_of(console)
    console.print()
    _shouts(console, found)
    kinds: dict[str, list[float]] = {}
    for each in found.starts:
        for breach in each.breaches:
            kinds.setdefault(breach.kind, []).append(each.start)
    for kind, starts in kinds.items():
        console.print(f"out: {runs_of_hours(starts)}: {units.said(OUT[kind])}", highlight=False)
    _open(console, found)
    if not ranking.best:
        console.print(marked(("None of these starts.", "bold"), " What to change:"))
        for kind in kinds:
            what = _CHANGE[kind]
            if kind == "cold" and min(scenario.weather.air) < MILD:
                what = what.replace("cooler concrete, ", "")  # never where it may get cold
            console.print(f"  {what} ({units.said(_short(kind, found.starts))})", highlight=False)
        if all(each.past_curfew.value > scenario.limits.past_curfew_share for each in found.starts):
            console.print(f"No start keeps the curfew ({_WHOSE[scenario.site.curfew_for]}).")
        return
    open_ = any(each.open for each in found.starts if each.start in ranking.behind)
    which = "are not out" if open_ else "keep the limits"
    asked = f"{ASKED[ranking.by]}, of the starts that {which}"
    if len(ranking.best) == 1:
        console.print(marked((f"Best: {clock(ranking.best[0])}", "bold"), f" ({asked})."))
    else:
        tied = runs_of_hours(sorted(ranking.best))
        console.print(
            marked(
                (f"Tie: {tied}", "bold"),
                f" ({asked}): the days played cannot tell them apart, or not by what anybody would "
                "act on.",
            )
        )
    _next(console, ranking, scenario.prices.currency)
    _doubts(console, found, ranking)


def _open(console: Console, found: StartTimes) -> None:
    """Which starts may still be out by which limit: what the days do not decide."""
    kinds: dict[str, list[float]] = {}
    for each in found.starts:
        for limit in () if each.breaches else each.open:
            kinds.setdefault(limit.kind, []).append(each.start)
    for kind, starts in kinds.items():
        console.print(
            f"not decided by {found.days} days: {runs_of_hours(starts)}: whether {OUT[kind]}",
            highlight=False,
        )


def _shouts(console: Console, found: StartTimes) -> None:
    """Which starts leave concrete to place or let it freeze, and on what share of the days."""
    for word, share in (("NOT ALL PLACED", _left), ("FROST", _frozen)):
        alike: dict[str, list[float]] = {}
        for each in found.starts:
            if share(each) > 0:
                alike.setdefault(percent(share(each)), []).append(each.start)
        said = "; ".join(f"{runs_of_hours(starts)}: {days}" for days, starts in alike.items())
        if said:
            console.print(marked((word, "bold"), f" when begun at {said} of days."))
    if all(each.unfinished.value == 1.0 for each in found.starts):
        console.print("No start places the whole floor on any day: none is better than another.")


def _left(start: StartTime) -> float:
    return start.unfinished.value


def _frozen(start: StartTime) -> float:
    return start.frost.value


def _next(console: Console, found: Ranking, currency: str) -> None:
    """The first start that is surely behind, with the paired difference and its interval."""
    units = units_of(console)
    unit = {"drying": f" {units.evaporation.word}", "finish": " h", "cost": f" {currency}"}[
        found.by
    ]

    def _form(value: float) -> str:
        if found.by == "drying":
            return units.evaporation.figure(value, 2)
        return money(value) if found.by == "cost" else f"{value:.2f}"

    behind = [start for start in found.behind if start not in found.best]
    if behind:
        gap = found.behind[behind[0]]
        console.print(
            f"Next is {clock(behind[0])}: {_form(gap.value)}{unit} more ({_form(gap.low)} to "
            f"{_form(gap.high)}, paired by day).",
            highlight=False,
        )


def _doubts(console: Console, found: StartTimes, ranking: Ranking) -> None:
    """Where the best of these hours is good only beside them."""
    units = units_of(console)
    by_start = {each.start: each for each in found.starts}
    least = min(by_start[start].drying.mean for start in ranking.best)
    if least >= ACT:
        console.print(
            f"Even so the floor sees {units.evaporation.text(least, 2)} while it is plastic (act "
            f"at {units.evaporation.figure(ACT, 1)}): "
            "try the night, and the measures that `pourday day` names.",
            highlight=False,
        )
    ends = {found.starts[0].start, found.starts[-1].start} & set(ranking.best)
    if ends and len(ranking.best) < len(found.starts):
        console.print(
            f"{runs_of_hours(sorted(ends))} is at the end of the hours tried: a better one may lie "
            "beyond.",
            highlight=False,
        )


def _notes(console: Console, scenario: Scenario, found: StartTimes) -> None:
    """What the clock of the file leaves open for some of these starts."""
    plants, site = scenario.supply.plants, scenario.site
    opens = min(plant.opens for plant in plants)
    if found.starts[0].start < opens:
        console.print(f"No plant batches before {clock(opens)}: earlier starts wait for it.")
    late = found.starts[-1].start >= _EVENING
    if late and any(plant.opens > 0.0 and plant.closes is None for plant in plants):
        console.print("A plant without closes is taken to batch all night: ask it.")
    if late and site.curfew is not None and site.curfew_ends is None:
        console.print(
            "The file does not say when the curfew ends (site.curfew_ends): hours after midnight "
            "are not held against it."
        )
    ends = scenario.weather.at[-1]
    longest = max(each.finished.mean for each in found.starts) * HOUR
    if len(scenario.weather.at) > 1 and longest > ends:
        console.print(
            f"The weather of the file ends at {clock(ends)}; whoever works on after it has the air "
            "of that hour."
        )


def _short(kind: str, starts: Sequence[StartTime]) -> str:
    """The best that any start makes of a limit: what there is to gain."""
    values: list[Breach] = [b for each in starts for b in each.breaches if b.kind == kind]
    least = min(values, key=lambda breach: breach.found)
    return f"{_NOUN[kind]}, at best {percent(least.found)}; the limit is {percent(least.limit)}"


_NOUN = {
    "unfinished": "unfinished",
    "cold": "cold joints",
    "stiff": "stiff edges",
    "curfew": "past the curfew",
    "deck": "deck in use",
    "frost": "freezing",
    "below 5": "below 5 °C",
}
