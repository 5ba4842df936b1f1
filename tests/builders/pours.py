"""A small plain pour with fixed times, written as a scenario file, and ways to change and play it.

Invented. One span of 3 m, 20 m long, 150 mm: 9 m³. Loads "none", struck to thickness, 20 °C all
day, so that what a test changes is all that happens.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from pourday.day.log import DayLog
from pourday.day.play import day_log, open_day, play
from pourday.day.site_day import SiteDay
from pourday.floor.layout import Layout, lay_out
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import parse_scenario

PLAIN: dict[str, Any] = {
    "floor": {"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 20.0},
    "deck": {
        "bending_stiffness_kNm2_per_m": 300,
        "sag_moment_resistance_kNm_per_m": 8.0,
        "hog_moment_resistance_kNm_per_m": 7.0,
        "reaction_resistance_kN_per_m": 40.0,
        "resistance_is": "allowable",
        "self_weight_kN_m2": 0.12,
    },
    "slab": {"depth_mm": 150, "strike": "thickness", "wet_density_kN_m3": 26},
    # ASD: the loads as they are, so that a share is what a test works out by hand.
    "loads": {"preset": "none", "basis": "ASD", "heap_height_factor": 1.0, "crew_kN_m2": 0},
    "mix": {
        "open_time_min": 150,
        "edge_rule": "given",
        "initial_set_h": 5,
        "final_set_h": 7,
        "delivered_C": 20,
    },
    "weather": {"hours": [{"at": "06:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 10}]},
    "supply": {
        "load_m3": 6.0,
        "margin_m3": 0.0,
        "discharge_min": 8,
        "age_limit_min": 100000,
        "finish_begun_min": 0,
    },
    "site": {
        "gate_min": 1,
        "position_min": 3,
        "test_min": 2,
        "tests_first": 1,
        "test_every": 1,
        "change_min": 0,
        "wash_min": 8,
        "late_by_min": 0,
        "early_min": 0,
    },
    # What the people do by themselves is left out where a test is about something else.
    "call_off": {"nobody_phones": True},
    # One day is as the other: what a test works out by hand knows of no slow crew.
    "day_to_day": {"crew_pace_sd": 0, "plant_pace_sd": 0, "travel_sd": 0},
    "pumps": {"pump": {"output_m3_h": 60, "move_min": 0, "setup_min": 30, "prime_min": 10}},
    "crews": {
        "crew": {
            "placers": 6,
            "rate_per_placer_m3_h": 10,
            "breaks_taken": "together",
            "pokers": 4,
        }
    },
    # Windows from initial to final set: the floating condition has tests of its own.
    "finishing": {"float_from_share": 1.0},
    "prices": {},
    "limits": {},
    "plants": [
        {"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "back_min": 20}
    ],
    "plan": {"name": "plain", "pump": "pump", "crew": "crew", "spacing_min": 12, "start": "07:00"},
}


def exponential(mean: float) -> dict[str, Any]:
    """An exponential quantity as a scenario file writes it."""
    return {"dist": "exponential", "mean": mean}


def text(**changes: Any) -> str:
    """The plain pour as a scenario file, each table changed key by key; lists replace."""
    tables: dict[str, Any] = {
        key: value | changes.get(key, {})
        if isinstance(value, dict) and key not in ("pumps", "crews")
        else value
        for key, value in PLAIN.items()
    }
    for named in ("pumps", "crews"):
        for name, values in changes.get(named, {}).items():
            tables[named] = tables[named] | {name: PLAIN[named].get(name, {}) | values}
    tables["plants"] = changes.get("plants", PLAIN["plants"])
    props = changes.get("props", {})
    lines = ['title = "Plain"', "date = 2027-03-01"]
    for key, table in (tables | ({"props": props} if props else {})).items():
        if key == "plants":
            for plant in table:
                lines += ["[[supply.plants]]", *_rows(plant)]
        elif key == "plan":
            lines += ["[[plan]]", *_rows(table)]
        elif key in ("pumps", "crews"):
            for name, values in table.items():
                lines += [f"[{key}.{name}]", *_rows(values)]
        else:
            lines += [f"[{key}]", *_rows(table)]
    return "\n".join(lines)


def pour(**changes: Any) -> Scenario:
    """The scenario of :func:`text`."""
    return parse_scenario(text(**changes))[0]


def laid_out(scenario: Scenario) -> Layout:
    """Its first plan on its floor."""
    return lay_out(scenario, scenario.plans[0])


def played(scenario: Scenario, seed: int = 1) -> DayLog:
    """One day of its first plan."""
    return play(scenario, scenario.plans[0], laid_out(scenario), seed)


def measured(scenario: Scenario, log: DayLog | None = None, seed: int = 1) -> Outcome:
    """The outcome of one day of its first plan, of ``log`` where one is given."""
    layout = laid_out(scenario)
    log = log or play(scenario, scenario.plans[0], layout, seed)
    return measure(basis(scenario, scenario.plans[0], layout), log)


def basis_of(scenario: Scenario) -> Basis:
    """The basis of its first plan."""
    return basis(scenario, scenario.plans[0], laid_out(scenario))


def played_open(scenario: Scenario, layout: Layout, seed: int) -> tuple[DayLog, SiteDay]:
    """One day of the first plan with the state that the day model leaves behind."""
    day = open_day(scenario, scenario.plans[0], layout, seed)
    day.env.run()
    return day_log(day), day


def _rows(table: Mapping[str, Any]) -> list[str]:
    return [f"{key} = {_toml(value)}" for key, value in table.items() if value is not None]


def _toml(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return json.dumps(value)


def day_of_rain(scenario: Scenario, finishers: bool = False) -> Outcome:
    """The day with seed 1 measured, with two finishers in every crew where they are wanted."""
    if finishers:
        crews = {name: replace(crew, finishers=2) for name, crew in scenario.crews.items()}
        scenario = replace(scenario, crews=crews)
    plan = scenario.plans[0]
    layout = lay_out(scenario, plan)
    return measure(basis(scenario, plan, layout), play(scenario, plan, layout, 1))
