"""Limits of single keys: the schema and the program refuse the same values, to the last digit."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

import pytest
from annotated_types import Ge, Gt, Le, MaxLen, MinLen
from builders.scenario_text import as_toml, every_table
from builders.two_readers import (
    KEYS,
    MODELS,
    Place,
    at,
    faults_of,
    json_values,
    names,
    place_of,
    refused,
    told,
)
from pydantic import BeforeValidator

from pourday.scenario.base.allowed import describe, hint_at
from pourday.scenario.base.distribution import LARGEST, Distribution
from pourday.scenario.base.quantities import Table, Within
from pourday.scenario.presets import KIND_OF


@dataclass(frozen=True)
class Case:
    """A value of the key at ``place``, just inside or just outside one of its limits."""

    place: Place
    fault_at: Place
    allowed: str
    inside: bool
    value: Any


def below(value: float, whole: bool) -> float:
    return value - 1 if whole else math.nextafter(value, -math.inf)


def above(value: float, whole: bool) -> float:
    return value + 1 if whole else math.nextafter(value, math.inf)


def of_number(meta: list[Any], whole: bool) -> Iterator[tuple[bool, float]]:
    for item in meta:
        match item:
            case Ge():
                yield from ((True, item.ge), (False, below(item.ge, whole)))
            case Gt():
                yield from ((True, above(item.gt, whole)), (False, item.gt))
            case Le():
                yield from ((True, item.le), (False, above(item.le, whole)))


def of_size(meta: list[Any]) -> Iterator[tuple[bool, int]]:
    for item in meta:
        match item:
            case MinLen():
                yield from ((True, item.min_length), (False, item.min_length - 1))
            case MaxLen():
                yield from ((True, item.max_length), (False, item.max_length + 1))


def of_quantity(within: Within) -> Iterator[tuple[bool, Any]]:
    low, high = within.low, within.high
    less, more, middle = below(low, False), above(high, False), (low + high) / 2
    yield from ((True, low), (True, high), (False, less), (False, more))
    for kind in ("uniform", "triangular", "normal"):
        beside = {"triangular": {"mode": middle}, "normal": {"mean": middle, "sd": 1}}.get(kind, {})
        yield True, {"dist": kind, "low": low, "high": high, **beside}
        yield False, {"dist": kind, "low": less, "high": high, **beside}
        yield False, {"dist": kind, "low": low, "high": more, **beside}
    yield from ((True, {"dist": "list", "values": [low, high]}),)
    yield from ((False, {"dist": "list", "values": [middle, each]}) for each in (less, more))
    for kind in ("lognormal", "gamma", "exponential"):
        beside = {} if kind == "exponential" else {"sd": 0}
        yield True, {"dist": kind, "mean": high, **beside}
        yield False, {"dist": kind, "mean": more, **beside}
        least = max(low, math.nextafter(0.0, 1.0))
        yield True, {"dist": kind, "mean": least, **beside}
        yield False, {"dist": kind, "mean": below(least, False), **beside}
    yield False, {"dist": "normal", "mean": middle, "sd": math.nextafter(0.0, -1.0)}
    yield True, {"dist": "normal", "mean": middle, "sd": LARGEST}
    yield False, {"dist": "normal", "mean": middle, "sd": above(LARGEST, False)}
    yield False, {"dist": "list", "values": []}


CLOCKS = [(True, each) for each in ("0:00", "00:00", "06:30", "19:59", "38:15", "47:59")]
CLOCKS += [(False, each) for each in ("48:00", "24:60", "6.30", "", "06:3", "006:30", "-1:00", 6.5)]


def quantity_at(meta: list[Any]) -> Within | None:
    found = [item.func for item in meta if isinstance(item, BeforeValidator)]
    return found[0] if found and isinstance(found[0], Within) else None


def of_value(hint: Any, meta: list[Any]) -> Iterator[tuple[bool, Any]]:
    """Values of a key that holds no list, and whether they are inside its limits."""
    if hint is Any:  # whatever its key takes: judged where it is put there
        yield from ((True, each) for each in (6, 6.5, "6", True, [6], {"dist": "fixed"}))
        return
    if (within := quantity_at(meta)) is not None:
        yield from of_quantity(within)
    elif any(isinstance(item, BeforeValidator) for item in meta):
        yield from CLOCKS
    elif get_origin(hint) is Literal:
        yield from ((True, word) for word in get_args(hint))
        yield False, "zebra"
    elif hint is str:
        yield from ((inside, "n" * size) for inside, size in of_size(meta))
    elif hint is bool:
        yield from ((True, True), (True, False), (False, 1))
    else:
        yield from of_number(meta, hint is int)
    # and what is another kind of value
    yield False, 6 if hint is str else "6"
    yield False, [] if hint in (str, bool) else True


def of_key(path: str, key: str) -> Iterator[Case]:
    """Cases of one key: its own values, or those of the list there and of what is in it."""
    model, home = MODELS[path], place_of(path)
    place = (*home, key)
    hint, meta = hint_at(model, (key,))
    if get_origin(hint) is not list:
        for inside, value in of_value(hint, meta):
            yield Case(place, place, describe(model, (key,)), inside, value)
        return
    item, inner = hint_at(model, (key, 0))
    if get_origin(item) is list:  # pairs of names
        for inside, size in of_size(inner):
            words = describe(model, (key, 0))
            yield Case(place, (*place, 0), words, inside, [["n"] * size])
        return
    sizes = list(of_size(meta))
    least = max((size for inside, size in sizes if inside), default=1)
    one = next((value for inside, value in of_value(item, inner) if inside), "n")
    for inside, size in sizes:
        yield Case(place, place, describe(model, (key,)), inside, [one] * size)
    for inside, value in of_value(item, inner):
        words = describe(model, (key, 0))
        yield Case(place, (*place, 0), words, inside, [value] + [one] * (least - 1))


def holds_tables(path: str, key: str) -> bool:
    model = MODELS[path]
    hint, _ = hint_at(model, (key,))
    item, _ = hint_at(model, (key, 0)) if get_origin(hint) is list else (hint, [])
    return isinstance(item, type) and issubclass(item, Table)


# Presets and the sources of weather have rules of their own (test_schema.py).
RULED = {*((path, "preset") for path in KIND_OF), ("weather", "sample"), ("weather", "csv")}
CASES = {
    (path, key): list(of_key(path, key))
    for path, key in KEYS
    if not holds_tables(path, key) and (path, key) not in RULED
}
ROUNDS = range(max(map(len, CASES.values())))


@pytest.mark.parametrize("number", ROUNDS)
def test_what_is_just_outside_a_limit_is_refused_by_both_and_just_inside_by_neither(number):
    """Every key of the file takes its case of this round at once; each is judged on its own."""
    cases = [cases[number] for cases in CASES.values() if number < len(cases)]
    values = every_table()
    for case in cases:
        at(values, case.place[:-1])[case.place[-1]] = case.value
    text = as_toml(values)
    assert json_values(text) == json.loads(json.dumps(values, default=str))
    faults, errors = faults_of(text), refused(text)
    for case in cases:
        own = [f for f in faults if names(f, case.fault_at) and f.allowed == case.allowed]
        theirs = [place for place, _ in errors if place[: len(case.fault_at)] == case.fault_at]
        where = f"{told(case.place)} = {case.value!r}"
        assert bool(own) is not case.inside, where
        assert bool(theirs) is not case.inside, where
    about = [case.fault_at for case in cases if not case.inside]
    assert all(any(place[: len(own)] == own for own in about) for place, _ in errors)


def test_no_number_of_a_file_is_without_limits():
    """So none escapes the rounds above."""
    numbers = 0
    for path, key in KEYS:
        hint, meta = hint_at(MODELS[path], (key,))
        if get_origin(hint) is list:
            hint, meta = hint_at(MODELS[path], (key, 0))
        is_clock = quantity_at(meta) is None and any(isinstance(m, BeforeValidator) for m in meta)
        if hint not in (int, float, Distribution) or is_clock:
            continue
        numbers += 1
        if quantity_at(meta) is None:
            assert {type(item) for item in meta} in ({Ge, Le}, {Gt, Le}), f"{path}.{key}"
        assert len(CASES[path, key]) >= 6, f"{path}.{key}"
    assert numbers > 150


@pytest.mark.parametrize("key", [key for key in KEYS if holds_tables(*key)], ids=".".join)
def test_a_list_of_tables_is_as_long_as_both_allow(key):
    path, name = key
    _, meta = hint_at(MODELS[path], (name,))
    place = (*place_of(path), name)
    for inside, size in of_size(meta):
        values = every_table()
        there = at(values, place)
        at(values, place[:-1])[name] = (there * 2)[:size]
        text = as_toml(values)
        assert any(names(fault, place) for fault in faults_of(text)) is not inside
        assert bool(refused(text)) is not inside
    values = every_table()
    at(values, place[:-1])[name] = 3
    text = as_toml(values)
    assert any(names(fault, place) for fault in faults_of(text))
    assert refused(text) == [(place, "type")]
