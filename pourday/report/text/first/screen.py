"""A first screen from its parts: what gives way where 24 lines are few, and how it ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console, RenderableType
from rich.table import Table
from rich.text import Text

from pourday.report.words import marked

LINES = 24
"""A terminal as it opens."""
WIDEST = 80
"""Columns beyond which a screen is not stretched: lines too long are hard to read."""
FOOT = (
    "Planning aid: engineer, deck supplier's tables and local code decide. Unexpected "
    "sag or concrete use: stop, clear the deck, prop, ask the engineer."
)
"""Caution and stop rule in two lines of 80."""


@dataclass(frozen=True)
class Part:
    """A piece of a screen; ``gives_way`` 0 stays, 1 goes first where lines are few, then 2."""

    what: RenderableType
    gives_way: int = 0


BLANK = Part("", 1)


def said(head: str, text: str, gives_way: int = 0) -> Part:
    """A line that begins with a word in bold: ``said("OUT", "'line'")``."""
    return Part(marked((head, "bold"), f" {text}" if head else text), gives_way)


def titled(title: str, rest: str) -> Part:
    """The head of a screen."""
    return Part(marked((title, "bold"), f"   {rest}"))


def table_of(first: str, heads: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> Part:
    """Rows of figures under their heads; a narrow screen tells them row by row by itself."""
    out = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    out.add_column(first, header_style="bold", overflow="fold", vertical="bottom")
    for head in heads:
        out.add_column(head, justify="right", header_style="bold", no_wrap=True)
    for name, cells in rows:
        out.add_row(Text(name), *(Text(cell) for cell in cells))
    return Part(out)


def show(console: Console, parts: Sequence[Part], most: int = LINES) -> None:
    """Print the parts and the caution, within ``most`` lines as far as anything may give way."""
    width = min(console.width, WIDEST)
    every = [*parts, Part(FOOT)]
    for least in (3, 2, 1):
        kept = [each for each in every if each.gives_way < least]
        if sum(_height(console, each, width) for each in kept) <= most:
            break
    for each in kept:
        console.print(each.what, width=width, highlight=False)


def _height(console: Console, part: Part, width: int) -> int:
    return len(console.render_lines(part.what, console.options.update(width=width), pad=False))
