"""``pourday rehearse``: one day, step by step, in the terminal."""

from __future__ import annotations

from typing import Annotated

import typer

from pourday.commands.shared.options import File, PlanName, UnitsName, Upsets
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console, warn


def rehearse(
    file: File,
    plan: PlanName = None,
    seed: Annotated[int, typer.Option(min=0, help="Number of the day to play.")] = 0,
    pace: Annotated[
        float | None,
        typer.Option(min=0.05, max=60, help="Runs by itself: seconds from event to event."),
    ] = None,
    upset: Upsets = None,
    units: UnitsName = None,
) -> None:
    """Step through one day in the terminal, key by key, and let things go wrong on the way."""
    from pourday.report.rehearsal import rehearse as rehearsal
    from pourday.report.rehearsal.stand import Replay
    from pourday.study.choices.rehearsed import Rehearsed
    from pourday.study.days import blind_day

    _, warnings, plans = prepared(file, plan, upsets=upset)
    basis = plans[0]
    replay = Replay(
        rehearsal.upset_reader(basis),
        lambda upsets: blind_day(basis, seed, upsets),
        Rehearsed(basis, seed),
    )
    out = console(units)
    warn(out, warnings)
    rehearsal.rehearse(out, blind_day(basis, seed), replay, pace)
