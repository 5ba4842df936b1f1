"""If it stops: for each strip the stop end, what it takes to reach it, and how long to decide."""

from __future__ import annotations

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import READ, Book, Column, Row, tables
from pourday.report.sheet.words import end_words
from pourday.report.units import Units
from pourday.report.words import strip_words
from pourday.study.sheet.says import Sheet, StopPart, StopRow, WayOut

SUBJECT = "If it stops"
_NOTHING = 0.05  # m³, prints as 0.0 or 0.1


def if_it_stops(book: Book, sheet: Sheet) -> None:
    """What to do at once, then bay by bay a row for every strip."""
    page = book.page(SUBJECT)
    y = page.boxed(page.top + 4.0, "AT ONCE", _at_once(sheet))
    y = page.tick(y + 3.0, "plant: hold the loads")
    for x, words in ((0.3, "pump firm: how long?"), (0.58, "engineer"), (0.76, "stand-by")):
        left = page.left + x * page.width
        page.tick(y - 19.0, words, inside=(left, page.right))
    for place in sheet.letters:
        y = page.paragraph(y, f"Stop end {end_words(sheet, place, book.units)}.")
    y = page.paragraph(y + 2.0, _HOW)
    rows = [row for part in sheet.stops for row in _part(sheet, part, book.units)]
    tables(book, page, y + 4.0, _columns(book.units), rows, (SUBJECT, False))


_HOW = (
    "Find the strip it stopped in. Put in, or take out, so much; end there; stopped at ____ + the "
    "time = decide by. The second way stands beside it. Full: to the end of the floor."
)


def _columns(units: Units) -> tuple[Column, ...]:
    volume = units.volume.word
    way = (
        Column(f"put in {volume}", 42.0, right=True),
        Column(f"take out {volume}", 44.0, right=True),
        Column("end at", 38.0),
        Column("decide", 48.0),
    )
    again = Column(f"or put in {volume}", 44.0, right=True)
    return (Column("stopped in strip", 158.0), *way, again, *way[1:])


def _at_once(sheet: Sheet) -> list[str]:
    blank = amounts.BLANK + "__"
    spares = [*sheet.spares, "________"]
    return [
        *[f"Stopped at {blank} in strip {blank} + {blank} (below) = decide by {blank} why {blank}"]
        * 2,
        "Nobody under the deck. Spread the heap. Trucks: give up at loaded "
        f"{amounts.plus(sheet.age_limit)}.",
        f"Pump dead? What is missing can be placed with: {', or '.join(spares)}.",
        "Decided by then, concrete flows again, or the shovels begin, at once. The times hold on 9 "
        "days in 10; when they are over, edges are cold, and the engineer says where it ends.",
    ]


def _part(sheet: Sheet, part: StopPart, units: Units) -> list[Row]:
    most = max(row.open_edges for row in part.rows)
    edge = amounts.length(most, units)
    lost = f": if it is left, up to {edge} of edge go cold" if most > 0 else ""
    words = f"{part.name[0].upper()}{part.name[1:]}{lost}"
    head = Row((words,), rule=True, bold=True, height=READ)
    return [head, *(_row(sheet, row, units) for row in part.rows)]


def _row(sheet: Sheet, row: StopRow, units: Units) -> Row:
    name = strip_words(row.number, row.name)
    if not row.ways:
        return Row((f"{name}: no stop end, ring the engineer", *"-" * 4, *[""] * 4), height=READ)
    cells = [cell for way in row.ways[:2] for cell in _way(sheet, way, units)]
    return Row((name, *cells, *("",) * (8 - len(cells))), height=READ)


def _way(sheet: Sheet, way: WayOut, units: Units) -> tuple[str, str, str, str]:
    """One way to end the pour: what goes in, what comes out, where it ends, how long there is."""
    where = " and ".join(sheet.letter(place) for place in way.places)
    fill, dig = (
        amounts.cubic(volume, units) if volume > _NOTHING else "-"
        for volume in (way.needed, way.removed)
    )
    full = "full lanes" if way.needed <= _NOTHING < way.removed else "full"
    return fill, dig, where or full, amounts.plus(way.decide) if way.decide > 0 else "no time"
