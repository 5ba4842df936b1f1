"""A small complete scenario text, ways to change it, and values written as such a text."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from typing import Any

VALID = """\
title = "Second floor, west half"
date = 2026-05-04

[floor]
spans_m = [3.0, 3.0, 3.0, 3.0]
sheet_runs = [2, 2]
length_y_m = 18.0
primary_beams_y_m = [0.0, 9.0, 18.0]
cut_at_primary_beams = true
openings = [{ name = "stair", x_m = [3.5, 5.5], y_m = [2.0, 6.0] }]
stop_ends_x_m = [6.6]

[deck]
bending_stiffness_kNm2_per_m = 210
sag_moment_resistance_kNm_per_m = 7.5
hog_moment_resistance_kNm_per_m = 6.5
reaction_resistance_kN_per_m = 40.0
resistance_is = "design"
self_weight_kN_m2 = 0.12
void_volume_m3_per_m2 = 0.03

[slab]
depth_mm = 140
strike = "datum"
use_factor = { dist = "normal", mean = 1.03, sd = 0.01 }

[loads]
preset = "en_1991_1_6"
heap_height_factor = { dist = "triangular", low = 1.2, mode = 1.5, high = 2.5 }

[props]
lines_x_m = [1.5]

[mix]
preset = "ordinary_c30"
retarder_min = 30
edge_rule = "given"

[weather]
hours = [
    { at = "06:00", air_C = 9, humidity = 0.8, wind_km_h = 5 },
    { at = "12:00", air_C = 19, humidity = 0.5, wind_km_h = 14.4 },
]

[supply]
load_m3 = 8.0
smallest_load_m3 = 1.5
load_step_m3 = 0.5
margin_m3 = 0.5
age_limit_min = 90

[[supply.plants]]
name = "Northwater"
trucks = 6
batch_m3_h = 60
travel_min = { dist = "lognormal", mean = 25, sd = 6 }
opens = "05:30"
closes = "18:00"

[[supply.plants]]
name = "Quarry Lane"
trucks = 3
batch_m3_h = 36
travel_min = 35
back_min = { dist = "gamma", mean = 30, sd = 5 }

[site]
positions = 2
holding_places = 3
breaks = [{ at = "09:00", length_min = 15 }, { at = "12:00", length_min = 30 }]
curfew = "20:00"

[pumps.boom]
preset = "truck_boom"
line_length_m = 36

[pumps.own_line]
output_m3_h = { dist = "list", values = [18, 22, 25] }
line_length_m = 60
line_content_m3_per_m = 0.008
output_loss_per_100m = 0.1
walk_min_per_m = 0.2
hire_per_h = 90

[crews.six]
preset = "crew_medium"

[crews.four]
placers = 4
rate_per_placer_m3_h = 5.4
front_speed_m_min = 1.2
pokers = 2

[prices]
concrete_per_m3 = 130
labour_per_person_h = 54
waiting_per_min = 1.5
shift_h = 9
truck_booked = 40

[[plan]]
name = "early"
pump = "boom"
crew = "six"
spacing_min = 12
start = "06:30"

[[plan]]
name = "late"
pump = "own_line"
crew = "four"
spacing_min = { dist = "uniform", low = 15, high = 25 }
start = "07:15"
order = "spread"
strip_width_m = 1.5
trucks = 7
most_on_site = 4
"""


NUMBERS = list(re.finditer(r'(?<![\w".:-])-?\d+(?:\.\d+)?(?![\w".:-])', VALID))
"""Where its numbers stand."""


def changed(*swaps: tuple[str, str]) -> str:
    """The valid text with each old piece, which must be there, put in place once by the new."""
    text = VALID
    for old, new in swaps:
        assert old in text, f"{old!r} is not in the valid text"
        text = text.replace(old, new, 1)
    return text


def every_table() -> dict[str, Any]:
    """The values of the valid text with at least one table of every kind that a file may hold."""
    values = tomllib.loads(VALID)
    values["beams"] = {
        "secondary": {"I_cm4": 8000},
        "primary": {"I_cm4": 20000},
        "columns_x_m": [0.0, 12.0],
        "lines": [{"x_m": 3.0, "I_cm4": 9000}],
    }
    values["day_to_day"] = {"crew_pace_sd": 0.2}
    values["mix"] = {
        "open_time_min": 150,
        "initial_set_h": 5,
        "final_set_h": 7,
        "edge_rule": "given",
    }
    values["deck"]["designed_for"] = {"wet_depth_mm": 150, "prop_lines": 0}
    values["loads"]["stacks"] = [{"x_m": [0, 1], "y_m": [0, 1], "weight_kN": 5}]
    values["weather"]["rain"] = [{"at": "10:00", "length_min": 20, "rate_mm_h": 3}]
    values["supply"]["rush_hours"] = [{"begins": "07:00", "ends": "08:00", "factor": 1.5}]
    values["site"]["set_ups"] = [{"name": "kerb", "x_m": -3, "y_m": 0}]
    values["crews"]["four"]["roles"] = {"rakers": 1, "screed": 1}
    values["prices"]["roles"] = {"foreman_per_h": 60}
    values["prices"]["overtime"] = [{"after_h": 9, "factor": 1.25}]
    values["plan"][0]["fronts"] = [{"pump": "own_line", "crew": "four"}]
    values["plan"][0]["stages"] = [{"until_share": 1.0, "spacing_min": 12}]
    values["standby"] = [{"name": "skip", "output_m3_h": 9, "ready_min": 20, "reach_m": 25}]
    values["pour"] = [
        {
            "name": "all of it",
            "date": values["date"],
            "plan": values["plan"][0]["name"],
            "from_x_m": 0.0,
            "to_x_m": 12.0,
            "hours": [{"at": "12:00", "air_C": 20, "humidity": 0.5, "wind_km_h": 10}],
        }
    ]
    values["search"] = {"vary": [{"key": "plan.spacing_min", "least": 10, "most": 20}]}
    for left_out in ("batch", "call_off", "finishing", "measures", "curing", "limits", "upsets"):
        values[left_out] = {}
    return values


def as_toml(values: Mapping[str, Any]) -> str:
    """Values as a TOML text that reads back as the same values, one line for each key."""
    return "".join(f"{json.dumps(key)} = {_written(value)}\n" for key, value in values.items())


def _written(value: Any) -> str:
    match value:
        case bool() | str():
            return json.dumps(value)
        case Mapping():
            inner = (f"{json.dumps(key)} = {_written(item)}" for key, item in value.items())
            return "{ " + ", ".join(inner) + " }"
        case list():
            return "[" + ", ".join(map(_written, value)) + "]"
        case _:
            return str(value)  # numbers and dates read back as they print
