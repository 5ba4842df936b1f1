"""The commented scenario file, from the answers; every table that a day reads stands in it.

Keys left to their defaults are written with them where they are worth a look, and behind a # where
only the supplier or the engineer can say them: resistances, beams, what the deck was designed for.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from pourday.scenario.begin.answers import Answers, prop_lines

NAMES = {
    "truck_boom": "boom", "line_pump": "line", "crane_and_skip": "crane",
    "crew_small": "small", "crew_medium": "medium", "crew_large": "large",
}  # fmt: skip
"""What a preset of pump or crew is called in the file."""
_LONGEST_LINE, _LINE_STEP = 400.0, 5.0


@dataclass(frozen=True)
class PlanLine:
    """One plan: presets of its pump and crew, minutes between trucks, why it is there."""

    pump: str
    crew: str
    spacing: int
    why: str

    @property
    def name(self) -> str:
        """The plan's name: "line, 24 min"."""
        return f"{NAMES[self.pump]}, {self.spacing} min"


def scenario_text(answers: Answers, plans: Sequence[PlanLine]) -> str:
    """The file. ``plans`` says which plans are in it; their pumps and crews are described."""
    parts = (
        _head(answers),
        _floor(answers),
        _deck(answers),
        _SLAB.format(depth=_number(answers.slab[0])),
        _beams_and_props(answers),
        _MIX.format(mix=answers.mix),
        _weather(answers),
        _supply(answers),
        _site(answers),
        _means(answers, plans),
        _FINISHING,
        _prices(answers),
        _LIMITS,
        *(_plan(plan, answers) for plan in plans),
    )
    return "\n".join(part.strip("\n") + "\n" for part in parts)


def _head(answers: Answers) -> str:
    return f"""
# Written by `pourday new`. Everything here may be changed; `pourday check` says whether it holds
# together, `pourday keys` what each key is for. PUT IN marks what only others can tell you.

title = {_quoted(answers.title)}
date = {answers.date.isoformat()}           # the day of the pour
"""


def _floor(answers: Answers) -> str:
    holes = "".join(
        f"""
[[floor.openings]]          # no concrete here; repeat the table for each hole
name = "hole {number}"
x_m = {_list(hole.x)}
y_m = {_list(hole.y)}
"""
        for number, hole in enumerate(answers.holes, start=1)
    )
    none = """
# [[floor.openings]]        # a hole: no concrete here; repeat the table for each
# name = "lift"
# x_m = [3.0, 5.0]
# y_m = [4.0, 6.0]
"""
    return f"""
[floor]                     # x runs along the sheets, y along the strips
spans_m = {_list(answers.spans)}
sheet_runs = {_list(answers.sheets)}   # spans under each length of sheet
length_y_m = {_number(answers.width)}
# primary_beams_y_m = [0.0, {answers.width:g}]   PUT IN where they are; [beams] needs them
low_x_end = "edge"          # or "joint": the sheets go on into another pour
high_x_end = "edge"
{holes or none}"""


def _deck(answers: Answers) -> str:
    return f"""
[deck]                      # per metre width, from the supplier's table
bending_stiffness_kNm2_per_m = {_number(answers.stiffness)}   # PUT IN the supplier's EI
# PUT IN the resistances and what they are. Nobody can guess them: until they stand here, the deck
# share reads "not judged".
# sag_moment_resistance_kNm_per_m =
# hog_moment_resistance_kNm_per_m =
# reaction_resistance_kN_per_m =
# resistance_is = "design"  # or "characteristic" (gamma_M), "nominal" (phi, omega), "allowable"
self_weight_kN_m2 = 0.12
void_volume_m3_per_m2 = {_number(answers.slab[1])}   # what the ribs take away from the depth
fixed_supports = "all"      # where the deck is fixed before the pour: all, inner or none
# [deck.designed_for]       # PUT IN: what the supplier designed it for, for the engineer
# wet_depth_mm = {answers.slab[0]:g}
# construction_load_kN_m2 = 1.5
# prop_lines = {answers.props}
"""


