"""The forecast of a pour under way: one screen for the hut, and behind it all the rest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from textwrap import wrap
from typing import NamedTuple

from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourday.day.log import IDLE
from pourday.outcome.deck.look_out import LookOut
from pourday.report.screen import units_of
from pourday.report.text.forecast_edges import edge_lines, edges_tables
from pourday.report.units import SI, Units
from pourday.report.words import caution, clock, heading, hours, marked, money, percent, span, table
from pourday.study.forecast.factors import Factor
from pourday.study.forecast.forecast import Band, Forecast, LoadAhead
from pourday.study.forecast.past import ToldStop

_LABEL = 10
_REMARKS, _CALLS = 2, 3
# Lines of the first screen between its head and the caution, and what is cut first.
_ROOM = 18
_LEAST = ("TICKETS", "Look")
# Concrete left unplaced in so many rests is worth a word.
_LIKELY = 0.05
_NEAR = 150.0
# Narrower screens cannot hold it on one: there all of it is told, and scrolls.
_LEAST_WIDTH = 60


def forecast_report(console: Console, found: Forecast, everything: bool = False) -> None:
    """Print one screen; with ``everything`` all edges, loads to call, look-outs and remarks."""
    console.print(_head(found))
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=_LABEL - 1, no_wrap=True)
    grid.add_column()
    rows = first_screen(found, units_of(console))
    if not everything and console.width >= _LEAST_WIDTH:
        rows = _fitted(rows, console.width - _LABEL - 1)
    for row in rows:
        style = "bold" if row.loud else ""
        grid.add_row(Text(row.label, style="bold"), Text(row.text, style=style))
    console.print(grid)
    if everything:
        edges_tables(console, found)
        _loads_table(console, found)
        _look_table(console, found)
        _day_lines(console, found)
        _remark_lines(console, found)
    caution(console)


def _fitted(rows: list[Row], width: int) -> list[Row]:
    """The rows that one screen holds: what is least urgent is cut to a line, or goes.

    All of it stands under ``--full``.
    """
    out = list(rows)
    if _height(out, width) > _ROOM:
        out = [
            row._replace(text=_clipped(row.text, width)) if row.label in _LEAST else row
            for row in out
        ]
    # One line on the tickets stays longest: what was not taken as written changes all the others.
    for label, stays in (("TICKETS", 1), ("Look", 0), ("Balance", 0), ("TICKETS", 0)):
        while _height(out, width) > _ROOM:
            of_it = [n for n, row in enumerate(out) if row.label == label]
            if len(of_it) <= stays:
                break
            del out[of_it[-1]]
    return out


def _height(rows: list[Row], width: int) -> int:
    return sum(max(1, len(wrap(row.text, width))) for row in rows)


def _clipped(text: str, width: int) -> str:
    """The words that one line holds, and where the others are."""
    more = " (more: --full)"
    return text if len(text) <= width else f"{wrap(text, width - len(more))[0]}{more}"


class Row(NamedTuple):
    """A line of the first screen: what it is about, what it says, and whether it is loud."""

    label: str
    text: str
    loud: bool = False


def first_screen(found: Forecast, units: Units = SI) -> list[Row]:
    """What somebody in the hut wants to know first, most urgent first, in the reader's units."""
    lines: list[Row] = []
    if found.past.empty:
        lines.append(Row("NO TICKET", "nothing is told yet: this is the plan"))
    lines += [Row("STOPPED", _stop_words(stop, found.at), True) for stop in found.stop]
    lines.append(_finish(found))
    lines.append(Row("In", _placed(found, units)))
    lines += [Row(*each) for each in edge_lines(found, units)]
    if not found.finished:
        lines += _load_lines(found, units)
        lines += _look_lines(found, units)
    lines.append(Row(found.basis.scenario.prices.currency, _money_words(found)))
    lines += _kind_of_day(found)
    lines += _remarks(found, units)
    return lines


def _head(found: Forecast) -> Text:
    scenario, past = found.basis.scenario, found.past
    off = sum(load.off is not None for load in past.loads)
    told = f"{len(past.loads)} loads told, {off} gone" if past.loads else "no load told"
    when = "before the pour" if past.empty else clock(found.at)
    return marked(
        (f"{scenario.title}   plan {found.basis.plan.name!r}   {when}", "bold"), f"   {told}"
    )


