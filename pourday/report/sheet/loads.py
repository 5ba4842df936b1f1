"""Page three, for whoever telephones: loads to call, and boxes for what their tickets say."""

from __future__ import annotations

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import Book, Column, Row, tables
from pourday.report.sheet.words import strip_named
from pourday.report.units import Units
from pourday.study.sheet.says import LoadRow, Sheet

SUBJECT = "Loads: for whoever telephones"
_SPARE = 1
"""Empty rows for loads that nobody planned."""


def loads(book: Book, sheet: Sheet) -> None:
    """Loads in the order in which they are due, on paper that lies on its side."""
    page = book.page(SUBJECT, across=True)
    y = page.top + 2.0
    for words in _rules(sheet, book.units):
        y = page.paragraph(y, words)
    several = len(sheet.fronts) > 1
    columns = [
        Column("load", 80.0),
        *([Column("pump", 42.0)] if several else []),
        Column("call at", 44.0),
        Column("due about", 44.0),
        Column("by", 44.0),
        Column(book.units.volume.word, 32.0, right=True),
        Column("so far", 42.0, right=True),
        Column("ticket", 62.0),
        Column("loaded", 48.0),
        Column("in", 44.0),
        Column("on", 44.0),
        Column("off", 44.0),
        Column(f"{book.units.volume.word} off", 40.0),
        Column("slump", 44.0),
        Column(book.units.temperature.word, 34.0),
        Column(f"loaded {amounts.plus(sheet.age_limit)} = give up", 62.0),
    ]
    rows = [_row(load, several, book.units) for load in sheet.loads]
    empty = Row(("",) * len(columns))
    tables(book, page, y + 4.0, columns, [*rows, *[empty] * _SPARE], (SUBJECT, True))


def _rules(sheet: Sheet, units: Units) -> list[str]:
    scenario, plan = sheet.basis.scenario, sheet.basis.plan
    phone, mix = scenario.call_off, scenario.mix
    out = []
    if sheet.balance_after:
        after = strip_named(sheet, sheet.balance_after)
        out.append(f"Call the balance after strip {after} is full: measure what is left first.")
    else:
        out.append("Measure what is left before the last load is called.")
    wait = plan.hold_back_at or max(2, phone.waiting_wanted + 1)
    out.append(
        f"Call each load at its time, later it cannot be held; hold when {wait} trucks wait. "
        f"Give up at loaded {amounts.plus(sheet.age_limit)}: send it back, write it down."
    )
    sampled = [str(load.number) for load in sheet.loads if load.sampled]
    least = max(mix.least_slump, mix.slump - mix.slump_tolerance)
    out.append(
        f"Samples, drawn by lot ({sheet.sample_rule}), marked S: loads {', '.join(sampled)}. "
        f"Slump {amounts.slump(least, units)} to "
        f"{amounts.slump(mix.slump + mix.slump_tolerance, units)}. "
        "No water after discharge has begun."
    )
    return out


def _row(load: LoadRow, several: bool, units: Units) -> Row:
    name = f"{load.number}{'  S' if load.sampled else ''}{'  balance' if load.balance else ''}"
    cells = (
        name,
        *([str(load.front + 1)] if several else []),
        amounts.clock(load.call_at),
        amounts.clock(load.due.about),
        amounts.clock(load.due.by),
        "" if load.balance else amounts.cubic(load.volume, units),
        "" if load.balance else amounts.cubic(load.so_far, units),
    )
    return Row(cells + ("",) * 9)