_SLAB = """
[slab]
depth_mm = {depth}              # over the whole profile
strike = "datum"            # to a laser plane; or "pins", "guides", "thickness"
mesh_kg_m2 = 3.0            # laid before the pour
use_factor = {{ dist = "normal", mean = 1.01, sd = 0.02, low = 0.95, high = 1.10 }}   # real use

[loads]
preset = "en_1991_1_6"      # people and tools; or "us_practice", "persons", "own", "none"
basis = "EN"                # partial factors; or "LRFD", "ASD", "own"
heap_height_factor = {{ dist = "triangular", low = 1.1, mode = 1.4, high = 2.0 }}
"""


def _beams_and_props(answers: Answers) -> str:
    x = prop_lines(answers.spans, answers.props)
    length = list(accumulate(answers.spans))[-1]
    return f"""
# Without [beams] every support is as stiff as a wall. PUT IN the sections, and take the # away:
# [beams]
# columns_x_m = [0.0, {length:g}]
# [beams.secondary]         # along y, under the supports of the deck
# I_cm4 =
# precamber_mm = 0
# [beams.primary]           # along x, at floor.primary_beams_y_m
# I_cm4 =

[props]                     # lines of props along y, under the deck; the engineer says where
lines_x_m = {_list(x)}
# capacity_kN_per_m =       # PUT IN; until then their load is printed and not judged
"""


_MIX = """
[mix]
preset = "{mix}"     # `pourday keys mix --presets`; any key beside it replaces its value
edge_rule = "set"           # when an edge is lost; or "interval", "given"
# retarder_min = 60
"""


def _weather(answers: Answers) -> str:
    rows = "".join(
        f"  {{ at = {_quoted(row['at'])}, air_C = {row['air_C']:g}, humidity = "
        f"{row['humidity']:.2f}, wind_km_h = {row['wind_km_h']:g} }},\n"
        for row in answers.hours
    )
    said = f"sample day {_quoted(answers.weather)}, invented" if answers.weather else "as told"
    return f"""
[weather]                   # {said}: PUT IN the forecast
hours = [
{rows}]
air_shift_C = {{ dist = "normal", mean = 0, sd = 1.5, low = -4, high = 4 }}   # its error
# rain = [{{ at = "11:00", length_min = 20, rate_mm_h = 3, chance = 0.2 }}]
"""


def _supply(answers: Answers) -> str:
    count, load, travel = answers.trucks
    return f"""
[supply]
load_m3 = {_number(load)}
margin_m3 = 0.5             # ordered above what is left to place, with the last load
age_rule = "astm_c94"       # how old a load may get; or "bs_8500", "jass_5", age_limit_min
discharge_min = {{ dist = "lognormal", mean = 10, sd = 3 }}   # full load, nothing holding it up

[[supply.plants]]           # repeat the table for each plant
name = "plant"
trucks = {count}
batch_m3_h = 45             # PUT IN the plant's
travel_min = {_spread(travel)}
back_min = {_spread(travel)}
# opens = "06:00"

[call_off]                  # what the foreman does on the telephone
nobody_phones = false
waiting_wanted = 1          # trucks he wants waiting on the site
least_load_m3 = {min(1.5, load):g}
measure_error_share = 0.04  # how far he misjudges what is left

[day_to_day]                # how much days differ from each other; invented
crew_pace_sd = 0.10
plant_pace_sd = 0.10
travel_sd = 0.10
"""


def _site(answers: Answers) -> str:
    curfew = f'curfew = "{answers.curfew}"' if answers.curfew else '# curfew = "19:00"         '
    first, second = (_after(answers.start, minutes) for minutes in (150, 330))
    return f"""
[site]
floor_height_m = {_number(answers.height)}          # above the street
positions = 1               # trucks that can stand at the pump at once
holding_places = 1          # trucks that can wait on the site
gate_min = 1
position_min = 4
test_min = 3
wash_min = 6
breaks = [{{ at = "{first}", length_min = 20 }}, {{ at = "{second}", length_min = 30 }}]
{curfew}   # wash-out must be over by then
stop_rain_mm_h = 1.0
"""