def _about(band: Band) -> str:
    if abs(band.by - band.low) < 60.0:
        return clock(band.about)
    return f"about {clock(band.about)}, by {clock(band.by)}"


def _finish(found: Forecast) -> Row:
    late = found.finish.about - found.plan_finish.about
    if found.past.empty:
        against = ""
    elif abs(late) < _NEAR:
        against = f"; plan {clock(found.plan_finish.about)}: as planned"
    else:
        word = "later" if late > 0 else "earlier"
        against = f"; plan {clock(found.plan_finish.about)}: {span(abs(late))} {word}"
    label = "Finished" if found.finished else "Finish"
    curfew = found.basis.scenario.site.curfew
    if curfew is not None and found.wash_out.by > curfew:
        against += f"; PUMP PAST CURFEW {clock(curfew)}"
    if found.unfinished_share >= _LIKELY:
        against += f"; SOME LEFT UNPLACED in {percent(found.unfinished_share)} of rests"
    return Row(label, f"last concrete {_about(found.finish)}{against}")


def _placed(found: Forecast, units: Units) -> str:
    volume = units.volume
    text = f"{volume.figure(found.placed, 1)} of {volume.text(found.total, 1)}"
    if not (found.past.empty or found.finished):
        text += f", plan {volume.figure(found.plan_placed.about)} by now"
    there = [load for load in found.past.loads if load.off is None and not load.away]
    at_pump = [load.ticket for load in there if load.on is not None]
    wait = [n.ticket for n in there if n.on is None and n.arrived is not None]
    road = [n.ticket for n in there if n.arrived is None]
    for names, words in ((at_pump, "at the pump"), (wait, "waiting"), (road, "on the road")):
        if names:
            text += f"; {words} {_names(names)}"
    if found.granted:
        text += f"; {found.granted} more taken as on the road"
    return text


def _names(names: Sequence[str]) -> str:
    return ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")


def _stop_words(stop: ToldStop, at: float) -> str:
    what = "break" if stop.kind == IDLE else stop.why or stop.kind
    guess = f", guessed till {clock(stop.guess)}" if stop.guess is not None else ""
    return f"{what} since {clock(stop.since)}, {hours(at - stop.since)}{guess}"


def _load_lines(found: Forecast, units: Units) -> list[Row]:
    if not found.loads:
        return [Row("Call", "nothing more")]
    first = [load for load in found.loads if load.share >= 0.5][:_CALLS]
    if not first:
        share = percent(found.loads[0].share)
        return [Row("Call", f"nothing more, but one small load in {share} of rests")]
    calls = ", ".join(_call(load, found.at) for load in first)
    count = f"{found.loads_to_call.about:.0f}"
    loads = "1 load" if count == "1" else f"{count} loads"
    volume = units.volume
    in_all = volume.text(_in_all(found), 1)
    lines = [Row("Call", f"{loads}, {in_all} in all; next {calls}")]
    balance = found.balance
    if math.isfinite(balance.about):
        low, by = volume.figure(balance.low, 1), volume.figure(balance.by, 1)
        between = f" ({low} to {by})" if balance.by > balance.low else ""
        lines.append(Row("Balance", f"last load {volume.text(balance.about, 1)}{between}"))
    if found.hold is not None:
        held = found.loads[found.hold]
        which = f"load {found.hold + 1} of those to call"
        waits = f"it would stand {hours(held.wait.about)}"
        lines.append(Row("HOLD", f"{which}, due {clock(held.due.about)}: {waits}"))
    return lines


def _in_all(found: Forecast) -> float:
    """What all loads to call bring (m³): full ones and the balance, so that the lines agree.

    The middle of the sums is another number than the sum of the middles; where they are far apart
    (small loads, finishing at another plant) the middle of the sums counts.
    """
    middle, plan = found.volume_to_call.about, found.basis.plan
    full = plan.load or found.basis.scenario.supply.load
    added = (round(found.loads_to_call.about) - 1) * full + found.balance.about
    return added if abs(added - middle) < full / 2 else middle


def _call(load: LoadAhead, at: float) -> str:
    return "now" if load.call.about - at < 60.0 else clock(load.call.about)


