"""Every key a scenario file may hold, and every preset, as lines for a reader.

What a key takes and what it is unless told come from the tables in ``file.py``, so that they
cannot drift; what it is for stands in ``presets/keys.toml``, one sentence a key.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from pourday.scenario.base.allowed import describe, model_at
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.faults import clock, nearest, show
from pourday.scenario.base.quantities import Table, Within
from pourday.scenario.base.units import ending_of
from pourday.scenario.base.us_units import numbers_in_us, twin_of
from pourday.scenario.presets import (
    KIND_OF,
    preset,
    preset_names,
    preset_sources,
    weather_sample,
    weather_samples,
)
from pourday.scenario.tables.file import LISTED, NAMED, PLAIN_KEYS, TABLES

FILE = "file"
"""Name of the keys that stand before the first table."""
MUST, LEFT_OUT, EMPTY = "must be there", "left out", "an empty list"
"""Words for a key without a default, and for the defaults None and []."""

# What can stand in for the keys of a table that must be there.
_GIVEN_BY = {
    "mix": "a preset",
    "pumps": "a preset",
    "crews": "a preset",
    "weather": "csv or sample",
}
_PLAIN = {
    str: ("text in quotes", "the name of the file without its ending"),
    date: ("a date without quotes or time, such as 2027-05-12", MUST),
}
WEATHER = "weather"


@dataclass(frozen=True)
class KeyLine:
    """One key of one table.

    ``table`` is its path in the file ("floor.openings"); ``allowed`` says in words what the key
    takes, ``unit`` in which unit (empty for none); ``default`` is the value it has unless told,
    in that unit, or :data:`MUST` and what can stand in for it, :data:`LEFT_OUT` or :data:`EMPTY`;
    ``meaning`` is one sentence on what it is for.
    """

    table: str
    key: str
    allowed: str
    unit: str
    default: str
    meaning: str


@dataclass(frozen=True)
class PresetLine:
    """One value of one preset: ``table`` it serves, ``name``, key, value in words, source.

    A row of a sample day of weather has its clock time for ``key``.
    """

    table: str
    name: str
    key: str
    value: str
    source: str


@cache
def tables() -> Mapping[str, type[Table] | None]:
    """Every table by its path, in the order of the file; None for the keys before them."""
    top = {key: model for key, (model, _) in TABLES.items()} | NAMED | LISTED
    found: dict[str, type[Table] | None] = {FILE: None}
    for path, model in top.items():
        model.model_rebuild()  # where a table names another that stands below it in file.py
        found |= {path: model} | dict(_nested(path, model))
    return found


def title(table: str) -> str:
    """A table's path as it stands in a scenario file: "[floor]", "[[plan]]", "[pumps.NAME]"."""
    if table == FILE:
        return "Before the first table"
    parent, _, key = table.rpartition(".")
    if table in LISTED or (parent and _is_list(tables()[parent], key)):
        return f"[[{table}]]"
    return f"[{table}.NAME]" if table in NAMED else f"[{table}]"


def key_lines(table: str | None = None, us: bool = False) -> tuple[KeyLine, ...]:
    """The keys of a table and of the tables inside it; of all tables unless told.

    With ``us`` a key that has a US twin stands as that, its limits and default in its unit.

    Raises:
        KeyError: no such table; the text names those there are.
    """
    known = tables()
    name = None if table is None else table.strip("[] ").removesuffix(".NAME")
    if name is not None and name not in known:
        raise KeyError(_no_table(name, list(known)))
    chosen = [path for path in known if name is None or f"{path}.".startswith(f"{name}.")]
    lines = tuple(line for path in chosen for line in _lines_of(path, known[path]))
    return tuple(map(_in_us, lines)) if us else lines


def _in_us(line: KeyLine) -> KeyLine:
    twin = twin_of(line.key)
    if twin is None:
        return line
    allowed, default = numbers_in_us(line.allowed, twin), line.default
    if not default.startswith((MUST, LEFT_OUT, EMPTY)):
        default = numbers_in_us(default, twin)
    return replace(line, key=twin.key, allowed=allowed, unit=twin.unit, default=default)


