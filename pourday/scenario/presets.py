"""Ready values for generic pumps, crews, mixes and ways of finishing, each with its source.

The values live in ``presets/*.toml`` beside this module, written with the keys of a scenario
file; a scenario names one with ``preset = "..."`` and overrides what it likes.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

KIND_OF = {"pumps": "pumps", "crews": "crews", "mix": "mixes", "finishing": "finishing"}
"""Table of a scenario file -> the kind of presets it may name."""
KINDS = tuple(KIND_OF.values())


def preset(kind: str, name: str) -> dict[str, Any]:
    """Plain values of one preset: key of the scenario file -> value, in the unit of the key.

    ``kind`` is one of :data:`KINDS`.

    Raises:
        KeyError: no such kind or name.
    """
    return {key: entry["value"] for key, entry in _read(kind)[name].items()}


def preset_names(kind: str) -> tuple[str, ...]:
    """Names of the presets of a kind, in the order of their file.

    Raises:
        KeyError: no such kind.
    """
    return tuple(_read(kind))


def preset_sources(kind: str, name: str) -> dict[str, str]:
    """Where each value of a preset comes from: key -> published source, or words saying none.

    Raises:
        KeyError: no such kind or name.
    """
    return {key: str(entry["source"]) for key, entry in _read(kind)[name].items()}


def weather_samples() -> tuple[str, ...]:
    """Names of the sample days of weather (all invented)."""
    return tuple(_weather())


def weather_sample(name: str) -> list[dict[str, Any]]:
    """Rows of a sample day, with the keys of ``[weather] hours``.

    Raises:
        KeyError: no such sample.
    """
    return [dict(row) for row in _weather()[name]["hours"]]


def age_rules() -> tuple[str, ...]:
    """Names of the published rules for the age of a load."""
    return tuple(_age_rules())


def age_rule(name: str) -> dict[str, Any]:
    """A published rule for the age of a load: its keys and its source.

    Raises:
        KeyError: no such rule.
    """
    return dict(_age_rules()[name])


def delivery_rules() -> tuple[str, ...]:
    """Names of the published rules for the temperature of a load at delivery."""
    return tuple(_delivery_rules())


def delivery_rule(name: str) -> dict[str, Any]:
    """A published rule for the temperature of a load at delivery: its keys and its source.

    Raises:
        KeyError: no such rule.
    """
    return dict(_delivery_rules()[name])


@cache
def _delivery_rules() -> dict[str, dict[str, Any]]:
    text = files("pourday.scenario").joinpath("presets", "delivery_rules.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def _age_rules() -> dict[str, dict[str, Any]]:
    text = files("pourday.scenario").joinpath("presets", "age_rules.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def _weather() -> dict[str, dict[str, Any]]:
    text = files("pourday.scenario").joinpath("presets", "weather.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def _read(kind: str) -> dict[str, dict[str, dict[str, Any]]]:
    if kind not in KINDS:
        raise KeyError(f"no presets of kind {kind!r}; the kinds are {', '.join(KINDS)}")
    text = files("pourday.scenario").joinpath("presets", f"{kind}.toml").read_text("utf-8")
    return tomllib.loads(text)
