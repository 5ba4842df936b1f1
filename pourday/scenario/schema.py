"""The scenario file as a JSON Schema, for editors and other programs that check it as written.

Walks the tables and the limits beside their keys, so that it cannot drift from what is read; the
sentences are those of ``presets/keys.toml``. Values are those of the TOML file, with dates and
times as text. What spans several keys stays with ``clashes``.
Source: JSON Schema, draft 2020-12 (core and validation).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Literal, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic import BeforeValidator
from pydantic.fields import FieldInfo

from pourday.scenario.base.allowed import bare, hint_at
from pourday.scenario.base.distribution import LARGEST, PARAMETERS, POSITIVE, Distribution
from pourday.scenario.base.faults import clock
from pourday.scenario.base.quantities import Table, Within
from pourday.scenario.base.us_units import Twin
from pourday.scenario.presets import KIND_OF, preset_names, weather_samples
from pourday.scenario.reference import FILE, WEATHER, meanings, tables, title
from pourday.scenario.tables.file import NAMED, PLAIN_KEYS, TABLES
from pourday.scenario.us_keys import twins_of
from pourday.scenario.weather_rows import GIVEN_BY

DIALECT = "https://json-schema.org/draft/2020-12/schema"
CLOCK, DISTRIBUTION = "clock", "distribution"

Schema = dict[str, Any]

_ABOUT = (
    "A scenario file of pourday: what each key may be, as written in TOML; dates and times are "
    "text. What must fit together across keys is looked at by `pourday check`."
)
_TYPES = {bool: "boolean", int: "integer", float: "number", str: "string"}
_PLAIN: dict[type, Schema] = {
    str: {"type": "string"},
    date: {
        "type": "string",
        "format": "date",
        "pattern": "^2[01][0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$",
    },
}
_CLOCK = {"type": "string", "pattern": "^([0-9]|[0-3][0-9]|4[0-7]):[0-5][0-9]$"}


def file_schema() -> Schema:
    """JSON Schema of a whole scenario file, ready for JSON.

    It refuses unknown keys, values of the wrong kind, and values beyond the limits of their key;
    a key without a default is required unless a preset or rows of weather from elsewhere give it.
    """
    models = {path: model for path, model in tables().items() if model is not None}
    withins = sorted(set(_withins(models)), key=lambda each: (each.low, each.high))
    plain = {
        key: _PLAIN[kind] | {"description": meanings()[FILE][key]}
        for key, kind in PLAIN_KEYS.items()
    }
    named = {
        key: {"type": "object", "additionalProperties": _ref(key), "minProperties": 1}
        for key in NAMED
    }
    plans = {"plan": {"type": "array", "items": _ref("plan"), "minItems": 1}}
    lists = {key: {"type": "array", "items": _ref(key)} for key in ("pour", "standby")}
    needed = [key for key, (_, must) in TABLES.items() if must]
    return {
        "$schema": DIALECT,
        "title": "pourday scenario",
        "description": _ABOUT,
        "type": "object",
        "properties": plain | {key: _ref(key) for key in TABLES} | named | plans | lists,
        "required": ["date", *needed, *named, *plans],
        "additionalProperties": False,
        "$defs": {CLOCK: _CLOCK, DISTRIBUTION: _distribution()}
        | {_name(each): _quantity(each) for each in withins}
        | {path: _table(path, model) for path, model in models.items()},
    }


def _table(path: str, model: type[Table]) -> Schema:
    said = meanings()[path]
    properties = {
        key: _key(f"{path}.{key}", field) | {"description": said[key]}
        for key, field in model.model_fields.items()
    } | _ready_names(path, said)
    twins = list(twins_of(model).values())
    properties |= {
        twin.key: _in_us(_value(f"{path}.{twin.metric}", *hint_at(model, (twin.metric,))), twin)
        | {"description": f"{said[twin.metric]}; instead of {twin.metric}"}
        for twin in twins
    }
    about, _, _ = (model.__doc__ or "").partition("\n\n")
    return {
        "title": title(path),
        "description": " ".join(about.replace("``", "`").split()),
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    } | _needed(path, model, twins)


def _ready_names(path: str, said: Mapping[str, str]) -> Schema:
    """The key that names ready values, where a table has one, with the names there are."""
    if path in KIND_OF:
        names = list(preset_names(KIND_OF[path]))
        return {"preset": {"enum": names, "description": said["preset"]}}
    if path in (WEATHER, "pour"):
        return {"sample": {"enum": list(weather_samples()), "description": said["sample"]}}
    return {}


def _needed(path: str, model: type[Table], twins: list[Twin]) -> Schema:
    """What must be there: keys without a default, unless something else stands in for them.

    A key and its US twin are never both there.
    """
    keys = [key for key, field in model.model_fields.items() if field.is_required()]
    alone = [{"not": {"type": "object", "required": [twin.metric, twin.key]}} for twin in twins]
    once: Schema = {"allOf": alone} if alone else {}
    if path == WEATHER:
        return {"oneOf": [{"required": [key]} for key in GIVEN_BY]} | once
    us = {twin.metric: twin.key for twin in twins}
    plain = [key for key in keys if key not in us]
    needed: Schema = {"required": plain} if plain else {}
    either = [
        {"if": {"not": {"required": [us[key]]}}, "then": {"required": [key]}}
        for key in keys
        if key in us
    ]
    if either:
        needed |= {"allOf": either}
    if path in KIND_OF:
        return {"if": {"not": {"required": ["preset"]}}, "then": needed} | once
    return needed | ({"allOf": either + alone} if either or alone else {})


def _in_us(schema: Schema, twin: Twin) -> Schema:
    """The schema of a metric key's value in the unit of its US twin."""
    if "items" in schema:
        return schema | {"items": _in_us(schema["items"], twin)}
    name = str(schema.get("$ref", "")).rpartition("/")[2]
    if name.startswith("quantity_"):
        low, high = map(float, name.removeprefix("quantity_").split("_to_"))
        return _quantity(Within(twin.from_metric(low), twin.from_metric(high)))
    limits = ("minimum", "exclusiveMinimum", "maximum", "exclusiveMaximum")
    return schema | {key: twin.from_metric(schema[key]) for key in limits if key in schema}


