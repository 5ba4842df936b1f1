"""One long day or several: the answer, the parts with their days, the stop ends, the money."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from rich.console import Console

from pourday.report.screen import units_of
from pourday.report.text.spreads import deck_breach
from pourday.report.units import Units
from pourday.report.words import COSTS, caution, clock, heading, marked, money, percent, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Breach
from pourday.study.pours.places import IN_SPAN, INNER_BEAM, ON_BEAM, SHEET_JOINT, StopPlace
from pourday.study.pours.places import bays_words as bays_of
from pourday.study.pours.split import Poured, Split, SplitStudy

_HOUR = 3600.0
_OTHERS = 3
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip
_WEEKEND = {5: "a Saturday", 6: "a Sunday"}
_ON_DAYS = {
    "cold": "a cold joint",
    "stiff": "a stiff edge",
    "below 5": "fresh concrete below 5 °C",
    "frost": "frost in fresh concrete",
    "curfew": "past the curfew",
    "unfinished": "left unfinished",
}
_KINDS = COSTS | {"late": "a late finish", "stop_ends": "stop ends"}
_PLACES = {
    SHEET_JOINT: "where sheets join",
    INNER_BEAM: "over which the sheets run on: no sheet joint is near",
    ON_BEAM: "so on the beam itself, not 600 mm from it",
    IN_SPAN: "so not 600 mm from any beam",
}


def split_report(console: Console, scenario: Scenario, found: SplitStudy) -> None:
    """Print the answer, the table of the parts, the stop ends, and what is left to others."""
    console.print(
        marked(
            (scenario.title, "bold"),
            f"   plan {found.plan!r}, {found.days} day{'s' * (found.days > 1)} of every part, "
            "the same seeds for all",
        )
    )
    console.print()
    _answer(console, scenario, found)
    if found.best is not None:
        _parts(console, scenario, found, found.best)
        _stop_ends(console, scenario, found.best)
        _others(console, scenario, found)
        _left_out(console, scenario, found.best)
    caution(console)


def _answer(console: Console, scenario: Scenario, found: SplitStudy) -> None:
    units = units_of(console)
    long, best, currency = found.long, found.best, scenario.prices.currency
    cost = f"{money(_cost(long))} {currency}"
    about, by = _clocks(long)
    if long.breaches:
        console.print(marked(("One day does not hold it: ", "bold"), f"{_why(long, units)}."))
    else:
        held = "One day holds it"
        rest = f" within the limits: {cost}, last concrete about {about}, by {by} on 9 days in 10."
        console.print(marked((held, "bold"), rest))
    if best is None:
        found_places = (
            f"So many parts do not go: there is room for {len(found.places)} stop end"
            f"{'s' * (len(found.places) > 1)} by the rule, at "
            f"{', '.join(f'x = {units.length.text(end.x, 2)}' for end in found.places)}."
            if found.places
            else "No place for a stop end: the floor has no beam inside it, or too little beyond."
        )
        console.print(
            f"{found_places} A stop end along the sheets is not looked at: ask the engineer."
        )
        return
    where = ", ".join(f"x = {units.length.text(end.x, 2)}" for end in best.ends)
    parts = f"{len(best.pours)} pours, stop end{'s' * (len(best.ends) > 1)} at {where}"
    if found.given:
        kept = "keep the limits" if best.holds else "do not keep the limits"
        console.print(marked((f"The file's {parts}", "bold"), f", {kept}."))
    elif best.holds and long.breaches:
        console.print(
            marked((f"Split it: {parts}", "bold"), ". Each day keeps the limits as played.")
        )
    elif best.holds:
        console.print(f"If it is split: {parts}. Each day keeps the limits too, as played.")
    else:
        console.print(
            marked(("No split that was tried keeps the limits.", "bold"), f" The nearest: {parts}.")
        )
    if found.not_mended:
        kinds = ", ".join(_ON_DAYS.get(kind, f"limit {kind!r}") for kind in found.not_mended)
        console.print(
            f"Fewer square {units.width.replace('metre', 'metres').replace('foot', 'feet')} a day "
            "do "
            f"not mend this: {units.said(kinds)} (every part breaks it)."
        )
    _price(console, best, currency)


def _price(console: Console, best: Split, currency: str) -> None:
    """What the parts cost against the long day, and which kinds of cost make the difference."""
    gap = best.against
    word, sign = ("more", 1) if gap.value >= 0 else ("less", -1)
    low, high = sorted((sign * gap.low, sign * gap.high))
    sure = f"{money(low)} to {money(high)}" if math.isfinite(low) else "one day says no more"
    kinds = sorted(best.by_kind.items(), key=lambda item: -abs(item[1]))
    said = [
        f"{_KINDS[kind]} {'+' if value > 0 else '-'}{money(abs(value))}"
        for kind, value in kinds
        if abs(value) >= 0.5
    ]
    why = f": {'; '.join(said)}" if said else ""
    console.print(
        f"{money(best.cost.mean)} {currency} in all, {money(abs(gap.value))} {word} than the long "
        f"day ({sure}, 95 %){why}.",
        highlight=False,
    )
    console.print(
        "Every day has its own call-out, priming, wash-out, least paid hours and last load.",
        highlight=False,
    )


def _parts(console: Console, scenario: Scenario, found: SplitStudy, best: Split) -> None:
    units = units_of(console)
    heading(console, "The long day and the parts: means of money, clocks of the middle day")
    rows = table(
        "pour",
        "date",
        "bays",
        f"{units.volume.word}>",
        "loads>",
        "last>",
        "by>",
        "leave>",
        "cost>",
        "limits",
    )
    for pour in (found.long, *best.pours):
        of, figures = pour.pouring, pour.summary.figures
        about, by = _clocks(pour)
        name = "long day" if pour is found.long else of.name
        bays = "all" if pour is found.long else bays_of(scenario.floor, of.part)
        rows.add_row(
            name,
            _day(of.date),
            bays,
            units.volume.figure(figures["placed_m3"].mean, 1),
            f"{figures['loads'].mean:.0f}",
            about,
            by,
            clock(figures["finishing_end_h"].p50 * _HOUR),
            money(_cost(pour)),
            "beyond" if pour.breaches else "within",
        )
    total = sum(pour.summary.figures["placed_m3"].mean for pour in best.pours)
    loads = sum(pour.summary.figures["loads"].mean for pour in best.pours)
    rows.add_row(
        "in all",
        "",
        "",
        units.volume.figure(total, 1),
        f"{loads:.0f}",
        "",
        "",
        "",
        money(best.cost.mean),
        "",
    )
    console.print(rows)
    console.print(
        "last: the last concrete; by: on 9 days in 10; leave: the finishers; in all: with the "
        f"stop ends, on 9 days in 10 up to {money(best.cost.p90)} {scenario.prices.currency}",
        highlight=False,
    )
    for pour in best.pours:
        if pour.breaches:
            console.print(f"{pour.pouring.name}: {_why(pour, units)}.", highlight=False)
    _people(console, found, best)
    _deck(console, found, best)
    for pour in best.pours:
        day = _WEEKEND.get(pour.pouring.date.weekday())
        if day:
            console.print(
                f"{pour.pouring.name} falls on {day}, {pour.pouring.date.isoformat()}: night and "
                "weekend pay are not in its money unless the prices say so.",
                highlight=False,
            )


def _day(day: date) -> str:
    """A date that fits a column: "Tue 20 Apr", whatever the language of the machine."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def _people(console: Console, found: SplitStudy, best: Split) -> None:
    each = " + ".join(str(pour.pouring.people) for pour in best.pours)
    first, last = best.pours[0].pouring.date, best.pours[-1].pouring.date
    console.print(
        f"Crew days: {each} = {best.crew_days} people called, against "
        f"{found.long.pouring.people} on the long day (reliefs on top); from {first.isoformat()} "
        f"to {last.isoformat()}, {(last - first).days + 1} calendar days.",
        highlight=False,
    )