def _look_lines(found: Forecast, units: Units) -> list[Row]:
    if not found.look_out:
        return []
    first = found.look_out[0]
    value = _in_use(first, units)
    more = f"; {len(found.look_out) - 1} more" if len(found.look_out) > 1 else ""
    at = units.length.text(first.x, 1)
    where = f"strip {first.strip + 1} at x {at}, about {clock(first.time)}"
    return [Row("Look", f"{where}: {value} in use, {units.said(first.look_at)}{more}")]


def _in_use(each: LookOut, units: Units) -> str:
    return units.depth.text(each.value * 1e3) if each.kind == "sag" else percent(each.value)


def _money_words(found: Forecast) -> str:
    cash = found.money
    whole = cash.so_far + cash.to_come.about
    if found.past.empty:
        return f"{money(whole)} in all"
    return (
        f"{money(cash.so_far)} so far, {money(max(0.0, cash.to_come.about))} to come: "
        f"{money(whole)}; plan {money(cash.plan.about)}"
    )


def factor_words(name: str, factor: Factor) -> str:
    """A factor of the day: "travel 1.12 (1.02 to 1.23) by 19 loads; 3 outweigh plan"."""
    if len(factor.grid) == 1:
        return f"{name}: not looked for (its sd in [day_to_day] is 0)"
    text = f"{name} {factor.at(0.5):.2f} ({factor.at(0.1):.2f} to {factor.at(0.9):.2f})"
    text += " by 1 load" if factor.seen == 1 else f" by {factor.seen} loads"
    if factor.out:
        text += f", {factor.out} out"
    if factor.outweigh is None:
        return f"{text}; pump or truck hides it"
    return f"{text}; {factor.outweigh} outweigh plan"


def _kind_of_day(found: Forecast) -> list[Row]:
    if found.past.empty:
        return []
    return [
        Row("Day", factor_words("trips take x", found.travel)),
        Row("", factor_words("crew pace x", found.crew)),
    ]


def _remarks(found: Forecast, units: Units) -> list[Row]:
    remarks = found.past.remarks
    lines = []
    for remark in remarks[:_REMARKS]:
        lines.append(Row("TICKETS", _remark(remark.row, units.said(remark.text))))
    if len(remarks) > _REMARKS:
        lines.append(Row("", f"and {len(remarks) - _REMARKS} more to look at: --full"))
    return lines


def _remark(row: int, text: str) -> str:
    return f"line {row}: {text}" if row else text


def _loads_table(console: Console, found: Forecast) -> None:
    if not found.loads:
        return
    heading(console, "Loads to call")
    volume = units_of(console).volume
    out = table(
        "load>", f"{volume.word}>", "call about>", "by>", "comes about>", "stands>", "wanted in>"
    )
    last = round(found.loads_to_call.about)
    for number, load in enumerate(found.loads, start=1):
        out.add_row(
            str(number),
            volume.figure(found.balance.about if number == last else load.volume, 1),
            clock(load.call.about),
            clock(load.call.by),
            clock(load.due.about),
            hours(load.wait.about),
            percent(load.share),
        )
    console.print(out)


def _look_table(console: Console, found: Forecast) -> None:
    if not found.look_out:
        return
    heading(console, "Look out, strips ahead")
    units = units_of(console)
    out = table("about>", "strip>", f"x, {units.length.word}>", "in use>", "look at", "do")
    for each in found.look_out:
        at = units.length.figure(each.x, 1)
        words = (units.said(each.look_at), units.said(each.do))
        out.add_row(clock(each.time), str(each.strip + 1), at, _in_use(each, units), *words)
    console.print(out)


def _day_lines(console: Console, found: Forecast) -> None:
    heading(console, "How this was worked out")
    console.print(
        f"{found.rests} rests, each with factors of its own: log(seen / planned) = factor of the "
        "day + noise of the trip. About: the middle rest; by: 9 in 10. Trips still out count as "
        "longer than they have taken; stops are left out of the times at the pump. Strips ahead "
        f"are taken to use {found.use:.3f} times their plan."
    )
    if found.guessed:
        names = [f"{ticket} ({', '.join(what)})" for ticket, what in found.guessed]
        console.print(f"Guessed, as nobody wrote it: {'; '.join(names)}.")


def _remark_lines(console: Console, found: Forecast) -> None:
    if not found.past.remarks:
        return
    heading(console, "Lines of the tickets to look at")
    for remark in found.past.remarks:
        console.print(_remark(remark.row, units_of(console).said(remark.text)))
