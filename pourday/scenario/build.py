"""Turns the tables of a file, all read and free of contradictions, into the model: SI, frozen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pourday.scenario import model
from pourday.scenario.file import FloorTable, PlantTable, Table, WeatherTable
from pourday.scenario.supports import supports_of
from pourday.scenario.units import to_si


def build(plain: Mapping[str, Any], tables: Mapping[str, Any]) -> model.Scenario:
    """The scenario from its tables.

    Args:
        plain: ``title`` (text) and ``date``.
        tables: every table by its key as read; ``pumps`` and ``crews`` by name, ``plans`` by
            number.
    """
    supply = si(tables["supply"]) | {"plants": tuple(map(_plant, tables["supply"].plants))}
    site = si(tables["site"]) | {
        "breaks": tuple(model.Break(**si(item)) for item in tables["site"].breaks)
    }
    return model.Scenario(
        title=plain["title"],
        date=plain["date"],
        floor=_floor(tables["floor"]),
        deck=model.Deck(**si(tables["deck"])),
        slab=model.Slab(**si(tables["slab"])),
        loads=model.Loads(**si(tables["loads"])),
        props=model.Props(**si(tables["props"])),
        mix=model.Mix(**si(tables["mix"])),
        weather=_weather(tables["weather"]),
        supply=model.Supply(**supply),
        site=model.Site(**site),
        pumps={name: model.Pump(name=name, **si(t)) for name, t in tables["pumps"].items()},
        crews={name: model.Crew(name=name, **si(t)) for name, t in tables["crews"].items()},
        prices=model.Prices(**si(tables["prices"])),
        limits=model.Limits(**si(tables["limits"])),
        plans=tuple(model.Plan(**si(plan)) for plan in tables["plans"].values()),
    )


def si(table: Table) -> dict[str, Any]:
    """Keys of a table without their unit endings, values in SI; lists as tuples."""
    return to_si(dict(table))


def _floor(table: FloorTable) -> model.FloorPlan:
    values = si(table) | {"supports": tuple(supports_of(table))}
    values["openings"] = tuple(model.Opening(**si(item)) for item in table.openings)
    del values["spans"]
    return model.FloorPlan(**values)


def _plant(table: PlantTable) -> model.Plant:
    values = si(table)
    values["back"] = values["back"] or values["travel"]
    return model.Plant(**values)


def _weather(table: WeatherTable) -> model.Weather:
    rows = [si(row) for row in table.hours]
    return model.Weather(**{key: tuple(row[key] for row in rows) for key in rows[0]})
