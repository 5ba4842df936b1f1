"""``pourday afterwards``: a pour that is over, against the forecast made before it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, save
from pourday.commands.shared.hut import tickets_at
from pourday.commands.shared.options import File, JsonPath, PlanName, UnitsName
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import complain, console, warn


def afterwards(
    file: File,
    tickets: Annotated[
        list[Path], typer.Option(help="What was told of a pour; again for each other pour.")
    ],
    plan: PlanName = None,
    days: Annotated[
        int, typer.Option(min=20, max=10_000, help="How many days make the forecast.")
    ] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    full: Annotated[bool, typer.Option("--full", help="List every cause and remark.")] = False,
    json_path: JsonPath = None,
    units: UnitsName = None,
) -> None:
    """Say where the forecast was right, and which causes made the finish later or earlier."""
    from pourday.report.progress import share_bar
    from pourday.report.records.afterwards import afterwards_record
    from pourday.report.text.afterwards import afterwards_report
    from pourday.study.afterwards.afterwards import afterwards as afterwards_of
    from pourday.study.afterwards.seen import NotOverError

    check_outputs((json_path,), source=file)
    _, warnings, plans = prepared(file, plan)
    told = [tickets_at(path) for path in tickets]
    try:
        with share_bar("holding the forecast against it") as bar:
            found = afterwards_of(plans[0], told, days, first_seed=seed, hears=bar)
    except NotOverError as error:
        complain(f"{tickets[error.pour]}: {error}")
        raise typer.Exit(2) from None
    names = [path.name for path in tickets]
    whole = save((json_path, json_of(lambda: afterwards_record(found, names))))
    out = console(units)
    warn(out, warnings)
    afterwards_report(out, found, names, full)
    leave(whole)
