"""A plant with other customers as a queue, beside exact results and a second simulator.

Sources:
- M/G/1: the Pollaczek-Khinchine formula for the mean wait, Wq = lambda E[S²] / (2 (1 - rho)), with
  rho = lambda E[S] (Pollaczek 1930, Khinchine 1932; in any text on queues, such as L. Kleinrock,
  Queueing Systems, Volume 1, Wiley 1975). With a fixed batching time S it is M/D/1:
  Wq = rho S / (2 (1 - rho)). A load that comes at a moment that has nothing to do with the queue
  waits as the mean over time; so do Poisson loads (Poisson arrivals see time averages).
- ``ciw``, an independent queue simulator, with stops of its server that pause and resume: given
  the same arrivals it must find the same end of every single load.

Means over days with fixed seeds; the intervals of this file hold together at 99 % (Bonferroni: each
at 1 - 0.01 / CHECKS) and must also be narrow, so that a wrong model cannot hide in them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import ciw
import numpy as np
import pytest
from builders.mixers import mixer as mixer_of
from scipy import stats

from pourday.day.chance.streams import Stream
from pourday.day.chance.streams import generator as own_generator
from pourday.scenario.base.distribution import Distribution

OPENS = 6 * 3600.0
BATCH = 60 / 3600  # m³/s
VOLUME = 8.0
BATCHING = VOLUME / BATCH  # 480 s
DAYS = 20
CHECKS = 5  # comparisons with an interval in this file


def holds(values: Sequence[float], theory: float, narrow: float) -> None:
    """Theory lies in the interval of the mean of independent values, and the interval is narrow."""
    t = stats.t.ppf(1 - 0.01 / CHECKS / 2, len(values) - 1)
    half = t * np.std(values, ddof=1) / math.sqrt(len(values))
    assert half < narrow * theory
    assert abs(np.mean(values) - theory) < half


@pytest.mark.slow
@pytest.mark.parametrize("busy", [0.5, 0.7])
def test_our_rare_loads_wait_behind_other_customers_as_in_md1(busy):
    # A load of ours every 150 batching times: what it leaves in the queue is long gone by the next.
    theory = busy * BATCHING / (2 * (1 - busy))
    waits, at_once = [], []
    for seed in range(1, DAYS + 1):
        mixer = mixer_of("Mill Road", seed, BATCH, OPENS, None, BATCHING / busy, VOLUME)
        calls = [OPENS + 150 * BATCHING * k for k in range(1, 601)]
        found = np.array([mixer.book(now, VOLUME)[0] - now for now in calls])
        waits.append(float(found.mean()))
        at_once.append(float(np.mean(found == 0)))
    holds(waits, theory, narrow=0.06)
    holds(at_once, 1 - busy, narrow=0.06)


@pytest.mark.slow
def test_our_loads_and_those_of_others_share_the_mixer_as_in_mg1():
    # Others: 8 m³ (480 s) every 1200 s in the mean; ours: 4 m³ (240 s), Poisson, every 800 s.
    # rho = 0.4 + 0.3; Wq = (480² / 1200 + 240² / 800) / (2 x 0.3) = 440 s.
    every, ours, volume = 1200.0, 800.0, 4.0
    squares = BATCHING**2 / every + (volume / BATCH) ** 2 / ours
    theory = squares / (2 * (1 - 0.7))
    assert theory == pytest.approx(440.0)
    waits = []
    for seed in range(1, DAYS + 1):
        mixer = mixer_of("Mill Road", seed, BATCH, OPENS, None, every, VOLUME)
        gaps = own_generator(seed, "our calls, in a test").exponential(ours, 12000)
        calls = OPENS + np.cumsum(gaps)
        found = [mixer.book(now, volume)[0] - now for now in calls.tolist()]
        waits.append(float(np.mean(found[1000:])))
    holds(waits, theory, narrow=0.05)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_load_ends_as_in_a_second_simulator_stops_included(seed):
    # The mixer runs for 5000 s, stands for 900 s, and so on; ciw counts its time from opening.
    runs, stands, cycles = 5000.0, 900.0, 60
    cycle = runs + stands
    stops = [(OPENS + k * cycle + runs, OPENS + (k + 1) * cycle) for k in range(cycles)]
    every, volume, ours = 1500.0, 4.0, 900.0
    until = 0.8 * cycles * cycle

    mixer = mixer_of("Far Field", seed, BATCH, OPENS, None, every, VOLUME, stops)
    gaps = own_generator(seed, "our calls, in a test").exponential(ours, 2000)
    calls = [now for now in np.cumsum(gaps).tolist() if now < until]
    found = {now: mixer.book(OPENS + now, volume)[1] - OPENS for now in calls}

    others = Stream(seed, "other customers at Far Field", Distribution("exponential", (every,)))
    arrivals = [(now, volume / BATCH) for now in calls]
    arrived, k = others(0), 0
    while arrived < until:
        arrivals.append((arrived, BATCHING))
        k += 1
        arrived += others(k)
    arrivals.sort()
    moments = [now for now, _ in arrivals]
    network = ciw.create_network(
        arrival_distributions=[
            ciw.dists.Sequential([*np.diff([0.0, *moments]).tolist(), math.inf])
        ],
        service_distributions=[ciw.dists.Sequential([work for _, work in arrivals])],
        number_of_servers=[
            ciw.Schedule(
                numbers_of_servers=[1, 0], shift_end_dates=[runs, cycle], preemption="resume"
            )
        ],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(cycles * cycle)
    records = simulation.get_all_records()
    interrupted = sum(r.record_type == "interrupted service" for r in records)
    ended = {r.id_number: r.exit_date for r in records if r.record_type == "service"}

    assert len(arrivals) == len(ended)
    assert interrupted > 15  # stops did meet loads under way
    for number, now in enumerate(moments, start=1):
        if now in found:
            assert found[now] == pytest.approx(ended[number], abs=1e-6)
    assert len(found) > 200
