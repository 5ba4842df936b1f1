"""``pourday day``: one day of one plan."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, named, write, write_json
from pourday.commands.shared.options import Figures, File, JsonPath, PlanName, Upsets
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import complain, console, warn


def day(
    file: File,
    plan: PlanName = None,
    seed: Annotated[int, typer.Option(min=0, help="Number of the day to play.")] = 0,
    upset: Upsets = None,
    full: Annotated[bool, typer.Option("--full", help="List every strip and truck.")] = False,
    json_path: JsonPath = None,
    figures: Figures = None,
    calendar: Annotated[
        Path | None, typer.Option(help="Write the days after the pour to this .ics file.")
    ] = None,
    series: Annotated[
        Path | None, typer.Option(help="Write time series of deck and beams (CSV).")
    ] = None,
) -> None:
    """Play one day of one plan: strips, trucks, pump, edges, deck, concrete, cost."""
    from pourday.outcome.edges.stop_end import long_stops
    from pourday.report.records.day import day_record
    from pourday.report.text.day import day_report
    from pourday.study.days import one_day
    from pourday.study.effects import effects
    from pourday.study.heat import heat

    named(calendar, ".ics", "a calendar is an .ics file")
    check_outputs((json_path, calendar), (figures, series))
    scenario, warnings, plans = prepared(file, plan, upsets=upset)
    outcome = one_day(plans[0], seed)
    done = effects(outcome, lambda upsets: one_day(plans[0], seed, upsets))
    advice = long_stops(outcome)
    hot = heat(plans[0], outcome)
    out = console()
    warn(out, warnings)
    day_report(out, outcome, done, advice, everything=full, hot=hot)
    if json_path is not None:
        write_json(json_path, day_record(outcome, done, advice, hot))
    if calendar is not None:
        from pourday.report.records.calendar_file import save_calendar

        dates = outcome.calendar
        if not dates:
            complain(f"{calendar}: not written: nothing was placed, so there are no dates")
            raise typer.Exit(2)
        write(calendar, lambda: save_calendar(dates, scenario.title, scenario.date, calendar))
    if figures is not None:
        from pourday.report.figures.concrete.save import save_concrete_figures
        from pourday.report.figures.save import save_figures

        def _draw() -> None:
            save_figures(outcome, figures)
            save_concrete_figures(outcome, figures)

        write(figures, _draw)
    if series is not None:
        from pourday.outcome.concrete.ageing import strip_ages
        from pourday.outcome.deck.series import beam_series, line_series
        from pourday.report.records.series import save_series

        lines = line_series(plans[0], seed, outcome.by_group, outcome.fronts, outcome.strip_end)
        beams = beam_series(plans[0], outcome.fronts)
        ages = strip_ages(outcome.basis, outcome.fronts)
        write(series, lambda: save_series(plans[0], lines, beams, ages, series))
