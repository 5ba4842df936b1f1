"""Keys of a file by their path, as messages write them: ``supply.plants[1].trucks``.

Lists count from 1; a name that is no bare key stands in quotes: ``pumps."big boom".output_m3_h``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

Place = tuple[str | int, ...]

_PART = re.compile(
    r'(?P<dot>\.?)(?:(?P<bare>[A-Za-z0-9_-]+)|"(?P<quoted>[^"]+)")|\[(?P<at>\d{1,4})\]'
)


_NONE = "no path of a key, such as plan.spacing_min, supply.plants[1].trucks"


class NoPlaceError(ValueError):
    """A path that is none, or that leads nowhere; ``args[0]`` says why."""


class NoRowError(NoPlaceError):
    """A path to the row before the first."""


def place_of(path: str) -> Place:
    """The keys and positions (from 0) of a path.

    Raises:
        NoPlaceError: where it is no path; of them NoRowError where only a row 0 makes it none.
    """
    out: list[str | int] = []
    at = 0
    while at < len(path) or not out:
        part = _PART.match(path, at)
        fits = part is not None and (part["at"] is not None or bool(part["dot"]) == bool(out))
        if part is None or not fits or (part["at"] and not out):
            raise NoPlaceError(_NONE)
        if part["at"] == "0":
            raise NoRowError("no row 0: lists count from 1")
        out.append(int(part["at"]) - 1 if part["at"] else part["bare"] or part["quoted"])
        at = part.end()
    return tuple(out)


def value_at(raw: Any, place: Place) -> Any:
    """What stands there, ``None`` where nothing does."""
    for part in place:
        if isinstance(part, int):
            raw = raw[part] if isinstance(raw, list) and part < len(raw) else None
        else:
            raw = raw.get(part) if isinstance(raw, Mapping) else None
    return raw


def with_value(raw: Any, place: Place, value: Any) -> Any:
    """The same with ``value`` there; only what lies on the way is copied.

    A table that is missing on the way is made; a place in a list has to be there.

    Raises:
        NoPlaceError: where a list ends before the place, or something else stands on the way.
    """
    if not place:
        return value
    part, rest = place[0], place[1:]
    if isinstance(part, int):
        if not isinstance(raw, list) or part >= len(raw):
            there = f"the list has {len(raw)}" if isinstance(raw, list) else "no list is there"
            raise NoPlaceError(f"no item {part + 1}; {there}")
        return [with_value(each, rest, value) if n == part else each for n, each in enumerate(raw)]
    if raw is not None and not isinstance(raw, Mapping):
        raise NoPlaceError(f"no table with a key {part}")
    table = dict(raw or {})
    table[part] = with_value(table.get(part), rest, value)
    return table
