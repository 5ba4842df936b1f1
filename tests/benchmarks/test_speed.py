"""How fast a day is played and measured; run with ``pytest tests/benchmarks --benchmark-enable``.

Nothing here asserts a time: the numbers are read by people (docs/speed.md keeps the last ones).
What one process does is told in CPU time, which a busy machine changes least.
"""

from __future__ import annotations

import time

import pytest
import simpy
from builders.one_day.measure import measure as measure_alone
from builders.one_day.metrics import day_row as row_alone
from builders.places import SCENARIOS

from pourday.day.chance.streams import DaySeed
from pourday.day.front.ready import ready
from pourday.day.play import play, play_ready
from pourday.outcome.base.basis import Basis
from pourday.outcome.days import measure_days
from pourday.outcome.deck.envelope import envelope
from pourday.outcome.measure import measure
from pourday.scenario.read import read_scenario
from pourday.study.days import study_plans
from pourday.study.metrics import day_rows
from pourday.study.prepare import prepare

NAMES = ("clinic_level_1", "library_level_2", "market_hall")
cpu_time = pytest.mark.benchmark(timer=time.process_time)


def first_plan(name: str) -> Basis:
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    return prepare(scenario, scenario.plans[:1])[0]


def events_of(basis: Basis, monkeypatch: pytest.MonkeyPatch) -> int:
    """Events simpy fires in the day with seed 0."""
    count = 0
    step = simpy.Environment.step

    def counted(env: simpy.Environment) -> None:
        nonlocal count
        count += 1
        step(env)

    with monkeypatch.context() as patch:
        patch.setattr(simpy.Environment, "step", counted)
        play(basis.scenario, basis.plan, basis.layout, 0)
    return count


def fire(count: int) -> float:
    """A bare simpy process that fires ``count`` events and does nothing else."""
    env = simpy.Environment()

    def tick():
        for _ in range(count):
            yield env.timeout(1.0)

    env.process(tick())
    env.run()
    return env.now


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_bare_simpy_process_with_as_many_events(benchmark, monkeypatch, name):
    count = events_of(first_plan(name), monkeypatch)
    benchmark.extra_info["events"] = count
    assert benchmark(fire, count) == count


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_one_day_simulated(benchmark, monkeypatch, name):
    basis = first_plan(name)
    benchmark.extra_info["events"] = events_of(basis, monkeypatch)
    log = benchmark(play, basis.scenario, basis.plan, basis.layout, 0)
    assert log.placed > 0


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_one_day_simulated_as_a_study_does(benchmark, name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    plans = [ready(b.scenario, b.plan, b.layout) for b in prepare(scenario)]
    benchmark.extra_info["plans"] = len(plans)

    def one_day():
        day = DaySeed(0)
        return [play_ready(plan, day) for plan in plans]

    assert all(log.placed > 0 for log in benchmark(one_day))


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_outcomes_of_one_day(benchmark, name):
    basis = first_plan(name)
    log = play(basis.scenario, basis.plan, basis.layout, 0)
    assert benchmark(measure, basis, log).duration > 0


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_outcomes_of_25_days_in_one_go(benchmark, name):
    basis = first_plan(name)
    logs = [play(basis.scenario, basis.plan, basis.layout, seed) for seed in range(25)]
    deck = envelope(basis)
    rows = benchmark(lambda: day_rows(measure_days(basis, logs, deck)))
    assert len(rows) == 25


@cpu_time
@pytest.mark.parametrize("name", NAMES)
def test_outcomes_of_25_days_one_at_a_time(benchmark, name):
    basis = first_plan(name)
    logs = [play(basis.scenario, basis.plan, basis.layout, seed) for seed in range(25)]
    rows = benchmark(lambda: [row_alone(measure_alone(basis, log)) for log in logs])
    assert len(rows) == 25


def test_600_days_of_the_library_in_parallel(benchmark):
    scenario, _ = read_scenario(SCENARIOS / "library_level_2.toml")
    plans = prepare(scenario)
    count = 200 if benchmark.enabled else 4
    days = benchmark.pedantic(study_plans, (plans, count), rounds=1, iterations=1)
    assert [each.days for each in days] == [count] * len(plans)
