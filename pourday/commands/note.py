"""``pourday note``: one line about a pour under way, stamped and written down."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.screen import complain, typed


def note(
    file: Annotated[Path, typer.Argument(help="File of tickets.", show_default=False)],
    line: Annotated[str, typer.Argument(help='Such as "7 in".', show_default=False)],
) -> None:
    """Write a line such as "7 in" or "strip 12 full" into a file of tickets, with the clock."""
    from pourday.commands.shared.hut import noted
    from pourday.scenario.base.disk import NoFileError
    from pourday.tickets.note import doubts
    from pourday.tickets.tokens import LineError

    try:
        written = noted(file, typed(line))
        print(written)
    except LineError as error:
        complain(f"not noted: {error}")
        raise typer.Exit(2) from None
    except OSError as error:
        complain(f"{file}: not noted ({error.strerror})")
        raise typer.Exit(2) from None
    with suppress(NoFileError):  # written it is; somebody may just be replacing the file
        for each in doubts(file, written):
            complain(f"noted, but {each}")
