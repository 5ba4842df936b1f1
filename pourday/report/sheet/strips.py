"""Page two: the strips in order, with boxes for when they really began and were full."""

from __future__ import annotations

import math
from itertools import pairwise

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import Book, Column, Row, tables
from pourday.report.sheet.words import ABOUT_BY
from pourday.report.units import Units
from pourday.report.words import strip_words
from pourday.study.sheet.says import Sheet, StripRow

SUBJECT = "Strips, in order"
_NOTE = (
    "Write down when a strip begins. Its open edge lasts, on 9 days in 10, the time in the last "
    "columns: began + cover = cover by. Later it is cold: ring the engineer before placing."
)


def strips(book: Book, sheet: Sheet) -> None:
    """Strips in order, a row each, a heavy line where a bay or a band ends."""
    page = book.page(SUBJECT)
    y = page.paragraph(page.top + 2.0, f"{_NOTE} ({ABOUT_BY}.)") + 4.0
    several = len(sheet.fronts) > 1
    columns = [
        Column("strip", 112.0 if several else 132.0),
        *([Column("pump", 44.0)] if several else []),
        Column("way", 34.0 if several else 28.0),
        Column(book.units.volume.word, 33.0, right=True),
        Column("so far", 42.0, right=True),
        Column("about", 74.0),
        Column("by", 38.0),
        Column("began", 44.0),
        Column("full", 36.0),
        Column("+ cover", 42.0),
        Column("cover by", 42.0),
    ]
    rules = [False, *(_ends(a, b) for a, b in pairwise(sheet.strips))]
    rows = [
        _row(strip, rule, several, book.units)
        for strip, rule in zip(sheet.strips, rules, strict=True)
    ]
    tables(book, page, y, columns, rows, (SUBJECT, False))


def _ends(before: StripRow, after: StripRow) -> bool:
    """Whether a bay is over between two strips; with bands that cross the bays, never."""
    return before.bay != after.bay and before.way == "y"


def _row(strip: StripRow, rule: bool, several: bool, units: Units) -> Row:
    way = f"{strip.way} {_ARROWS[strip.way, strip.rising]}"
    cells = (
        strip_words(strip.number, strip.name),
        *([str(strip.front + 1)] if several else []),
        way,
        amounts.cubic(strip.volume, units),
        amounts.cubic(strip.so_far, units),
        amounts.from_to(strip.begins.about, strip.full.about),
        amounts.clock(strip.full.by),
        "",
        "",
        amounts.plus(strip.cover_within),
        "" if math.isfinite(strip.cover_within) else "-",
    )
    return Row(cells, rule=rule)


_ARROWS = {("y", True): "↑", ("y", False): "↓", ("x", True): "→", ("x", False): "←"}
