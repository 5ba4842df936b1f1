"""Commands: arguments in, report out; no rules of its own.

Everything heavy is imported inside a command, so that ``--help`` answers at once.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.outcome.basis import Basis
    from pourday.scenario.model import Scenario

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    help="Plays through the day a composite steel-deck floor is poured, for every plan in a file.",
    epilog="A planning aid: engineer, deck supplier and local code decide.",
)

File = Annotated[Path, typer.Argument(help="Scenario file (TOML).", show_default=False)]
PlanName = Annotated[
    str | None, typer.Option("--plan", help="Plan by name; the first unless told.")
]
JsonPath = Annotated[Path | None, typer.Option("--json", help="Write the numbers to this file.")]
Upsets = Annotated[
    list[str] | None,
    typer.Option("--upset", help='What goes wrong, such as "10:30 pump down 45 min".'),
]
Figures = Annotated[
    Path | None, typer.Option("--figures", help="Write PNG figures to this folder.")
]


@app.command()
def check(
    file: File,
    draw: Annotated[
        Path | None, typer.Option(help="Draw the strips of a plan to this PNG.")
    ] = None,
    plan: PlanName = None,
) -> None:
    """Read a scenario and print the floor: areas, volumes, strips, order, broken rules."""
    from pourday.report.check import check_report

    _named(draw, ".png", "pictures are PNG files")
    _check_outputs(files=(draw,))
    scenario, warnings, plans = _prepare(file, plan, every=plan is None)
    check_report(_console(), scenario, plans, warnings)
    if draw is not None:
        from pourday.report.figures import save_strip_plan

        _write(draw, lambda: save_strip_plan(scenario, plans[0].plan, plans[0].layout, draw))


@app.command()
def deck(
    file: File,
    plan: PlanName = None,
    bay: Annotated[str | None, typer.Option(help="Bay whose orders are searched.")] = None,
    props_missing: Annotated[
        bool, typer.Option("--without-props", help="Show what happens with the props missing.")
    ] = False,
    json_path: JsonPath = None,
    figures: Figures = None,
) -> None:
    """Show what the deck feels, order by order, without playing a day."""
    from pourday.report.deck import deck_report
    from pourday.report.records_study import deck_record
    from pourday.study.deck_study import bay_orders, plan_decks, without_props

    _check_outputs((json_path,), (figures,))
    change = without_props if props_missing else None
    scenario, warnings, plans = _prepare(file, plan, every=plan is None, change=change)
    variant = "props missing" if props_missing else ""
    decks = plan_decks(plans)
    try:
        orders = bay_orders(plans[0], bay or decks[0].deck.use.bay)
    except KeyError as error:
        _complain(str(error.args[0]))
        raise typer.Exit(2) from None
    console = _console()
    _warn(console, warnings)
    deck_report(console, scenario, decks, orders, variant)
    if json_path is not None:
        _write_json(json_path, deck_record(scenario, decks, orders, variant))
    if figures is not None:
        from pourday.report.figures_deck import save_deck_figures

        def draw_all() -> None:
            for number, each in enumerate(decks, start=1):
                home = figures if len(decks) == 1 else figures / f"order_{number}"
                save_deck_figures(each.basis, None, home)

        _write(figures, draw_all)


@app.command()
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
    from pourday.outcome.stop_end import long_stops
    from pourday.report.day import day_report
    from pourday.report.records import day_record
    from pourday.study.days import one_day
    from pourday.study.effects import effects

    _named(calendar, ".ics", "a calendar is an .ics file")
    _check_outputs((json_path, calendar), (figures, series))
    scenario, warnings, plans = _prepare(file, plan, upsets=upset)
    outcome = one_day(plans[0], seed)
    done = effects(outcome, lambda upsets: one_day(plans[0], seed, upsets))
    advice = long_stops(outcome)
    console = _console()
    _warn(console, warnings)
    day_report(console, outcome, done, advice, everything=full)
    if json_path is not None:
        _write_json(json_path, day_record(outcome, done, advice))
    if calendar is not None:
        from pourday.report.calendar import save_calendar

        dates = outcome.calendar
        if not dates:
            _complain(f"{calendar}: not written: nothing was placed, so there are no dates")
            raise typer.Exit(2)
        _write(calendar, lambda: save_calendar(dates, scenario.title, scenario.date, calendar))
    if figures is not None:
        from pourday.report.figures import save_figures
        from pourday.report.figures_concrete import save_concrete_figures

        def draw() -> None:
            save_figures(outcome, figures)
            save_concrete_figures(outcome, figures)

        _write(figures, draw)
    if series is not None:
        from pourday.outcome.ageing import strip_ages
        from pourday.outcome.series import beam_series, line_series
        from pourday.report.series import save_series

        lines = line_series(plans[0], seed, outcome.by_group, outcome.fronts, outcome.strip_end)
        beams = beam_series(plans[0], outcome.fronts)
        ages = strip_ages(outcome.basis, outcome.fronts)
        _write(series, lambda: save_series(plans[0], lines, beams, ages, series))


@app.command()
def rehearse(
    file: File,
    plan: PlanName = None,
    seed: Annotated[int, typer.Option(min=0, help="Number of the day to play.")] = 0,
    pace: Annotated[
        float | None,
        typer.Option(min=0.05, max=60, help="Runs by itself: seconds from event to event."),
    ] = None,
    upset: Upsets = None,
) -> None:
    """Step through one day in the terminal, key by key, and let things go wrong on the way."""
    from pourday.report import rehearsal
    from pourday.study.days import one_day

    _, warnings, plans = _prepare(file, plan, upsets=upset)
    basis = plans[0]
    replay = rehearsal.Replay(
        rehearsal.upset_reader(basis), lambda upsets: one_day(basis, seed, upsets)
    )
    console = _console()
    _warn(console, warnings)
    rehearsal.rehearse(console, one_day(basis, seed), replay, pace)


@app.command()
def starts(
    file: File,
    plan: PlanName = None,
    first: Annotated[float, typer.Option("--from", min=0, max=24, help="First hour.")] = 5,
    last: Annotated[float, typer.Option("--to", min=0, max=24, help="Last hour.")] = 10,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play of each start.")] = 40,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    json_path: JsonPath = None,
) -> None:
    """Begin the same plan at each hour: drying, finish, cold joints."""
    from pourday.report.progress import day_bar
    from pourday.report.records_study import starts_record
    from pourday.report.starts import starts_report
    from pourday.study.start_times import hours_of_day, start_times

    _check_outputs((json_path,))
    if last < first:
        _complain(f"--to: found {last:g}; allowed: {first:g} or later, the hour of --from")
        raise typer.Exit(2)
    scenario, warnings, plans = _prepare(file, plan)
    hours = hours_of_day(first * 3600, last * 3600)
    with day_bar(days * len(hours)) as told:
        found = start_times(scenario, plans[0].plan, hours, days, seed, None, told)
    console = _console()
    _warn(console, warnings)
    starts_report(console, scenario, found)
    if json_path is not None:
        _write_json(json_path, starts_record(scenario, found))


@app.command()
def compare(
    file: File,
    days: Annotated[int, typer.Option(min=1, max=100000, help="Days to play of each plan.")] = 200,
    seed: Annotated[int, typer.Option(min=0, help="Number of the first day.")] = 0,
    upset: Upsets = None,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes; all cores unless told.")
    ] = None,
    json_path: JsonPath = None,
    figures: Figures = None,
) -> None:
    """Play many days of every plan and say which plan to prefer, and why."""
    from pourday.report.compare import compare_report
    from pourday.report.progress import day_bar
    from pourday.report.records_study import compare_record
    from pourday.study.choice import choose
    from pourday.study.compare import compare as side_by_side
    from pourday.study.days import study_plans

    _check_outputs((json_path,), (figures,))
    scenario, warnings, plans = _prepare(file, None, every=True, upsets=upset)
    with day_bar(days * len(plans)) as told:
        all_days = study_plans(plans, days, seed, workers, told)
    comparison = side_by_side(all_days)
    choice = choose(comparison, all_days, scenario.limits)
    compare_report(_console(), scenario, plans, comparison, choice, warnings)
    if json_path is not None:
        _write_json(json_path, compare_record(scenario, comparison, choice))
    if figures is not None:
        from pourday.report.figures_compare import save_compare_figures
        from pourday.study.days import one_day

        outcomes = [one_day(basis, seed) for basis in plans]
        _write(figures, lambda: save_compare_figures(scenario, comparison, outcomes, figures))


@app.command()
def keys(
    table: Annotated[
        str | None, typer.Argument(help="Table such as plan or floor.openings; all unless told.")
    ] = None,
    presets: Annotated[
        bool, typer.Option("--presets", help="Print the ready values instead, with sources.")
    ] = False,
) -> None:
    """Print what may stand in a scenario file, and what every key is for."""
    from pourday.report.keys import keys_report, presets_report
    from pourday.scenario.reference import key_lines, preset_lines

    try:
        if presets:
            presets_report(_console(), preset_lines(table))
        else:
            keys_report(_console(), key_lines(table))
    except KeyError as error:
        _complain(str(error.args[0]))
        raise typer.Exit(2) from None


def main() -> None:
    """Entry point of the ``pourday`` command."""
    app()


def _prepare(
    file: Path,
    plan_name: str | None,
    every: bool = False,
    change: Callable[[Scenario], Scenario] | None = None,
    upsets: Sequence[str] | None = None,
) -> tuple[Scenario, list[str], tuple[Basis, ...]]:
    """Read and lay out; on faults print them all and leave with exit code 2."""
    from pourday.scenario.faults import ScenarioError
    from pourday.scenario.read import read_scenario
    from pourday.study.prepare import prepare, with_upsets

    try:
        scenario, warnings = read_scenario(file)
        scenario = change(scenario) if change else scenario
        plans = scenario.plans
        if not every or plan_name is not None:
            plans = (_plan(scenario, plan_name),)
        scenario = with_upsets(scenario, upsets or (), plans)
        return scenario, [warning.text for warning in warnings], prepare(scenario, plans)
    except ScenarioError as error:
        count = len(error.faults)
        _complain(f"{file}: {count} fault{'s' if count > 1 else ''}")
        for fault in error.faults:
            _complain(f"  {fault.text}")
        raise typer.Exit(2) from None


def _plan(scenario: Scenario, name: str | None) -> Any:
    if name is None:
        return scenario.plans[0]
    try:
        return scenario.plan(name)
    except KeyError as error:
        _complain(str(error.args[0]))
        raise typer.Exit(2) from None


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False)


def _warn(console: Console, warnings: list[str]) -> None:
    for text in warnings:
        console.print(f"[bold]warning:[/bold] {text}")


def _complain(text: str) -> None:
    print(text, file=sys.stderr)


def _check_outputs(
    files: tuple[Path | None, ...] = (), folders: tuple[Path | None, ...] = ()
) -> None:
    """Refuse paths that cannot be written before anything is worked out."""
    for path, wants_folder in [(f, False) for f in files] + [(f, True) for f in folders]:
        if path is None:
            continue
        if path.exists() and path.is_dir() != wants_folder:
            found = "a folder stands there" if path.is_dir() else "a file of that name stands there"
            _complain(f"{path}: cannot be written ({found})")
            raise typer.Exit(2)
        home = path if path.is_dir() else path.parent
        # Folders are made where they are missing, so the nearest one above them counts.
        while wants_folder and not home.exists() and home != home.parent:
            home = home.parent
        if not home.is_dir() or not os.access(home, os.W_OK):
            _complain(f"{path}: cannot be written (there is no such folder, or it is closed)")
            raise typer.Exit(2)


def _named(path: Path | None, ending: str, what: str) -> None:
    """Refuse a file whose name does not say what it will be."""
    if path is not None and path.suffix.lower() != ending:
        _complain(f"{path}: {what}; give it a name that ends in {ending}")
        raise typer.Exit(2)


def _write(path: Path, write: Any) -> None:
    """Write output; a path that cannot be written is a fault of the call, not a crash."""
    try:
        write()
    except OSError as error:
        _complain(f"{path}: cannot be written ({error.strerror})")
        raise typer.Exit(2) from None


def _write_json(path: Path, record: dict[str, Any]) -> None:
    text = json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    _write(path, lambda: path.write_text(text, encoding="utf-8"))
