"""A pour that is over against its forecast: in two sentences, figure by figure, cause by cause."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from rich.console import Console
from rich.text import Text

from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import caution, clock, heading, marked, minutes, percent, table
from pourday.study.afterwards.afterwards import (
    BETWEEN,
    MIDDLE,
    REST,
    Afterwards,
    Cause,
    Coverage,
    Figure,
    Pour,
)
from pourday.study.afterwards.imposed import (
    AWAY,
    BREAKS,
    CHANGES,
    PACE,
    START,
    STOPS,
    TRIPS,
    VOLUME,
    lost,
)
from pourday.study.afterwards.seen import Seen
from pourday.study.forecast.forecast import Band

CAUSE_WORDS = {
    START: "start",
    TRIPS: "trips",
    PACE: "pace at the pump",
    STOPS: "stops",
    BREAKS: "breaks",
    CHANGES: "changes of truck",
    VOLUME: "concrete used",
    AWAY: "loads lost",
    BETWEEN: "gaps beyond these",
    MIDDLE: "rare long days",
    REST: "not explained",
}
"""Causes as people call them."""
# Less than this is no minute (s); the first screen lists causes of at least so much.
_NONE, _SMALL = 30.0, 60.0
# The verdict names causes of so much (s), and one against them of so much.
_WORTH, _MUCH = 2.5 * 60.0, 5 * 60.0
# A standard error of so much (s) is printed beside its cause.
_DOUBT = 120.0


def afterwards_report(
    console: Console, found: Afterwards, names: Sequence[str], everything: bool = False
) -> None:
    """Print the verdict, the figures, the causes; of several pours how often each was inside.

    ``names`` say which tickets are those of each pour. With ``everything`` every cause is listed,
    every line of the tickets to look at, and of several pours the figures of each.
    """
    units = units_of(console)
    scenario = found.basis.scenario
    console.print(marked((f"{scenario.title}   plan {found.basis.plan.name!r}   over", "bold")))
    if len(found.pours) > 1:
        console.print(_many_verdict(found))
        _coverage_table(console, found.coverage)
        _mean_table(console, found)
    for pour, name in zip(found.pours, names, strict=True):
        if len(found.pours) > 1:
            heading(console, f"Tickets {name}")
        console.print(verdict(pour))
        if len(found.pours) > 1 and not everything:
            continue
        _figures_table(console, pour.figures, units)
        _causes_table(console, pour, units, everything)
        _remark_lines(console, pour, everything)
    _how_lines(console, found)
    caution(console)


def verdict(pour: Pour) -> Text:
    """Two sentences: when it ended against the forecast, and what made most of the difference."""
    finish = pour.figures[0]
    late = round(pour.late / 60.0)
    if late:
        than = f"{abs(late)} min {'later' if late > 0 else 'earlier'} than the forecast's about"
    else:
        than = "as the forecast's about"
    band = f"{than} {clock(finish.forecast.about)}"
    if finish.inside:
        where = f"inside its 80 % ({_span(finish.forecast)})"
    else:
        where = f"OUTSIDE its 80 % ({_span(finish.forecast)})"
    why = _most_of_it(pour.causes, pour.late, whole_minutes(pour))
    return marked((f"Last concrete {clock(finish.was)}, {band}, {where}.", "bold"), f" {why}")


def _most_of_it(causes: Sequence[Cause], late: float, whole: Mapping[str, int]) -> str:
    """The causes that made most of the difference, in the direction in which it is."""
    big = [c for c in causes if abs(c.late) >= _WORTH and c.name not in (MIDDLE, REST)]
    if not big:
        return "No cause makes as much as three minutes."
    along = [c for c in big if c.late * late > 0.0][:2] or big[:1]
    against = [c for c in big if c.late * late < 0.0 and abs(c.late) >= _MUCH][:1]
    text = "Most of it: " + ", ".join(_signed(c, whole) for c in along)
    if against and along != against:
        text += f"; against it {_signed(against[0], whole)}"
    return f"{text}."


def _signed(cause: Cause, whole: Mapping[str, int]) -> str:
    return f"{CAUSE_WORDS[cause.name]} {_whole(whole[cause.name])} min"


def _whole(value: int) -> str:
    return f"{value:+d}" if value else "0"


def _minutes(seconds: float) -> str:
    return "0" if abs(seconds) < _NONE else f"{seconds / 60.0:+.0f}"


def _span(band: Band) -> str:
    return f"{clock(band.low)} to {clock(band.by)}"


def _number(unit: str, units: Units) -> Callable[[float], str]:
    """How a figure is printed."""
    return {
        "clock": clock,
        "time": minutes,
        "rate": lambda value: units.volume_rate.figure(value * 3600.0, 1),
        "volume": lambda value: units.volume.figure(value, 1),
    }[unit]


def _word(unit: str, units: Units) -> str:
    words = {"time": "min", "rate": units.volume_rate.word, "volume": units.volume.word}
    return f", {words[unit]}" if unit in words else ""


def _figures_table(console: Console, figures: Sequence[Figure], units: Units) -> None:
    out = table("figure", "about>", "80 % of days>", "was>", "inside")
    for each in figures:
        text = _number(each.unit, units)
        band = each.forecast
        if not math.isfinite(each.was):
            words = "not told"
        elif each.inside:
            words = "in"
        else:
            more = each.was > band.by
            clocked = each.unit == "clock"
            words = ("later" if more else "earlier") if clocked else ("more" if more else "less")
        out.add_row(
            each.name + _word(each.unit, units),
            text(band.about),
            f"{text(band.low)} to {text(band.by)}",
            text(each.was) if math.isfinite(each.was) else "-",
            Text(words, style="" if each.inside else "bold"),
        )
    console.print(out)


def _causes_table(console: Console, pour: Pour, units: Units, everything: bool) -> None:
    console.print()
    doubt = ("±>",) if any(_doubt(c) for c in pour.causes) else ()
    alone = ("alone>",) if everything else ()
    out = table("min later>", *doubt, *alone, "for", "the tickets say")
    whole = whole_minutes(pour)
    shown = [c for c in pour.causes if everything or abs(c.late) >= _SMALL or c.name == REST]
    hidden = [c for c in pour.causes if c not in shown]

    def _row(late: int, cells: tuple[str, str], what: str, said: str, style: str = "") -> None:
        left = [*cells[: len(doubt)], *(cells[1:] if alone else ())]
        out.add_row(Text(_whole(late), style=style), *left, Text(what, style=style), said)

    for cause in shown:
        if cause.name == REST and hidden:
            words = ", ".join(CAUSE_WORDS[c.name] for c in hidden)
            _row(sum(whole[c.name] for c in hidden), ("", ""), "all others", words)
        by_itself = "" if cause.name in (BETWEEN, MIDDLE, REST) else _minutes(cause.alone)
        said = said_of(cause.name, pour, units)
        _row(whole[cause.name], (_doubt(cause), by_itself), CAUSE_WORDS[cause.name], said)
    was, about = clock(pour.figures[0].was), clock(pour.figures[0].forecast.about)
    _row(round(pour.late / 60.0), ("", ""), "in all", f"{was} for {about}", "bold")
    console.print(out)


def _doubt(cause: Cause) -> str:
    """The standard error of a cause's minutes where it is two or more."""
    return f"{cause.error / 60.0:.0f}" if cause.error >= _DOUBT else ""


