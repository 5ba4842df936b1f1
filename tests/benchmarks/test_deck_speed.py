"""All load states of a day, as matrix products, beside a general frame program state by state.

Run with ``pytest tests/benchmarks --benchmark-enable -s``; the ratio is printed, never asserted.
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from builders.places import SCENARIOS
from Pynite import FEModel3D

from pourday.deck.history import peaks
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import group_peaks
from pourday.scenario.model.scenario import BeamData, Beams
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare

HALL = SCENARIOS / "market_hall.toml"


def hall(beams: bool) -> Basis:
    scenario, _ = read_scenario(HALL)
    # Every gap a strip of its own and cut at the primary beams, as it was measured first.
    plans = tuple(replace(plan, least_strip=0.0) for plan in scenario.plans)
    floor = replace(scenario.floor, cut_at_primary_beams=True)
    scenario = replace(scenario, floor=floor, plans=plans)
    if beams:
        secondary = BeamData(210e9 * 3e-2, 0.04, False)
        primary = BeamData(210e9 * 4e-2, 0.0, False)
        scenario = replace(
            scenario,
            beams=Beams(
                (secondary,) * len(scenario.floor.supports),
                (primary,) * len(scenario.floor.primary_beams_y),
                tuple(np.arange(0.0, 79.3, 9.9)),
                2.5,
            ),
        )
    return prepare(scenario, scenario.plans[:1])[0]


def all_states(basis: Basis) -> int:
    """Bounds with a heap and peaks of every state of every line; returns how many states."""
    count = 0
    for line in basis.layout.lines:
        excess = np.full(len(line.states), 0.5)
        felt = line.felt
        plain, factored = felt.plain.at(excess), felt.factored.at(excess)
        peaks(plain, factored, felt.effects, line.resistance)
        count += len(line.states)
    return count


@pytest.mark.parametrize("beams", [False, True], ids=["rigid supports", "on beams"])
def test_all_states_of_a_day_with_their_peaks(benchmark, beams):
    basis = hall(beams)
    count = benchmark(all_states, basis)
    benchmark.extra_info["states"] = count
    assert count > 250  # the hall has 264


@pytest.mark.parametrize("beams", [False, True], ids=["rigid supports", "on beams"])
def test_peaks_of_a_day_as_a_study_takes_them(benchmark, beams):
    basis = hall(beams)
    assert len(benchmark(group_peaks, basis, 3)) == len(basis.groups)


def one_state_in_a_frame_program(line, pressures) -> float:
    """The same run and load state as a frame model: built, solved, greatest moment read."""
    model = FEModel3D()
    model.add_material("deck", 210e9, 80e9, 0.3, 0.0)
    second_moment = 240e3 / 210e9
    model.add_section("strip", 1e-2, second_moment, second_moment, second_moment)
    marks = np.unique(np.round(np.concatenate([line.deck.fine.ravel(), line.supports]), 6))
    for k, x in enumerate(marks):
        model.add_node(f"N{k}", float(x), 0.0, 0.0)
        on_support = bool(np.any(np.abs(np.array(line.supports) - x) < 1e-5))
        model.def_support(f"N{k}", k == 0, on_support, True, True, True, False)
    for k in range(len(marks) - 1):
        model.add_member(f"M{k}", f"N{k}", f"N{k + 1}", "deck", "strip")
        middle = (marks[k] + marks[k + 1]) / 2
        cell = int(np.searchsorted(line.deck.fine[:, 1], middle))
        model.add_member_dist_load(f"M{k}", "Fy", -pressures[cell], -pressures[cell])
    model.analyze_linear()
    return max(member.max_moment("Mz") for member in model.members.values())


def test_ratio_to_a_frame_program_solved_state_by_state(benchmark):
    basis = hall(False)
    line = basis.layout.lines[2]
    start = time.perf_counter()
    some = range(2, 6)
    for k in some:
        one_state_in_a_frame_program(line, line.pressures[k])
    each = (time.perf_counter() - start) / len(some)
    count = benchmark(all_states, basis)
    if benchmark.stats is not None:
        ours = benchmark.stats.stats.median / count
        benchmark.extra_info["times faster than the frame program"] = round(each / ours)
        print(f"\nframe program {each * 1e3:.1f} ms a state, ours {ours * 1e6:.1f} µs: "
              f"{each / ours:.0f} times")  # fmt: skip
    assert count > 250  # the hall has 264
