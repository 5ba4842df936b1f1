"""Pages and what stands on them: measured text, lines, boxes, tables; in points from the top left.

Text is measured before it is drawn, wrapped where it does not fit and never smaller than
:data:`LEAST`. All ink is black: what differs, differs by words, line or hatch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Rectangle
from matplotlib.textpath import text_to_path

from pourday.report.sheet.letters import shown
from pourday.report.units import SI, Units

LEAST = 10.0
"""Least type size (pt)."""
MARGIN = 40.0
"""Free border of every page (pt): what printers need, and a hole punch."""
PAPERS = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height (pt), upright: ISO 216 A4, ANSI Letter."""
INK = "black"
LINE = 13.0
"""From one line of text to the next (pt)."""
ROW = 17.5
"""Least height of a row that somebody writes in (pt): 6.2 mm, as narrow ruled paper has."""
READ = 16.5
"""Least height of a row that is only read (pt)."""
_POINTS = 72.0
_PAD = 3.0
_BELOW = 3.5
_HEAD, _FOOT = 50.0, 18.0
_THIN, _THICK = 0.6, 1.6


@dataclass(frozen=True)
class Column:
    """A column of a table: what stands above it, its share of the width, how it is set."""

    head: str
    share: float
    right: bool = False


@dataclass(frozen=True)
class Row:
    """A row of a table: a text for each column, or one across all; ``rule`` is a heavy line above.

    ``height`` (pt) is its least.
    """

    cells: tuple[str, ...]
    rule: bool = False
    bold: bool = False
    height: float = ROW


@dataclass(frozen=True, eq=False)
class Page:
    """One page: draws in points from its top left corner, inside left, right, top and bottom."""

    subject: str
    figure: Figure
    axes: Axes
    left: float
    right: float
    top: float
    bottom: float

    @property
    def width(self) -> float:
        """Width inside the margins (pt)."""
        return self.right - self.left

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = LEAST,
        bold: bool = False,
        align: str = "left",
    ) -> None:
        """One line of text on the base line ``y``."""
        if words:
            weight, (printed, fonts) = "bold" if bold else "normal", shown(words)
            style: dict[str, Any] = {"size": size, "weight": weight, "family": fonts, "color": INK}
            self.axes.text(
                x, y, printed, ha=align, va="baseline", parse_math=False, zorder=5, **style
            )

    def paragraph(
        self, y: float, words: str, bold: bool = False, inside: tuple[float, float] | None = None
    ) -> float:
        """Wrapped text below ``y``, between two x (the margins unless told); y below it."""
        left, right = inside or (self.left, self.right)
        for line in wrapped(words, right - left, bold=bold):
            y += LINE
            self.text(left, y - 3.0, line, bold=bold)
        return y

    def heading(self, y: float, words: str) -> float:
        """A heading inside a page, below ``y``; y below it."""
        self.text(self.left, y + 18.0, words, size=11.5, bold=True)
        return y + 24.0

    def line(self, x0: float, y0: float, x1: float, y1: float, thick: bool = False) -> None:
        """A straight line."""
        width = _THICK if thick else _THIN
        self.axes.plot([x0, x1], [y0, y1], color=INK, linewidth=width, solid_capstyle="butt")

    def box(self, x0: float, y0: float, x1: float, y1: float, thick: bool = False) -> None:
        """An empty box."""
        width = _THICK if thick else _THIN
        corner = (min(x0, x1), min(y0, y1))
        size = (abs(x1 - x0), abs(y1 - y0))
        self.axes.add_patch(
            Rectangle(corner, *size, facecolor="none", edgecolor=INK, linewidth=width)
        )

    def boxed(self, y: float, head: str, words: Sequence[str]) -> float:
        """A heavy box with a head and paragraphs in it; y below it."""
        begin, inside = y, (self.left + 8.0, self.right - 8.0)
        for line in wrapped(head, inside[1] - inside[0], 11.5, bold=True):
            self.text(inside[0], y + 16.0, line, size=11.5, bold=True)
            y += 15.0
        y += 4.0
        for each in words:
            y = self.paragraph(y, each, inside=inside)
        self.box(self.left, begin, self.right, y + 6.0, thick=True)
        return y + 6.0

    def tick(self, y: float, words: str, inside: tuple[float, float] | None = None) -> float:
        """A box to tick, and what for; y below it."""
        left, right = inside or (self.left, self.right)
        self.box(left, y + 4.0, left + 11.0, y + 15.0)
        return self.paragraph(y + 1.0, words, inside=(left + 18.0, right)) + 5.0


