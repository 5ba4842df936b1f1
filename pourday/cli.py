"""The command line: one module a command, assembled here; no rules of its own.

Everything heavy is imported inside a command, so that ``--help`` answers at once.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable

import typer

from pourday.commands.check import check
from pourday.commands.choose import choose
from pourday.commands.compare import compare
from pourday.commands.day import day
from pourday.commands.deck import deck
from pourday.commands.keys import keys
from pourday.commands.rehearse import rehearse
from pourday.commands.shared.prepared import tell_faults
from pourday.commands.shared.screen import complain, substitute_letters
from pourday.commands.starts import starts

app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,  # help is plain text: rich takes as long to load as all the rest of it
    no_args_is_help=True,
    help="Plays through the day a composite steel-deck floor is poured, for every plan in a file.",
    epilog="A planning aid: engineer, deck supplier and local code decide.",
)
# What fits beside each name in the list of commands at 80 columns.
_LISTED: dict[Callable[..., None], str] = {
    check: "The floor: areas, volumes, strips, order, broken rules.",
    deck: "What the deck feels, order by order; no day is played.",
    day: "One day of one plan: strips, trucks, pump, edges, cost.",
    rehearse: "Step through a day in the terminal; let things go wrong.",
    starts: "The same plan begun at each hour: drying, cold joints.",
    compare: "Many days of every plan; which to prefer, and why.",
    choose: "Spacing, pump, crew: the cheapest within the limits.",
    keys: "What may stand in a scenario file, and what it is for.",
}
for command, short in _LISTED.items():
    app.command(short_help=short)(command)


def main() -> None:
    """Entry point of the ``pourday`` command.

    Faults that come up only while days are played end like those of the file: told, exit code 2.
    """
    substitute_letters()
    # No command shows a figure in a window, and a word there that matplotlib does not know would
    # end it before anything is drawn.
    os.environ.pop("MPLBACKEND", None)
    try:
        app()
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    except (MemoryError, ImportError, SystemError) as error:
        # A library that finds no room says so in one of these ways.
        if isinstance(error, ImportError) and "map" not in str(error):
            raise
        complain("not enough memory for this call; no old file was touched")
        raise SystemExit(2) from None
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        complain("the output could not be written: no room is left")
        os._exit(2)  # what is still to be flushed has no room either
    except Exception as error:
        from pourday.scenario.base.faults import ScenarioError

        if not isinstance(error, ScenarioError):
            raise
        tell_faults(error)
        raise SystemExit(2) from None
