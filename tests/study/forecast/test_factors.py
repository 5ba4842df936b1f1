"""The factor of the day against the closed form: a normal mean with a normal prior."""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders.pours import basis_of, pour

from pourday.study.forecast.known import Known, known_of
from pourday.tickets.read import parse_tickets

SD, TRIP, TRIP_SD = 0.15, 40.0, 8.0
# Bayes' rule for a normal mean with known noise (any text on statistics).
PRIOR = math.sqrt(math.log1p(SD**2))
NOISE = math.sqrt(math.log1p((TRIP_SD / TRIP) ** 2))


def known(trips: list[float], out: float | None = None) -> Known:
    """Loads that each took so long (min) from leaving to arriving; one more out so long."""
    scenario = pour(
        day_to_day={"crew_pace_sd": SD, "plant_pace_sd": 0, "travel_sd": SD},
        plants=[
            {
                "name": "Far", "trucks": 40, "batch_m3_h": 60, "back_min": 20,
                "travel_min": {"dist": "lognormal", "mean": TRIP, "sd": TRIP_SD},
            }
        ],
    )  # fmt: skip
    basis = basis_of(scenario)
    lines = []
    for k, trip in enumerate(trips, start=1):
        second = round(trip * 60)
        came = f"{7 + second // 3600}:{second // 60 % 60:02d}:{second % 60:02d}"
        lines += [f"{k} left 7:00", f"{k} in {came}"]
    now = 9 * 3600.0
    if out is not None:
        lines.append("99 left {}:{:02d}".format(*divmod(int(now / 60 - out), 60)))
    return known_of(basis, parse_tickets("\n".join(lines)), now)


def log_mean_and_sd(found: Known) -> tuple[float, float]:
    factor = found.so_far.travel
    logs = np.log(factor.grid)
    mean = float(logs @ factor.weight)
    return mean, math.sqrt(float((logs - mean) ** 2 @ factor.weight))


@pytest.mark.parametrize("trips", [[50.0], [50.0, 44.0, 61.0], [33.0] * 8])
def test_trips_narrow_the_factor_as_the_closed_form_says(trips):
    mean, sd = log_mean_and_sd(known(trips))
    # log(trip) = log(mean) - noise²/2 + factor + noise; the factor has mean -prior²/2.
    seen = [math.log(t / TRIP) + NOISE**2 / 2 for t in trips]
    precision = 1 / PRIOR**2 + len(trips) / NOISE**2
    expected = (-0.5 + sum(seen) / NOISE**2) / precision
    # One in fifty is allowed to be odd, which moves both by a little.
    assert mean == pytest.approx(expected, abs=0.012)
    assert sd == pytest.approx(1 / math.sqrt(precision), rel=0.06)


def test_so_many_loads_outweigh_the_prior():
    factor = known([50.0]).so_far.travel
    assert factor.outweigh == math.ceil(NOISE**2 / SD**2)


def test_a_trip_still_out_counts_as_longer_than_it_has_taken():
    nothing, _ = log_mean_and_sd(known([]))
    early, _ = log_mean_and_sd(known([], out=10.0))
    late, _ = log_mean_and_sd(known([], out=60.0))
    assert early == pytest.approx(nothing, abs=0.002)
    assert late > nothing + 0.04
    # By quadrature: prior times the chance that a lognormal trip is longer.
    z = np.linspace(-8, 8, 4001)
    factor = -(PRIOR**2) / 2 + PRIOR * z
    middle = math.log(TRIP) - NOISE**2 / 2
    longer = 0.5 * np.vectorize(math.erfc)((math.log(60.0) - middle - factor) / NOISE / 2**0.5)
    weight = np.exp(-(z**2) / 2) * longer
    assert late == pytest.approx(float(factor @ weight / weight.sum()), abs=0.003)


def test_without_a_spread_from_day_to_day_nothing_is_looked_for():
    scenario = pour(day_to_day={"crew_pace_sd": 0, "plant_pace_sd": 0, "travel_sd": 0})
    found = known_of(basis_of(scenario), parse_tickets("1 left 7:00\n1 in 8:00\n"), 30000.0)
    assert found.so_far.travel.at(0.1) == found.so_far.travel.at(0.9) == pytest.approx(1.0)
