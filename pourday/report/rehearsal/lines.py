"""Texts in as many lines as they need, and tables that stay readable in few columns."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from textwrap import wrap

from pourday.report.narrow import NARROW

_GAP, _INDENT, _HANGING = "  ", 2, 9
_FIGURE = re.compile(r"-|[\d.]+")
# "Oldest   5 ...": a label in its column, or what goes on below it.
_LABELLED = re.compile(r"(?:[A-Z][A-Za-z ]{7}| {8}) \S")


def laid(text: str, width: int, indent: int = 0) -> list[str]:
    """A text in as many lines as it needs, all but the first indented."""
    if len(text) <= width:
        return [text]
    return wrap(text, width, subsequent_indent=" " * indent, break_on_hyphens=False)


def packed(parts: Sequence[str], gap: str, width: int) -> list[str]:
    """Parts side by side as far as they stay whole."""
    lines = [parts[0]]
    for part in parts[1:]:
        if len(lines[-1]) + len(gap) + len(part) <= width:
            lines[-1] += gap + part
        else:
            lines.append(part)
    return [line for each in lines for line in laid(each, width)]


def sheet_lines(sheet: Sequence[str], width: int) -> list[str]:
    """Texts laid in ``width`` columns; a row of a table is a text whose cells are parted by tabs.

    The first row of a table are its headings. Where it does not fit, it is told row by row.
    """
    lines: list[str] = []
    for is_table, group in groupby(sheet, key=lambda text: "\t" in text):
        if is_table:
            lines += _table([text.split("\t") for text in group], width)
        else:
            for text in group:
                indent = _HANGING if _LABELLED.match(text) else _INDENT
                lines += laid(text, width, indent)
    return lines


def _table(rows: Sequence[Sequence[str]], width: int) -> list[str]:
    columns = list(zip(*rows, strict=True))
    widths = [max(map(len, cells)) for cells in columns]
    least = [max(len(word) for cell in cells for word in cell.split() or [""]) for cells in columns]
    room = width - len(_GAP) * (len(columns) - 1)
    if width < NARROW or sum(least) > room:
        return [line for row in rows[1:] for line in laid(_told(rows[0], row), width, _INDENT)]
    while sum(widths) > room:
        widest = max(range(len(widths)), key=lambda n: (widths[n] - least[n] > 0, widths[n]))
        widths[widest] -= 1
    right = [all(map(_FIGURE.fullmatch, cells[1:])) for cells in columns]
    lines: list[str] = []
    for row in rows:
        cells = [laid(cell, wide, _INDENT) for cell, wide in zip(row, widths, strict=True)]
        for n in range(max(map(len, cells))):
            shown = [cell[n] if n < len(cell) else "" for cell in cells]
            line = _GAP.join(
                text.rjust(wide) if is_figure else text.ljust(wide)
                for text, wide, is_figure in zip(shown, widths, right, strict=True)
            )
            lines.append(line.rstrip())
    return lines


def _told(headings: Sequence[str], row: Sequence[str]) -> str:
    """A row as a sentence; a table of two columns needs no headings for it."""
    if len(row) == 2:
        return f"{row[0]}: {row[1]}"
    said = "; ".join(f"{head}: {cell}" for head, cell in zip(headings[1:], row[1:], strict=True))
    return f"{row[0]}: {said}"