def _means(answers: Answers, plans: Sequence[PlanLine]) -> str:
    out = []
    for pump in dict.fromkeys(plan.pump for plan in plans):
        out.append(f'[pumps.{NAMES[pump]}]\npreset = "{pump}"')
        if pump == "line_pump":
            out[-1] += (
                f"\nline_length_m = {line_length(answers):g}   # up, and to the farthest corner"
            )
        out[-1] += "\n# call_out, hire_per_h, pumped_per_m3: PUT IN your quote\n"
    for crew in dict.fromkeys(plan.crew for plan in plans):
        out.append(
            f'[crews.{NAMES[crew]}]\npreset = "{crew}"\n'
            'breaks_taken = "in_turn"    # a third away at a time; or "together", "after_pour"\n'
        )
    return "\n".join(out)


_FINISHING = """
[finishing]
preset = "walk_behind_36"   # power floats; or "walk_behind_48", "ride_on"

[measures]                  # against drying and frost; none taken
# wind_share = 0.5
# mats_m2K_W = 0.5
# heated_below_C = 16

[curing]
damp_days = 7
props_days = 28
"""


def _prices(answers: Answers) -> str:
    labels = ("concrete_per_m3", "labour_per_person_h", "waiting_per_min")
    given = answers.prices is not None
    mark = "" if given else "# "
    values = answers.prices or (0.0, 0.0, 0.0)
    rows = "".join(
        f"{mark}{label} = {value!r}\n" for label, value in zip(labels, values, strict=True)
    )
    return f"""
[prices]                    # PUT IN your own: what was proposed are round figures, no source
currency = {_quoted(answers.currency)}
{rows}shift_h = 8
overtime_factor = 1.5
free_wait_min = 30
# cold_joint_per_m =        # repair
# returned_per_m3 =         # disposal
"""


_LIMITS = """
[limits]                    # a plan beyond these is never preferred
cold_joint_share = 0.10     # share of days
past_curfew_share = 0.10
frost_share = 0.02
deck_use = 1.0              # share of resistance, once the resistances are there

[upsets]                    # what goes wrong
given = []                  # such as "10:30 pump down 45 min"
"""


def _plan(plan: PlanLine, answers: Answers) -> str:
    return f"""
[[plan]]                    # {plan.why}
name = "{plan.name}"
pump = "{NAMES[plan.pump]}"
crew = "{NAMES[plan.crew]}"
spacing_min = {plan.spacing}
start = "{answers.start}"
order = "thirds"            # or "across", "spread", "listed"
"""


def line_length(answers: Answers) -> float:
    """Pipe of a line pump, m: up to the floor and along two of its sides, at most 400."""
    needed = sum(answers.spans) + answers.width + max(0.0, answers.height)
    return min(_LONGEST_LINE, max(20.0, -(-needed // _LINE_STEP) * _LINE_STEP))


def _spread(travel: float) -> str:
    """A road of so many minutes, a quarter of them its standard deviation (no source)."""
    if travel < 1.0:
        return f"{travel:g}"
    return f'{{ dist = "lognormal", mean = {travel:g}, sd = {travel / 4:.3g} }}'


def _after(start: str, minutes: int) -> str:
    hours, rest = divmod(int(start[:2]) * 60 + int(start[3:]) + minutes, 60)
    return f"{hours:02d}:{rest:02d}"


def _quoted(text: str) -> str:
    """A basic string of TOML: JSON's escapes are among TOML's, and DEL stands as an escape."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _list(values: Sequence[float]) -> str:
    return "[" + ", ".join(map(_number, values)) + "]"


def _number(value: float) -> str:
    """A number as it was typed: no digit is lost, no needless point."""
    return repr(float(value)).removesuffix(".0")