def _deck(console: Console, found: SplitStudy, best: Split) -> None:
    """Share of resistance and most hogging of every day: what an empty span beside does."""
    said = [
        f"{'long day' if pour is found.long else pour.pouring.name} "
        f"{percent(pour.summary.figures['use'].p90)}, "
        + units_of(console).moment_per_width.figure(
            pour.summary.figures["hog_moment_kNm_per_m"].mean, 2
        )
        for pour in (found.long, *best.pours)
    ]
    console.print(
        f"Deck, use of resistance on 9 days in 10 and bending over the beam in "
        f"{units_of(console).moment_per_width.word}: {'; '.join(said)}.",
        highlight=False,
    )


def _stop_ends(console: Console, scenario: Scenario, best: Split) -> None:
    units = units_of(console)
    heading(console, "Stop ends")
    for end in best.ends:
        console.print(_place(end, units), highlight=False)
    price, length = scenario.prices.stop_end, sum(end.length for end in best.ends)
    form = "g" if units.length.is_metric else ".2f"
    if price:
        console.print(
            f"{units.length.text(length, 1)} at {price / units.length.factor:{form}} "
            f"{scenario.prices.currency}/{units.length.word}: "
            f"{money(best.stop_end_cost)} {scenario.prices.currency}, in the money above.",
            highlight=False,
        )
    else:
        console.print(
            "prices.stop_end_per_m is 0: form, trimming and cleaning of "
            f"{units.length.text(length, 1)} of stop "
            "end are not in the money.",
            highlight=False,
        )
    console.print(
        f"{units.said('600 mm')} from the beam centre at a beam where sheets join is common "
        "practice, no source. A "
        "stop end is a construction joint, not a cold joint, and is not counted as one; its place "
        "and the reinforcement through it are the engineer's.",
        highlight=False,
    )