def whole_minutes(pour: Pour) -> dict[str, int]:
    """Whole minutes of each cause, that add up to those of all (largest remainders).

    The sentence and every table print these, so that a cause has one number.
    """
    exact = [cause.late / 60.0 for cause in pour.causes]
    down = [math.floor(value) for value in exact]
    left = round(pour.late / 60.0) - sum(down)
    by_loss = sorted(range(len(exact)), key=lambda k: down[k] - exact[k])
    for k in by_loss[: max(0, left)]:
        down[k] += 1
    return {cause.name: minutes_ for cause, minutes_ in zip(pour.causes, down, strict=True)}


def said_of(name: str, pour: Pour, units: Units) -> str:
    """What the tickets say of a cause, and the forecast beside it."""
    seen, usual = pour.seen, pour.usual
    rate, volume = units.volume_rate, units.volume

    def _usual(of: Callable[[Seen], float]) -> float:
        known = [value for value in map(of, usual) if math.isfinite(value)]
        return sum(known) / len(known) if known else math.nan

    if name == START:
        return f"first load begun {clock(seen.loaded)}, plan {clock(_usual(lambda d: d.loaded))}"
    if name == TRIPS:
        return f"{pour.told.slower:.2f} times as long as planned"
    if name == PACE:
        plan = _usual(lambda day: day.flow_rate)
        return (
            f"{rate.figure(seen.flow_rate * 3600.0, 1)} for {rate.text(plan * 3600.0, 1)}, stops "
            "left out"
        )
    if name in (STOPS, BREAKS):
        return _stops_said(seen, usual, name == BREAKS)
    if name == CHANGES:
        if not math.isfinite(seen.change):
            return "too few trucks stood ready to say"
        return (
            f"{seen.change / 60.0:.1f} for {_usual(lambda day: day.change) / 60.0:.1f} min where "
            "the next stood ready"
        )
    if name == VOLUME:
        plan = _usual(lambda day: day.volume("placed"))
        return f"{volume.figure(seen.volume('placed'), 1)} for {volume.text(plan, 1)}"
    if name == AWAY:
        gone = [f"{load.ticket} ({load.away})" for load in lost(seen)]
        plan = _usual(lambda day: float(len(lost(day))))
        return f"{', '.join(gone[:3]) or 'none'}; forecast {plan:.1f} loads"
    if name == BETWEEN:
        empty, there = seen.account.no_truck, seen.account.changes
        made = empty + there - next(c.late for c in pour.causes if c.name == BETWEEN)
        return (
            f"no truck {minutes(empty)} min, a truck there and not on {minutes(there)}; all else "
            f"imposed makes {minutes(made)} of both"
        )
    if name == MIDDLE:
        return "the mean day of the forecast less its middle one"
    return "chance, whole minutes, what nobody wrote"


