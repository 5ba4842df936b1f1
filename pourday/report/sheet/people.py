"""People and look-out: who stands where, what to look at, the reading that means stop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pourday.outcome.deck.look_out import LookOut
from pourday.report.sheet import amounts
from pourday.report.sheet.paper import (
    LINE,
    READ,
    Book,
    Column,
    Page,
    Row,
    side_by_side,
    tables,
    wrapped,
)
from pourday.report.sheet.words import strip_named
from pourday.report.units import Units
from pourday.report.words import strip_words
from pourday.study.sheet.says import Sheet

SUBJECT = "People and look-out"
_MOST = 12
"""Moments to look out for that still make a list somebody reads."""


def people(book: Book, sheet: Sheet) -> None:
    """Posts, then gauges with their reading, then what to look at."""
    page = book.page(SUBJECT)
    y = page.top + 4.0
    again = (SUBJECT, False)
    page, y = _named(book, page, y, sheet)
    if sheet.gauges:
        y = page.heading(y, "Sag gauges")
        y = page.paragraph(
            y,
            "String line, laser or marks on the beams, read from outside the loaded area, zero "
            "before the pour. More than the reading: STOP, clear the deck, prop, ask the engineer.",
        )
        page, y = tables(book, page, y + 3.0, _GAUGE, _gauges(sheet, book.units), again)
    shown = sorted(sheet.look_out, key=lambda each: -each.value / each.limit)[:_MOST]
    y = page.heading(y, "Look out")
    if not shown:
        judged = "No strip takes the deck past the share at which the file wants somebody to look."
        if sheet.basis.scenario.deck.sag_moment_resistance is None:
            judged = "Shares of resistance are not judged: the file has no resistances."
        page.paragraph(y, judged)
        return
    rows = _looks(sheet, shown, book.units)
    page, y = tables(book, page, y + 2.0, _LOOK, rows, again)
    more = len(sheet.look_out) - len(shown)
    words = [f"Do: {do}." for do in dict.fromkeys(moment.do for moment in shown)]
    if more:
        words.append(f"These are the {len(shown)} highest; {more} more: pourday day --full")
    tall = sum(2.0 + LINE * len(wrapped(each, page.width)) for each in words)
    if y + tall > page.bottom:
        page = book.page(f"{SUBJECT}, continued")
        y = page.top
    for each in words:
        y = page.paragraph(y + 2.0, each)


def _named(book: Book, page: Page, y: float, sheet: Sheet) -> tuple[Page, float]:
    """Posts with room for names; those of one crew in two columns, of several below each other."""
    columns = (Column("post", 134.0), Column("name", 86.0), Column("in / out", 50.0))
    rows = list(_posts(sheet))
    laid = tables if len(sheet.fronts) > 1 else side_by_side
    return laid(book, page, y, columns, rows, (SUBJECT, False))


_GAUGE = (
    Column("bay", 34.0),
    Column("gauge at", 124.0),
    Column("most as it is placed", 134.0),
    Column("STOP above", 66.0),
    Column("zero", 45.0),
    Column("read", 60.0),
)
_LOOK = (
    Column("as the front enters", 136.0),
    Column("where", 180.0),
    Column("in use, sag", 90.0),
    Column("seen", 110.0),
)


def _posts(sheet: Sheet) -> Iterator[Row]:
    scenario, plan = sheet.basis.scenario, sheet.basis.plan
    for number, front in enumerate(plan.fronts):
        crew = scenario.crews[front.crew]
        if len(plan.fronts) > 1:
            yield Row((f"Pump {number + 1}: {front.pump}, crew {front.crew}",), True, True)
        if crew.roles is None:
            yield Row((f"placers: {crew.placers}", "", ""))
        else:
            for words, count in (
                ("foreman", crew.roles.foreman),
                ("hose or skip", crew.roles.hose),
                ("vibrator", crew.roles.vibrator),
                ("rakers", crew.roles.rakers),
                ("screed", crew.roles.screed),
                ("more placers", crew.placers - crew.roles.needed),
            ):
                if count > 0:
                    yield Row((f"{words}: {count}", "", ""))
        for words, count in (("finishers", crew.finishers), ("others", crew.others)):
            if count:
                yield Row((f"{words}: {count}", "", ""))
    yield Row(("look-out: 1", "", ""), rule=True)
    yield Row(("telephone, tickets: 1", "", ""))


def _gauges(sheet: Sheet, units: Units) -> list[Row]:
    return [
        Row(
            (
                gauge.bay,
                f"x {amounts.place(gauge.x, units)}, y {amounts.length(gauge.y, units)}",
                strip_words(gauge.strip + 1, sheet.strips[gauge.strip].name),
                amounts.reading(gauge.sag, units),
                "",
                "",
            ),
            height=READ,
        )
        for gauge in sheet.gauges
    ]


def _where(sheet: Sheet, x: float, units: Units) -> str:
    """A place along the sheets, by the support it stands on where there is one."""
    for number, support in enumerate(sheet.basis.scenario.floor.supports, start=1):
        if abs(support - x) < 0.05:
            return f"support {number}, x {amounts.place(x, units)}"
    return f"x {amounts.place(x, units)}"


def _looks(sheet: Sheet, shown: Sequence[LookOut], units: Units) -> list[Row]:
    """Moments below what there is to see, in the order of the strips."""
    rows = []
    for what in dict.fromkeys(each.look_at for each in shown):
        rows.append(Row((units.said(what),), rule=True, bold=True, height=READ))
        mine = [each for each in shown if each.look_at == what]
        rows += [_look(sheet, each, units) for each in sorted(mine, key=lambda e: e.strip)]
    return rows


def _look(sheet: Sheet, moment: LookOut, units: Units) -> Row:
    value = amounts.reading(moment.value, units)
    if moment.kind == "use":
        value = amounts.share(moment.value)
    where = _where(sheet, moment.x, units)
    return Row((strip_named(sheet, moment.strip + 1), where, value, ""), height=READ)
