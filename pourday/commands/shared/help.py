"""``--help`` on a screen of few columns, where two columns of text would leave words no room."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from pourday.commands.shared.screen import columns

_TWO_COLUMNS = 60
"""Columns from which options and what they do stand side by side."""


class Command(TyperCommand):
    """A command whose help fits any terminal."""

    def get_help(self, ctx: Any) -> str:
        """The help, an option above what it does where there are few columns."""
        return _help(self, ctx) or super().get_help(ctx)


class Group(TyperGroup):
    """The list of commands, likewise."""

    def get_help(self, ctx: Any) -> str:
        """The help, a command above what it does where there are few columns."""
        return _help(self, ctx) or super().get_help(ctx)


def _help(command: TyperCommand | TyperGroup, ctx: typer.Context) -> str:
    width = columns()
    if width >= _TWO_COLUMNS:
        return ""
    ctx.terminal_width = width
    formatter: Any = ctx.make_formatter()
    # The parts of a help come from the command; only how a list is laid out is ours.
    formatter.write_dl = lambda rows, *_, **__: _write_list(formatter, rows, width)
    command.format_help(ctx, formatter)
    return str(formatter.getvalue()).rstrip("\n")


def _write_list(formatter: Any, rows: Sequence[tuple[str, str]], width: int) -> None:
    indent = " " * formatter.current_indent
    for first, second in rows:
        for text, before in ((first, indent), (second, indent + "    ")):
            lines = wrap(text, width, initial_indent=before, subsequent_indent=before + "  ")
            formatter.write("".join(f"{line}\n" for line in lines))
