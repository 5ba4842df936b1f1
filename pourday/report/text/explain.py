"""What a figure of the reports is, its formula, where that comes from, and which key moves it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from itertools import groupby

from rich.console import Console
from rich.text import Text

from pourday.report.words import dim, heading, marked
from pourday.scenario.reference import key_lines

_GROUPS = ("floor", "day", "concrete", "edges", "deck", "finishing", "money", "verdict", "tickets")
_METHODS = "docs/methods.md"
_INDENT = 10
# What stands behind or before the name of a figure in a report, and is no part of it.
_UNITS = re.compile(
    r" (m³/h|kg/m²/h|ft2?/h|kNm?/m|kNm?|kN|m³|m²|yd³|ft²|ft|in|mm|min|mean|clock|days|hours|h|m|"
    r"after [\d.]+ h)$"
)
_CURRENCY = re.compile(r"^[A-Z]{3} (?=[a-z])")


@dataclass(frozen=True)
class Figure:
    """Names under which a figure is printed, what it is, and how and from what it is worked out.

    ``also`` are names by which it is found and not listed, ``says`` a sentence that stands word
    for word on ``page`` ("" for none), ``keys`` those of the file that move it most.
    """

    question: str
    names: tuple[str, ...]
    also: tuple[str, ...]
    what: str
    formula: str
    source: str
    page: str
    says: str
    keys: tuple[str, ...]


@cache
def figures() -> tuple[Figure, ...]:
    """Every explained figure, by question."""
    out = []
    for group in _GROUPS:
        path = files("pourday.report.text").joinpath("explained", f"{group}.toml")
        read = tomllib.loads(path.read_text("utf-8"))
        out += [
            Figure(
                read["question"],
                tuple(raw["names"]),
                tuple(raw.get("also", ())),
                raw["what"],
                raw["formula"],
                raw["source"],
                raw.get("page", _METHODS),
                raw.get("says", ""),
                tuple(raw["keys"]),
            )
            for raw in read["figure"]
        ]
    return tuple(out)


def _readings(word: str) -> Iterator[str]:
    """A word as it stands in a report, then with less and less of what is around its name."""
    asked = " ".join(word.split()).rstrip(":.")
    yield asked
    yield re.split(r" [\d.]", asked)[0]  # "mats 0.5 m²K/W after last pass"
    asked = re.sub(r" *\([^()]*\)$", "", _CURRENCY.sub("", asked))
    while asked:
        yield asked
        bare = _UNITS.sub("", asked)
        while bare != asked:  # "labour, overtime hours after 9 h"
            yield bare
            asked, bare = bare, _UNITS.sub("", bare)
        asked = re.sub(r"(^|[,:])[^,:]*$", "", asked).strip()  # "deck: share of design, EN"


def explained(word: str) -> Figure:
    """The figure of that name: as printed, with or without its unit.

    Raises:
        KeyError: where there is none; the text names those that are close.
    """
    known = {name.casefold(): fig for fig in figures() for name in (*fig.names, *fig.also)}
    for reading in _readings(word):
        if reading.casefold() in known:
            return known[reading.casefold()]
    close = get_close_matches(" ".join(word.casefold().split()), known, n=9, cutoff=0.6)
    alike = list({known[name].names: name for name in reversed(close)}.values())[::-1][:3]
    meant = f"did you mean {' or '.join(alike)}?" if alike else "`pourday explain` lists all"
    raise KeyError(f"{word!r} is not explained; {meant}")


def explain_report(console: Console, word: str) -> None:
    """Print one figure in less than a screen.

    Raises:
        KeyError: as :func:`explained`.
    """
    figure = explained(word)
    console.print(marked((figure.names[0], "bold"), f"   {figure.question}"))
    if len(figure.names) > 1:
        console.print(dim(f"also: {'; '.join(figure.names[1:])}"))
    console.print(Text(figure.what))
    _row(console, "Formula", figure.formula)
    _row(console, "Source", figure.source)
    if figure.says:
        _row(console, "Method", f"{figure.says.replace('`', '')} ({figure.page})")
    else:
        _row(console, "Method", figure.page)
    meanings = {f"{line.table}.{line.key}": line.meaning for line in key_lines()}
    for key in figure.keys:
        short = re.split(r"[;:]| \(", meanings[key])[0]
        _row(console, "Key", f"{key}: {short}")


def _row(console: Console, head: str, text: str) -> None:
    """A head and its text, which stays right of the head over all its lines."""
    lines = Text(text).wrap(console, max(console.width - _INDENT, 20))
    console.print(marked((f"{head:<{_INDENT}}", "bold"), lines[0].plain.rstrip()))
    for line in lines[1:]:
        console.print(Text(" " * _INDENT + line.plain.rstrip()))


def explained_list(console: Console) -> None:
    """Print every name that is explained, by question."""
    for question, group in groupby(figures(), key=lambda figure: figure.question):
        heading(console, question)
        for figure in group:
            console.print(marked((figure.names[0], "bold"), *_others(figure)))
    console.print(dim('pourday explain "NAME"'))


def _others(figure: Figure) -> list[str]:
    return [f": {'; '.join(figure.names[1:])}"] if len(figure.names) > 1 else []


def figures_markdown() -> str:
    """The page docs/figures.md: every figure with its formula, source and keys, by question."""
    lines = [
        "# What is each figure, and how is it worked out?",
        "",
        "Printed from the program: `pourday explain NAME` says the same in the terminal. NAME is",
        "what stands in a report, with or without its unit. The methods behind the formulas, and",
        "what they were checked against, are in [methods.md](methods.md).",
    ]
    for question, group in groupby(figures(), key=lambda figure: figure.question):
        lines += ["", f"## {question}"]
        for figure in group:
            lines += ["", *_entry(figure)]
    return "\n".join([*lines, ""])


def _entry(figure: Figure) -> list[str]:
    page = figure.page.removeprefix("docs/")
    also = f" ({'; '.join(figure.names[1:])})" if len(figure.names) > 1 else ""
    return [
        f"**{figure.names[0]}**{also}. {figure.what}",
        "",
        f"    {figure.formula}",
        "",
        f"Source: {figure.source}. Method: [{page}]({page}). "
        f"Keys: {', '.join(f'`{key}`' for key in figure.keys)}.",
    ]