def _stops_said(seen: Seen, usual: Sequence[Seen], breaks: bool) -> str:
    """Stops by their reasons, the longest first, and what the forecast had of them."""
    by_why: dict[str, float] = {}
    for stop in seen.stops:
        if stop.is_break == breaks:
            why = "break" if breaks else stop.why
            by_why[why] = by_why.get(why, 0.0) + stop.until - stop.since
    longest = sorted(by_why.items(), key=lambda each: -each[1])
    words = ", ".join(f"{why} {minutes(length)} min" for why, length in longest[:3])
    if len(longest) > 3:
        words += f", {len(longest) - 3} more reasons"
    plan = sum(
        stop.until - stop.since for day in usual for stop in day.stops if stop.is_break == breaks
    ) / len(usual)
    return f"{words or 'none'}; forecast {minutes(plan)} min"


def _many_verdict(found: Afterwards) -> Text:
    finish = found.coverage[0]
    late = sum(pour.late for pour in found.pours) / len(found.pours)
    word = "later" if late >= 0 else "earlier"
    head = (
        f"The finish of {finish.inside} of {finish.n} pours lay inside the forecast's 80 %; on "
        f"average they ended {minutes(abs(late))} min {word} than its about."
    )
    causes = found.mean_causes()
    whole = {cause.name: round(cause.late / 60.0) for cause in causes}
    return marked((head, "bold"), f" {_most_of_it(causes, late, whole)}")


def coverage_words(each: Coverage) -> str:
    """Whether so many inside can be chance where 80 % are inside in the long run."""
    if each.fits:
        return "can be 80 %"
    return "band too narrow, or off" if each.share.high < 0.8 else "band too wide"


def _coverage_table(console: Console, coverage: Sequence[Coverage]) -> None:
    heading(console, "How often the forecast held")
    out = table("figure", "inside>", "share, 95 % sure>", "so it")
    for each in coverage:
        share = f"{percent(each.share.low)} to {percent(each.share.high)}"
        out.add_row(each.name, f"{each.inside} of {each.n}", share, coverage_words(each))
    console.print(out)


def _mean_table(console: Console, found: Afterwards) -> None:
    heading(console, "Where the model was wrong, on average")
    out = table("min later>", "for", "pour by pour")
    whole = [whole_minutes(pour) for pour in found.pours]
    for cause in found.mean_causes():
        each = [_whole(one[cause.name]) for one in whole if cause.name in one]
        late = _whole(round(cause.late / 60.0))
        out.add_row(late, CAUSE_WORDS[cause.name], ", ".join(each))
    console.print(out)


def _remark_lines(console: Console, pour: Pour, everything: bool) -> None:
    remarks = pour.seen.remarks
    if remarks and not everything:
        lines = "1 line" if len(remarks) == 1 else f"{len(remarks)} lines"
        console.print(f"{lines} of the tickets to look at: --full.")
    for remark in remarks if everything else ():
        console.print(f"line {remark.row}: {remark.text}" if remark.row else remark.text)


def _how_lines(console: Console, found: Afterwards) -> None:
    heading(console, "How this was worked out")
    console.print(
        f"About: the middle one of {found.days} days of the plan, drawn from the file; 80 % of "
        "them lie in the band. Causes: the same days are played again with one cause after "
        "another as the tickets say it, the foreman answering as in the plan; a cause has the "
        f"mean of what it adds in all places of the order ({found.cause_days} days each). They "
        "add up to the whole difference. ±: standard error of a cause by these days, where it is "
        "2 min or more."
    )
