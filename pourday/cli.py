"""The command line: one module a command, assembled here; no rules of its own.

Everything heavy is imported inside a command, so that ``--help`` answers at once.
"""

from __future__ import annotations

import typer

from pourday.commands.check import check
from pourday.commands.compare import compare
from pourday.commands.day import day
from pourday.commands.deck import deck
from pourday.commands.keys import keys
from pourday.commands.rehearse import rehearse
from pourday.commands.starts import starts

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    help="Plays through the day a composite steel-deck floor is poured, for every plan in a file.",
    epilog="A planning aid: engineer, deck supplier and local code decide.",
)
for command in (check, deck, day, rehearse, starts, compare, keys):
    app.command()(command)


def main() -> None:
    """Entry point of the ``pourday`` command."""
    app()
