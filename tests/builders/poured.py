"""Tickets of pours that are over, on days that are not what the file says, for `learn`.

The file has a floor of about fifty loads, the truth other trips, trucks, people and changes. Times
are noted to the minute; some lines are missing, mistyped or written late.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from builders.pours import basis_of, text
from builders.told import Slips, clock, ticket_text

from pourday.day.front.ready import ready
from pourday.day.play import play_ready
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import parse_scenario

SLIPS = Slips(gaps=0.02, typos=0.01, late=0.02)
TRUTH: dict[str, float] = {
    "travel_min": 26.0,
    "travel_min sd": 6.0,
    "discharge_min": 6.0,
    "discharge_min sd": 1.8,
    "rate_per_placer_m3_h": 4.8,
    "move_min": 2.0,
    "move_min sd": 0.6,
    "change_min": 1.5,
    "change_min sd": 0.5,
    "reject_share": 0.05,
    "crew_pace_sd": 0.12,
    "travel_sd": 0.15,
}
"""What is true on site, by key of the file; minutes, m³/h, shares."""


def _lognormal(mean: float, sd: float) -> dict[str, Any]:
    return {"dist": "lognormal", "mean": mean, "sd": sd}


def _text(**changes: dict[str, Any]) -> str:
    tables: dict[str, dict[str, Any]] = {
        "floor": {"spans_m": [3.0] * 12, "sheet_runs": [3, 3, 3, 3], "length_y_m": 27.0},
        "slab": {"use_factor": {"dist": "normal", "mean": 1.0, "sd": 0.02}},
        "supply": {"load_m3": 3.0, "discharge_min": _lognormal(5, 1)},
        "site": {"positions": 2, "holding_places": 2, "change_min": 1, "test_min": 1},
        "mix": {"reject_share": 0.01},
        "call_off": {"nobody_phones": False},
        "pumps": {"pump": {"output_m3_h": 90, "move_min": 1, "hopper_m3": 0.2}},
        "crews": {"crew": {"rate_per_placer_m3_h": 5.5}},
        "day_to_day": {"crew_pace_sd": 0.1, "plant_pace_sd": 0.05, "travel_sd": 0.1},
    }
    plant = {"name": "Mill Road", "trucks": 12, "batch_m3_h": 60, "back_min": 20}
    plant["travel_min"] = changes.pop("trips", _lognormal(20, 4))
    for name, table in changes.items():
        tables[name] = tables[name] | table
    return text(**tables, plants=[plant], plan={"spacing_min": 8})


def file_text() -> str:
    """The scenario file itself."""
    return _text()


def _floor(**changes: dict[str, Any]) -> Scenario:
    return parse_scenario(_text(**changes))[0]


@cache
def as_the_file_has_it() -> Basis:
    """The plan with the numbers of the file."""
    return basis_of(_floor())


@cache
def as_it_is() -> Basis:
    """The same plan with those of the site."""
    t = TRUTH
    return basis_of(
        _floor(
            trips=_lognormal(t["travel_min"], t["travel_min sd"]),
            supply={"discharge_min": _lognormal(t["discharge_min"], t["discharge_min sd"])},
            site={"change_min": _lognormal(t["change_min"], t["change_min sd"])},
            mix={"reject_share": t["reject_share"]},
            pumps={
                "pump": {
                    "output_m3_h": 90,
                    "move_min": _lognormal(t["move_min"], t["move_min sd"]),
                    "hopper_m3": 0.2,
                }
            },
            crews={"crew": {"rate_per_placer_m3_h": t["rate_per_placer_m3_h"]}},
            day_to_day={"crew_pace_sd": t["crew_pace_sd"], "travel_sd": t["travel_sd"]},
        )
    )


def told_of(seed: int, slips: Slips | None = SLIPS, step: float = 60.0) -> str:
    """The tickets of a whole day of the site."""
    basis = as_it_is()
    log = play_ready(ready(basis.scenario, basis.plan, basis.layout), seed)
    if slips is not None:
        slips = Slips(slips.gaps, slips.typos, slips.late, seed)
    return ticket_text(log, basis, 1e9, step, slips)


def table_of(seed: int) -> str:
    """The same day as a plant's table: no strips, no stops, loading to the second."""
    basis = as_it_is()
    log = play_ready(ready(basis.scenario, basis.plan, basis.layout), seed)
    rows = ["Docket No;Batched;Arrived on site;Start discharge;Unloaded;Volume (m³);Status"]
    for v in log.visits:
        placed = v.discharge_end > v.discharge_start
        end = ["", clock(v.left_site)]
        if placed:
            end = [clock(v.discharge_start), clock(v.discharge_end)]
        status = "placed" if placed else "test" if "test" in v.outcome else "not needed"
        volume = f"{v.volume:.2f}".replace(".", ",")
        begin = [str(100 + v.number), clock(v.batched, 1.0), clock(v.arrived)]
        rows.append(";".join([*begin, *end, volume, status]))
    return "\n".join(rows) + "\n"
