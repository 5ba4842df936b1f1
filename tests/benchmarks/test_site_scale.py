"""A large site: how long a day takes to play, and how that grows with strips and trucks.

Nothing here asserts a time: ``pytest tests/benchmarks -n 0 --benchmark-enable -s`` prints them with
the exponent of the growth fitted over four sizes (1 is linear).
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from builders.pours import pour

from pourday.day.play import play
from pourday.floor.layout import Layout, lay_out
from pourday.scenario.model.scenario import Plan, Scenario


def site(runs: int, trucks: int) -> tuple[Scenario, Plan, Layout]:
    """Three lanes of ``runs`` sheet runs (6 strips a bay), 3 plants, 2 pumps, a crane, 3 crews."""
    vary = {"dist": "lognormal", "mean": 22, "sd": 5}
    shares = [trucks // 3 + (n < trucks % 3) for n in range(3)]
    scenario = pour(
        floor={
            "spans_m": [3.0] * (3 * runs),
            "sheet_runs": [3] * runs,
            "length_y_m": 36.0,
            "primary_beams_y_m": [0.0, 16.0, 32.0, 36.0],
            "cut_at_primary_beams": True,
        },
        plants=[
            {
                "name": f"plant {n}",
                "trucks": shares[n],
                "batch_m3_h": 80,
                "travel_min": vary,
                "others_every_min": 20,
            }
            for n in range(3)
        ],
        site={
            "positions": 2,
            "holding_places": 6,
            "round_the_block_min": 10,
            "breaks": [{"at": "09:00", "length_min": 20}, {"at": "12:00", "length_min": 30}],
        },
        pumps={
            "pump": {"output_m3_h": 90, "between_blockages_h": 20, "move_min": 1},
            "crane": {
                "means": "skip",
                "output_m3_h": 60,
                "skip_m3": 1.0,
                "other_lifts_every_min": 60,
            },
        },
        crews={
            "crew": {"placers": 10},
            "two": {"placers": 10, "rate_per_placer_m3_h": 10},
            "three": {"placers": 4, "rate_per_placer_m3_h": 10},
        },
        supply={"discharge_min": 4},
        plan={
            "least_strip_m": 0,
            "spacing_min": 6,
            "fronts": [
                {"pump": "pump", "crew": "two"},
                {"pump": "crane", "crew": "three", "spacing_min": 25},
            ],
        },
    )
    plan = scenario.plans[0]
    return scenario, plan, lay_out(scenario, plan)


@pytest.mark.benchmark(timer=time.process_time)
def test_one_day_of_a_large_site(benchmark):
    scenario, plan, layout = site(runs=22, trucks=40)
    benchmark.extra_info["strips"] = len(layout.strips)
    log = benchmark(play, scenario, plan, layout, 0)
    benchmark.extra_info["loads"] = len(log.visits)
    assert len(plan.fronts) == 3
    assert len(layout.strips) == 22 * 3 * 6 - 3
    assert log.unfinished == 0.0


def test_growth_with_strips_and_trucks(benchmark, capsys):
    sizes = (5, 10, 20, 40) if benchmark.enabled else (5, 40)
    rows = []

    def measure_all() -> None:
        rows.clear()
        for runs in sizes:
            scenario, plan, layout = site(runs, 2 * runs)
            plan = replace(plan, trucks=2 * runs)
            play(scenario, plan, layout, 0)
            best = np.inf
            for seed in range(3):
                began = time.process_time()
                log = play(scenario, plan, layout, seed)
                best = min(best, time.process_time() - began)
            rows.append((len(layout.strips), 2 * runs, len(log.visits), best))

    benchmark.pedantic(measure_all, rounds=1)
    table = np.array(rows)
    exponent = np.polyfit(np.log(table[:, 0]), np.log(table[:, 3]), 1)[0]
    benchmark.extra_info["exponent"] = round(float(exponent), 3)
    with capsys.disabled():
        for strips, trucks, loads, took in rows:
            print(f"\n{strips} strips, {trucks} trucks, {loads} loads: {took * 1e3:.0f} ms", end="")
        print(f"\nfitted exponent over strips: {exponent:.2f} (1 is linear)")
    assert table[-1, 0] == pytest.approx(8 * table[0, 0], rel=0.05)
