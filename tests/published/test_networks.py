"""Plant, road, pump and the way back as a closed queueing network: trucks that go round.

Sources:
- Exact mean-value analysis: M. Reiser, S. S. Lavenberg, Mean-Value Analysis of Closed Multichain
  Queuing Networks, Journal of the ACM 27(2), 1980 (``mean_value.py``; checked here against the
  balance equations of the Markov chain).
- A mixer with a fixed batching time has no product form. With no road it is the queue M/D/1 with
  limited room, solved exactly; with a road ``ciw``, an independent simulator, plays the same.

What is compared is what the day model reports: loads an hour, the stops of the pump, the waits of
the trucks. Trucks are called as soon as they are back (spacing 0), and seconds stand for minutes,
so that a day of 24 h holds thousands of rounds. Batch means over days with fixed seeds. All checks
of this file hold together at 99 % (Bonferroni: each at 1 - 0.01 / CHECKS). The standard error is
below 1 % for loads an hour and the idle share, below 1.5 % for the number of trucks at the pump.
Each interval leaves out the network with a truck more and that with a truck less, so a model which
is wrong by one truck would be found.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import ciw
import numpy as np
import pytest
from builders.pours import exponential
from builders.queues import LOAD, SECOND, days, queue
from published.mean_value import Solved, mean_value_analysis, plant_and_pump
from scipy import stats

from pourday.day.log import DayLog
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.scenario import Scenario

CHECKS = 60  # comparisons with an interval in this file, and a few more
WARM_UP, BATCHES = 300, 10  # loads at either end of a day that are left out; batches of a day
LARGEST_ERROR = {"throughput": 0.01, "idle": 0.01, "at_pump": 0.015}  # share of what is measured


def fixed(seconds: float) -> Distribution:
    return Distribution("fixed", (seconds,))


def random(seconds: float) -> Distribution:
    return Distribution("exponential", (seconds,))


@dataclass(frozen=True)
class Seen:
    """What a day showed, one value a batch: loads a second, idle share, mean trucks at the pump."""

    throughput: list[float]
    idle: list[float]
    at_pump: list[float]


def seen(logs: Sequence[DayLog], plant: str | None = None) -> Seen:
    """The batches of these days; loads and trucks of one plant only where it is named."""
    out = Seen([], [], [])
    for log in logs:
        loads = sorted(log.visits, key=lambda visit: visit.discharge_end)
        stops = np.array([(stop.start, stop.end) for stop in log.stops])
        assert {stop.kind for stop in log.stops} <= {"starved", "changing"}
        edges = np.linspace(WARM_UP, len(loads) - WARM_UP, BATCHES + 1).astype(int)
        for first, last in itertools.pairwise(edges):
            begin, end = loads[first].discharge_end, loads[last].discharge_end
            these = [v for v in loads[first + 1 : last + 1] if plant in (None, v.plant)]
            stood = np.clip(stops[:, 1], begin, end) - np.clip(stops[:, 0], begin, end)
            there = sum(v.wait + v.discharge_end - v.discharge_start for v in these)
            out.throughput.append(len(these) / (end - begin))
            out.idle.append(float(stood.sum()) / (end - begin))
            out.at_pump.append(there / (end - begin))
    return out


def error(values: Sequence[float]) -> float:
    """Standard error of the mean of independent values."""
    return float(np.std(values, ddof=1)) / math.sqrt(len(values))


def half_width(values: Sequence[float]) -> float:
    return error(values) * float(stats.t.ppf(1 - 0.01 / CHECKS / 2, len(values) - 1))


def narrow(found: Seen, name: str) -> list[float]:
    """The values of that name; their standard error is small."""
    values: list[float] = getattr(found, name)
    assert error(values) < LARGEST_ERROR[name] * np.mean(values)
    return values


def holds(found: Seen, name: str, theory: float, *wrong: float) -> None:
    """Theory lies in a narrow interval of the mean, what is wrong by a truck does not."""
    values = narrow(found, name)
    mean, half = float(np.mean(values)), half_width(values)
    assert abs(mean - theory) < half
    for other in wrong:
        assert abs(mean - other) > half


def solved_holds(found: Seen, solve: Callable[[int], Solved], trucks: int) -> None:
    """Throughput, idle share and trucks at the pump are those of so many trucks, not one off."""
    right, *wrong = (solve(n) for n in (trucks, trucks + 1, trucks - 1))
    holds(found, "throughput", right.throughput.sum(), *(w.throughput.sum() for w in wrong))
    holds(found, "idle", 1 - right.busy[0], *(1 - w.busy[0] for w in wrong))
    holds(found, "at_pump", right.at_server.sum(), *(w.at_server.sum() for w in wrong))


# Mean-value analysis itself, against the balance equations of the Markov chain.


def long_run_shares(rates: dict[tuple, dict[tuple, float]]) -> dict[tuple, float]:
    """Long-run share of time of every state of a Markov chain: {from: {to: rate}}."""
    states = list(rates)
    number = {state: i for i, state in enumerate(states)}
    balance = np.zeros((len(states) + 1, len(states)))
    balance[-1] = 1.0
    for state, ways in rates.items():
        for target, rate in ways.items():
            balance[number[target], number[state]] += rate
            balance[number[state], number[state]] -= rate
    shares = np.linalg.lstsq(balance, np.append(np.zeros(len(states)), 1.0), rcond=None)[0]
    return dict(zip(states, shares.tolist(), strict=True))


@pytest.mark.parametrize("trucks", [1, 2, 5, 8])
def test_mean_value_analysis_of_plant_road_and_pump_solves_the_markov_chain(trucks):
    away, mixer, pump = 4.0, 0.7, 0.9
    rates: dict[tuple, dict[tuple, float]] = {}
    for a, b in itertools.product(range(trucks + 1), repeat=2):  # trucks at mixer and at pump
        if a + b <= trucks:
            # One delay on the way back; the way out takes no time.
            rates[a, b] = ways = {}
            if a:
                ways[a - 1, b + 1] = 1 / mixer
            if b:
                ways[a, b - 1] = 1 / pump
            if trucks - a - b:
                ways[a + 1, b] = (trucks - a - b) / away
    shares = long_run_shares(rates)
    found = mean_value_analysis([trucks], [away], [mixer, pump])
    busy = sum(share for (_, b), share in shares.items() if b)
    assert found.throughput[0] == pytest.approx(busy / pump, rel=1e-9)
    assert found.busy[1] == pytest.approx(busy, rel=1e-9)
    for server in (0, 1):
        length = sum(share * state[server] for state, share in shares.items())
        assert found.at_server[0, server] == pytest.approx(length, rel=1e-9)


@pytest.mark.parametrize("trucks", [(1, 1), (3, 1), (2, 4)])
def test_mean_value_analysis_of_two_fleets_solves_the_markov_chain(trucks):
    away, service = (3.0, 7.0), 0.8
    orders = [
        line
        for length in range(sum(trucks) + 1)
        for line in itertools.product((0, 1), repeat=length)
        if line.count(0) <= trucks[0] and line.count(1) <= trucks[1]
    ]
    rates: dict[tuple, dict[tuple, float]] = {}
    for line in orders:  # the trucks at the pump, in the order they came
        rates[line] = ways = {line[1:]: 1 / service} if line else {}
        for fleet in (0, 1):
            out = trucks[fleet] - line.count(fleet)
            if out:
                ways[(*line, fleet)] = out / away[fleet]
    shares = long_run_shares(rates)
    found = mean_value_analysis(trucks, away, [service])
    for fleet in (0, 1):
        first = sum(share for line, share in shares.items() if line[:1] == (fleet,))
        length = sum(share * line.count(fleet) for line, share in shares.items())
        assert found.throughput[fleet] == pytest.approx(first / service, rel=1e-9)
        assert found.at_server[fleet, 0] == pytest.approx(length, rel=1e-9)


def test_more_room_makes_plant_and_pump_as_fast_as_the_slower_and_one_truck_adds_both_times():
    assert plant_and_pump(1, 0.4, 0.5) == pytest.approx(1 / 0.9)
    assert plant_and_pump(60, 0.4, 0.5) == pytest.approx(1 / 0.5, rel=1e-6)
    assert plant_and_pump(60, 0.6, 0.5) == pytest.approx(1 / 0.6, rel=1e-6)
    # Two trucks, by hand: from "none left" (and from "one left") the next batching ends with none
    # left where no truck came back in it, chance e^-0.8. So none is left with share e^-0.8.
    assert plant_and_pump(2, 0.4, 0.5) == pytest.approx(1 / (0.4 + 0.5 * math.exp(-0.8)))


# The day model.

SERVICE, AWAY = 0.5, 5.0  # s


def loop(loads: int, trucks: int, travel: object, back: object) -> Scenario:
    """Trucks between a plant that takes no time and a pump with exponential discharge."""
    return queue(loads, 0, exponential(SERVICE * SECOND), trucks=trucks, travel=travel, back=back)


@pytest.mark.slow
@pytest.mark.parametrize("trucks", [1, 2, 4, 8])
def test_one_to_eight_trucks_are_the_closed_network(trucks):
    # The road is a delay: only its mean counts, so one way is exponential and one is fixed.
    scenario = loop(12000, trucks, exponential(4 * SECOND), SECOND)
    batching = LOAD / scenario.supply.plants[0].batch  # 0.0018 s, part of the way
    found = seen(days(scenario, 4))
    solved_holds(found, lambda n: mean_value_analysis([n], [AWAY + batching], [SERVICE]), trucks)


@pytest.mark.slow
def test_gate_and_wash_with_two_positions_are_delays_of_the_network_too():
    # 1 s at the gate and 1.5 s of wash keep nobody else waiting; idle is starved and changing.
    trucks = 5
    scenario = loop(12000, trucks, {"dist": "gamma", "mean": SECOND, "sd": SECOND / 2}, SECOND / 2)
    site = replace(scenario.site, positions=2, gate=random(1.0), wash=random(1.5))
    scenario = replace(scenario, site=site)
    away = 1.0 + 0.5 + 1.0 + 1.5 + LOAD / scenario.supply.plants[0].batch
    found = seen(days(scenario, 4))
    solved_holds(found, lambda n: mean_value_analysis([n], [away], [SERVICE]), trucks)


@pytest.mark.slow
def test_two_plants_with_fleets_of_their_own_are_two_chains_of_the_network():
    near, far = 2.5, 7.0
    scenario = loop(12000, 3, exponential(2 * SECOND), SECOND / 2)
    plant = scenario.supply.plants[0]
    other = replace(plant, name="Far", trucks=4, travel=random(4.0), back=random(3.0))
    scenario = replace(scenario, supply=replace(scenario.supply, plants=(plant, other)))
    logs = days(scenario, 4)
    batching = LOAD / plant.batch

    def solve(more_near: int, more_far: int) -> Solved:
        fleets = [3 + more_near, 4 + more_far]
        return mean_value_analysis(fleets, [near + batching, far + batching], [SERVICE])

    right = solve(0, 0)
    wrong = [solve(*more) for more in ((1, 0), (-1, 0), (0, 1), (0, -1))]
    for fleet, name in enumerate((plant.name, other.name)):
        found = seen(logs, name)
        own = wrong[2 * fleet : 2 * fleet + 2]
        holds(found, "throughput", right.throughput[fleet], *(w.throughput[fleet] for w in own))
        holds(found, "at_pump", right.at_server[fleet, 0], *(w.at_server[fleet, 0] for w in own))
    holds(seen(logs), "idle", 1 - right.busy[0], *(1 - w.busy[0] for w in wrong))


def with_batching(scenario: Scenario, seconds: float) -> Scenario:
    """The same with a mixer that takes so long for a load."""
    plants = tuple(replace(plant, batch=LOAD / seconds) for plant in scenario.supply.plants)
    return replace(scenario, supply=replace(scenario.supply, plants=plants))


@pytest.mark.slow
@pytest.mark.parametrize(("trucks", "batching"), [(1, 0.4), (3, 0.7)])
def test_mixer_and_pump_without_a_road_are_a_queue_with_limited_room(trucks, batching):
    found = seen(days(with_batching(loop(14000, trucks, 0, 0), batching), 4))
    right = plant_and_pump(trucks, batching, SERVICE)
    wrong = [plant_and_pump(n, batching, SERVICE) for n in (trucks - 1, trucks + 1) if n]
    holds(found, "throughput", right, *wrong)
    holds(found, "idle", 1 - right * SERVICE, *(1 - rate * SERVICE for rate in wrong))


def second_simulator(trucks: int, batching: float, way: float, seconds: float, seed: int) -> Seen:
    """The loop of mixer, road, pump and road in ``ciw``, cut into batches."""
    network = ciw.create_network(
        arrival_distributions=[
            ciw.dists.Sequential([0.0] * trucks + [math.inf]),
            *[None] * 3,
        ],
        service_distributions=[
            ciw.dists.Deterministic(batching),
            ciw.dists.Exponential(1 / way),
            ciw.dists.Exponential(1 / SERVICE),
            ciw.dists.Exponential(1 / way),
        ],
        number_of_servers=[1, math.inf, 1, math.inf],
        routing=[[float(to == (at + 1) % 4) for to in range(4)] for at in range(4)],
    )
    ciw.seed(seed)
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(seconds)
    records = [record for record in simulation.get_all_records() if record.node == 3]
    records.sort(key=lambda record: record.service_end_date)
    out = Seen([], [], [])
    edges = np.linspace(WARM_UP, len(records) - 1, BATCHES + 1).astype(int)
    for first, last in itertools.pairwise(edges):
        begin, end = records[first].service_end_date, records[last].service_end_date
        these = records[first + 1 : last + 1]
        span = end - begin
        out.throughput.append(len(these) / span)
        out.idle.append(1 - sum(record.service_time for record in these) / span)
        out.at_pump.append(sum(r.waiting_time + r.service_time for r in these) / span)
    return out


@pytest.mark.slow
@pytest.mark.parametrize(
    ("trucks", "batching", "way"),
    [(3, 0.3, 0.6), (3, 0.6, 0.4)],
    ids=["the pump is slower", "the mixer is slower"],
)
def test_mixer_road_and_pump_are_as_in_a_second_simulator(trucks, batching, way):
    def ours(count: int) -> Seen:
        road = exponential(way * SECOND)
        return seen(days(with_batching(loop(12000, count, road, road), batching), 4))

    runs = [second_simulator(trucks, batching, way, 6000.0, seed) for seed in range(3)]
    together = Seen(
        *([value for run in runs for value in getattr(run, name)] for name in LARGEST_ERROR)
    )
    right, wrong = ours(trucks), ours(trucks + 1)
    for name in LARGEST_ERROR:
        theirs = narrow(together, name)
        for found, same in ((right, True), (wrong, False)):
            values = narrow(found, name)
            apart = abs(np.mean(values) - np.mean(theirs))
            assert (apart < math.hypot(half_width(values), half_width(theirs))) == same
