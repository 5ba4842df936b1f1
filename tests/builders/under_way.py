"""A small pour on which a forecast is tried many times: ten loads, everything varies a little."""

from __future__ import annotations

from functools import cache

import numpy as np
from builders.pours import basis_of, pour
from builders.told import ticket_text

from pourday.day.front.ready import Ready, ready
from pourday.day.log import DayFactors, DayLog
from pourday.day.play import play_ready
from pourday.outcome.base.basis import Basis
from pourday.study.forecast.known import Known, known_of
from pourday.study.forecast.rests import rest_log
from pourday.tickets.read import parse_tickets

SD = 0.15


@cache
def small_pour(sd: float = SD) -> Basis:
    """About 29 m³ in nine loads and a balance; the crew is what holds it up."""
    scenario = pour(
        floor={"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 21.5},
        slab={"use_factor": {"dist": "normal", "mean": 1.0, "sd": 0.03}},
        supply={"load_m3": 3.0, "discharge_min": {"dist": "lognormal", "mean": 5, "sd": 1}},
        site={"positions": 2, "holding_places": 2, "change_min": 1},
        call_off={"nobody_phones": False},
        crews={"crew": {"rate_per_placer_m3_h": 3}},
        day_to_day={"crew_pace_sd": sd, "plant_pace_sd": 0.0, "travel_sd": sd},
        plants=[
            {
                "name": "Mill Road",
                "trucks": 6,
                "batch_m3_h": 60,
                "travel_min": {"dist": "lognormal", "mean": 20, "sd": 4},
                "back_min": {"dist": "lognormal", "mean": 20, "sd": 4},
            }
        ],
        plan={"spacing_min": 11},
    )
    return basis_of(scenario)


@cache
def small_ready(sd: float = SD) -> Ready:
    """The small pour made ready."""
    basis = small_pour(sd)
    return ready(basis.scenario, basis.plan, basis.layout)


def true_day(seed: int, factors: DayFactors | None = None) -> DayLog:
    """What really happened: a day of the small pour, of its own kind unless told."""
    return play_ready(small_ready(), seed, factors=factors)


def moment_of(log: DayLog, share: float) -> float:
    """When so much of the time from first to last concrete had gone (s)."""
    return log.start + share * (log.end - log.start)


def known_at(log: DayLog, basis: Basis, at: float, step: float = 60.0) -> Known:
    """What complete tickets tell at a moment, to the minute unless told."""
    return known_of(basis, parse_tickets(ticket_text(log, basis, at, step)), at)


def rank(log: DayLog, share: float, rests: int, first_seed: int) -> int:
    """How many of the rests end before the day did."""
    known = known_at(log, small_pour(), moment_of(log, share))
    ends = [rest_log(known, first_seed + k)[0].end for k in range(rests)]
    return int(np.sum(np.array(ends) < log.end))
