"""If it stops: for each strip the stop end, what it takes to reach it, and how long to decide."""

from __future__ import annotations

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import Book, Column, Row, tables
from pourday.report.sheet.words import end_words
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
        y = page.paragraph(y, f"Stop end {end_words(sheet, place)}.")
    columns = (
        Column("stopped in strip", 132.0),
        Column("do this", 130.0),
        Column("stopped +", 68.0),
        Column("or", 190.0),
    )
    rows = [row for part in sheet.stops for row in _part(sheet, part)]
    tables(book, page, y + 6.0, columns, rows, (SUBJECT, False))


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


def _part(sheet: Sheet, part: StopPart) -> list[Row]:
    most = max(row.open_edges for row in part.rows)
    lost = f": if it is left, up to {amounts.length(most)} of edge go cold" if most > 0 else ""
    head = Row((f"{part.name[0].upper()}{part.name[1:]}{lost}",), rule=True, bold=True)
    return [head, *(_row(sheet, row) for row in part.rows)]


def _row(sheet: Sheet, row: StopRow) -> Row:
    name = strip_words(row.number, row.name)
    if not row.ways:
        return Row((name, "no stop end: ring the engineer", "-", ""))
    first, *others = row.ways
    other = ""
    if others:
        late = others[0].decide
        other = f"{_way(sheet, others[0])}, {f'within {amounts.span(late)}' if late else 'no time'}"
    when = amounts.plus(first.decide) if first.decide > 0 else "no time"
    return Row((name, _way(sheet, first), when, other))


def _way(sheet: Sheet, way: WayOut) -> str:
    """One way to end the pour: "put in 7.0 m³ up to A", "take out 1.0 m³ beyond A"."""
    where = " and ".join(sheet.letter(place) for place in way.places)
    fill, dig = amounts.volume(way.needed), amounts.volume(way.removed)
    if way.needed > _NOTHING and way.removed > _NOTHING:
        return f"put in {fill}, take out {dig}: end at {where or 'the floor edge'}"
    if way.removed > _NOTHING:
        return f"take out {dig} beyond {where or 'the full lanes'}"
    if way.needed > _NOTHING:
        return f"put in {fill} up to {where}" if where else f"put in {fill}: full to the end"
    return f"end at {where}: nothing is missing" if where else "full: nothing is missing"
