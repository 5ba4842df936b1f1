"""``pourday new``: a first scenario file from a dozen answers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pourday.commands.shared.asked import Texts, in_terminal, made, told
from pourday.commands.shared.files import check_outputs, leave, named, save
from pourday.commands.shared.prepared import tell_faults
from pourday.commands.shared.screen import complain, console, typed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from pourday.scenario.begin.questions import Question
    from pourday.scenario.begin.text import PlanLine

    Made = tuple[str, tuple[PlanLine, ...], Mapping[str, Any]]

Answer = str | None


def new(  # one option a question
    file: Annotated[Path, typer.Argument(help="File to write (.toml).", show_default=False)],
    like: Annotated[
        Answer, typer.Option(help="Answers of a shipped scenario (clinic) or of a file.")
    ] = None,
    proposed: Annotated[
        bool, typer.Option("--proposed", help="Ask nothing: take what is proposed.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over an old file.")] = False,
    title: Annotated[Answer, typer.Option(help="Name of the floor.")] = None,
    date: Annotated[Answer, typer.Option(help="Day of the pour, 2027-05-12.")] = None,
    spans: Annotated[Answer, typer.Option(help='Spans along the sheets, m: "2x3.2 4x3".')] = None,
    sheets: Annotated[Answer, typer.Option(help='Spans under each sheet: "2 2 2".')] = None,
    width: Annotated[Answer, typer.Option(help="Width across the sheets, m.")] = None,
    holes: Annotated[Answer, typer.Option(help='"12.8-15 by 10-12.4; ...", or none.')] = None,
    slab: Annotated[Answer, typer.Option(help='Depth mm, ribs m³/m²: "130 0.028".')] = None,
    props: Annotated[Answer, typer.Option(help="Lines of props in each span.")] = None,
    stiffness: Annotated[Answer, typer.Option(help="EI of the deck, kNm² per m.")] = None,
    mix: Annotated[Answer, typer.Option(help="A preset of `pourday keys mix --presets`.")] = None,
    weather: Annotated[Answer, typer.Option(help="cool_damp, mild or hot_windy.")] = None,
    height: Annotated[Answer, typer.Option(help="Height above the street, m.")] = None,
    pump: Annotated[Answer, typer.Option(help="A preset of `keys pumps --presets`.")] = None,
    crew: Annotated[Answer, typer.Option(help="A preset of `keys crews --presets`.")] = None,
    trucks: Annotated[Answer, typer.Option(help='How many, m³, minutes away: "4 6 20".')] = None,
    start: Annotated[Answer, typer.Option(help="First truck wanted at, 07:00.")] = None,
    curfew: Annotated[Answer, typer.Option(help="Everybody gone by, 19:00, or none.")] = None,
    prices: Annotated[Answer, typer.Option(help='m³, person h, truck min: "140 40 1.5".')] = None,
    currency: Annotated[Answer, typer.Option(help="EUR unless told.")] = None,
) -> None:
    """Write a commented scenario of your own floor that runs at once; asks a dozen questions."""
    options = {
        "title": title, "date": date, "spans": spans, "sheets": sheets, "width": width,
        "holes": holes, "slab": slab, "props": props, "stiffness": stiffness, "mix": mix,
        "weather": weather, "height": height, "pump": pump, "crew": crew, "trucks": trucks,
        "start": start, "curfew": curfew, "prices": prices, "currency": currency,
    }  # fmt: skip
    named(file, ".toml", "a scenario is a .toml file")
    _refuse_old(file, force)
    check_outputs(files=(file,))
    texts = {name: typed(text) for name, text in options.items() if text is not None}
    try:
        text, plans, values = _asked(file, texts, like, proposed)
    except (KeyboardInterrupt, EOFError):
        print()
        complain("stopped; no file was written")
        raise SystemExit(130) from None
    _refuse_old(file, force)  # it may have come while the questions were asked
    leave(save((file, lambda path: _write(path, text))))
    _say(file, plans, values)


def _asked(file: Path, texts: Texts, like: str | None, proposed: bool) -> Made:
    """The text of the file, its plans, and the values of the answers."""
    from datetime import date as calendar

    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.begin.questions import answers_from, questions
    from pourday.study.fed import first_file

    every = questions(typed(file.stem), calendar.today())
    rows = _taken(every, texts, like) if like is not None else ()

    def _make(values: Mapping[str, Any]) -> Made:
        own = {"hours": rows, "weather": ""} if rows else {}
        return *first_file(answers_from({**values, **own})), values

    if like is None and not proposed and in_terminal():
        print("Enter takes what stands in brackets; Ctrl-C leaves no file.")
        return made(every, texts, _make)
    values = told(every, texts, proposed or like is not None)
    try:
        return _make(values)
    except ScenarioError as error:
        tell_faults(error, "these answers make no floor that can be poured: ")
        raise typer.Exit(2) from None


def _taken(every: Sequence[Question], texts: Texts, name: str) -> tuple[Mapping[str, Any], ...]:
    """Fill ``texts`` with what a file says and no option does; the rows of its weather."""
    from pourday.scenario.base.faults import ScenarioError
    from pourday.scenario.begin.like import found, like
    from pourday.scenario.read import read_scenario

    try:
        path = found(typed(name))
        read_scenario(path)
    except KeyError as error:
        complain(f"--like {error.args[0]}")
        raise typer.Exit(2) from None
    except ScenarioError as error:
        tell_faults(error, f"{name}: ")
        raise typer.Exit(2) from None
    said, rows = like(path)
    taken = [each.name for each in every if each.name in said and each.name not in texts]
    own_weather = "weather" in texts
    texts.update({key: said[key] for key in taken})
    words = ", ".join([*taken, *([] if own_weather or "weather" in taken else ["weather"])])
    out = console()
    out.print(f"From {path.name}: {words}.")
    out.print("Not from it: resistances, beams, plans, and what no question asks for.")
    return () if own_weather else rows


def _refuse_old(file: Path, force: bool) -> None:
    if file.exists() and not force:
        complain(f"{file}: is there already; --force writes over it")
        raise typer.Exit(2)


def _write(path: Path, text: str) -> None:
    from pourday.scenario.base.written import replaced

    with replaced(path) as file:
        file.write(text.encode("utf-8"))


def _say(file: Path, plans: Sequence[PlanLine], values: Mapping[str, Any]) -> None:
    from shlex import quote

    from pourday.scenario.begin.questions import volume

    out = console()
    name = quote(str(file))
    out.print(f"{file}: about {volume(values):.0f} m³ less the holes, {len(plans)} plans")
    for plan in plans:
        out.print(f"  {plan.name:<15} {plan.why}")
    out.print(
        "Spacings are the model's forecast of what each pump and crew take on this floor. PUT IN "
        "marks what only supplier, engineer and forecast can say. Resistances are blank: until "
        'they stand there the deck share reads "not judged".'
    )
    out.print("Next:")
    for command in ("check", "day", "compare"):
        out.print(f"  pourday {command} {name}", soft_wrap=True)
