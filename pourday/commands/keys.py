"""``pourday keys``: what may stand in a scenario file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, named, write_json
from pourday.commands.shared.options import UnitsName
from pourday.commands.shared.screen import complain, console


def keys(
    table: Annotated[
        str | None, typer.Argument(help="Table such as plan or floor.openings; all unless told.")
    ] = None,
    presets: Annotated[
        bool, typer.Option("--presets", help="Print the ready values instead, with sources.")
    ] = False,
    units: UnitsName = None,
    schema: Annotated[
        Path | None,
        typer.Option(help="Write a JSON Schema of the whole file instead, for an editor (.json)."),
    ] = None,
) -> None:
    """Print what may stand in a scenario file, and what every key is for."""
    if schema is not None:
        _write_schema(schema, alone=table is None and not presets)
        return
    from pourday.report.text.keys import keys_report, presets_report
    from pourday.scenario.reference import key_lines, preset_lines

    try:
        if presets:
            presets_report(console(), preset_lines(table))
        else:
            keys_report(console(), key_lines(table, us=units == "us"))
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None


def _write_schema(path: Path, alone: bool) -> None:
    if not alone:
        complain("--schema writes the whole file: leave out the table and --presets")
        raise typer.Exit(2)
    named(path, ".json", "a schema is a .json file")
    check_outputs(files=(path,))
    from pourday.scenario.schema import file_schema

    write_json(path, file_schema())
