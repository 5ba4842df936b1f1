"""``pourday learn``: what the tickets of pours that are over say of the numbers of the file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save, text_of
from pourday.commands.shared.hut import tickets_at
from pourday.commands.shared.options import Figures, File, JsonPath, PlanName
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import complain, console, warn


def learn(
    file: File,
    tickets: Annotated[
        list[Path],
        typer.Argument(help="Tickets, a file a pour: typed lines, or a plant's CSV."),
    ],
    plan: PlanName = None,
    full: Annotated[bool, typer.Option("--full", help="Every remark on a line.")] = False,
    toml: Annotated[
        Path | None, typer.Option(help="Write the lines to paste to this .toml file.")
    ] = None,
    json_path: JsonPath = None,
    figures: Figures = None,
) -> None:
    """Learn trips, discharge and pace, changes, moves and tests from tickets of several pours."""
    from pourday.report.records.learned import learned_record
    from pourday.report.text.learned import learned_report
    from pourday.report.text.learned_lines import pasted
    from pourday.study.learn.learn import learn as learn_from

    named(toml, ".toml", "lines to paste are a .toml file")
    check_outputs((json_path, toml), (figures,), source=file)
    _not_written_over(tickets, (json_path, toml))
    _, warnings, (basis,) = prepared(file, plan)
    found = learn_from(basis, [(path.name, tickets_at(path)) for path in tickets])

    def _draw(folder: Path) -> None:
        from pourday.report.figures.learned import save_learned_figures

        save_learned_figures(found, folder)

    whole = save(
        (json_path, json_of(lambda: learned_record(found))),
        (toml, text_of(lambda: "\n".join(pasted(found)) + "\n")),
        (figures, _draw),
    )
    out = console()
    warn(out, warnings)
    learned_report(out, found, full)
    leave(whole)


def _not_written_over(tickets: list[Path], outputs: tuple[Path | None, ...]) -> None:
    """Leave with exit code 2 where an output would be lost over tickets, or one is told twice."""
    read = [path.resolve() for path in tickets]
    for path in outputs:
        if path is not None and path.resolve() in read:
            complain(f"{path}: cannot be written (it is read here, and would be lost)")
            raise typer.Exit(2)
    for number, path in enumerate(read):
        if path in read[:number]:
            complain(f"{tickets[number]}: told twice; a pour counts once")
            raise typer.Exit(2)
