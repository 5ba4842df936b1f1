"""``pourday compare``: every plan on the same days, and which to prefer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save, text_of
from pourday.commands.shared.options import (
    Cluster,
    Figures,
    File,
    HtmlPath,
    JsonPath,
    Resume,
    SensitivityOf,
    Swings,
    UnitsName,
    Upsets,
    Workers,
)
from pourday.commands.shared.pictures import draw_many_days
from pourday.commands.shared.played import Where, leave_stopped, say_stopped
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console
from pourday.commands.shared.sensitivity import Asking, Moves, moved, wish
from pourday.commands.shared.verdict import Asked, compared

_MOST = 5000


def compare(
    file: File,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play of each plan.")] = 200,
    until_decided: Annotated[
        bool, typer.Option("--until-decided", help="Play until it is decided which plan to prefer.")
    ] = False,
    most_days: Annotated[
        int, typer.Option(min=50, max=100000, help="With --until-decided: days at most.")
    ] = _MOST,
    fresh: Annotated[
        int, typer.Option(min=0, max=100000, help="Fresh days for the figures of the choice.")
    ] = 1000,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    upset: Upsets = None,
    sensitivity: Annotated[
        bool, typer.Option("--sensitivity", help="Say what moves the result (docs/compare.md).")
    ] = False,
    sensitivity_of: SensitivityOf = None,
    swing: Swings = None,
    full: Annotated[bool, typer.Option("--full", help="Print every figure of every plan.")] = False,
    workers: Workers = None,
    cluster: Cluster = None,
    resume: Resume = None,
    json_path: JsonPath = None,
    html: HtmlPath = None,
    figures: Figures = None,
    units: UnitsName = None,
) -> None:
    """Play many days of every plan and say which plan to prefer, why, and how surely."""
    from pourday.report.records.study import compare_record
    from pourday.report.text.compare import compare_report
    from pourday.report.text.first.compare import first_compare
    from pourday.report.text.split import pours_words

    named(resume, ".npz", "a study is kept in an .npz file")
    named(html, ".html", "a page is an .html file")
    check_outputs((json_path, resume, html), (figures,), source=file)
    scenario, warnings, plans = prepared(file, None, every=True, upsets=upset)
    out = console(units)
    asking = Asking(sensitivity, sensitivity_of or (), swing or (), upset or ())
    wanted = wish(file, asking, plans)
    asked = Asked(most_days if until_decided else days, until_decided, fresh, seed)
    found = compared(out, plans, asked, Where(workers, cluster, resume))
    comparison, choice, stop = found.comparison, found.choice, found.stop

    moves = Moves()
    if stop is None:
        best = choice.plan or choice.least_bad
        moves = moved(wanted, plans, found.played, best, Where(workers, cluster))

    def _draw(folder: Path) -> None:
        from pourday.report.figures.many.compare import save_compare_figures
        from pourday.report.progress import share_bar
        from pourday.report.screen import units_of
        from pourday.study.days import one_day

        outcomes = [one_day(basis, seed) for basis in plans]
        with share_bar("drawing") as told:
            save_compare_figures(scenario, comparison, outcomes, folder, units_of(out), told)
        moves.draw(scenario.title, folder)

    def _draw_many(folder: Path) -> None:
        name = choice.plan or choice.least_bad
        basis = next((each for each in plans if each.plan.name == name), plans[0])
        draw_many_days(basis, (days, seed), Where(workers), folder, units)

    def _page() -> str:
        from pourday.report.page.compare import compare_page, drawn_plans
        from pourday.report.progress import share_bar
        from pourday.report.units import units_named
        from pourday.study.days import one_day
        from pourday.study.told import counted

        drawn = [one_day(basis, seed) for basis in drawn_plans(choice, plans)]
        with share_bar("writing the page") as told:
            return compare_page(
                comparison, choice, plans, counted(drawn, told), warnings, units_named(units)
            )

    whole = True
    if stop is None and moves.stop is None:
        record = json_of(lambda: moves.record(compare_record(scenario, comparison, choice)))
        whole = save((json_path, record), (html, text_of(_page)), (figures, _draw))
    if stop is not None:
        say_stopped(out, found.days, asked.days, stop)
    moves.report(out)
    if full:
        compare_report(out, scenario, plans, comparison, choice, warnings)
    else:
        first_compare(out, scenario, comparison, choice, warnings)
    if scenario.pours:
        out.print(pours_words([pour.name for pour in scenario.pours]), highlight=False)
    leave_stopped(stop or moves.stop, json_path, html, figures)
    # Days are played for these, so they come last: a stop then costs nothing but them.
    whole = save((figures, _draw_many)) and whole
    leave(whole)
