"""``pourday split``: the floor on one long day, or in parts on days of their own."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save
from pourday.commands.shared.options import (
    Figures,
    File,
    JsonPath,
    PlanName,
    UnitsName,
    Workers,
)
from pourday.commands.shared.played import Where, begun, leave_stopped, play_out
from pourday.commands.shared.prepared import plan_named, prepared, tell_faults
from pourday.commands.shared.screen import complain, console, warn

if TYPE_CHECKING:
    from pourday.outcome.base.basis import Basis
    from pourday.scenario.model.scenario import Scenario
    from pourday.study.days import PlanDays
    from pourday.study.pours.split import Play, SplitStudy


def split(
    file: File,
    plan: PlanName = None,
    parts: Annotated[
        int | None,
        typer.Option(min=2, max=8, help="So many parts; as few as keep the limits unless told."),
    ] = None,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play of each part.")] = 60,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    workers: Workers = None,
    json_path: JsonPath = None,
    figures: Figures = None,
    calendar: Annotated[
        Path | None, typer.Option(help="Write the days after every pour to this .ics file.")
    ] = None,
    units: UnitsName = None,
) -> None:
    """Pour the floor on more than one day: where to end, what it costs, which days hold it.

    Plays the file's [[pour]] tables; where it has none, or with --parts, proposes stop ends.
    """
    from pourday.report.records.split import split_record
    from pourday.report.text.split import split_report

    named(calendar, ".ics", "a calendar is an .ics file")
    check_outputs((json_path, calendar), (figures,), source=file)
    scenario, warnings, _ = prepared(file, plan)
    play = partial(_play, (days, seed), workers, (json_path, figures, calendar))
    found = _found(file, scenario, (plan, parts), play)

    def _draw(folder: Path) -> None:
        from pourday.report.figures.many.split import save_split_figure
        from pourday.report.units import units_named

        save_split_figure(scenario, found, folder, units_named(units))

    whole = save((json_path, json_of(lambda: split_record(scenario, found))), (figures, _draw))
    whole = _save_calendar(scenario, found, seed, calendar) and whole
    out = console(units)
    warn(out, warnings)
    split_report(out, scenario, found)
    leave(whole)


def _found(
    file: Path, scenario: Scenario, asked: tuple[str | None, int | None], play: Play
) -> SplitStudy:
    """The file's pours, or the split looked for; faults are told as those of the file."""
    from pourday.scenario.base.faults import ScenarioError
    from pourday.study.pours.split import find_split, given_split

    name, parts = asked
    try:
        if scenario.pours and parts is None:
            return given_split(scenario, play, plan_named(scenario, name) if name else None)
        return find_split(scenario, plan_named(scenario, name), play, parts)
    except ScenarioError as error:
        tell_faults(error, f"{file}: ")
        raise typer.Exit(2) from None


def _play(
    days: tuple[int, int],
    workers: int | None,
    files: Sequence[Path | None],
    bases: Sequence[Basis],
) -> Sequence[PlanDays]:
    """Play so many days from a first seed; a study that is stopped has no answer yet."""
    from pourday.study.days import study_of

    study = begun(lambda: study_of(bases, *days))
    stop = play_out(study.work, study.ledger, Where(workers))
    if stop is not None:
        complain("stopped before every part was played: no split can be named")
        leave_stopped(stop, *files)
    return study.plan_days


def _save_calendar(scenario: Scenario, found: SplitStudy, seed: int, path: Path | None) -> bool:
    """The dates after every pour of the preferred split in one file, each under its pour's name."""
    from dataclasses import replace

    from pourday.report.records.calendar_file import save_calendar
    from pourday.study.days import one_day

    if path is None:
        return True
    pours = [found.long] if found.best is None else list(found.best.pours)
    lines = [
        replace(line, what=f"{pour.pouring.name}: {line.what}")
        for pour in pours
        for line in one_day(pour.pouring.basis, seed).calendar
    ]
    if not lines:
        complain(f"{path}: not written: nothing was placed, so there are no dates")
        return False
    dates = tuple(sorted(lines, key=lambda line: line.when))
    first = pours[0].pouring.date
    return save((path, partial(save_calendar, dates, scenario.title, first)))
