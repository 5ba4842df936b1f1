"""What a key of a scenario file takes, in words, read from the limits beside it in ``file.py``.

Walks the type hints of a table: one place for the limits, so messages and docs cannot drift.
"""

from __future__ import annotations

import types
from datetime import date
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.quantities import CLOCK, Table, Within

Place = tuple[str | int, ...]


def key_at(place: Place) -> str:
    """The last key of a place (numbers are positions in a list): it carries the unit."""
    return next((part for part in reversed(place) if isinstance(part, str)), "")


def model_at(model: type[Table], place: Place) -> type[Table]:
    """The table that stands at ``place`` below ``model``."""
    hint, _ = hint_at(model, place)
    return hint if isinstance(hint, type) and issubclass(hint, Table) else model


def choices(model: type[Table], place: Place) -> tuple[str, ...]:
    """The words that the key at ``place`` takes; empty where it takes other things."""
    hint, _ = hint_at(model, place)
    return get_args(hint) if get_origin(hint) is Literal else ()


def describe(model: type[Table], place: Place) -> str:
    """What the key at ``place`` takes: kind and whole range, without the unit."""
    return _words(*hint_at(model, place))


def hint_at(model: type[Table], place: Place) -> tuple[Any, list[Any]]:
    """Bare type and metadata of the key at ``place``; ``X | None`` counts as X."""
    hint: Any = model
    meta: list[Any] = []
    for part in place:
        if isinstance(part, int):
            hint, meta = bare(get_args(hint)[0], [])
        elif isinstance(hint, type) and issubclass(hint, Table) and part in hint.model_fields:
            field = hint.model_fields[part]
            hint, meta = bare(field.annotation, list(field.metadata))
        else:
            return object, []
    return hint, meta


def bare(hint: Any, meta: list[Any]) -> tuple[Any, list[Any]]:
    """A type without ``| None`` and ``Annotated``, and ``meta`` with what stood in the latter."""
    while True:
        if get_origin(hint) in (Union, types.UnionType):
            hint = next(arg for arg in get_args(hint) if arg is not type(None))
        elif get_origin(hint) is Annotated:
            hint, *more = get_args(hint)
            for item in more:
                meta = meta + (list(item.metadata) if isinstance(item, FieldInfo) else [item])
        else:
            return hint, meta


def _words(hint: Any, meta: list[Any]) -> str:
    for item in meta:
        if isinstance(item, BeforeValidator):
            if isinstance(item.func, Within):
                span = f"a number from {item.func.low:g} to {item.func.high:g}"
                return f"{span}, or a distribution that stays within it"
            return CLOCK
    if get_origin(hint) is Literal:
        words = [f'"{word}"' for word in get_args(hint)]
        return ", ".join(words[:-1]) + " or " + words[-1]
    if get_origin(hint) is list:
        return _list_words(get_args(hint)[0], meta)
    if isinstance(hint, type) and issubclass(hint, Table):
        return "a table with the keys " + ", ".join(hint.model_fields)
    if hint is date:
        return "a date without quotes or time, such as 2027-05-12"
    if hint is Any:
        return "as it would stand at its key"
    if hint is bool:
        return "true or false"
    if hint is str:
        sizes = _sizes(meta)
        return "text in quotes" + (f", {sizes} letters long" if sizes else "")
    if hint in (int, float, Distribution):
        return ("a whole number" if hint is int else "a number") + _range(meta)
    return "a key of this table"


def _list_words(item: Any, meta: list[Any]) -> str:
    hint, inner = bare(item, [])
    sizes = _sizes(meta)
    if isinstance(hint, type) and issubclass(hint, Table):
        count = f"a list of {sizes} tables" if sizes else "a list of tables"
        return f"{count} with the keys {', '.join(hint.model_fields)}"
    what = "texts in quotes" if hint is str else _words(hint, inner)
    return (
        f"a list{f' of {sizes}' if sizes else ''}, each {what}"
        if hint is not str
        else (f"a list of {f'{sizes} ' if sizes else ''}{what}")
    )


def _sizes(meta: list[Any]) -> str:
    least = next((item.min_length for item in meta if isinstance(item, MinLen)), None)
    most = next((item.max_length for item in meta if isinstance(item, MaxLen)), None)
    if least is not None and most is not None:
        return f"{least}" if least == most else f"{least} to {most}"
    if least is not None:
        return f"{least} or more"
    return f"up to {most}" if most is not None else ""


def _range(meta: list[Any]) -> str:
    """Both limits of a number: " from 60 to 500", " more than 0.5 and up to 300", ", 0 or more"."""
    low = high = ""
    closed = False
    for item in meta:
        match item:
            case Ge():
                low, closed = f"{item.ge:g}", True
            case Gt():
                low = f"{item.gt:g}"
            case Le():
                high = f"up to {item.le:g}"
            case Lt():
                high = f"less than {item.lt:g}"
    if low and closed and high.startswith("up to "):
        return f" from {low} to {high.removeprefix('up to ')}"
    least = "" if not low else f"{low} or more" if closed else f"more than {low}"
    return ", " + " and ".join(part for part in (least, high) if part) if least or high else ""