def _key(path: str, field: FieldInfo) -> Schema:
    schema = _value(path, *bare(field.annotation, list(field.metadata)))
    if field.is_required():
        return schema
    default = field.get_default(call_default_factory=True)
    if default is None:
        return schema
    if isinstance(default, Distribution):
        default = default.as_written()
    elif schema == _ref(CLOCK):
        default = clock(default)
    return schema | {"default": default}


def _value(path: str, hint: Any, meta: list[Any]) -> Schema:
    """What stands at a key: ``hint`` and ``meta`` as :func:`bare` gives them."""
    for item in meta:
        if isinstance(item, BeforeValidator):
            return _ref(_name(item.func) if isinstance(item.func, Within) else CLOCK)
    if get_origin(hint) is Literal:
        return {"enum": list(get_args(hint))}
    if get_origin(hint) is list:
        items = _value(path, *bare(get_args(hint)[0], []))
        return {"type": "array", "items": items} | _limits(meta, "Items")
    if hint is Any:
        return {}
    if issubclass(hint, Table):
        return _ref(path)
    if hint is date:
        return _PLAIN[date]
    return {"type": _TYPES[hint]} | _limits(meta, "Length")


def _limits(meta: list[Any], counted: str) -> Schema:
    """The limits beside a key; ``counted`` ends the words for the least and most there may be."""
    limits: Schema = {}
    for item in meta:
        match item:
            case Ge():
                limits["minimum"] = item.ge
            case Gt():
                limits["exclusiveMinimum"] = item.gt
            case Le():
                limits["maximum"] = item.le
            case Lt():
                limits["exclusiveMaximum"] = item.lt
            case MinLen():
                limits[f"min{counted}"] = item.min_length
            case MaxLen():
                limits[f"max{counted}"] = item.max_length
    return limits


def _withins(models: Mapping[str, type[Table]]) -> Iterator[Within]:
    for model in models.values():
        for field in model.model_fields.values():
            for item in bare(field.annotation, list(field.metadata))[1]:
                if isinstance(item, BeforeValidator) and isinstance(item.func, Within):
                    yield item.func


def _name(within: Within) -> str:
    return f"quantity_{within.low:g}_to_{within.high:g}"


def _quantity(within: Within) -> Schema:
    """A number or distribution within limits; a distribution is judged by its ends or its mean."""
    span = {"minimum": within.low, "maximum": within.high}
    judged = dict.fromkeys(("mean", "low", "mode", "high"), span) | {"values": {"items": span}}
    return _ref(DISTRIBUTION) | span | {"properties": judged}


def _distribution() -> Schema:
    """A number, or a table whose ``dist`` says which keys stand beside it."""
    return {
        "type": ["number", "object"],
        "properties": {"dist": {"enum": list(PARAMETERS)}},
        "required": ["dist"],
        "allOf": [
            {
                "if": {
                    "type": "object",
                    "properties": {"dist": {"const": kind}},
                    "required": ["dist"],
                },
                "then": {
                    "properties": {"dist": True}
                    | {key: _parameter(kind, key) for key in needed + optional},
                    "required": list(needed),
                    "additionalProperties": False,
                },
            }
            for kind, (needed, optional) in PARAMETERS.items()
        ],
    }


def _parameter(kind: str, key: str) -> Schema:
    number: Schema = {"type": "number", "minimum": -LARGEST, "maximum": LARGEST}
    if key == "values":
        return {"type": "array", "items": number, "minItems": 1}
    if key == "sd":
        return number | {"minimum": 0}
    if key == "mean" and kind in POSITIVE:
        return number | {"exclusiveMinimum": 0}
    return number


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}
