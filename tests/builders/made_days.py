"""Days made by hand: pieces of placing at minutes after 08:00, strips of 3 m by 10 m side by side.

A strip takes 0.45 m³ a metre of its length.
"""

from __future__ import annotations

import json

import numpy as np
from builders.pours import basis_of, measured, text

from pourday.day.log import DayLog, FrontLog, Stop, Stretch
from pourday.floor.layout import Layout
from pourday.outcome.measure import Outcome
from pourday.scenario.read import parse_scenario

MINUTE = 60.0
EIGHT = 8 * 3600.0
TWO = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0}
FOUR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2], "length_y_m": 10.0}
WHOLE = {"order": "spread", "strip_width_m": 3.0}
ONE_WAY = WHOLE | {"alternate": False}


def clock(minutes: float) -> float:
    return EIGHT + minutes * MINUTE


def minutes(times) -> np.ndarray:
    """Clock times (s) as minutes after 08:00."""
    return (np.asarray(times) - EIGHT) / MINUTE


def day(scenario, *pieces, stops=(), visits=()) -> DayLog:
    """A day of pieces (strip, start, end, share at start, share at end, batched).

    Stops are (kind, from, to), or with their front after it. All times in minutes after 08:00.
    Pieces fall to the fronts that the plan gives their strips to.
    """
    layout = basis_of(scenario).layout
    volumes = tuple(float(v) for v in layout.volume)
    stretches = tuple(
        Stretch(
            start=clock(a),
            end=clock(b),
            strip=strip,
            volume_start=u * volumes[strip],
            volume_end=v * volumes[strip],
            truck=n,
            batched=clock(batched),
            front=layout.front_of[strip],
        )
        for n, (strip, a, b, u, v, batched) in enumerate(pieces)
    )
    return DayLog(
        plan="plain",
        seed=1,
        visits=tuple(visits),
        stretches=stretches,
        stops=tuple(Stop(kind, clock(a), clock(b), *front) for kind, a, b, *front in stops),
        strip_volumes=volumes,
        fronts=tuple(
            _front(layout, number, volumes, stretches)
            for number in range(len(scenario.plans[0].fronts))
        ),
    )


def measured_day(scenario, *pieces, stops=(), visits=()) -> Outcome:
    """The same day, measured."""
    return measured(scenario, day(scenario, *pieces, stops=stops, visits=visits))


def _front(
    layout: Layout, number: int, volumes: tuple[float, ...], stretches: tuple[Stretch, ...]
) -> FrontLog:
    """A front there from its first concrete (that of the day where it has none) to its last."""
    mine = [s for s in stretches if s.front == number]
    due = sum(v for v, front in zip(volumes, layout.front_of, strict=True) if front == number)
    unfinished = due - sum(s.volume_end - s.volume_start for s in mine)
    begin, end = (mine or stretches)[0].start, (mine or stretches)[-1].end
    return FrontLog(
        ready=begin,
        start=begin,
        end=end,
        wash_out_end=end + 1800.0,
        held=0.0,
        unfinished=unfinished if unfinished > 1e-9 else 0.0,
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
    """The plain pour, with tables for measures, curing and batch, which it does not have."""
    more = {key: changes.pop(key, {}) for key in ("measures", "curing", "batch")}
    rows = [
        line
        for key, table in more.items()
        for line in (f"[{key}]", *(f"{k} = {json.dumps(v)}" for k, v in table.items()))
    ]
    return parse_scenario(text(**changes) + "\n" + "\n".join(rows))[0]
