"""``pourday check``: the floor as the program understands it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pourday.commands.shared.files import check_outputs, leave, named, save
from pourday.commands.shared.options import File, PlanName, UnitsName
from pourday.commands.shared.prepared import prepared
from pourday.commands.shared.screen import console


def check(
    file: File,
    draw: Annotated[
        Path | None, typer.Option(help="Draw the strips of a plan to this PNG.")
    ] = None,
    plan: PlanName = None,
    units: UnitsName = None,
    full: Annotated[
        bool, typer.Option("--full", help="Print strips, edges and rules too.")
    ] = False,
) -> None:
    """Read a scenario and print the floor: areas, volumes, strips, order, broken rules."""
    from pourday.report.text.check import check_report
    from pourday.report.text.first.check import first_check

    named(draw, ".png", "pictures are PNG files")
    check_outputs(files=(draw,), source=file)
    scenario, warnings, plans = prepared(file, plan, every=plan is None)

    def _draw(path: Path) -> None:
        from pourday.report.figures.save import save_strip_plan
        from pourday.report.units import units_named

        save_strip_plan(scenario, plans[0].plan, plans[0].layout, path, units_named(units))

    whole = save((draw, _draw))
    (check_report if full else first_check)(console(units), scenario, plans, warnings)
    leave(whole)
