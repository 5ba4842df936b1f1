"""The command line: one module a command, assembled here; no rules of its own.

Everything heavy is imported inside a command, so that ``--help`` answers at once.
"""

from __future__ import annotations

import errno
import gc
import os
from collections.abc import Callable

import typer

from pourday.commands.check import check
from pourday.commands.choose import choose
from pourday.commands.compare import compare
from pourday.commands.day import day
from pourday.commands.deck import deck
from pourday.commands.explain import explain
from pourday.commands.forecast import forecast
from pourday.commands.keys import keys
from pourday.commands.learn import learn
from pourday.commands.new import new
from pourday.commands.note import note
from pourday.commands.price import price
from pourday.commands.rehearse import rehearse
from pourday.commands.shared.help import Command, Group
from pourday.commands.shared.prepared import tell_faults
from pourday.commands.shared.screen import complain, substitute_letters
from pourday.commands.sheet import sheet
from pourday.commands.split import split
from pourday.commands.starts import starts

app = typer.Typer(
    cls=Group,
    add_completion=False,
    rich_markup_mode=None,  # help is plain text: rich takes as long to load as all the rest of it
    no_args_is_help=True,
    help="Plays through the day a composite steel-deck floor is poured, for every plan in a file.",
    epilog="A planning aid: engineer, deck supplier and local code decide.",
)
# What fits beside each name in the list of commands at 80 columns.
_LISTED: dict[Callable[..., None], str] = {
    new: "Write a scenario of your own floor: a dozen questions.",
    check: "The floor: areas, volumes, strips, order, broken rules.",
    deck: "What the deck feels, order by order; no day is played.",
    day: "One day of one plan: strips, trucks, pump, edges, cost.",
    rehearse: "Step through a day in the terminal; let things go wrong.",
    starts: "The same plan begun at each hour: drying, cold joints.",
    compare: "Many days of every plan; which to prefer, and why.",
    choose: "Spacing, pump, crew: the cheapest within the limits.",
    price: "One plan priced line by line, and what to allow for risk.",
    split: "The floor on several days: stop ends, parts, days, cost.",
    sheet: "Paper for the site: a plan as pages to print (PDF).",
    note: "One line about a pour under way, stamped, written down.",
    forecast: "A pour under way: what to do next, and when it ends.",
    learn: "From tickets of several pours: the file's numbers anew.",
    explain: "What a figure of the reports is, and what moves it.",
    keys: "What may stand in a scenario file, and what it is for.",
}
for command, short in _LISTED.items():
    app.command(cls=Command, short_help=short)(command)

# Matrices here have a few hundred rows: threads in the algebra only wait for each other (`deck` of
# the market hall: 11.7 s of CPU with two, 6.8 s with one), and a study has a process a core anyway.
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def main() -> None:
    """Entry point of the ``pourday`` command.

    Faults that come up only while days are played end like those of the file: told, exit code 2.
    """
    substitute_letters()
    # No command shows a figure in a window, and a word there that matplotlib does not know would
    # end it before anything is drawn.
    os.environ.pop("MPLBACKEND", None)
    for name in _THREADS:
        os.environ.setdefault(name, "1")  # before numpy is loaded; whoever set it wins
    # A day makes thousands of objects that go by themselves: `compare` of the library, 200 days of
    # three plans, takes 6.1 s of CPU in place of 6.9 where the collector looks less often.
    gc.set_threshold(50_000, 20, 50)
    if "_POURDAY_COMPLETE" in os.environ:  # a shell asks; nobody else pays for the loading
        from typer.completion import completion_init  # type: ignore[attr-defined]

        completion_init()
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
