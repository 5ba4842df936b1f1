"""Trucks at a pump as queues: the day model itself, with matching input, beside exact results.

Sources:
- M/M/1 and M/D/1: the Pollaczek-Khinchine formula for the mean wait of an M/G/1 queue,
  Wq = lambda E[S²] / (2 (1 - rho)) (Pollaczek 1930, Khinchine 1932; in any text on queues, such
  as L. Kleinrock, Queueing Systems, Volume 1, Wiley 1975).
- Finite source (machine repair, M/M/1//N): its closed formula, in the same texts, and exact
  mean-value analysis (M. Reiser, S. S. Lavenberg, Mean-Value Analysis of Closed Multichain Queuing
  Networks, Journal of the ACM 27, 1980).
- G/G/1 has no closed formula: there ``ciw``, an independent simulator, plays the same queue.

The pump is the server, discharge the service. A day is cut off 24 h after its start, so the tests
run in seconds where a real pour runs in minutes. Confidence intervals are those of batch means
over days with fixed seeds. All checks of this file hold together at 99 % (Bonferroni: each at
1 - 0.01 / CHECKS), and every interval must also be narrow, so that a wrong model cannot hide in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import ciw
import numpy as np
import pytest
from builders.pours import exponential
from builders.queues import SECOND, days, queue
from scipy import stats

from pourday.day.log import DayLog

WARM_UP = 500
BATCHES = 10  # of each day
CHECKS = 16  # comparisons with an interval in this file, and a little more


def batches(logs: list[DayLog]) -> list[np.ndarray]:
    """Arrival, start and end of discharge, wait of every truck: (4, trucks of a batch)."""
    out = []
    for log in logs:
        rows = [(v.arrived, v.discharge_start, v.discharge_end, v.wait) for v in log.visits]
        rows.sort(key=lambda row: row[1])
        out += np.array_split(np.array(rows[WARM_UP:-WARM_UP]).T, BATCHES, axis=1)
    return out


def wait(batch: np.ndarray) -> float:
    return float(batch[3].mean())


def not_waiting(batch: np.ndarray) -> float:
    return float(np.mean(batch[3] < 1e-9))


def throughput(batch: np.ndarray) -> float:
    return (batch.shape[1] - 1) / float(batch[2, -1] - batch[2, 0])


def utilisation(batch: np.ndarray) -> float:
    busy = (batch[2] - batch[1])[1:].sum()
    return float(busy / (batch[2, -1] - batch[2, 0]))


def half_width(values: Sequence[float]) -> float:
    """Half of the interval of the mean of independent values."""
    t = stats.t.ppf(1 - 0.01 / CHECKS / 2, len(values) - 1)
    return float(t * np.std(values, ddof=1) / math.sqrt(len(values)))


def holds(values: Sequence[float], theory: float, narrow: float = 0.05) -> None:
    """Theory lies in the interval of the mean, and the interval is narrow."""
    half = half_width(values)
    assert half < narrow * theory
    assert abs(np.mean(values) - theory) < half


@pytest.mark.slow
def test_poisson_trucks_and_exponential_discharge_wait_as_in_mm1():
    # 2 s apart, 1 s of discharge: rho = 0.5, Wq = rho / (mu - lambda) = 0.5 / (1 - 0.5) = 1 s.
    found = batches(days(queue(16000, exponential(2 * SECOND), exponential(SECOND)), 8))
    holds([wait(batch) for batch in found], 1.0)
    holds([utilisation(batch) for batch in found], 0.5, narrow=0.02)
    # Poisson arrivals see time averages: a truck finds the pump free with 1 - rho.
    holds([not_waiting(batch) for batch in found], 0.5, narrow=0.02)


@pytest.mark.slow
def test_poisson_trucks_and_fixed_discharge_wait_as_in_md1():
    # 1 s apart, 0.7 s of discharge: rho = 0.7, Wq = 1 x 0.7² / (2 x 0.3) = 0.816667 s.
    found = batches(days(queue(25000, exponential(SECOND), 0.7 * SECOND), 6))
    holds([wait(batch) for batch in found], 0.49 / 0.6)
    holds([utilisation(batch) for batch in found], 0.7, narrow=0.02)
    holds([not_waiting(batch) for batch in found], 0.3, narrow=0.05)


def mean_value_analysis(trucks: int, away: float, service: float) -> tuple[float, float]:
    """Throughput and mean wait before service of a closed loop of one server and one delay."""
    waiting = rate = residence = 0.0
    for n in range(1, trucks + 1):
        residence = service * (1 + waiting)
        rate = n / (residence + away)
        waiting = rate * residence
    return rate, residence - service


def machine_repair(trucks: int, away: float, service: float) -> float:
    """Throughput of M/M/1//N from the chance that the server is idle."""
    terms = [
        math.factorial(trucks) / math.factorial(trucks - n) * (service / away) ** n
        for n in range(trucks + 1)
    ]
    return (1 - 1 / sum(terms)) / service


