"""HTML and SVG written piece by piece: whatever is not marked as such is text, never markup."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

# Letters of a cell up to which it stays on one line, and from which it is given more room, so that
# no column stands a word a line on a telephone.
_SHORT, _LONG = 16, 30
_VOID = frozenset({"meta", "link", "br", "hr", "input", "col"})


class Html(str):
    """Markup that may go into a page as it is; only :func:`tag` and :func:`joined` make it."""

    __slots__ = ()


def tag(_name: str, *inside: str, **attributes: str | float | bool) -> Html:
    """One element: attributes and every plain text inside it are escaped.

    ``class_`` stands for "class", an underscore for a hyphen ("data_v"). An attribute that is
    True stands by itself, one that is False or "" is left out.
    """
    shown = []
    for key, value in attributes.items():
        name = key.rstrip("_").replace("_", "-") if key != "viewBox" else key
        if value is True:
            shown.append(f" {name}")
        elif value is not False and value != "":
            shown.append(f' {name}="{escape(_plain(value))}"')
    opened = f"<{_name}{''.join(shown)}>"
    if _name in _VOID:
        return Html(opened)
    return Html(f"{opened}{joined(inside)}</{_name}>")


def joined(pieces: Iterable[str], between: str = "") -> Html:
    """Pieces one after another; those that are plain text are escaped."""
    safe = (each if isinstance(each, Html) else escape(each) for each in pieces)
    return Html(escape(between).join(safe))


def _plain(value: str | float) -> str:
    """A number without a tail of digits: a page holds thousands of them."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def embedded(values: Any) -> Html:
    """Values as JSON that may stand inside a ``script`` element: no text in it can end it.

    ``<``, ``>`` and ``&`` are escaped, and both ends of line that JavaScript knows beside ours.
    """
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for letter in ("<", ">", "&", "\u2028", "\u2029"):
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return Html(text)


@dataclass(frozen=True)
class Cell:
    """A cell of a table: what it shows, and the number or word it is sorted by ("" for last)."""

    shown: str
    key: float | str = ""
    marked: bool = False


def table(
    name: str, about: str, heads: Sequence[str], rows: Sequence[Sequence[Cell]], sorts: bool = True
) -> Html:
    """A table that can be scrolled sideways where it is too wide, and sorted by any column.

    Args:
        name: id of the table.
        about: its caption.
        heads: of its columns; a ">" at the end aligns the column right.
        rows: a sequence of cells each; the first names the row.
        sorts: whether its heads are buttons that sort it.
    """
    right = [head.endswith(">") for head in heads]
    top = []
    for head, aligned in zip(heads, right, strict=True):
        words = head.removesuffix(">")
        inner = tag("button", words, type="button") if sorts and words else Html(escape(words))
        how = "none" if sorts and words else ""
        if words:
            top.append(tag("th", inner, scope="col", aria_sort=how, class_="n" if aligned else ""))
        else:
            top.append(tag("td"))
    body = [tag("tr", *_cells(row, right)) for row in rows]
    inner_table = tag(
        "table",
        tag("caption", about),
        tag("thead", tag("tr", *top)),
        tag("tbody", *body),
        id=name,
    )
    return tag("div", inner_table, class_="wide", tabindex="0", role="region", aria_label=about)


def _cells(row: Sequence[Cell], right: Sequence[bool]) -> list[Html]:
    out = []
    for n, (cell, aligned) in enumerate(zip(row, right, strict=True)):
        shown = tag("strong", cell.shown) if cell.marked else cell.shown
        style = "n" if aligned else _room(cell.shown)
        key = cell.key if cell.key != "" else cell.shown
        if n == 0:
            out.append(tag("th", shown, scope="row", class_=style, data_v=key))
        else:
            out.append(tag("td", shown, class_=style, data_v=key))
    return out


def _room(shown: str) -> str:
    """How wide a cell of words is at least."""
    return "one" if len(shown) <= _SHORT else "two" if len(shown) <= _LONG else "long"


@dataclass(frozen=True)
class Part:
    """A part of the page: its id, its heading, what stands in it."""

    name: str
    title: str
    inside: tuple[str, ...]


def part(name: str, title: str, *inside: str) -> Part:
    """A part of the page under its heading."""
    return Part(name, title, inside)


def section(each: Part) -> Html:
    """A part as it stands on the page."""
    head = tag("h2", each.title, id=f"{each.name}-title")
    return tag("section", head, *each.inside, id=each.name, aria_labelledby=f"{each.name}-title")


def lines(sentences: Iterable[str]) -> Html:
    """Sentences as a list, one a line; empty where there is none."""
    items = [tag("li", each) for each in sentences]
    return tag("ul", *items) if items else Html("")
