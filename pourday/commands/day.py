"""``pourday day``: one day of one plan."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save, text_of
from pourday.commands.shared.options import (
    Figures,
    File,
    HtmlPath,
    JsonPath,
    PlanName,
    UnitsName,
    Upsets,
)
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import complain, console, warn

if TYPE_CHECKING:
    from pourday.outcome.measure import Outcome


def day(
    file: File,
    plan: PlanName = None,
    seed: Annotated[int, typer.Option(min=0, help="Number of the day to play.")] = 0,
    upset: Upsets = None,
    full: Annotated[bool, typer.Option("--full", help="Print all there is to say.")] = False,
    json_path: JsonPath = None,
    html: HtmlPath = None,
    figures: Figures = None,
    calendar: Annotated[
        Path | None, typer.Option(help="Write the days after the pour to this .ics file.")
    ] = None,
    series: Annotated[
        Path | None, typer.Option(help="Write time series of deck and beams (CSV).")
    ] = None,
    units: UnitsName = None,
) -> None:
    """Play one day of one plan: strips, trucks, pump, edges, deck, concrete, cost."""
    from pourday.outcome.edges.stop_end import long_stops
    from pourday.report.page.day import day_page
    from pourday.report.records.day import day_record
    from pourday.report.text.day import day_report
    from pourday.report.text.first.day import first_day
    from pourday.report.units import units_named
    from pourday.study.days import one_day
    from pourday.study.effects import effects
    from pourday.study.heat import heat

    named(calendar, ".ics", "a calendar is an .ics file")
    named(html, ".html", "a page is an .html file")
    check_outputs((json_path, calendar, html), (figures, series), source=file)
    _, warnings, plans = prepared(file, plan, upsets=upset)
    outcome = one_day(plans[0], seed)
    # Days played again without each upset and with each measure: only where they are shown.
    again = full or json_path is not None
    done = effects(outcome, lambda upsets: one_day(plans[0], seed, upsets)) if again else ()
    advice = long_stops(outcome)
    hot = heat(plans[0], outcome) if again else None
    whole = save(
        (json_path, json_of(lambda: day_record(outcome, done, advice, hot))),
        (html, text_of(lambda: day_page(outcome, warnings, units_named(units)))),
        (figures, partial(_draw, outcome, units)),
        (series, partial(_save_series, outcome, seed)),
    )
    whole = _save_calendar(outcome, calendar) and whole
    out = console(units)
    if full:
        warn(out, warnings)
        day_report(out, outcome, done, advice, everything=True, hot=hot)
    else:
        first_day(out, outcome, warnings, advice)
    leave(whole)


def _save_calendar(outcome: Outcome, path: Path | None) -> bool:
    from pourday.report.records.calendar_file import save_calendar

    scenario, dates = outcome.basis.scenario, outcome.calendar
    if path is not None and not dates:
        complain(f"{path}: not written: nothing was placed, so there are no dates")
        return False
    return save((path, partial(save_calendar, dates, scenario.title, scenario.date)))


def _draw(outcome: Outcome, units: str | None, folder: Path) -> None:
    from pourday.report.figures.concrete.save import save_concrete_figures
    from pourday.report.figures.save import save_figures
    from pourday.report.progress import share_bar
    from pourday.report.units import units_named
    from pourday.study.told import within

    said_in = units_named(units)
    with share_bar("drawing") as told:
        save_figures(outcome, folder, said_in, within(told, 0.0, 0.67))
        save_concrete_figures(outcome, folder, said_in, within(told, 0.67, 1.0))


def _save_series(outcome: Outcome, seed: int, folder: Path) -> None:
    from pourday.outcome.concrete.ageing import strip_ages
    from pourday.outcome.deck.series import beam_series, line_series
    from pourday.report.records.series import save_series

    basis = outcome.basis
    lines = line_series(basis, seed, outcome.by_group, outcome.fronts, outcome.strip_end)
    beams = beam_series(basis, outcome.fronts)
    save_series(basis, lines, beams, strip_ages(basis, outcome.fronts), folder)
