"""A candidate as text for a scenario file: its [[plan]], and what has to change beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pourday.scenario.base.faults import name_key
from pourday.scenario.candidates import Candidate

_LONGEST = 24  # letters of a plan's name


def plan_block(candidate: Candidate, taken: tuple[str, ...] = ()) -> str:
    """The [[plan]] of a candidate, ready to be put into its file, under a name not ``taken``.

    Keys outside the plan that it needs otherwise stand above it as remarks.
    """
    table = dict(candidate.written) | {"name": _free_name(candidate, taken)}
    lines = [f"# besides: {key} = {written(value)}" for key, value in candidate.beside]
    lines += ["[[plan]]", *(f"{name_key(key)} = {written(v)}" for key, v in table.items())]
    return "\n".join(lines)


def _free_name(candidate: Candidate, taken: tuple[str, ...]) -> str:
    """Its name cut to what a plan may have, between values where it can, with a number if taken.

    Where the name of its plan leaves no room for the values, these alone.
    """
    name = candidate.name
    if len(name) > _LONGEST:
        name = name.removeprefix(f"{candidate.of}, ")
    for number in range(1, len(taken) + 2):
        tail = "" if number == 1 else f" ({number})"
        room = _LONGEST - len(tail)
        cut = name if len(name) <= room else name[: room + 1].rpartition(", ")[0] or name[:room]
        if cut[:room] + tail not in taken:
            break
    return cut[:room] + tail


def written(value: Any) -> str:
    """A value as TOML has it on one line."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            text = value.replace("\\", "\\\\").replace('"', '\\"')
            return f'"{text}"'
        case Mapping():
            inner = ", ".join(f"{name_key(key)} = {written(item)}" for key, item in value.items())
            return f"{{ {inner} }}"
        case list():
            return f"[{', '.join(map(written, value))}]"
        case _:
            return str(value)
