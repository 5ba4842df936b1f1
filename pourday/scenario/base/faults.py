"""What is wrong in a scenario file, one line a fault, in words a planner can act on.

A fault names the key, the value found, the whole range allowed and its unit. ``table_faults``
turns what a table refuses into such lines; ``allowed.py`` says what a key takes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from difflib import get_close_matches
from typing import Any, Literal

from pydantic import ValidationError

from pourday.scenario.base.allowed import choices, describe, key_at, model_at
from pourday.scenario.base.quantities import Table
from pourday.scenario.base.text import printable
from pourday.scenario.base.units import ending_of
from pourday.scenario.base.us_units import TWINS, twin_of

_BARE = re.compile(r"[A-Za-z0-9_-]{1,60}")
_LONGEST = 40
# What is said of a key rather than found in it.
_STATES = ("missing", "no such", "both given", "neither given", "given while")


@dataclass(frozen=True)
class Fault:
    """One fault or warning: key path, value found, what is allowed, its unit, what to do.

    ``path`` counts lists from 1. ``found``, ``allowed``, ``unit`` (in words) and ``advice`` are
    text, empty where they say nothing. A "warning" never stops a run.
    """

    path: str
    found: str
    allowed: str = ""
    unit: str = ""
    advice: str = ""
    severity: Literal["fault", "warning"] = "fault"

    @property
    def text(self) -> str:
        """The fault in one line."""
        label = "allowed" if self.severity == "fault" else "better"
        allowed = f"{label}: {self.allowed}" if self.allowed else ""
        if allowed and self.unit:
            allowed += f", in {self.unit}"
        is_value = bool(allowed) and not self.found.startswith(_STATES)
        parts = (f"found {self.found}" if is_value else self.found, allowed, self.advice)
        return f"{self.path}: " + "; ".join(part for part in parts if part)


class ScenarioError(Exception):
    """A scenario file that cannot be used; ``faults`` holds every fault found in it."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        """Keep the faults; the text of the error is one line for each."""
        super().__init__("\n".join(fault.text for fault in faults))
        self.faults = tuple(faults)

    def __reduce__(self) -> tuple[type[ScenarioError], tuple[Sequence[Fault]]]:
        """How it goes from one process to another: by its faults, not by its text."""
        return type(self), (self.faults,)


def show(value: object) -> str:
    """A value as it stands in a TOML file, cut to one short line."""
    match value:
        case bool():
            return "true" if value else "false"
        case int() if abs(value) >= 10**15:
            return "a whole number of more than 15 digits"
        case float() if math.isfinite(value) and 1e-4 <= abs(value) < 1e15:
            return repr(value).removesuffix(".0")
        case int() | float():
            return f"{value:g}"
        case str():
            cut = value if len(value) <= _LONGEST else value[: _LONGEST - 3] + "..."
            quoted = printable(cut).replace('"', '\\"')
            return f'"{quoted}"'
        case date() | time():
            return f"{value.isoformat()} (a date or time)"
        case list():
            return f"a list of {len(value)}" if value else "an empty list"
        case Mapping():
            return "a table with " + (", ".join(map(name_key, list(value)[:6])) or "nothing in it")
        case _:
            return "something else"


def clock(seconds: float) -> str:
    """Clock time "HH:MM" from seconds since midnight; hours run on past 24."""
    return f"{int(seconds // 3600):02d}:{int(seconds % 3600 // 60):02d}"


def name_key(key: str) -> str:
    """A key as it stands in a TOML file: bare, or in quotes where it must be."""
    return key if _BARE.fullmatch(key) else show(key)


def join(*parts: str) -> str:
    """Key path from its parts, such as ``pumps.boom.output_m3_h``."""
    return ".".join(name_key(part) for part in parts)


def listed(path: str, number: int, key: str, name: object) -> str:
    """Path of a key in a named list: ``plan[2].start (plan "late")``; number from 1."""
    tail = f".{key}" if key else ""
    return f"{path}[{number}]{tail}" + (f" ({path} {show(name)})" if isinstance(name, str) else "")


def names_differ(path: str, names: Mapping[int, str]) -> Iterator[Fault]:
    """Faults of a named list where a name comes again; names by their number, from 1."""
    seen: dict[str, int] = {}
    for number, name in names.items():
        if name in seen:
            rule = f"a name of its own; {path} {seen[name]} has this one"
            yield Fault(listed(path, number, "name", None), show(name), rule)
        seen.setdefault(name, number)


def nearest(word: str, known: Iterable[str], what: str) -> str:
    """``did you mean "..."?`` or, where none is close, the list of what there is."""
    names = list(known)
    close = get_close_matches(word, names, n=1, cutoff=0.6)
    if close:
        return f"did you mean {show(close[0])}?"
    return f"{what}: {', '.join(map(name_key, names))}" if names else f"{what}: none"


def unknown(path: str, name: str, known: Iterable[str], rule: str, what: str) -> Fault:
    """A name that is none of those there are; ``rule`` says of what, ``what`` begins their list."""
    return Fault(path, show(name), rule, advice=nearest(name, known, what))


def table_faults(
    error: ValidationError, model: type[Table], path: str, name: object = ""
) -> list[Fault]:
    """Faults of one table, in order of its keys as pydantic met them.

    Args:
        error: what ``model.model_validate(raw)`` raised.
        model: the table's model.
        path: key path of the table, such as ``floor`` or ``plan[2]``.
        name: name to print beside the path of a list item, if it is text and not empty.
    """
    note = f" (plan {show(name)})" if isinstance(name, str) and name else ""
    return [
        _fault(dict(item), model, path, note)
        for item in error.errors(include_url=False, include_context=True)
    ]


def _fault(item: Mapping[str, Any], model: type[Table], path: str, note: str) -> Fault:
    place: tuple[str | int, ...] = item["loc"]
    here = _path_text(path, place) + note
    key = key_at(place)
    unit = ending_of(key)[1]
    if item["type"] == "extra_forbidden":
        return Fault(here, "no key of that name", advice=_meant(key, model_at(model, place[:-1])))
    allowed = describe(model, place)
    if item["type"] == "missing":
        return Fault(here, "missing", allowed, unit)
    found = show(item["input"])
    advice = ""
    if item["type"] == "quantity" and isinstance(item["input"], Mapping):
        advice = str(item["ctx"]["advice"])
    elif item["type"] == "literal_error" and isinstance(item["input"], str):
        close = get_close_matches(item["input"], choices(model, place), n=1)
        advice = f"did you mean {show(close[0])}?" if close else ""
    elif item["type"] == "int_type" and isinstance(item["input"], float):
        advice = "write it without a decimal point"
    elif isinstance(item["input"], str) and _is_number(item["input"]) and "a number" in allowed:
        advice = "write the number without quotes"
    if place[:-1] == () and key == "preset":
        advice = advice or 'the name of a preset, such as preset = "..."'
    return Fault(here, found, allowed, unit, advice)


def _meant(key: str, model: type[Table]) -> str:
    """The key that was meant, in its metric or its US spelling, or all there are."""
    own = list(model.model_fields)
    twins = [twin.key for twin in map(twin_of, own) if twin is not None]
    if key.endswith(tuple(us for us, _, _ in TWINS.values())):
        close = get_close_matches(key, twins, n=1, cutoff=0.6)
        if close:
            return f"did you mean {show(close[0])}?"
    return nearest(key, own, "the keys are")


def _path_text(path: str, place: tuple[str | int, ...]) -> str:
    text = path
    for part in place:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{name_key(part)}"
    return text


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False
