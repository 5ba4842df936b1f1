"""The same seed is the same day, whatever the plan and the process."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders.pours import exponential, laid_out, played, pour, text

import pourday
from pourday.day.chance import streams
from pourday.day.chance.streams import DaySeed, Stream
from pourday.day.play import play
from pourday.scenario.base.distribution import Distribution

LOGNORMAL = {"dist": "lognormal", "mean": 25, "sd": 6}


def varied(**plan):
    """A day in which everything varies; two plants."""
    return pour(
        floor={"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 90.0},
        slab={"use_factor": {"dist": "normal", "mean": 1.03, "sd": 0.02}},
        mix={"reject_share": 0.1},
        supply={"discharge_min": {"dist": "gamma", "mean": 9, "sd": 3}, "margin_m3": 0.5},
        plants=[
            {
                "name": "Mill Road",
                "trucks": 4,
                "batch_m3_h": 60,
                "travel_min": LOGNORMAL,
                "back_min": exponential(20),
            },
            {"name": "Far Field", "trucks": 3, "batch_m3_h": 40, "travel_min": exponential(35)},
        ],
        site={
            "gate_min": exponential(1),
            "position_min": exponential(3),
            "test_min": exponential(2),
            "wash_min": exponential(8),
        },
        pumps={
            "pump": {
                "output_m3_h": {"dist": "triangular", "low": 30, "mode": 40, "high": 50},
                "move_min": exponential(2),
                "between_blockages_h": 4,
                "blockage_min": exponential(10),
                "wash_out_min": exponential(30),
            }
        },
        crews={"crew": {}, "small": {"placers": 2, "rate_per_placer_m3_h": 9}},
        plan=plan,
    )


PLANS = {
    "as it is": {},
    "closer": {"spacing_min": 7},
    "small crew": {"crew": "small"},
    "spread": {"order": "spread"},
    "held back": {"hold_back_at": 1},
}


def test_the_same_seed_gives_the_same_log():
    scenario = varied()
    assert played(scenario, 5) == played(scenario, 5)


def test_another_seed_gives_another_day():
    scenario = varied()
    assert played(scenario, 5).visits != played(scenario, 6).visits


@pytest.mark.parametrize("plan", PLANS)
def test_the_kth_trip_from_a_plant_takes_as_long_in_every_plan(plan):
    scenario = varied(**PLANS[plan])
    log = played(scenario, 3)
    for plant in scenario.supply.plants:
        travel = Stream(3, f"travel from {plant.name}", plant.travel)
        trips = [visit for visit in log.visits if visit.plant == plant.name]
        assert len(trips) > 2
        for k, visit in enumerate(trips):
            loading = visit.volume / plant.batch
            on_the_road = visit.arrived - visit.batched - loading
            assert on_the_road == pytest.approx(travel(k), abs=1e-6)


def test_travel_meets_two_plans_alike_though_one_sends_trucks_twice_as_fast():
    slow, fast = (played(varied(spacing_min=minutes), 9) for minutes in (20, 5))
    for plant in varied().supply.plants:
        one, other = (
            [
                v.arrived - v.batched - v.volume / plant.batch  # loading is no travel
                for v in log.visits
                if v.plant == plant.name
            ]
            for log in (slow, fast)
        )
        count = min(len(one), len(other))
        assert count > 3
        assert one[:count] == pytest.approx(other[:count], abs=1e-6)
    assert [v.batched for v in slow.visits] != [v.batched for v in fast.visits]


def test_sources_of_chance_differ_from_each_other():
    quantity = Distribution("uniform", (0.0, 1.0))
    plants = ("Mill Road", "Far Field")
    sources = [f"{way} {plant}" for plant in plants for way in ("travel from", "way back to")]
    sources += [
        *("gate", "position", "test", "slump test", "wash", "discharge", "output", "move"),
        *("blockage", "placing time between blockages", "spacing", "use", "wash out", "set-up"),
        *("prime", "heap", "delivered temperature"),
    ]
    values = []
    for source in sources:
        stream = Stream(7, source, quantity)
        values.append([stream(k) for k in range(4000)])
    assert len({tuple(row[:4]) for row in values}) == len(sources)
    correlation = np.corrcoef(values)
    # 4000 pairs: |r| stays under 4.5 / sqrt(4000) for all 210 pairs with more than 99.8 %.
    assert np.abs(correlation - np.eye(len(sources))).max() < 4.5 / np.sqrt(4000)


def test_a_stream_can_be_read_in_any_order():
    quantity = Distribution("exponential", (1.0,))
    forward, backward = Stream(1, "gate", quantity), Stream(1, "gate", quantity)
    values = [forward(k) for k in range(300)]
    assert [backward(k) for k in reversed(range(300))] == values[::-1]


def test_a_day_that_is_shared_brings_the_same_values_and_draws_each_once(monkeypatch):
    made: list[tuple[int, str]] = []
    make = streams.generator

    def _counted(seed, source):
        made.append((seed, source))
        return make(seed, source)

    quantity, other = Distribution("exponential", (1.0,)), Distribution("exponential", (2.0,))
    alone = [Stream(7, "gate", quantity)(k) for k in range(200)]
    monkeypatch.setattr(streams, "generator", _counted)
    day = DaySeed(7)
    # Two plans, each by a stream of its own, the second one further and in another order.
    assert [Stream(day, "gate", quantity)(k) for k in range(100)] == alone[:100]
    assert [Stream(day, "gate", quantity)(k) for k in reversed(range(200))] == alone[::-1]
    assert made == [(7, "gate")]
    # Another source, or the same of another quantity, is drawn on its own.
    assert Stream(day, "wash", quantity)(0) != alone[0]
    assert Stream(day, "gate", other)(0) == pytest.approx(2.0 * alone[0])
    assert len(made) == 3


def test_another_day_knows_nothing_of_it():
    quantity = Distribution("exponential", (1.0,))
    first, second = DaySeed(7), DaySeed(8)
    assert Stream(first, "gate", quantity)(0) == Stream(7, "gate", quantity)(0)
    assert Stream(second, "gate", quantity)(0) == Stream(8, "gate", quantity)(0)


@pytest.mark.parametrize("number", [0, 7, 2**32, 2**40 + 3])
def test_a_shared_day_is_its_number(number):
    day = DaySeed(number)
    assert day == number
    assert hash(day) == hash(number)
    assert json.dumps({"seed": day}) == f'{{"seed": {number}}}'
    assert f"{day} {day!r} {day:,}" == f"{number} {number!r} {number:,}"
    quantity = Distribution("exponential", (1.0,))
    assert Stream(day, "gate", quantity)(0) == Stream(number, "gate", quantity)(0)


def test_every_name_of_a_source_in_the_code_is_used_once():
    # Two sources of one name would be the same chance twice.
    names = []
    for path in Path(pourday.__file__).parent.rglob("*.py"):
        names += [
            line.split(",")[1].strip()
            for line in path.read_text("utf-8").splitlines()
            # A rest of a day reads that day's own use of concrete: the same chance, on purpose.
            if "Stream(draw." not in line and "Stream(" in line and line.count(",") >= 2
        ]
    names = [name for name in names if '"' in name]  # a variable is no name
    assert len(names) >= 15
    assert len(names) == len(set(names)), sorted(names)


def test_the_same_log_in_another_process_whatever_its_hash_seed(tmp_path):
    file = tmp_path / "day.toml"
    file.write_text(text(mix={"reject_share": 0.1}, supply={"discharge_min": exponential(8)}))
    program = (
        "import sys, hashlib\n"
        "from pourday.scenario.read import read_scenario\n"
        "from pourday.floor.layout import lay_out\n"
        "from pourday.day.play import play\n"
        "scenario, _ = read_scenario(sys.argv[1])\n"
        "plan = scenario.plans[0]\n"
        "log = play(scenario, plan, lay_out(scenario, plan), 11)\n"
        "print(hashlib.sha256(repr(log).encode()).hexdigest())\n"
    )
    root = str(Path(pourday.__file__).parents[1])
    found = [
        subprocess.run(
            [sys.executable, "-c", program, str(file)],
            env=os.environ | {"PYTHONHASHSEED": salt, "PYTHONPATH": root},
            check=True,
            capture_output=True,
            text=True,
        ).stdout.strip()
        for salt in ("0", "12345")
    ]
    scenario = pour(mix={"reject_share": 0.1}, supply={"discharge_min": exponential(8)})
    here = hashlib.sha256(repr(played(scenario, 11)).encode()).hexdigest()
    assert found == [here, here]


def test_a_plan_with_more_trucks_meets_the_same_pump_and_the_same_use():
    scenario = varied()
    layout = laid_out(scenario)
    few, many = (
        play(scenario, replace(scenario.plans[0], trucks=trucks), layout, 4) for trucks in (2, 7)
    )
    assert few.strip_volumes == many.strip_volumes
    assert few.wash_out_end - few.end == pytest.approx(many.wash_out_end - many.end, abs=1e-6)
