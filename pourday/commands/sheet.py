"""``pourday sheet``: paper for the site, from many days of one plan."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, leave, named, save
from pourday.commands.shared.options import File, PlanName, UnitsName, Upsets, Workers
from pourday.commands.shared.played import Where, begun, leave_stopped, play_out
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console, warn


class PaperName(StrEnum):
    """The paper that pages are made for."""

    A4 = "a4"
    LETTER = "letter"


def sheet(
    file: File,
    pdf: Annotated[Path, typer.Option(help="Write the pages to this .pdf file.")],
    plan: PlanName = None,
    paper: Annotated[PaperName, typer.Option(help="Paper of the pages.")] = PaperName.A4,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play.")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    upset: Upsets = None,
    made_on: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Date on every page; today unless told."),
    ] = None,
    workers: Workers = None,
    units: UnitsName = None,
) -> None:
    """Print what the foreman pins up: the day, strips, loads, if it stops, people, finish."""
    from pourday.report.progress import share_bar
    from pourday.report.sheet.save import save_sheet, sheet_pages
    from pourday.report.text.sheet import sheet_report
    from pourday.report.units import units_named
    from pourday.study.sheet.made import sheet_of, sheet_study
    from pourday.study.told import within

    named(pdf, ".pdf", "the pages are a PDF file")
    check_outputs((pdf,), source=file)
    _, warnings, plans = prepared(file, plan, upsets=upset)
    study = begun(lambda: sheet_study(plans[0], days, seed))
    leave_stopped(play_out(study.work, study.ledger, Where(workers)), pdf)
    found = sheet_of(study, date.today() if made_on is None else made_on.date())
    with share_bar("drawing pages") as told:
        pages = sheet_pages(found, paper.value, units_named(units), within(told, 0.0, 0.5))
        write = partial(save_sheet, found, pages, told=within(told, 0.5, 1.0))
        whole = save((pdf, write))
    out = console()
    warn(out, warnings)
    if whole:
        sheet_report(out, found, str(pdf), [page.subject for page in pages])
    leave(whole)
