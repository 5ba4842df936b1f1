"""Turns the tables of a file, all read and free of contradictions, into the model: SI, frozen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pourday.deck.loads import WET_CONCRETE, WET_LIGHTWEIGHT
from pourday.scenario.base.quantities import Table
from pourday.scenario.base.trade import LINE
from pourday.scenario.base.units import to_si
from pourday.scenario.base.upsets import Upset, UpsetRates, fitted, parse_upset
from pourday.scenario.concrete_mix import mix_of
from pourday.scenario.materials import materials
from pourday.scenario.model import scenario as model
from pourday.scenario.model.call_off import AgeRule, CallOff, DayToDay
from pourday.scenario.model.prices import Overtime, Prices, RolePrices
from pourday.scenario.presets import age_rule, weather_sample
from pourday.scenario.tables.concrete import Hour, WeatherTable
from pourday.scenario.tables.deck import (
    BeamData,
    BeamLine,
    BeamsTable,
    DeckTable,
    LoadsTable,
    SlabTable,
)
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.parts import extents
from pourday.scenario.tables.pours import PourTable
from pourday.scenario.tables.prices import PricesTable
from pourday.scenario.tables.site import (
    DEFAULT_AGE_RULE,
    CrewTable,
    PlanTable,
    PlantTable,
    SiteTable,
    SupplyTable,
    UpsetsTable,
)
from pourday.scenario.tables.supports import supports_of


def build(plain: Mapping[str, Any], tables: Mapping[str, Any]) -> model.Scenario:
    """The scenario from its tables.

    Args:
        plain: ``title`` (text) and ``date``.
        tables: every table by its key as read; ``pumps`` and ``crews`` by name, ``plans`` by
            number.
    """
    supply = si(tables["supply"]) | {
        "age_rule": _age_rule(tables["supply"]),
        "plants": tuple(map(_plant, tables["supply"].plants)),
        "rush_hours": tuple(model.RushHour(**si(row)) for row in tables["supply"].rush_hours),
    }
    del supply["age_limit"]
    given, rates = _upsets(tables["upsets"], [plant.name for plant in tables["supply"].plants])
    return model.Scenario(
        title=plain["title"],
        date=plain["date"],
        floor=_floor(tables["floor"]),
        deck=_deck(tables["deck"]),
        slab=_slab(tables["slab"]),
        loads=_loads(tables["loads"]),
        beams=_beams(tables["beams"], tables["floor"]),
        props=model.Props(**si(tables["props"])),
        mix=mix_of(tables["mix"], tables["measures"]),
        batch=materials(tables["batch"], tables["weather"]),
        weather=_weather(tables["weather"]),
        supply=model.Supply(**supply),
        site=_site(tables["site"]),
        call_off=CallOff(**si(tables["call_off"])),
        day_to_day=DayToDay(**si(tables["day_to_day"])),
        pumps={name: model.Pump(name=name, **si(t)) for name, t in tables["pumps"].items()},
        crews={name: _crew(name, t) for name, t in tables["crews"].items()},
        finishing=model.Finishing(**si(tables["finishing"])),
        measures=model.Measures(**si(tables["measures"])),
        curing=model.Curing(**si(tables["curing"])),
        prices=_prices(tables["prices"]),
        limits=model.Limits(**si(tables["limits"])),
        upsets=given,
        upset_rates=rates,
        plans=tuple(_plan(plan, tables) for plan in tables["plans"].values()),
        pours=_pours(tables),
        standbys=tuple(model.Standby(**si(each)) for each in tables["standbys"].values()),
    )


def si(table: Table) -> dict[str, Any]:
    """Keys of a table without their unit endings, values in SI; lists as tuples."""
    return to_si(dict(table))


def _floor(table: FloorTable) -> model.FloorPlan:
    values = si(table) | {"supports": tuple(supports_of(table))}
    values["openings"] = tuple(model.Opening(**si(item)) for item in table.openings)
    del values["spans"]
    return model.FloorPlan(**values)


def _deck(table: DeckTable) -> model.Deck:
    values = si(table)
    if table.designed_for is not None:
        values["designed_for"] = model.DesignedFor(**si(table.designed_for))
    return model.Deck(**values)


def _slab(table: SlabTable) -> model.Slab:
    """The slab; concrete weighs what its kind weighs unless the file says it."""
    values = si(table)
    light = values.pop("concrete") == "lightweight"
    if values["wet_density"] is None:
        values["wet_density"] = WET_LIGHTWEIGHT if light else WET_CONCRETE
    return model.Slab(**values)


def _loads(table: LoadsTable) -> model.Loads:
    values = si(table)
    values["stacks"] = tuple(model.Stack(**si(stack)) for stack in table.stacks)
    return model.Loads(**values)


def _beams(table: BeamsTable, floor: FloorTable) -> model.Beams:
    """Every beam line with its own data: the general ones, with what its line says instead."""
    by_x = {round(line.x_m, 6): line for line in table.lines if line.x_m is not None}
    by_y = {round(line.y_m, 6): line for line in table.lines if line.y_m is not None}
    return model.Beams(
        secondary=tuple(_beam(table.secondary, by_x.get(round(x, 6))) for x in supports_of(floor)),
        primary=tuple(_beam(table.primary, by_y.get(round(y, 6))) for y in floor.primary_beams_y_m),
        columns_x=tuple(table.columns_x_m),
        line_spacing=table.line_spacing_m,
    )


def _beam(general: BeamData | None, line: BeamLine | None) -> model.BeamData | None:
    if line is not None and line.kind == "wall":
        return None
    values = dict(general) if general is not None else {}
    if line is not None:
        values |= {k: v for k, v in dict(line).items() if v is not None}
    if "I_cm4" not in values:
        return None
    plain = to_si({k: values[k] for k in ("I_cm4", "E_GPa", "precamber_mm") if k in values})
    return model.BeamData(
        rigidity=plain["I"] * plain.get("E", 210e9),
        precamber=plain.get("precamber", 0.0),
        continuous=bool(values.get("continuous", False)),
    )


def _prices(table: PricesTable) -> Prices:
    values = si(table)
    values["roles"] = RolePrices(**si(table.roles)) if table.roles is not None else RolePrices()
    values["overtime"] = tuple(Overtime(**si(band)) for band in table.overtime)
    return Prices(**values)


def _age_rule(table: SupplyTable) -> AgeRule:
    """The rule that the file names, its own limit, or the oldest of the published ones."""
    if table.age_limit_min is not None:
        return AgeRule("the file's own", "discharge", table.age_limit_min * 60.0)
    name = table.age_rule or DEFAULT_AGE_RULE
    rule = age_rule(name)
    warm = rule.get("warm_limit_min")
    return AgeRule(
        name,
        rule["ends_at"],
        rule["limit_min"] * 60.0,
        rule.get("warm_from_C"),
        None if warm is None else warm * 60.0,
    )


def _plant(table: PlantTable) -> model.Plant:
    values = si(table)
    values["back"] = values["back"] or values["travel"]
    return model.Plant(**values)


def _weather(table: WeatherTable) -> model.Weather:
    rows = [si(row) for row in table.hours]
    columns = {key: tuple(row[key] for row in rows) for key in rows[0]}
    return model.Weather(
        **columns,
        air_shift=table.air_shift_C,
        humidity_shift=table.humidity_shift,
        wind_factor=table.wind_factor,
        rain=tuple(model.Rain(**si(each)) for each in table.rain),
        sky_loss=table.sky_loss_W_m2,
        wind_below_share=table.wind_below_share,
    )


def _site(table: SiteTable) -> model.Site:
    values = si(table)
    values["breaks"] = tuple(model.Break(**si(item)) for item in table.breaks)
    values["set_ups"] = tuple(model.SetUp(**si(item)) for item in table.set_ups)
    return model.Site(**values)


def _crew(name: str, table: CrewTable) -> model.Crew:
    values = si(table)
    values["roles"] = model.Roles(**si(table.roles)) if table.roles is not None else None
    return model.Crew(name=name, **values)


def _plan(table: PlanTable, tables: Mapping[str, Any]) -> model.Plan:
    values = si(table) | _begins(table, tables)
    first = {
        key: values.pop(key)
        for key in ("pump", "crew", "bays", "set_ups", "plants", "spacing", "start")
    }
    fronts = [model.FrontPlan(**first)]
    for each in table.fronts:
        own = {key: value for key, value in si(each).items() if value is not None}
        alike = {key: first[key] for key in ("spacing", "start")}
        fronts.append(model.FrontPlan(**(alike | own)))
    values["fronts"] = tuple(fronts)
    values["stages"] = tuple(model.Stage(**si(stage)) for stage in table.stages)
    values["strike"] = table.strike or tables["slab"].strike
    return model.Plan(**values)


def _pours(tables: Mapping[str, Any]) -> tuple[model.Pour, ...]:
    """The pours with their ends; one with weather of its own has no rain, which is that day's."""
    pours: Mapping[int, PourTable] = tables["pours"]
    out = []
    for number, (low, high) in extents(pours, tables["floor"]).items():
        pour, weather = pours[number], tables["weather"]
        own = None
        rows = pour.hours or [
            Hour.model_validate(row) for row in (weather_sample(pour.sample) if pour.sample else [])
        ]
        if rows:
            own = _weather(weather.model_copy(update={"hours": rows, "rain": []}))
        out.append(model.Pour(pour.name, pour.date, pour.plan, low, high, own))
    return tuple(out)


def _begins(table: PlanTable, tables: Mapping[str, Any]) -> dict[str, str]:
    """The corner where the pour begins: the one told, else for a line pump the far one.

    A line pump works back towards its place, so that pipes come off (common practice, no source);
    where the plan has several fronts, the first pump decides.
    """
    floor = tables["floor"]
    x, y = supports_of(floor), (0.0, floor.length_y_m)
    begin_at, begin_y = "low_x", "low_y"
    places = {place.name: place for place in tables["site"].set_ups}
    if table.set_ups and tables["pumps"][table.pump].means == LINE:
        place = places[table.set_ups[0]]
        begin_at = "high_x" if x[-1] - place.x_m > place.x_m - x[0] + 1e-9 else "low_x"
        begin_y = "high_y" if y[-1] - place.y_m > place.y_m - y[0] + 1e-9 else "low_y"
    return {"begin_at": table.begin_at or begin_at, "begin_y": table.begin_y or begin_y}


def _upsets(table: UpsetsTable, plants: Sequence[str]) -> tuple[tuple[Upset, ...], UpsetRates]:
    values = si(table)
    given = tuple(fitted(parse_upset(text), plants) for text in values.pop("given"))
    return given, UpsetRates(**values)
