"""Finish and cure: windows counted from when concrete was placed, dates for damp and props."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import READ, Book, Column, Row, tables
from pourday.study.sheet.says import FinishRow, Sheet

SUBJECT = "Finish and cure"
_NOTE = (
    "Write down when the first strip of a bay began, add the times; its other strips follow by as "
    "much as they began later. From: the middle day. Until: the concrete stays open so long on 9 "
    "days in 10. The foot decides, not the paper: a footprint of 6 mm and no bleed water."
)
_COLUMNS = (
    Column("work", 192.0),
    Column("began", 48.0),
    Column("+ from", 48.0),
    Column("= from", 48.0),
    Column("+ until", 48.0),
    Column("= until", 48.0),
    Column("done", 48.0),
)


def finish(book: Book, sheet: Sheet) -> None:
    """Bay by bay what is done to the surface, and to when it is kept damp."""
    page = book.page(SUBJECT)
    y = page.paragraph(page.top + 2.0, book.units.said(_NOTE)) + 4.0
    rows = [row for bay in sheet.finish for row in _bay(bay)]
    page, y = tables(book, page, y, _COLUMNS, rows, (SUBJECT, False))
    words = _dates(sheet)
    if y + 14.0 * 4 > page.bottom:
        page = book.page(f"{SUBJECT}, continued")
        y = page.top
    for each in words:
        y = page.paragraph(y + 3.0, each)


def _bay(bay: FinishRow) -> Iterator[Row]:
    strips = f"strips {bay.first} to {bay.last}" if bay.last > bay.first else f"strip {bay.first}"
    damp = f", damp to {amounts.day(bay.cure_to)}" if bay.cure_to else ""
    floated = f"bull float through at began {amounts.plus(bay.bull_float)}"
    yield Row((f"Bay {bay.bay}, {strips}: {floated}",), rule=True, bold=True, height=READ)
    for number, each in enumerate(bay.passes, start=1):
        tight = ": TIGHT, strip by strip" if each.begins >= each.ends else ""
        what = f"power float, pass {number}{tight}"
        yield Row((what, "", amounts.plus(each.begins), "", amounts.plus(each.ends), "", ""))
    yield Row((f"cover{damp}", "", amounts.plus(bay.covered), "", "", "", ""))


def _dates(sheet: Sheet) -> list[str]:
    out = []
    if sheet.props_to is not None:
        out.append(
            f"Props stay at least to {amounts.day(sheet.props_to)}. This date releases none."
        )
    elif not sheet.basis.scenario.props.lines_x:
        out.append("Props: the file has none.")
    out.append(
        "No line here permits anything: early loading and the removal of props are the engineer's "
        "decision, on tests."
    )
    return out
