"""``pourday choose``: the cheapest of many plans that keeps all limits."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import typer

from pourday.commands.shared.files import check_outputs, json_of, leave, save
from pourday.commands.shared.options import (
    Cluster,
    Figures,
    File,
    JsonPath,
    UnitsName,
    Upsets,
    Workers,
)
from pourday.commands.shared.played import Where, leave_stopped, until_stopped
from pourday.commands.shared.prepared import searched
from pourday.commands.shared.screen import complain, console

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.commands.shared.played import Stop
    from pourday.scenario.candidates import Search
    from pourday.study.search.found import Found
    from pourday.study.search.study import Fresh
    from pourday.study.search.trial import Trial

_PLENTY = 1000  # jobs: as many processes as there are cores


@dataclass(frozen=True)
class _Asked:
    most_days: int
    minutes: float | None
    fresh: int


def choose(
    file: File,
    most_days: Annotated[
        int, typer.Option(min=25, max=100000, help="Days of any candidate at most.")
    ] = 500,
    minutes: Annotated[
        float | None, typer.Option(min=0.05, help="Begin no further round after so long.")
    ] = None,
    fresh: Annotated[
        int, typer.Option(min=0, max=100000, help="Fresh days for the figures of the choice.")
    ] = 1000,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    upset: Upsets = None,
    full: Annotated[bool, typer.Option("--full", help="Print all there is to say.")] = False,
    workers: Workers = None,
    cluster: Cluster = None,
    json_path: JsonPath = None,
    figures: Figures = None,
    units: UnitsName = None,
) -> None:
    """Try every combination that [search] asks for; say which is cheapest within the limits."""
    from pourday.report.records.choose import choose_record
    from pourday.report.text.choose import choose_report
    from pourday.report.text.first.choose import first_choose
    from pourday.study.search.keys import steps_of
    from pourday.study.search.trial import Trial

    check_outputs((json_path,), (figures,), source=file)
    search, warnings, bases = searched(file, upset)
    trial = Trial(bases, seed, steps_of(search))
    out = console(units)
    asked = _Asked(most_days, minutes, fresh)
    found, again, stop = _played(out, search, trial, asked, Where(workers, cluster))
    whole = True
    if stop is None:

        def _draw(folder: object) -> None:
            from pathlib import Path

            from pourday.report.figures.many.choose import save_choose_figures

            save_choose_figures(found, again, Path(str(folder)))

        record = json_of(lambda: choose_record(found, again))
        whole = save((json_path, record), (figures, _draw))
    (choose_report if full else first_choose)(out, found, again, warnings)
    leave_stopped(stop, json_path, figures)
    leave(whole)


def _played(
    out: Console, search: Search, trial: Trial, asked: _Asked, where: Where
) -> tuple[Found, Fresh | None, Stop | None]:
    """The search played as far as asked; what stopped it, if anything did."""
    from pourday.report.progress import day_bar
    from pourday.report.text.choose import first_answer
    from pourday.study.engine.run import engine_for
    from pourday.study.search.found import found_so_far
    from pourday.study.search.rounds import Budget, run_search
    from pourday.study.search.study import on_fresh_days, play_on
    from pourday.study.search.trial import FIRST

    until = None if asked.minutes is None else time.monotonic() + asked.minutes * 60.0

    def _late() -> bool:
        return until is not None and time.monotonic() > until

    why, again = "stopped", None

    def _play() -> None:
        nonlocal why, again
        with engine_for(where.workers, _PLENTY, where.cluster) as engine:
            with day_bar(len(trial.values) * FIRST) as bar:
                play = play_on(engine, trial, bar)
                why = run_search(trial, play, Budget(min(FIRST, asked.most_days), _late))
            first, why = why, "stopped"  # whatever comes from here on may be interrupted
            if trial.alive and first != "time":
                first_answer(out, found_so_far(search, trial, first, asked.most_days))
            if asked.most_days > FIRST and first == "days":
                with day_bar(None) as bar:
                    play = play_on(engine, trial, bar)
                    first = run_search(trial, play, Budget(asked.most_days, _late))
            with day_bar(2 * asked.fresh) as bar:
                so_far = found_so_far(search, trial, first, asked.most_days)
                again = on_fresh_days(so_far, engine, asked.fresh, bar)
            why = first

    stop = until_stopped(_play, where)
    if not trial.played and not trial.out.all():
        complain("stopped before the first days of all candidates were complete")
        raise typer.Exit(stop.code if stop else 1)
    return found_so_far(search, trial, why, asked.most_days), again, stop
