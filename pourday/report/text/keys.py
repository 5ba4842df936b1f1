"""The keys of a scenario file and the presets, printed or as pages for docs/."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rich.console import Console
from rich.text import Text

from pourday.report.words import heading, table
from pourday.scenario.reference import (
    FILE,
    LEFT_OUT,
    MUST,
    WEATHER,
    KeyLine,
    PresetLine,
    key_lines,
    preset_lines,
    title,
)

_PRESETS = {
    "pumps": "Pumps",
    "crews": "Crews",
    "mix": "Mixes",
    "finishing": "Power floats",
    WEATHER: "Sample days of weather",
}
_WRITTEN = "This page is printed by the program, as `pourday {}` shows it; do not edit it by hand."


def keys_report(console: Console, lines: Sequence[KeyLine]) -> None:
    """Print keys table by table: what a key is for, what it takes, what it is unless told."""
    for path, group in groupby(lines, key=lambda line: line.table):
        heading(console, title(path))
        rows = table("key", "what it is for, and what it takes")
        rows.columns[0].no_wrap = True
        for line in group:
            takes = f"\n{_takes(line)}; {_unless_told(line)}"
            rows.add_row(Text(line.key, "bold"), Text(line.meaning) + Text(takes, "dim"))
        console.print(rows)


def presets_report(console: Console, lines: Sequence[PresetLine]) -> None:
    """Print presets one by one: every value in the unit of its key, and its source."""
    for (of, name), group in groupby(lines, key=lambda line: (line.table, line.name)):
        heading(console, f"{_PRESETS[of]}: {name}")
        rows = table("time" if of == WEATHER else "key", "value", "source")
        rows.columns[0].no_wrap = True
        for line in group:
            rows.add_row(Text(line.key, "bold"), Text(line.value), Text(line.source))
        console.print(rows)


def keys_markdown() -> str:
    """The page docs/keys.md."""
    parts = [
        "# What may stand in a scenario file?",
        _WRITTEN.format("keys"),
        "Every key of every table: what it takes, what it is unless told, what it is for. "
        f'"{MUST.capitalize()}" marks a key without which a file is refused; a table that is left '
        "out takes its defaults, where it has them for all its keys. A distribution is written as "
        "in [scenario.md](scenario.md); its values stay in the range of the key. `pourday keys "
        "TABLE` prints one table; ready values for pumps, crews, mixes and weather are in "
        "[presets.md](presets.md).",
    ]
    for path, group in groupby(key_lines(), key=lambda line: line.table):
        parts.append("## " + (title(path) if path == FILE else f"`{title(path)}`"))
        parts.append(
            _markdown_table(
                ("key", "may be", "unless told", "what it is for"),
                [(f"`{each.key}`", _takes(each), each.default, each.meaning) for each in group],
            )
        )
    return "\n\n".join(parts) + "\n"


def presets_markdown() -> str:
    """The page docs/presets.md."""
    parts = [
        "# Which ready values are there?",
        _WRITTEN.format("keys --presets"),
        'A table names one with `preset = "..."`; a key beside it replaces its value. Values are '
        "in the unit at the end of their key ([keys.md](keys.md)). They are generic: put your own "
        "figures in, prices above all.",
    ]
    for of, group in groupby(preset_lines(), key=lambda line: line.table):
        parts.append(f"## {_PRESETS[of]}")
        if of == WEATHER:
            parts.append('`[weather]` names one with `sample = "..."`. All of them are invented.')
        for name, values in groupby(group, key=lambda line: line.name):
            parts.append(f"### `{name}`")
            parts.append(
                _markdown_table(
                    ("time" if of == WEATHER else "key", "value", "source"),
                    [(f"`{each.key}`", each.value, each.source) for each in values],
                )
            )
    return "\n\n".join(parts) + "\n"


def _takes(line: KeyLine) -> str:
    return line.allowed + (f", in {line.unit}" if line.unit else "")


def _unless_told(line: KeyLine) -> str:
    """The default as the end of a sentence."""
    if line.default == LEFT_OUT:
        return "may be left out"
    return line.default if line.default.startswith(MUST) else f"unless told {line.default}"


def _markdown_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)
