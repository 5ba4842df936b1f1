"""``pourday forecast``: what the rest of a pour under way will be like."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save
from pourday.commands.shared.hut import clock_now, follow, moment, tickets_at
from pourday.commands.shared.options import File, JsonPath, PlanName, UnitsName, Workers
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console, warn

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.outcome.base.basis import Basis
    from pourday.study.forecast.forecast import Forecast


def forecast(
    file: File,
    tickets: Annotated[Path, typer.Option(help="What was told: typed lines, or a plant's CSV.")],
    plan: PlanName = None,
    at: Annotated[
        str | None, typer.Option(help="For this time, such as 10:30; now unless told.")
    ] = None,
    rests: Annotated[int, typer.Option(min=1, max=10_000, help="How many rests to play.")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first rest.")] = 0,
    full: Annotated[bool, typer.Option("--full", help="List every edge, load and remark.")] = False,
    follows: Annotated[
        bool, typer.Option("--follow", help="Paint anew when the file changes; type lines here.")
    ] = False,
    html: Annotated[
        Path | None, typer.Option(help="Write a page for telephones to this .html file.")
    ] = None,
    json_path: JsonPath = None,
    workers: Workers = None,
    units: UnitsName = None,
) -> None:
    """Say how a pour under way goes on: finish, edges, loads to call, money, against the plan."""
    from pourday.report.text.forecast import forecast_report

    named(html, ".html", "a page is an .html file")
    check_outputs((html, json_path), source=file)
    _, warnings, plans = prepared(file, plan)
    out = console(units)

    def _found() -> Forecast:
        return _forecast(plans[0], tickets, at, (rests, seed, workers))

    if not follows:
        found = _found()
        whole = _written(out, found, html, json_path)
        warn(out, warnings)
        forecast_report(out, found, full)
        leave(whole)
        return

    def _paint(said: str) -> None:
        try:
            found = _found()
        except typer.Exit:  # an editor may just be replacing the file
            return
        _written(out, found, html, json_path)
        out.clear()
        forecast_report(out, found, full)
        out.print(said or "Type a line (7 in), Enter: it is stamped and written; q leaves.")

    follow(tickets, _paint)


def _forecast(
    basis: Basis, path: Path, at: str | None, how: tuple[int, int, int | None]
) -> Forecast:
    from pourday.report.progress import share_bar
    from pourday.study.forecast.forecast import PLAN_DAYS, gathered
    from pourday.study.forecast.known import known_of
    from pourday.study.forecast.rests import play_rests

    told = tickets_at(path)
    rests, seed, workers = how
    now = moment(told, at, basis.plan.start, clock_now())
    known = known_of(basis, told, now)
    with share_bar("playing rests") as bar:
        played = play_rests(known, rests, min(rests, PLAN_DAYS), seed, workers, bar)
    return gathered(known, now, seed, played)


def _written(out: Console, found: Forecast, html: Path | None, json_path: Path | None) -> bool:
    from pourday.report.records.forecast import forecast_record
    from pourday.report.screen import units_of
    from pourday.report.text.forecast_page import forecast_page
    from pourday.scenario.base.written import replaced

    def _page(path: Path) -> None:
        with replaced(path) as file:
            file.write(forecast_page(found, datetime.now(), units_of(out)).encode("utf-8"))

    return save((html, _page), (json_path, json_of(lambda: forecast_record(found))))
