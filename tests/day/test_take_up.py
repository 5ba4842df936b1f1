"""A day taken up at any moment goes on as if nobody had asked: the same log, bit for bit."""

from __future__ import annotations

import pickle
from dataclasses import replace
from functools import cache

import pytest
from builders.places import SCENARIOS
from builders.pours import laid_out, pour
from builders.sites import SLOW, cases
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.log import DayLog
from pourday.day.play import open_day, play
from pourday.day.state import DayState, same
from pourday.day.take_up import morning, snapshot
from pourday.outcome.base.basis import Basis
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare

NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


def text(log: DayLog) -> str:
    """A log as text: every float to its last bit, and nan like nan."""
    return repr(log)


def state_at(at: float, *arguments) -> DayState:
    """How a day stands at a moment (s since midnight): what comes then has not happened yet."""
    day = open_day(*arguments)
    day.env.run(until=at)
    return snapshot(day)


def moments(log: DayLog, shares: list[float]) -> list[float]:
    """Moments of a day from before its first truck to after its last, and those of its events."""
    begin, end = log.ready - 3600.0, log.wash_out_end + 3600.0
    events = [s.start for s in log.stretches] + [v.arrived for v in log.visits if v.arrived > 0]
    even = [begin + share * (end - begin) for share in shares]
    # At the very moment of an event: what is cut there is decided by the order of events.
    exact = [events[int(share * (len(events) - 1))] for share in shares[::4] if events]
    return [at for at in (*even, *exact) if at > 0]


def goes_on_as_it_was(arguments: tuple, shares: list[float]) -> None:
    whole = play(*arguments)
    for at in moments(whole, shares):
        state = state_at(at, *arguments)
        assert text(play(*arguments, begin=state)) == text(whole), f"cut at {at!r}"
        assert same(DayState.from_json(state.to_json()), state)
        assert same(pickle.loads(pickle.dumps(state)), state)
        written = DayState.from_json(state.to_json())
        assert text(play(*arguments, begin=written)) == text(whole)


@cache
def plans_of(name: str) -> tuple[Basis, ...]:
    return prepare(read_scenario(SCENARIOS / f"{name}.toml")[0])


SHARES = st.lists(st.floats(0.0, 1.0), min_size=20, max_size=20)


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
@given(data=st.data())
@settings(max_examples=4, suppress_health_check=SLOW)
def test_any_day_of_any_scenario_cut_at_twenty_moments_goes_on_as_it_was(name, data):
    basis = data.draw(st.sampled_from(plans_of(name)))
    seed = data.draw(st.integers(0, 10_000))
    shares = data.draw(SHARES)
    goes_on_as_it_was((basis.scenario, basis.plan, basis.layout, seed), shares)


@given(cases(), st.lists(st.floats(0.0, 1.0), min_size=4, max_size=4))
@settings(max_examples=60, suppress_health_check=SLOW)
def test_harsh_sites_with_upsets_and_several_fronts_go_on_as_they_were(case, shares):
    scenario = case.scenario
    goes_on_as_it_was((scenario, scenario.plans[0], case.layout, case.seed), shares)


def test_a_state_taken_up_is_the_state_that_was_taken():
    scenario = pour()
    layout = laid_out(scenario)
    arguments = (scenario, scenario.plans[0], layout, 3)
    state = state_at(7.45 * 3600.0, *arguments)
    day = open_day(*arguments, begin=state)
    assert same(snapshot(day), state)
    assert state.loads
    assert state.visits


def test_a_morning_is_a_day_that_has_not_begun_on_the_same_path():
    scenario = pour()
    layout, plan = laid_out(scenario), scenario.plans[0]
    state = morning(scenario, plan, layout, 5)
    assert (state.at, state.visits, state.loads) == (0.0, (), ())
    assert text(play(scenario, plan, layout, 5, begin=state)) == text(
        play(scenario, plan, layout, 5)
    )


def test_snapshots_of_one_day_lead_from_one_to_the_next():
    scenario = pour()
    layout, plan = laid_out(scenario), scenario.plans[0]
    arguments = (scenario, plan, layout, 2)
    early = state_at(7.3 * 3600.0, *arguments)
    direct = state_at(7.6 * 3600.0, *arguments)
    day = open_day(*arguments, begin=early)
    day.env.run(until=7.6 * 3600.0)
    assert same(snapshot(day), direct)


def test_a_load_whose_arrival_nobody_knows_comes_no_earlier_than_now():
    scenario = pour(
        plants=[
            {
                "name": "East",
                "trucks": 6,
                "batch_m3_h": 60,
                "travel_min": {"dist": "lognormal", "mean": 25, "sd": 10},
                "back_min": 20,
            }
        ]
    )
    layout, plan = laid_out(scenario), scenario.plans[0]
    on_the_road = 0
    for seed in range(12):
        state = state_at(7.05 * 3600.0, scenario, plan, layout, seed)
        loads = tuple(
            replace(load, until=None) if load.stage == "road" else load for load in state.loads
        )
        on_the_road += sum(load.until is None for load in loads)
        log = play(scenario, plan, layout, seed, begin=replace(state, loads=loads))
        late = [
            v for v in log.visits if any(v.number == n.number for n in loads if n.until is None)
        ]
        assert all(visit.arrived >= state.at for visit in late)
        # Chance is that of the same day, so what was on the road comes when it would have come.
        whole = {v.number: v.arrived for v in play(scenario, plan, layout, seed).visits}
        assert all(v.arrived == pytest.approx(whole[v.number], abs=1e-6) for v in late)
    assert on_the_road > 5