@pytest.mark.parametrize(("trucks", "away", "service"), [(1, 8, 2), (5, 8, 2), (9, 20, 1)])
def test_mean_value_analysis_agrees_with_the_machine_repair_formula(trucks, away, service):
    rate, _ = mean_value_analysis(trucks, away, service)
    assert rate == pytest.approx(machine_repair(trucks, away, service), rel=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("trucks", "travel", "back"),
    [(5, 8.0, 0.0), (5, 5.0, 3.0), (3, 4.0, 4.0)],
    ids=["all away on the way out", "both ways", "few trucks"],
)
def test_finite_fleet_is_the_machine_repair_queue(trucks, travel, back):
    # The road is a delay without a queue, so only its mean counts: two ways of 5 s and 3 s do as
    # one of 8 s does. Batching takes 0.0018 s of the plant's mixer and is part of the way.
    service = 2.0
    rate, queueing = mean_value_analysis(trucks, travel + back, service)
    scenario = queue(
        15000,
        0,
        exponential(service * SECOND),
        trucks=trucks,
        travel=exponential(travel * SECOND),
        back=exponential(back * SECOND) if back else 0,
    )
    found = batches(days(scenario, 3))
    holds([throughput(batch) for batch in found], rate, narrow=0.015)
    holds([utilisation(batch) for batch in found], rate * service, narrow=0.015)
    holds([wait(batch) for batch in found], queueing)


@pytest.mark.slow
def test_gamma_spacing_and_lognormal_discharge_wait_as_in_a_second_simulator():
    # 1 s apart (sd 0.6 s), 0.6 s of discharge (sd 0.3 s).
    loads, count = 12000, 5
    spacing = {"dist": "gamma", "mean": SECOND, "sd": 0.6 * SECOND}
    discharge = {"dist": "lognormal", "mean": 0.6 * SECOND, "sd": 0.3 * SECOND}
    ours = [wait(batch) for batch in batches(days(queue(loads, spacing, discharge), count))]

    variance = math.log1p(0.5**2)
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Gamma(1 / 0.36, 0.36)],
        service_distributions=[
            ciw.dists.Lognormal(math.log(0.6) - variance / 2, math.sqrt(variance))
        ],
        number_of_servers=[1],
    )
    theirs: list[float] = []
    for seed in range(count):
        ciw.seed(seed)
        simulation = ciw.Simulation(network)
        simulation.simulate_until_max_time(loads)
        records = sorted(simulation.get_all_records(), key=lambda record: record.arrival_date)
        waits = [record.waiting_time for record in records[WARM_UP:-WARM_UP]]
        theirs += [float(part.mean()) for part in np.array_split(np.array(waits), BATCHES)]

    half = math.hypot(half_width(ours), half_width(theirs))
    assert half < 0.1 * np.mean(theirs)
    assert abs(np.mean(ours) - np.mean(theirs)) < half
