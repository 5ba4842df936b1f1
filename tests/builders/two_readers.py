"""Both readers of a scenario file, the program and its schema, asked about the same text.

``jsonschema`` reads by the schema. TOML has dates and times, nan and inf, which JSON has not:
``json_values`` makes text of them, as ``docs/scenario.md`` says.
"""

from __future__ import annotations

import json
import tomllib
from typing import Any, get_origin

from jsonschema import Draft202012Validator, FormatChecker

from pourday.scenario.base.allowed import hint_at
from pourday.scenario.base.faults import Fault, ScenarioError
from pourday.scenario.read import parse_scenario
from pourday.scenario.reference import tables
from pourday.scenario.schema import file_schema

SCHEMA = file_schema()
MODELS = {path: model for path, model in tables().items() if model is not None}
KEYS = [(path, key) for path, model in MODELS.items() for key in model.model_fields]
Place = tuple[str | int, ...]
_CHECK = Draft202012Validator(SCHEMA, format_checker=FormatChecker(["date"]))


def json_values(text: str) -> Any:
    """A TOML text as JSON has it: dates, times, nan and inf become text."""
    return json.loads(json.dumps(tomllib.loads(text), default=str), parse_constant=str)


def refused(text: str) -> list[tuple[Place, str]]:
    """Place and rule of everything that the schema refuses."""
    errors = _CHECK.iter_errors(json_values(text))
    return [(tuple(error.absolute_path), str(error.validator)) for error in errors]


def faults_of(text: str) -> tuple[Fault, ...]:
    try:
        parse_scenario(text)
    except ScenarioError as error:
        return error.faults
    return ()


def place_of(path: str) -> Place:
    """Where the table at a path stands in ``every_table()``."""
    parent, _, key = path.rpartition(".")
    if not parent:
        named = {
            "pumps": ("pumps", "own_line"),
            "crews": ("crews", "four"),
            "plan": ("plan", 0),
            "pour": ("pour", 0),
            "standby": ("standby", 0),
        }
        return named.get(path, (path,))
    hint, _ = hint_at(MODELS[parent], (key,))
    return (*place_of(parent), key, *([0] if get_origin(hint) is list else []))


def at(values: Any, place: Place) -> Any:
    for part in place:
        values = values[part]
    return values


def told(place: Place) -> str:
    """The place as the program names it: lists count from 1."""
    parts = (f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in place)
    return "".join(parts).removeprefix(".")


def names(fault: Fault, place: Place) -> bool:
    """Whether a fault is about what stands at the place (plans add their name)."""
    return fault.path == told(place) or fault.path.startswith(f"{told(place)} (")
