"""A scenario read, its plans laid out, or every fault told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from pourday.commands.shared.screen import complain, typed

if TYPE_CHECKING:
    from pourday.outcome.base.basis import Basis
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.candidates import Search
    from pourday.scenario.model.scenario import Plan, Scenario


def prepared(
    file: Path,
    plan_name: str | None,
    every: bool = False,
    change: Callable[[Scenario], Scenario] | None = None,
    upsets: Sequence[str] | None = None,
) -> tuple[Scenario, list[str], tuple[Basis, ...]]:
    """Read and lay out; on faults print them all and leave with exit code 2."""
    from pourday.report.progress import share_bar
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.read import read_scenario
    from pourday.study.prepare import prepare, with_upsets

    try:
        scenario, warnings = read_scenario(file)
        scenario = change(scenario) if change else scenario
        plans = scenario.plans
        if not every or plan_name is not None:
            plans = (plan_named(scenario, plan_name),)
        scenario = with_upsets(scenario, [typed(line) for line in upsets or ()], plans)
        with share_bar("laying out plans") as told:
            bases = prepare(scenario, plans, told)
        return scenario, [warning.text for warning in warnings], bases
    except ScenarioError as error:
        tell_faults(error, f"{file}: ")
        raise typer.Exit(2) from None


def searched(
    file: Path, upsets: Sequence[str] | None = None
) -> tuple[Search, list[str], tuple[Basis, ...]]:
    """Read the candidates of a file and lay them out; on faults as :func:`prepared` does."""
    from pourday.report.progress import share_bar
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.candidates import read_search
    from pourday.study.prepare import with_upsets
    from pourday.study.search.study import laid_out

    try:
        lines = [typed(line) for line in upsets or ()]
        search = read_search(file)
        with_upsets(search.scenario, lines)  # what nobody can read is told once, not by candidate
        with share_bar("laying out candidates") as told:
            search, bases = laid_out(search, lines, told)
        return search, [warning.text for warning in search.warnings], bases
    except ScenarioError as error:
        tell_faults(error, f"{file}: ")
        raise typer.Exit(2) from None


def tell_faults(error: ScenarioError, head: str = "") -> None:
    """Every fault of a scenario on standard error, a line each, under their number."""
    count = len(error.faults)
    complain(f"{head}{count} fault{'s' if count > 1 else ''}")
    for fault in error.faults:
        complain(f"  {fault.text}")


def plan_named(scenario: Scenario, name: str | None) -> Plan:
    """The plan of that name, the first unless told; leave with exit code 2 if there is none."""
    if name is None:
        return scenario.plans[0]
    try:
        return scenario.plan(typed(name))
    except KeyError as error:
        complain(str(error.args[0]))
        raise typer.Exit(2) from None
