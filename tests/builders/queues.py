"""A floor of one strip where nothing but spacing and discharge counts: trucks as a queue."""

from __future__ import annotations

from dataclasses import replace

from builders.pours import laid_out, pour

from pourday.day.log import DayLog
from pourday.day.play import day_log, open_day
from pourday.scenario.model.scenario import Scenario

LOAD = 0.05  # m³: small, so that one floor takes tens of thousands of loads
SECOND = 1 / 60  # of a minute, the unit of the scenario file


def queue(
    loads: int,
    spacing: object,
    discharge: object,
    trucks: int = 200,
    travel: object = 0,
    back: object = 0,
) -> Scenario:
    """A floor of one strip and of so many loads, where nothing but spacing and discharge counts."""
    scenario = pour(
        floor={"spans_m": [12.0], "length_y_m": loads * LOAD / (12 * 0.5)},
        deck={"bending_stiffness_kNm2_per_m": 5000},
        slab={"depth_mm": 500},
        supply={"discharge_min": discharge},
        plants=[
            {
                "name": "Endless",
                "trucks": trucks,
                "batch_m3_h": 100000,
                "travel_min": travel,
                "back_min": back,
            }
        ],
        site={
            "positions": 1,
            "holding_places": 1000000,
            "gate_min": 0,
            "position_min": 0,
            "test_min": 0,
            "wash_min": 0,
        },
        pumps={"pump": {"output_m3_h": 200000}},
        crews={"crew": {"placers": 60, "rate_per_placer_m3_h": 10000}},
        plan={"spacing_min": spacing, "start": "00:00"},
    )
    # The file asks for real trucks; the queue wants small ones.
    small = replace(scenario.supply, load=LOAD, smallest_load=LOAD, load_step=LOAD)
    return replace(scenario, supply=small)


def days(scenario: Scenario, count: int) -> list[DayLog]:
    layout = laid_out(scenario)
    logs = []
    for seed in range(1, count + 1):
        day = open_day(scenario, scenario.plans[0], layout, seed)
        day.env.run()  # past the number of events that any site would have
        logs.append(day_log(day))
    for log in logs:
        assert log.unfinished == 0.0, "the day was cut off"
    return logs
