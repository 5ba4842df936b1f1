"""Three routine floors, written from nothing as a planner would: ordinary sizes, nothing tuned.

Invented. Sheets of two spans, presets as shipped, a mild day, one plant with trucks enough. Strips
are 14 m long for a hose and a skip, 24 m for a boom: what each closes in half an hour.
"""

from __future__ import annotations

from dataclasses import replace

from pourday.outcome.base.basis import Basis
from pourday.outcome.capacity import capacities
from pourday.scenario.base.distribution import fixed
from pourday.scenario.read import parse_scenario
from pourday.study.prepare import prepare

_FLOOR = """
title = "{title}"
date = 2027-05-11

[floor]
spans_m = {spans}
sheet_runs = {runs}
length_y_m = {length}

[deck]
bending_stiffness_kNm2_per_m = 210.0
sag_moment_resistance_kNm_per_m = 7.0
hog_moment_resistance_kNm_per_m = 7.0
reaction_resistance_kN_per_m = 38.0
self_weight_kN_m2 = 0.11
void_volume_m3_per_m2 = 0.028

[slab]
depth_mm = 130
strike = "datum"
use_factor = {{ dist = "normal", mean = 1.01, sd = 0.02, low = 0.95, high = 1.10 }}

[loads]
preset = "en_1991_1_6"
heap_height_factor = 1.4

[mix]
preset = "ordinary_c30"

[weather]
sample = "mild"

[supply]
load_m3 = {load}
age_limit_min = 90
discharge_min = {{ dist = "lognormal", mean = {discharge}, sd = {spread} }}

[[supply.plants]]
name = "Quay Street plant"
trucks = {trucks}
batch_m3_h = 50
travel_min = {{ dist = "lognormal", mean = 20, sd = 5 }}
back_min = {{ dist = "lognormal", mean = 18, sd = 4 }}
opens = "06:00"

[day_to_day]
crew_pace_sd = {differs}
plant_pace_sd = {differs}
travel_sd = {differs}

[site]
positions = {positions}
holding_places = 2
breaks = [{{ at = "10:00", length_min = 20 }}, {{ at = "13:00", length_min = 30 }}]
curfew = "20:00"
{site}
[pumps.pump]
preset = "{pump}"
{more}
[crews.crew]
preset = "{crew}"

[prices]
concrete_per_m3 = 140

[[plan]]
name = "{order}"
pump = "pump"
crew = "crew"
spacing_min = 20
start = "07:30"
order = "{order}"
{plan}"""

_SMALL = {"spans": [3.0] * 14, "runs": [2] * 7, "length": 14.0, "site": "", "positions": 1}
_SMALL |= {"load": 6.0, "trucks": 5, "discharge": 10, "spread": 3}

FLOORS = {
    "line": _SMALL | {"pump": "line_pump", "crew": "crew_small", "more": "line_length_m = 50"},
    "boom": {
        "spans": [3.0] * 16,
        "runs": [2] * 8,
        "length": 24.0,
        "site": "set_ups = [\n"
        '  { name = "west", x_m = -4, y_m = 12 },\n  { name = "east", x_m = 52, y_m = 12 },\n'
        '  { name = "south", x_m = 24, y_m = -4 },\n  { name = "north", x_m = 24, y_m = 28 },\n'
        "]\n",
        "positions": 2,
        "load": 7.5,
        "trucks": 8,
        "discharge": 9,
        "spread": 2,
        "pump": "truck_boom",
        "crew": "crew_medium",
        "more": "reach_m = 32",
    },
    "skip": _SMALL | {"pump": "crane_and_skip", "crew": "crew_small", "more": "", "trucks": 4},
}
"""About 60 m³ by line pump, 120 m³ by truck boom from two places, 60 m³ by crane and skip."""

# Strips run along y and are placed from the sides; bands run along x and come from end to end.
_PLACES = {"thirds": '["west", "east"]', "across": '["south", "north"]'}


def routine(name: str, order: str, differs: float = 0.0) -> Basis:
    """A routine floor in an order, its loads spaced as the program itself proposes.

    ``differs`` is the sd of the factors of a day; 0 makes every day an ordinary one.
    """
    values = FLOORS[name]
    plan = f"pour_width_m = {sum(values['spans'])}\n" if order == "across" else ""
    if order == "across":
        # A crane swings back to the same end of a band at once, a hose is not dragged back.
        plan += "band_m = 1.5\n" + ("alternate = false\n" if name == "skip" else "")
    if name == "boom":
        plan += f"set_ups = {_PLACES[order]}\n"
    text = _FLOOR.format(
        title=f"Routine floor, {name}", order=order, plan=plan, differs=differs, **values
    )
    return proposed(prepare(scenario := parse_scenario(text)[0], scenario.plans)[0])


def proposed(basis: Basis) -> Basis:
    """The same plan with the spacing that its capacity proposes, front by front."""
    fronts = tuple(
        replace(front, spacing=fixed(said.spacing))
        for front, said in zip(basis.plan.fronts, capacities(basis), strict=True)
    )
    plan = replace(basis.plan, fronts=fronts)
    return prepare(replace(basis.scenario, plans=(plan,)), (plan,))[0]
