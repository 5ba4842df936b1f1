"""Before and after: what to tick before the first truck, and what to count at the end."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.report.sheet import amounts
from pourday.report.sheet.paper import Book, Column, Page, Row, side_by_side, tables
from pourday.report.sheet.words import strips_of
from pourday.report.units import Units
from pourday.study.sheet.says import Sheet

SUBJECT = "Before and after"
_BAYS = 6
"""Rows of bays that stand below each other; more stand in two columns."""


def before_after(book: Book, sheet: Sheet) -> None:
    """Tick lists in two columns, then concrete by bay and signatures."""
    page = book.page(SUBJECT)
    y = page.heading(page.top - 4.0, "Before the first truck")
    y = _ticks(page, y, _before(sheet, book.units))
    y = page.heading(y, "During the pour")
    y = _ticks(page, y, _during(sheet))
    y = page.heading(y, "After")
    columns, rows = _columns(book.units), _after(sheet, book.units)
    laid = side_by_side if len(rows) > _BAYS else tables
    page, y = laid(book, page, y, columns, rows, (SUBJECT, False))
    if y + 96.0 > page.bottom:
        page = book.page(f"{SUBJECT}, continued")
        y = page.top
    y += 18.0
    for left, words in ((0.0, "Tickets counted"), (0.34, "Last concrete"), (0.67, "Washed out")):
        page.text(page.left + left * page.width, y, f"{words} {amounts.BLANK * 2}")
    for words in ("Foreman, date, signature", "Seen by, date, signature"):
        y += 30.0
        page.text(page.left, y, words)
        page.line(page.left + 150.0, y + 2.0, page.right, y + 2.0)


def _ticks(page: Page, y: float, ticks: Sequence[str]) -> float:
    """Things to tick, in two columns; y below them."""
    half = (len(ticks) + 1) // 2
    middle = (page.left + page.right) / 2
    bottoms = []
    for left, right, mine in (
        (page.left, middle - 8.0, ticks[:half]),
        (middle + 8.0, page.right, ticks[half:]),
    ):
        at = y
        for words in mine:
            at = page.tick(at, words, inside=(left, right))
        bottoms.append(at)
    return max(bottoms)


def _columns(units: Units) -> tuple[Column, ...]:
    return (
        Column("bay", 36.0),
        Column("strips", 62.0),
        Column(f"{units.volume.word} planned", 60.0, right=True),
        Column(f"{units.volume.word} used", 52.0),
        Column("more, less", 44.0),
    )


def _before(sheet: Sheet, units: Units) -> list[str]:
    scenario = sheet.basis.scenario
    props = "no props by the file: ask the engineer whether that is so"
    if scenario.props.lines_x:
        lines = ", ".join(amounts.place(x, units) for x in scenario.props.lines_x)
        stay = f", stay to {amounts.day(sheet.props_to)}" if sheet.props_to else ""
        props = f"props at x {lines}: stand, plumb, braced{stay}"
    heights = sorted({scenario.pumps[f.pump].release_height for f in sheet.basis.plan.fronts})
    release = " or ".join(amounts.place(height, units) for height in heights)
    return [
        "deck fixed at every support, seams closed, ends and holes trimmed",
        "deck clean and free of ice, oil and loose things; damage marked and shown to the engineer",
        props,
        "nothing stacked on the deck that the engineer does not know of",
        "mesh laid and held at its cover; edge trim braced",
        "stop-end timber cut for every letter of the plan, and a saw",
        f"crew told: release no higher than {release}, no heaps",
        "zone under the deck closed and guarded",
        "sag gauges set to zero, look-out named",
        "stand-by for pump and vibrator named, radios tried",
        "place for washing out, and for concrete sent back",
        "tester booked, moulds and slump cone there",
        "curing stuff on site, covers for rain",
        "weather of today beside the weather assumed",
    ]


def _during(sheet: Sheet) -> list[str]:
    return [
        "no water into a load once its discharge has begun; what went in before is on the ticket",
        f"every ticket read: loaded at, class, slump; give up at loaded "
        f"{amounts.plus(sheet.age_limit)}",
        "nobody below; fresh edges covered by the time on the strips page",
        "covers, damp: cure begins as each strip is finished; props stay",
    ]


def _after(sheet: Sheet, units: Units) -> list[Row]:
    rows = [
        Row((bay.bay, strips_of(sheet, bay.bay), amounts.cubic(bay.volume, units), "", ""))
        for bay in sheet.finish
    ]
    return [
        *rows,
        Row(("all", "", amounts.cubic(sheet.volume, units), "", ""), rule=True, bold=True),
    ]
