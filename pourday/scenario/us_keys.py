"""US keys of a scenario file (``depth_in``) brought to the metric ones, and messages back to them.

The swap is made once, on what TOML gives, before anything is looked at; so presets, limits and
rules across tables know of metric keys only. What was written how is kept for the messages.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args, get_origin

from pourday.scenario.base.allowed import bare
from pourday.scenario.base.faults import Fault, join, name_key, show
from pourday.scenario.base.quantities import Table
from pourday.scenario.base.units import ending_of
from pourday.scenario.base.us_units import Twin, numbers_in_us, twin_of
from pourday.scenario.tables.file import LISTED, NAMED, TABLES

# What advice on a distribution says of the limits of its key.
_HERE = re.compile(r"\(here [^)]*\)")


@dataclass(frozen=True)
class Written:
    """A key that was written in its US unit: the twin, and the value as it stands in the file."""

    twin: Twin
    value: Any


def twins_of(model: type[Table]) -> dict[str, Twin]:
    """The US keys that a table takes beside its own: US key -> twin, in the order of the table."""
    found = (twin_of(key) for key in model.model_fields)
    return {twin.key: twin for twin in found if twin is not None}


def in_metric(
    raw: Mapping[str, Any], faults: list[Fault]
) -> tuple[dict[str, Any], dict[str, Written]]:
    """A file with metric keys only, and what was written in US units by its metric path.

    ``faults`` gains one for every quantity that is given in both.
    """
    out, written = dict(raw), dict[str, Written]()
    for key, value in raw.items():
        if key in TABLES:
            out[key] = _swapped(value, TABLES[key][0], key, written, faults)
        elif key in NAMED and isinstance(value, dict):
            out[key] = {
                name: _swapped(each, NAMED[key], join(key, name), written, faults)
                for name, each in value.items()
            }
        elif key in LISTED:
            out[key] = _swapped(value, LISTED[key], key, written, faults)
    return out, written


def _swapped(
    raw: Any, model: type[Table], path: str, written: dict[str, Written], faults: list[Fault]
) -> Any:
    """One table, or a list of them."""
    if isinstance(raw, list):
        return [
            _swapped(each, model, f"{path}[{number}]", written, faults)
            for number, each in enumerate(raw, start=1)
        ]
    if not isinstance(raw, dict):
        return raw
    twins, inner, out = twins_of(model), dict(_inner(model)), dict[str, Any]()
    for key, value in raw.items():
        if key in inner:
            out[key] = _swapped(value, inner[key], f"{path}.{key}", written, faults)
        elif key not in twins:
            out[key] = value
        elif twins[key].metric in raw:
            said = f"both given: {twins[key].metric} and {key}"
            faults.append(Fault(f"{path}.{key}", said, advice="keep one of them"))
        else:
            twin = twins[key]
            out[twin.metric] = twin.to_metric(value)
            written[f"{path}.{name_key(twin.metric)}"] = Written(twin, value)
    return out


def _inner(model: type[Table]) -> Iterator[tuple[str, type[Table]]]:
    """The tables that stand at keys of a table, alone or in lists."""
    for key, field in model.model_fields.items():
        hint, _ = bare(field.annotation, [])
        if get_origin(hint) is list:
            hint, _ = bare(get_args(hint)[0], [])
        if isinstance(hint, type) and issubclass(hint, Table):
            yield key, hint


def as_written(faults: Sequence[Fault], written: Mapping[str, Written]) -> list[Fault]:
    """The same faults with the keys that the user wrote, and numbers in their units."""
    return [_as_written(fault, written) for fault in faults] if written else list(faults)


def _as_written(fault: Fault, written: Mapping[str, Written]) -> Fault:
    for path, each in written.items():
        here = re.search(rf"(?:^|(?<=, )){re.escape(path)}(?=$|\[| \(|,)", fault.path)
        if here is not None:
            return _respelled(fault, path, each, fault.path[here.end() :])
    twin = twin_of(fault.path.partition(" (")[0].rpartition(".")[2])
    if fault.found == "missing" and twin is not None:
        return replace(fault, advice="; ".join(filter(None, (fault.advice, f"or {twin.key}"))))
    return fault


def _respelled(fault: Fault, path: str, each: Written, rest: str) -> Fault:
    twin, value = each.twin, each.value
    place = re.match(r"\[(\d+)\]", rest)
    if place and isinstance(value, list) and 0 < int(place[1]) <= len(value):
        value = value[int(place[1]) - 1]
    found, allowed, unit, advice = fault.found, fault.allowed, fault.unit, fault.advice
    if found == show(twin.to_metric(value)):
        found = show(value)
    elif unit and unit == ending_of(twin.metric)[1]:
        found = numbers_in_us(found, twin)
    if unit == ending_of(twin.metric)[1]:  # else the text has its own units in it
        allowed, unit = numbers_in_us(allowed, twin), twin.unit
        advice = _HERE.sub(lambda match: numbers_in_us(match[0], twin), advice)
    home = path.removesuffix(twin.metric)
    return replace(
        fault,
        path=fault.path.replace(path, home + twin.key, 1),
        found=found,
        allowed=allowed,
        unit=unit,
        advice=advice,
    )
