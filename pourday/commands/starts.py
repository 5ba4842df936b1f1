"""``pourday starts``: the same plan begun at each hour."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, named, save
from pourday.commands.shared.options import (
    Cluster,
    File,
    JsonPath,
    PlanName,
    Resume,
    UnitsName,
    Workers,
)
from pourday.commands.shared.played import Where, begun, leave_stopped, play_out, say_stopped
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console, warn

Asked = Literal["drying", "finish", "cost"]


def starts(
    file: File,
    plan: PlanName = None,
    first: Annotated[float, typer.Option("--from", min=0, max=24, help="First hour.")] = 5,
    last: Annotated[
        float,
        typer.Option("--to", min=0, max=24, help="Last hour; before --from, the next day's."),
    ] = 10,
    by: Annotated[
        Asked, typer.Option(help="What tells the starts apart that keep the limits.")
    ] = "drying",
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play of each start.")] = 100,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    full: Annotated[bool, typer.Option("--full", help="Print all there is to say.")] = False,
    workers: Workers = None,
    cluster: Cluster = None,
    resume: Resume = None,
    json_path: JsonPath = None,
    units: UnitsName = None,
) -> None:
    """Begin the same plan at each hour: which starts keep the limits, and which is best."""
    from pourday.report.records.study import starts_record
    from pourday.report.text.first.starts import first_starts
    from pourday.report.text.starts import starts_report
    from pourday.report.text.verdict import beforehand
    from pourday.study.start_times import hours_of_day, ranked, start_study
    from pourday.study.verdict.verdict import undecidable

    named(resume, ".npz", "a study is kept in an .npz file")
    check_outputs((json_path, resume), source=file)
    scenario, warnings, plans = prepared(file, plan)
    hours = hours_of_day(first * 3600, last * 3600)
    seeds = range(seed, seed + days)
    study = begun(lambda: start_study(scenario, plans[0].plan, hours, seeds))
    out, rules = console(), study.race.rules
    for line in beforehand(undecidable(rules, scenario.limits, days), days):
        out.print(line)
    stop = play_out(study.work, study.ledger, Where(workers, cluster, resume))
    found = study.found
    ranking = ranked(found, by)
    whole = True
    if stop is None:
        whole = save((json_path, json_of(lambda: starts_record(scenario, found, ranking))))
    out = console(units)
    if stop is not None:
        say_stopped(out, study.ledger.complete_days, days, stop)
    if full:
        warn(out, warnings)
        starts_report(out, scenario, found, ranking)
    else:
        first_starts(out, scenario, found, ranking, warnings)
    leave_stopped(stop, json_path)
    leave(whole)