def preset_lines(table: str | None = None) -> tuple[PresetLine, ...]:
    """The presets of a table and the sample days of weather; of all tables unless told.

    Raises:
        KeyError: a table without presets; the text names those that have some.
    """
    known = (*KIND_OF, WEATHER)
    name = None if table is None else table.strip("[] ").removesuffix(".NAME")
    if name is not None and name not in known:
        raise KeyError(_no_table(name, list(known), "table with presets"))
    return tuple(line for each in known if name in (None, each) for line in _presets_of(each))


def meanings() -> dict[str, dict[str, str]]:
    """The sentences of ``keys.toml``: path of a table -> key -> what it is for."""
    return {table: dict(keys) for table, keys in _toml("keys").items()}


def _no_table(name: str, known: list[str], what: str = "table") -> str:
    close = nearest(name, known, "")
    hint = f" {close}" if close.startswith("did you mean") else ""
    return f"no {what} {show(name)};{hint} the tables are: {', '.join(known)}"


def _nested(path: str, model: type[Table]) -> Iterator[tuple[str, type[Table]]]:
    for key in model.model_fields:
        inner = _inner(model, key)
        if inner is not None:
            yield f"{path}.{key}", inner


def _inner(model: type[Table], key: str) -> type[Table] | None:
    """The table that stands at a key, or in the list there."""
    place = (key, 0) if _is_list(model, key) else (key,)
    found = model_at(model, place)
    return None if found is model else found


def _is_list(model: type[Table] | None, key: str) -> bool:
    return model is not None and describe(model, (key,)).startswith("a list")


def _lines_of(path: str, model: type[Table] | None) -> Iterator[KeyLine]:
    meaning = meanings()[path]
    if model is None:
        for key, kind in PLAIN_KEYS.items():
            yield KeyLine(path, key, _PLAIN[kind][0], "", _PLAIN[kind][1], meaning[key])
        return
    for key, field in model.model_fields.items():
        yield KeyLine(
            table=path,
            key=key,
            allowed=_allowed(path, model, key),
            unit=ending_of(key)[1],
            default=_default(path, field),
            meaning=meaning[key],
        )


def _allowed(path: str, model: type[Table], key: str) -> str:
    """``describe`` in fewer words: tables are named, not listed key by key."""
    words = describe(model, (key,))
    if _inner(model, key) is not None:
        return f"{words.partition(' with the keys ')[0]}, {title(f'{path}.{key}')}"
    number, mark, _ = words.partition(", or a distribution")
    return number.replace("a number", "number or distribution", 1) if mark else words


def _default(path: str, field: FieldInfo) -> str:
    if field.is_required():
        other = _GIVEN_BY.get(path)
        return f"{MUST}, unless {other} gives it" if other else MUST
    value = field.get_default(call_default_factory=True)
    if value is None:
        return LEFT_OUT
    if value == []:
        return EMPTY
    if _is_clock(field):
        return f'"{clock(value)}"'
    return in_words(value)


def _is_clock(field: FieldInfo) -> bool:
    return any(
        isinstance(m, BeforeValidator) and not isinstance(m.func, Within) for m in field.metadata
    )


def in_words(value: Any) -> str:
    """A value of a scenario file for a reader; numbers to six digits, distributions spelled out."""
    match value:
        case Distribution():
            return in_words(value.as_written())
        case list():
            return ", ".join(in_words(item) for item in value)
        case Mapping() if "dist" not in value:
            return ", ".join(f"{key} {number:g}" for key, number in value.items())
        case Mapping():
            parts = (f"{key} {number:g}" for key, number in value.items() if key != "dist")
            return f"{value['dist']}: {', '.join(parts)}"
        case bool() | str():
            return show(value)
        case _:
            return f"{value:g}"


def _presets_of(table: str) -> Iterator[PresetLine]:
    if table == WEATHER:
        for name in weather_samples():
            source = str(_toml("weather")[name]["source"])
            for row in weather_sample(name):
                values = (f"{key} {in_words(value)}" for key, value in row.items() if key != "at")
                yield PresetLine(table, name, row["at"], ", ".join(values), source)
        return
    kind = KIND_OF[table]
    for name in preset_names(kind):
        sources = preset_sources(kind, name)
        for key, value in preset(kind, name).items():
            yield PresetLine(table, name, key, in_words(value), sources[key])


@cache
def _toml(name: str) -> dict[str, dict[str, Any]]:
    text = files("pourday.scenario").joinpath("presets", f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)
