"""``pourday price``: what one plan costs, line by line, and what to allow for risk."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save
from pourday.commands.shared.options import (
    Cluster,
    Figures,
    File,
    JsonPath,
    PlanName,
    Resume,
    UnitsName,
    Upsets,
    Workers,
)
from pourday.commands.shared.played import Where, begun, leave_stopped, play_out, say_stopped
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console


def price(
    file: File,
    plan: PlanName = None,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play.")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    full: Annotated[
        bool, typer.Option("--full", help="Every line, waste, hours and bays.")
    ] = False,
    upset: Upsets = None,
    workers: Workers = None,
    cluster: Cluster = None,
    resume: Resume = None,
    json_path: JsonPath = None,
    figures: Figures = None,
    csv_path: Annotated[
        Path | None, typer.Option("--csv", help="Write the lines to this CSV file.")
    ] = None,
    units: UnitsName = None,
) -> None:
    """Play many days of one plan and price them line by line."""
    from pourday.report.records.price import price_record, save_price
    from pourday.report.text.first.price import first_price
    from pourday.report.text.price import price_report
    from pourday.study.price import price_study, priced

    named(resume, ".npz", "a study is kept in an .npz file")
    check_outputs((json_path, csv_path, resume), (figures,), source=file)
    _, warnings, (basis,) = prepared(file, plan, upsets=upset)
    study = begun(lambda: price_study(basis, days, seed))
    stop = play_out(study.work, study.ledger, Where(workers, cluster, resume))
    found = priced(basis, study.ledger)

    def _draw(folder: Path) -> None:
        from pourday.report.figures.many.price import save_price_figure

        save_price_figure(basis, found, folder)

    whole = True
    if stop is None:
        record = json_of(lambda: price_record(basis, found))
        lines = partial(save_price, basis=basis, found=found)
        whole = save((json_path, record), (csv_path, lines), (figures, _draw))
    out = console(units)
    if stop is not None:
        say_stopped(out, study.ledger.complete_days, days, stop)
    if full:
        price_report(out, basis, found, warnings, everything=True)
    else:
        first_price(out, basis, found, warnings)
    leave_stopped(stop, json_path, csv_path, figures)
    leave(whole)
