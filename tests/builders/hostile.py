"""A scenario whose every name is somebody's attempt at markup, at a formula, or just a long one."""

from __future__ import annotations

import tomllib
from functools import cache

from builders.places import SCENARIOS

import pourday
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import scenario_of

TITLE = "</script><img src=x onerror=alert(1)> ]]> <!-- & \" ' ${x^2}$ 工地 مبنى " + "W" * 200
PLANS = ("<svg onload=alert(7)>", "a&amp;'b' $x^2$ 30 m", "]]></style>建筑")
PLANT = "</td><img src=x onerror=alert(2)> ]]> خرسانة $y_1$ " + "plant" * 20
OPENING = "</text><script>alert(3)</script>&\"' $z$ " + "W" * 40
CURRENCY = "<b>&'$£"
PUMP, CREW = "<img src=x onerror=alert(4)>", "crew' onclick='alert(5)' & $c$"


def hostile(plans: int = 2) -> Scenario:
    """The clinic with such names, through the checks that a file goes through."""
    raw = tomllib.loads((SCENARIOS / "clinic_level_1.toml").read_text(encoding="utf-8"))
    raw["title"] = TITLE
    raw["floor"]["openings"][0]["name"] = OPENING
    raw["supply"]["plants"][0]["name"] = PLANT
    raw["pumps"] = {PUMP: raw["pumps"]["line"], "crane": raw["pumps"]["crane"]}
    raw.setdefault("finishing", {})["passes"] = 3  # more than a row of the sheet has room for
    raw["crews"] = {CREW: raw["crews"]["small"]}
    raw["prices"]["currency"] = CURRENCY
    raw["plan"] = raw["plan"][:plans]
    for name, plan in zip(PLANS, raw["plan"], strict=False):
        pump = PUMP if plan["pump"] == "line" else plan["pump"]
        plan.update(name=name, pump=pump, crew=CREW)
    return scenario_of(raw, "hostile")[0]


@cache
def hostile_comparison() -> pourday.Comparison:
    """Its plans over two days."""
    return pourday.compare(hostile(), days=2, workers=1)
