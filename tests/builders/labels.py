"""Headings and rows of the reports, as a reader meets them: from their code and from their runs.

The code has the headings of every table, those too that come up on few floors; a run has the rows
whose names are put together on the way.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from rich.table import Table
from rich.text import Text

import pourday.report.sheet
import pourday.report.text

# What makes a table of a report or of a sheet, or begins a line of a screen.
_MAKERS = {"table", "table_of", "said", "Column", "add_column", "add_row"}
_LISTS = {"heads", "columns"}


def headings_in_code() -> dict[str, str]:
    """Every heading that stands as text in the code of reports and sheets, and where."""
    out: dict[str, str] = {}
    for room in (pourday.report.text, pourday.report.sheet):
        for path in sorted(Path(room.__path__[0]).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                for text in _headings(node):
                    out.setdefault(_plain(text), path.name)
    return {text: where for text, where in out.items() if any(map(str.isalpha, text))}


def _headings(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Call):
        made = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if made in _MAKERS:
            first = {"said", "Column", "add_column", "add_row"}
            yield from _texts(node.args[:1] if made in first else node.args)
    elif isinstance(node, ast.Assign):
        named = {getattr(target, "id", "") for target in node.targets}
        if named & _LISTS:
            yield from _texts([node.value])


def _texts(nodes: list[ast.expr]) -> Iterator[str]:
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        elif isinstance(node, ast.Tuple | ast.List):
            yield from _texts(node.elts)


def _plain(text: str) -> str:
    return " ".join(text.removesuffix(">").split())


@contextmanager
def rows_recorded() -> Iterator[set[str]]:
    """Rows of tables without a heading over their first column: their names are of figures."""
    found: set[str] = set()
    add_row = Table.add_row

    def recorded(table: Table, *cells: object, **kwargs: object) -> None:
        if cells and table.columns and not str(table.columns[0].header):
            cell = cells[0]
            found.add(_plain(cell.plain if isinstance(cell, Text) else str(cell)))
        add_row(table, *cells, **kwargs)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Table, "add_row", recorded)
        yield found
    found.discard("")