@dataclass(frozen=True)
class Heading:
    """What every page says of itself: title and date of the pour, plan, when it was made."""

    title: str
    pour: str
    plan: str
    made_on: str


class Book:
    """Pages in order; their numbers are written when all are there."""

    def __init__(self, paper: str, heading: Heading, units: Units = SI) -> None:
        """An empty book on ``paper``, a key of :data:`PAPERS`, for a reader of ``units``."""
        self.paper, self.heading, self.units = paper, heading, units
        self.pages: list[Page] = []

    def page(self, subject: str, across: bool = False) -> Page:
        """A new page with its subject at its head; ``across`` lays the paper on its side."""
        size = PAPERS[self.paper]
        width, height = size[::-1] if across else size
        figure = Figure(figsize=(width / _POINTS, height / _POINTS), dpi=_POINTS, facecolor="white")
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_xlim(0.0, width)
        axes.set_ylim(height, 0.0)
        axes.set_autoscale_on(False)
        axes.axis("off")
        edges = (MARGIN, width - MARGIN, MARGIN + _HEAD, height - MARGIN - _FOOT)
        page = Page(subject, figure, axes, *edges)
        room = page.width - 90.0
        page.text(page.left, MARGIN + 15.0, cut(subject, room, 15.0, bold=True), 15.0, bold=True)
        of = f"{self.heading.title}, {self.heading.pour}"
        page.text(page.left, MARGIN + 30.0, cut(of, page.width))
        page.text(page.left, MARGIN + 43.0, cut(f"plan '{self.heading.plan}'", page.width))
        page.line(page.left, MARGIN + 47.0, page.right, MARGIN + 47.0, thick=True)
        self.pages.append(page)
        return page

    def bound(self) -> tuple[Page, ...]:
        """All pages, numbered, with their foot."""
        for number, page in enumerate(self.pages, start=1):
            where = f"page {number} of {len(self.pages)}"
            page.text(page.right, MARGIN + 15.0, where, align="right")
            foot = page.bottom + _FOOT
            page.line(page.left, foot - 13.0, page.right, foot - 13.0)
            made = f"made on {self.heading.made_on}"
            page.text(page.right, foot - 2.0, made, align="right")
            aid = "Planning aid: engineer, supplier's tables, code decide."
            page.text(page.left, foot - 2.0, cut(aid, page.width - measured(made) - 12.0))
        return tuple(self.pages)


@lru_cache(maxsize=20000)
def measured(words: str, size: float = LEAST, bold: bool = False) -> float:
    """Width of a line of text (pt)."""
    printed, fonts = shown(words)
    font = FontProperties(family=fonts, weight="bold" if bold else "normal", size=size)
    return float(text_to_path.get_text_width_height_descent(printed, font, False)[0])


