"""Days made by hand: pieces of placing at minutes after 08:00, two strips of 3 m by 10 m."""

from __future__ import annotations

import json

from builders.pours import basis_of, text

from pourday.day.log import DayLog, FrontLog, Stretch
from pourday.scenario.read import parse_scenario

MINUTE = 60.0
EIGHT = 8 * 3600.0
TWO = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0}
WHOLE = {"order": "spread", "strip_width_m": 3.0}


def clock(minutes: float) -> float:
    return EIGHT + minutes * MINUTE


def day(scenario, *pieces) -> DayLog:
    """Pieces are (strip, start, end, share at start, share at end, batched), times in minutes."""
    volumes = tuple(float(v) for v in basis_of(scenario).layout.volume)
    stretches = tuple(
        Stretch(
            clock(a), clock(b), strip, u * volumes[strip], v * volumes[strip], n, clock(batched)
        )
        for n, (strip, a, b, u, v, batched) in enumerate(pieces)
    )
    end = stretches[-1].end
    unfinished = sum(volumes) - sum(s.volume_end - s.volume_start for s in stretches)
    return DayLog(
        plan="plain",
        seed=1,
        visits=(),
        stretches=stretches,
        stops=(),
        strip_volumes=volumes,
        fronts=(
            FrontLog(
                ready=stretches[0].start,
                start=stretches[0].start,
                end=end,
                wash_out_end=end + 1800.0,
                held=0.0,
                unfinished=unfinished if unfinished > 1e-9 else 0.0,
            ),
        ),
    )


HOLE = {
    "spans_m": [3.0],
    "sheet_runs": [1],
    "length_y_m": 10.0,
    "openings": [{"x_m": [0.5, 2.5], "y_m": [2.0, 5.0]}],
}
ACROSS = HOLE | {"openings": [{"x_m": [0.0, 3.0], "y_m": [2.0, 5.0]}]}
CHANGING = {
    "hours": [
        {"at": "06:00", "air_C": 12, "humidity": 0.8, "wind_km_h": 5},
        {"at": "12:00", "air_C": 29, "humidity": 0.4, "wind_km_h": 20},
        {"at": "18:00", "air_C": 21, "humidity": 0.5, "wind_km_h": 10},
    ]
}


def pour_with(**changes):
    """The plain pour, with tables for finishing, measures and curing, which it does not have."""
    more = {key: changes.pop(key, {}) for key in ("finishing", "measures", "curing")}
    rows = [
        line
        for key, table in more.items()
        for line in (f"[{key}]", *(f"{k} = {json.dumps(v)}" for k, v in table.items()))
    ]
    return parse_scenario(text(**changes) + "\n" + "\n".join(rows))[0]
