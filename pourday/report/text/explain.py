"""What a figure of the reports is, where it comes from, and which key moves it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from itertools import groupby

from rich.console import Console

from pourday.report.words import dim, heading, marked
from pourday.scenario.reference import key_lines

PAGE = "docs/methods.md"


@dataclass(frozen=True)
class Figure:
    """Names under which a figure is printed, what it is, what the methods page says, its keys."""

    question: str
    names: tuple[str, ...]
    what: str
    says: str
    keys: tuple[str, ...]


@cache
def figures() -> tuple[Figure, ...]:
    """Every explained figure, by question."""
    text = files("pourday.report.text").joinpath("explained.toml").read_text("utf-8")
    return tuple(
        Figure(raw["question"], tuple(raw["names"]), raw["what"], raw["says"], tuple(raw["keys"]))
        for raw in tomllib.loads(text)["figure"]
    )


def explained(word: str) -> Figure:
    """The figure of that name: as printed, or without its unit.

    Raises:
        KeyError: where there is none; the text names those that are close.
    """
    known = {name.casefold(): figure for figure in figures() for name in figure.names}
    asked = " ".join(word.casefold().split())
    while asked:
        if asked in known:
            return known[asked]
        asked = asked.rpartition(",")[0].strip()  # "pour, hours" is "pour"
    close = get_close_matches(word.casefold(), known, n=3, cutoff=0.5)
    meant = f"did you mean {', '.join(close)}?" if close else "`pourday explain` lists them"
    raise KeyError(f"{word!r} is not explained; {meant}")


def explain_report(console: Console, word: str) -> None:
    """Print one figure in less than a screen.

    Raises:
        KeyError: as :func:`explained`.
    """
    figure = explained(word)
    console.print(marked((word, "bold"), f"   {figure.question}"))
    console.print(figure.what)
    console.print(f"{PAGE}: {figure.says.replace('`', '')}")
    meanings = {f"{line.table}.{line.key}": line.meaning for line in key_lines()}
    for key in figure.keys:
        console.print(marked((key, "bold"), f": {meanings[key].split(';')[0]}"))


def explained_list(console: Console) -> None:
    """Print every name that is explained, by question."""
    for question, group in groupby(figures(), key=lambda figure: figure.question):
        heading(console, question)
        console.print("; ".join(name for figure in group for name in figure.names))
    console.print(dim('pourday explain "NAME"'))