def _place(end: StopPlace, units: Units) -> str:
    """One stop end with its dimension from the beam, and what beam that is."""
    side = "higher" if end.offset > 0 else "lower"
    off = abs(end.offset) * 1000
    away = f"{units.depth.text(off, 0)} to {side} x from" if off >= 1 else "at"
    return (
        f"x = {units.length.text(end.x, 3)}, {units.length.text(end.length, 1)} long: {away} the "
        "beam centre line at "
        f"x = {units.length.text(end.beam, 3)}, {units.said(_PLACES[end.kind])}."
    )


def _others(console: Console, scenario: Scenario, found: SplitStudy) -> None:
    """The next best splits, a line each."""
    units = units_of(console)
    if len(found.splits) < 2:
        return
    heading(console, f"Other splits (of {len(found.splits)} played)")
    rows = table(
        f"stop ends at x, {units.length.word}", f"{units.volume.word}", "cost>", "more>", "limits"
    )
    for split in found.splits[1 : 1 + _OTHERS]:
        broken = [
            f"{pour.pouring.name}: {_why(pour, units)}" for pour in split.pours if pour.breaches
        ]
        rows.add_row(
            ", ".join(units.length.figure(end.x, 2) for end in split.ends),
            " + ".join(units.volume.figure(pour.pouring.volume) for pour in split.pours),
            money(split.cost.mean),
            money(split.against.value),
            "; ".join(broken) or "within",
        )
    console.print(rows)


def _left_out(console: Console, scenario: Scenario, best: Split) -> None:
    heading(console, "What is in it, and what is not")
    own = any(pour.weather is not None for pour in scenario.pours)
    lines = [
        "The part poured first loads a deck whose next span is empty: its sag and bending over the "
        "beam are worked out so, with the sheets running on under the stop end.",
        "The later part lies beside hardened concrete: its weight on the sheet is counted (not on "
        "beams), its stiffness is not, nor cracks over the beam, shrinkage, and props that have to "
        "stay. What may be poured beside it, and when, is for the engineer.",
    ]
    if not own:
        lines.append("Every day has the weather of the file, whatever its date.")
    if scenario.upsets:
        lines.append("The upsets of the file happen on every one of the days.")
    if scenario.beams.given:
        lines.append("Beams: what hardened concrete does to them is not in it.")
    for line in lines:
        console.print(line, highlight=False)


def _cost(pour: Poured) -> float:
    return pour.summary.figures["cost_total"].mean


def _clocks(pour: Poured) -> tuple[str, str]:
    """Clock of the last concrete on the middle day and on 9 days in 10."""
    end = pour.summary.figures["end_h"]
    return clock(end.p50 * _HOUR), clock(end.p90 * _HOUR)


def _why(pour: Poured, units: Units) -> str:
    return "; ".join(_breach(each, units) for each in pour.breaches)


def _breach(breach: Breach, units: Units) -> str:
    if breach.kind in _ON_DAYS:
        share = f"{percent(breach.found)} of days (limit {percent(breach.limit)})"
        return f"{units.said(_ON_DAYS[breach.kind])} on {share}"
    if breach.kind == "deck":
        return f"the deck uses {percent(breach.found)} (limit {percent(breach.limit)})"
    if breach.kind == "level":
        return (
            f"its top is struck {units.depth.text(breach.found * 1e3, 0)} off the datum over "
            "supports (limit "
            f"{units.depth.text(breach.limit * 1e3, 0)})"
        )
    return deck_breach(breach, units)


def pours_words(names: Sequence[str]) -> str:
    """That a file has pours, for reports that do not play them."""
    return (
        f"The file pours this floor in parts ({', '.join(names)}): `pourday split FILE` plays "
        "them; here every plan pours all of it on one day."
    )
