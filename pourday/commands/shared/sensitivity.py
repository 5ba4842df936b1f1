"""``pourday compare --sensitivity``: the days played again, one source of chance at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from pourday.commands.shared.played import Stop, Where, begun, play_out
from pourday.commands.shared.prepared import tell_faults
from pourday.commands.shared.screen import complain, typed

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.outcome.base.basis import Basis
    from pourday.study.days import PlanDays
    from pourday.study.sensitivity import Sensitivity
    from pourday.study.swings import Asked

ALL = "all"


@dataclass(frozen=True)
class Asking:
    """The options as given: whether, of which plans, with which swings; upsets of the study."""

    yes: bool
    of: Sequence[str]
    swings: Sequence[str]
    upsets: Sequence[str]


@dataclass(frozen=True, eq=False)
class Wish:
    """What is asked, and can be played.

    ``plans`` are names (empty: the plan preferred), ``swings`` inputs with all plans prepared at
    the low and at the high value of each.
    """

    plans: tuple[str, ...]
    swings: tuple[tuple[Asked, tuple[tuple[Basis, ...], ...]], ...]


@dataclass(frozen=True)
class Moves:
    """What moves the result of some plans, and what stopped it short, if anything did."""

    found: tuple[Sensitivity, ...] = ()
    stop: Stop | None = None
    asked: bool = False

    def record(self, record: dict[str, Any]) -> dict[str, Any]:
        """The record of a comparison with its "sensitivity", where that was asked for."""
        from pourday.report.records.sensitivity import sensitivity_record

        more = {"sensitivity": list(map(sensitivity_record, self.found))}
        return record | (more if self.asked else {})

    def draw(self, title: str, folder: Path) -> None:
        """A figure for each plan."""
        from pourday.report.figures.many.sensitivity import save_sensitivity

        for each in self.found:
            save_sensitivity(title, each, folder)

    def report(self, out: Console) -> None:
        """Print it."""
        from pourday.report.text.sensitivity import sensitivity_report

        if self.asked and self.stop is not None:
            out.print("What moves the result was stopped before all days were played.")
        sensitivity_report(out, self.found)


def wish(file: Path, asking: Asking, plans: Sequence[Basis]) -> Wish | None:
    """What the options ask, ``None`` for nothing.

    Leaves with exit code 2 where a plan or a key is not there, before any day is played.
    """
    if not (asking.yes or asking.of or asking.swings):
        return None
    names = [each.plan.name for each in plans]
    of = tuple(map(typed, asking.of))
    for name in of:
        if name not in (*names, ALL):
            complain(f"--sensitivity-of: no plan {name!r}; the plans are: {', '.join(names)}")
            raise typer.Exit(2)
    return Wish(of, tuple(_swing(file, typed(text), asking.upsets) for text in asking.swings))


def _swing(
    file: Path, text: str, upsets: Sequence[str]
) -> tuple[Asked, tuple[tuple[Basis, ...], ...]]:
    """A swing with the plans prepared at its low and at its high value."""
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.read import read_changed
    from pourday.study.prepare import prepare, with_upsets
    from pourday.study.swings import parse_swing

    try:
        asked = parse_swing(text)
    except ValueError as fault:
        complain(f"--swing {text}: {fault}")
        raise typer.Exit(2) from None
    sides = []
    for value in (asked.low, asked.high):
        try:
            scenario = read_changed(file, asked.key, value)
            sides.append(prepare(with_upsets(scenario, [typed(line) for line in upsets])))
        except ScenarioError as error:
            tell_faults(error, f"--swing {asked.key}={value:g}: ")
            raise typer.Exit(2) from None
    return asked, tuple(sides)


def moved(
    wanted: Wish | None,
    plans: Sequence[Basis],
    played: Sequence[PlanDays],
    preferred: str,
    where: Where,
) -> Moves:
    """Play again what is asked for; the days as played are those of ``played``."""
    from pourday.study.days import study_of
    from pourday.study.sensitivity import sensitivity_of, sensitivity_study
    from pourday.study.swings import with_swings

    if wanted is None:
        return Moves()
    names, where = wanted.plans or (preferred,), Where(where.workers, where.cluster)
    mine = [n for n, each in enumerate(plans) if ALL in names or each.plan.name in names]
    days, seed = played[0].days, played[0].first_seed
    study = begun(lambda: sensitivity_study([plans[n] for n in mine], days, seed))
    swung: list[tuple[Asked, Sequence[PlanDays], Sequence[PlanDays]]] = []
    try:
        stop = play_out(study.work, study.ledger, where)
        found = sensitivity_of(study)
        for asked, sides in wanted.swings if stop is None else ():
            others = [study_of([bases[n] for n in mine], days, seed) for bases in sides]
            for other in others:
                stop = stop or play_out(other.work, other.ledger, where)
            if stop is None:
                swung.append((asked, others[0].plan_days, others[1].plan_days))
    except typer.Exit as left:  # stopped before one day was complete: the comparison is still there
        return Moves((), Stop(left.exit_code), asked=True)
    return Moves(with_swings(found, [played[n] for n in mine], swung), stop, asked=True)
