"""``pourday keys``: what may stand in a scenario file."""

from __future__ import annotations

from typing import Annotated

import typer

from pourday.commands.shared.screen import complain, console


def keys(
    table: Annotated[
        str | None, typer.Argument(help="Table such as plan or floor.openings; all unless told.")
    ] = None,
    presets: Annotated[
        bool, typer.Option("--presets", help="Print the ready values instead, with sources.")
    ] = False,
) -> None:
    """Print what may stand in a scenario file, and what every key is for."""
    from pourday.report.text.keys import keys_report, presets_report
    from pourday.scenario.reference import key_lines, preset_lines

    try:
        if presets:
            presets_report(console(), preset_lines(table))
        else:
            keys_report(console(), key_lines(table))
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None
