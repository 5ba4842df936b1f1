"""A table on a screen too narrow for it: no word is cut, and no column squeezed to letters.

In comes a table without lines; out goes the table itself where it fits, the same with its columns
set where rich would break a word, or its rows as lines: "first cell  heading: value  ...".
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

NARROW = 60
"""Columns below which a table that does not fit is told: so few leave none for its sentences."""
_GAP, _INDENT = "  ", "  "
_ELLIPSIS = "…"

Cells = Sequence[Sequence[Text]]
"""Texts of every column, its heading first."""


def fitted(console: Console, table: Table, width: int) -> RenderableType:
    """What to print of a table in ``width`` columns.

    Tables with lines around them, or of other things than texts, stay as they are.
    """
    cells = _cells(console, table)
    if cells is None or table.box is not None or not cells:
        return table
    longest = [max(cell_len(line) for line in _lines(texts)) for texts in cells]
    words = [
        most if column.no_wrap else max(cell_len(w) for line in _lines(texts) for w in _words(line))
        for column, most, texts in zip(table.columns, longest, cells, strict=True)
    ]
    room = width - _gaps(table)
    if sum(longest) <= room:
        return table
    if width < NARROW or sum(words) > room:
        return _told(console, table, cells, width)
    return _with_widths(table, cells, _shrunk(longest, words, room))


def is_cut(text: str) -> bool:
    """Whether rich has cut a word or a line of it."""
    return _ELLIPSIS in text


def _cells(console: Console, table: Table) -> list[list[Text]] | None:
    """The texts as the screen will show them; ``None`` where something else is in a cell."""
    out = []
    for column in table.columns:
        texts = []
        for cell in (column.header, *column.cells):
            if isinstance(cell, Text):
                shown = cell.copy()
                shown.plain = console.render_str(cell.plain).plain
            elif isinstance(cell, str):
                shown = console.render_str(cell)
            else:
                return None
            texts.append(shown)
        out.append(texts)
    return out


def _lines(texts: Sequence[Text]) -> list[str]:
    return [line for text in texts for line in text.plain.splitlines() or [""]]


def _words(line: str) -> list[str]:
    return line.split() or [""]


def _gaps(table: Table) -> int:
    _, right, _, left = table.padding
    return (right + left) * (len(table.columns) - 1 + table.pad_edge)


def _shrunk(longest: Sequence[int], words: Sequence[int], room: int) -> list[int]:
    """Widths that fit, the widest columns narrowed, none below its longest word."""
    widths = list(longest)
    for _ in range(sum(longest) - room):
        spare = [n for n, width in enumerate(widths) if width > words[n]]
        widths[max(spare, key=lambda n: widths[n])] -= 1
    return widths


def _with_widths(table: Table, cells: Cells, widths: Sequence[int]) -> Table:
    out = Table(
        box=None, pad_edge=table.pad_edge, padding=table.padding, show_header=table.show_header,
        title=table.title, title_justify=table.title_justify,
    )  # fmt: skip
    for column, texts, width in zip(table.columns, cells, widths, strict=True):
        out.add_column(
            texts[0], justify=column.justify, header_style=column.header_style,
            vertical=column.vertical, width=width,
        )  # fmt: skip
    for number, row in enumerate(table.rows, start=1):
        out.add_row(*(texts[number] for texts in cells), style=row.style)
    return out


def _told(console: Console, table: Table, cells: Cells, width: int) -> Text:
    """The rows as lines, what belongs to the first cell indented below it.

    A value has its heading before it, the first only where it is a bare number; empty ones are
    left out. A table of two columns says a second of sentences without its heading.
    """
    alone = len(cells) == 2 and table.columns[1].justify == "left"
    heads = [" ".join(texts[0].plain.split()) for texts in cells]
    lines = [Text(str(table.title))] if table.title else []
    for number, row in enumerate(table.rows, start=1):
        values = [texts[number] for texts in cells]
        parts: list[Text] = []
        for n, (head, value) in enumerate(zip(heads, values, strict=True)):
            if parts and not head and _is_unit(parts[-1].plain, value.plain):
                parts[-1] += Text(" ") + value
            elif value.plain.strip():
                parts.append(_part("" if n and alone else head, value, first=not n))
        parts = [Text(_GAP).join(parts)] if alone else parts
        for line in _packed(console, parts, width, goes_on=not values[0].plain.strip()):
            line.stylize_before(row.style or "")
            lines.append(line)
    return Text("\n").join(lines)


def _is_unit(before: str, word: str) -> bool:
    """Whether a word without a heading is the unit of the number before it."""
    return before[-1].isdigit() and word != "" and " " not in word


def _part(head: str, value: Text, first: bool) -> Text:
    if not first:
        return Text(f"{head}: ") + value if head else value
    named = any(map(str.isalpha, value.plain))
    opening = value if named or not head else Text(f"{head} ") + value
    opening.stylize_before("bold")
    return opening


def _packed(console: Console, parts: Sequence[Text], width: int, goes_on: bool) -> list[Text]:
    """Parts side by side as long as they fit; what is longer than a line goes on on the next.

    A row without a first cell ``goes_on`` with the one before it, indented too.
    """
    lines: list[Text] = []
    for part in parts:
        beside = bool(lines) and "\n" not in part.plain
        if beside and cell_len(lines[-1].plain) + len(_GAP) + cell_len(part.plain) <= width:
            lines[-1] = lines[-1] + _GAP + part
            continue
        indent = _INDENT if lines or goes_on else ""
        first, *rest = part.wrap(console, width - len(_INDENT)) or [part]
        lines += [Text(indent) + first, *(Text(_INDENT) + line for line in rest)]
    return lines
