"""Finish and cure: windows counted from when concrete was placed, dates for damp and props."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import LINE, READ, Book, Column, Row, tables, wrapped
from pourday.report.sheet.words import strips_of
from pourday.study.sheet.says import FinishRow, Sheet

SUBJECT = "Finish and cure"
_NOTE = (
    "Write down when the first strip of a bay began, add the times; its other strips follow by as "
    "much as they began later. From: the middle day. Until: the concrete stays open so long on 9 "
    "days in 10. Began + time = the clock. The foot decides, not the paper: a footprint "
    "of 6 mm and no bleed water."
)
_ACROSS = 2
"""Passes of the power float for which a bay has room in one row."""


def finish(book: Book, sheet: Sheet) -> None:
    """Bay by bay what is done to the surface, and to when it is kept damp."""
    passes = max((len(bay.passes) for bay in sheet.finish), default=0)
    across = passes <= _ACROSS
    page = book.page(SUBJECT, across)
    y = page.paragraph(page.top + 2.0, book.units.said(_NOTE)) + 4.0
    columns = _columns(passes) if across else _BELOW
    rows = [_row(sheet, bay, passes) for bay in sheet.finish]
    if not across:
        rows = [row for bay in sheet.finish for row in _bay(sheet, bay)]
    page, y = tables(book, page, y, columns, rows, (SUBJECT, across))
    words = _dates(sheet)
    if y + sum(3.0 + LINE * len(wrapped(each, page.width)) for each in words) > page.bottom:
        page = book.page(f"{SUBJECT}, continued", across)
        y = page.top
    for each in words:
        y = page.paragraph(y + 3.0, each)


def _columns(passes: int) -> tuple[Column, ...]:
    """A row a bay: when it began, then what follows from that."""
    out = [Column("bay (strips)", 78.0), Column("began", 52.0), Column("bull float by", 46.0)]
    for number in range(1, passes + 1):
        out += [Column(f"pass {number} from", 46.0), Column("= from", 50.0)]
        out += [Column(f"pass {number} until", 46.0), Column("= until", 50.0)]
    return (*out, Column("cover from", 46.0), Column("= cover", 50.0))


def _row(sheet: Sheet, bay: FinishRow, passes: int) -> Row:
    cells = [f"{bay.bay} ({strips_of(sheet, bay.bay)})", "", amounts.plus(bay.bull_float)]
    for each in bay.passes:
        tight = " TIGHT" if each.begins >= each.ends else ""
        cells += [amounts.plus(each.begins), "", f"{amounts.plus(each.ends)}{tight}", ""]
    cells += ["", "", "", ""] * (passes - len(bay.passes))
    return Row((*cells, amounts.plus(bay.covered), ""))


_BELOW = (
    Column("work", 192.0),
    Column("began", 48.0),
    Column("+ from", 48.0),
    Column("= from", 48.0),
    Column("+ until", 48.0),
    Column("= until", 48.0),
    Column("done", 48.0),
)


def _bay(sheet: Sheet, bay: FinishRow) -> Iterator[Row]:
    strips = f"{'strips' if bay.last > bay.first else 'strip'} {strips_of(sheet, bay.bay)}"
    floated = f"bull float through at began {amounts.plus(bay.bull_float)}"
    yield Row((f"Bay {bay.bay}, {strips}: {floated}",), rule=True, bold=True, height=READ)
    for number, each in enumerate(bay.passes, start=1):
        tight = ": TIGHT, strip by strip" if each.begins >= each.ends else ""
        what = f"power float, pass {number}{tight}"
        yield Row((what, "", amounts.plus(each.begins), "", amounts.plus(each.ends), "", ""))
    yield Row(("cover", "", amounts.plus(bay.covered), "", "", "", ""))


def _damp(sheet: Sheet) -> Iterator[str]:
    """To which date the bays are kept damp, those of one date together."""
    dates = [bay.cure_to for bay in sheet.finish if bay.cure_to is not None]
    for when in dict.fromkeys(dates):
        bays = [bay.bay for bay in sheet.finish if bay.cure_to == when]
        which = "all bays" if len(bays) == len(sheet.finish) else f"bays {', '.join(bays)}"
        yield f"Damp from the cover on, at least to {amounts.day(when)}: {which}."


def _dates(sheet: Sheet) -> list[str]:
    out = list(_damp(sheet))
    if any(each.begins >= each.ends for bay in sheet.finish for each in bay.passes):
        out.append("TIGHT: the bay's strips have no common window; float strip by strip.")
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