def cut(words: str, room: float, size: float = LEAST, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits into ``room`` (pt), then an ellipsis."""
    if measured(words, size, bold) <= room:
        return words
    low, high = 0, len(words)
    while low < high:
        middle = (low + high + 1) // 2
        fits = measured(words[:middle].rstrip() + "…", size, bold) <= room
        low, high = (middle, high) if fits else (low, middle - 1)
    return words[:low].rstrip() + "…"


def wrapped(words: str, room: float, size: float = LEAST, bold: bool = False) -> list[str]:
    """The text in lines no wider than ``room`` (pt); a word wider than that is broken."""
    lines, line = [], ""
    for word in words.split(" "):
        longer = f"{line} {word}" if line else word
        if measured(longer, size, bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while len(word) > 1 and measured(word, size, bold) > room:
            keep = _fitting(word, room, size, bold)
            lines.append(word[:keep])
            word = word[keep:]
        line = word
    return [*lines, line]


def _fitting(word: str, room: float, size: float, bold: bool) -> int:
    """How many letters of a word fit, at least one."""
    return next(
        (n for n in range(len(word) - 1, 1, -1) if measured(word[:n], size, bold) <= room), 1
    )


def table(
    page: Page,
    y: float,
    columns: Sequence[Column],
    rows: Sequence[Row],
    inside: tuple[float, float] | None = None,
) -> tuple[float, list[Row]]:
    """A ruled table below ``y``; y below it, and the rows for which the page has no room.

    Shares of the columns fill the width between two x (the margins unless told). A row with one
    cell goes across; it is never the last on a page. No row: not even the head is drawn.
    """
    left, right = inside or (page.left, page.right)
    widths = [(right - left) * c.share / sum(each.share for each in columns) for c in columns]
    head = [wrapped(c.head, w - 2 * _PAD, bold=True) for c, w in zip(columns, widths, strict=True)]
    tall = LINE * max(map(len, head)) + _BELOW
    laid = [_laid(row, widths) for row in rows]
    count, below = 0, y + tall
    while count < len(rows) and below + laid[count][0] <= page.bottom:
        below += laid[count][0]
        count += 1
    while count and count < len(rows) and len(rows[count - 1].cells) == 1:
        count -= 1
    if not count:
        return y, list(rows)
    _cells(page, (left, y), head, columns, (widths, True))
    page.line(left, y, right, y, thick=True)
    edges = [left]
    for width in widths:
        edges.append(edges[-1] + width)
    for x in edges:
        page.line(x, y, x, y + tall)
    y += tall
    for row, (height, cells) in zip(rows[:count], laid[:count], strict=True):
        page.line(left, y, right, y, thick=row.rule)
        for x in edges if len(cells) > 1 else (edges[0], edges[-1]):
            page.line(x, y, x, y + height)
        wide = widths if len(cells) > 1 else [right - left]
        _cells(page, (left, y), cells, columns, (wide, row.bold))
        y += height
    page.line(left, y, right, y, thick=True)
    return y, list(rows[count:])


def _laid(row: Row, widths: Sequence[float]) -> tuple[float, list[list[str]]]:
    """Height of a row (pt) and the lines of its cells."""
    wide = widths if len(row.cells) > 1 else [sum(widths)]
    cells = [
        wrapped(words, width - 2 * _PAD, bold=row.bold) if words else [""]
        for words, width in zip(row.cells, wide, strict=True)
    ]
    return max(row.height, LINE * max(map(len, cells)) + _BELOW), cells


def _cells(
    page: Page,
    corner: tuple[float, float],
    cells: Sequence[Sequence[str]],
    columns: Sequence[Column],
    set_as: tuple[Sequence[float], bool],
) -> None:
    (x, y), (widths, bold) = corner, set_as
    for lines, column, width in zip(cells, columns, widths, strict=False):
        right = column.right and len(cells) > 1
        for n, line in enumerate(lines):
            at = x + width - _PAD if right else x + _PAD
            align = "right" if right else "left"
            page.text(at, y + LINE * (n + 1), line, bold=bold, align=align)
        x += width


def tables(
    book: Book,
    page: Page,
    y: float,
    columns: Sequence[Column],
    rows: Sequence[Row],
    again: tuple[str, bool],
) -> tuple[Page, float]:
    """A table over as many pages as it takes; the last page, and y below it there.

    ``again`` is the subject of the pages that follow, and whether they lie on their side.
    """
    left = list(rows)
    while True:
        y, left = table(page, y, columns, left)
        if not left:
            return page, y
        subject, across = again
        page = book.page(f"{subject}, continued", across)
        y = page.top + 4.0


def side_by_side(
    book: Book,
    page: Page,
    y: float,
    columns: Sequence[Column],
    rows: Sequence[Row],
    again: tuple[str, bool],
) -> tuple[Page, float]:
    """A table of few narrow columns in two halves beside each other; else as :func:`tables`.

    Two halves stand only where both have room on the page: no row is ever left out.
    """
    count, middle = (len(rows) + 1) // 2, (page.left + page.right) / 2
    sides = (page.left, middle - 4.0), (middle + 4.0, page.right)
    share = (sides[0][1] - sides[0][0]) / sum(each.share for each in columns)
    widths = [each.share * share for each in columns]
    heads = max(
        len(wrapped(c.head, w - 2 * _PAD, bold=True)) for c, w in zip(columns, widths, strict=True)
    )
    tall = heads * LINE + _BELOW
    halves = rows[:count], rows[count:]
    if any(y + tall + sum(_laid(row, widths)[0] for row in half) > page.bottom for half in halves):
        return tables(book, page, y, columns, rows, again)
    ends = [
        table(page, y, columns, half, side)[0] for half, side in zip(halves, sides, strict=True)
    ]
    return page, max(ends)
