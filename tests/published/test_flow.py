"""With fixed times a day is arithmetic: the scarcest of plant, fleet, pump and crew sets the rate.

No outside source: every expected duration is worked out by hand in the comment beside it, and must
be met to a millisecond.
"""

from __future__ import annotations

import pytest
from builders.pours import laid_out, measured, played, pour

from pourday.outcome.measure import pump_times

MINUTE = 60.0
EXACT = 1e-3  # s
YARD = 0.9144  # m, by definition


def flow(
    loads: int,
    *,
    plant: float = 480.0,
    trucks: int = 40,
    pump: float = 100.0,
    crew: float = 80.0,
    spacing: float = 0.0,
):
    """So many loads of 8 m³ on one strip. Plant, pump and crew in m³/h; discharge 8 min.

    The way of a truck: batch 1 min (at 480 m³/h), travel 20, gate 1, position 3, test 2,
    discharge 8, wash 5, back 20: 60 min with nothing in its way.
    """
    return pour(
        floor={"length_y_m": loads * 8.0 / (3.0 * 0.5)},
        deck={"bending_stiffness_kNm2_per_m": 5000},
        slab={"depth_mm": 500},
        supply={"load_m3": 8.0},
        plants=[
            {
                "name": "Mill Road",
                "trucks": trucks,
                "batch_m3_h": plant,
                "travel_min": 20,
                "back_min": 20,
            }
        ],
        site={"positions": 2, "holding_places": 40, "wash_min": 5},
        pumps={"pump": {"output_m3_h": pump}},
        crews={"crew": {"placers": 8, "rate_per_placer_m3_h": crew / 8}},
        plan={"spacing_min": spacing},
    )


def duration(scenario) -> float:
    log = played(scenario)
    assert log.unfinished == 0.0
    return log.end - log.start


def test_plant_binds():
    # 40 m³/h: a load every 12 min. Twenty loads: the last starts 19 x 12 = 228 min after the
    # first and takes its 8 min of discharge.
    assert duration(flow(20, plant=40)) == pytest.approx(236 * MINUTE, abs=EXACT)


def test_planned_spacing_binds_where_it_is_wider_than_the_plant_needs():
    # A truck every 15 min: 19 x 15 + 8.
    assert duration(flow(20, spacing=15)) == pytest.approx(293 * MINUTE, abs=EXACT)


def test_fleet_binds():
    # Three trucks a minute apart: they reach the pump together once and then follow each other
    # 8 min apart, each back at the pump 60 min later: 3 loads in 60 min. Twenty-one loads are
    # seven rounds: six of 60 min, then three discharges of 8 min.
    assert duration(flow(21, trucks=3)) == pytest.approx((6 * 60 + 24) * MINUTE, abs=EXACT)


def test_pump_binds():
    # 30 m³/h: 16 min for 8 m³, and the next truck stands beside it already. Twenty loads: 320 min.
    assert duration(flow(20, pump=30)) == pytest.approx(320 * MINUTE, abs=EXACT)


def test_crew_binds():
    # Eight people at 3 m³/h: 24 m³/h, 20 min for 8 m³. Twenty loads: 400 min.
    assert duration(flow(20, crew=24)) == pytest.approx(400 * MINUTE, abs=EXACT)


def test_truck_binds_where_all_else_is_faster():
    # 8 min a load, the next in position: 60 m³/h against pump 100 and crew 80. Twenty: 160 min.
    assert duration(flow(20)) == pytest.approx(160 * MINUTE, abs=EXACT)


@pytest.mark.parametrize("plant", [24.0, 60.0, 96.0])
@pytest.mark.parametrize("trucks", [3, 4, 6])
@pytest.mark.parametrize("pump", [20.0, 45.0, 100.0])
@pytest.mark.parametrize("crew", [16.0, 40.0, 80.0])
def test_placed_rate_is_the_least_of_plant_fleet_pump_and_crew(plant, trucks, pump, crew):
    # Once the day runs, 12 loads take 12 x 8 m³ over the least of the four rates. A truck's way
    # without waiting: batching 8 / plant, 51 min of road, gate, position, test and wash, and its
    # discharge at the rate of the least of pump, crew and truck (60 m³/h).
    log = played(flow(24, plant=plant, trucks=trucks, pump=pump, crew=crew))
    served = min(pump, crew, 60.0)
    cycle = 8.0 / plant + 51.0 / 60.0 + 8.0 / served
    fleet = trucks * 8.0 / cycle
    ends = sorted(visit.discharge_end for visit in log.visits)
    rate = 12 * 8.0 / (ends[22] - ends[10]) * 3600.0
    assert rate == pytest.approx(min(plant, fleet, served), rel=1e-9)


def test_slab_of_160_cubic_yards_is_crew_bound_and_takes_6_h_40():
    # A textbook-type case: 160 yd³, pump 100 yd³/h, trucks of 8 yd³ every 10 min with 8 min of
    # discharge, six workers at 4 yd³/h each. Pump 100, trucks 8 yd³ in 8 min = 60 yd³/h, spacing
    # 8 yd³ in 10 min = 48 yd³/h, crew 6 x 4 = 24 yd³/h: 160 / 24 h = 6 h 40 min.
    cubic = YARD**3
    scenario = pour(
        floor={"length_y_m": 160 * cubic / (3.0 * 0.5)},
        deck={"bending_stiffness_kNm2_per_m": 5000},
        slab={"depth_mm": 500},
        supply={"load_m3": 8 * cubic, "discharge_min": 8},
        plants=[
            {"name": "Mill Road", "trucks": 40, "batch_m3_h": 480, "travel_min": 20, "back_min": 20}
        ],
        site={"positions": 2, "holding_places": 20},
        pumps={"pump": {"output_m3_h": 100 * cubic}},
        crews={"crew": {"placers": 6, "rate_per_placer_m3_h": 4 * cubic}},
        plan={"spacing_min": 10},
    )
    assert laid_out(scenario).volume.sum() == pytest.approx(160 * cubic, rel=1e-12)
    outcome = measured(scenario)
    assert outcome.duration == pytest.approx(400 * MINUTE, abs=EXACT)
    assert pump_times(outcome.log).placing == pytest.approx(400 * MINUTE, abs=EXACT)
    assert len(outcome.log.visits) == 20
    # The k-th truck comes 10 k min after the first and is served 20 k min after it. It comes up
    # to the pump when the one two before it has gone, 20 (k - 1) min after the first, so its
    # positioning is over before its turn, and its test was done while it waited. The last waits
    # 19 x 10 min less the gate and position that it is handled in meanwhile, 4 min; the first
    # truck stood 6 before discharge, everybody at its test. So 190 + 6 - 4.
    assert outcome.log.visits[-1].wait == pytest.approx(192 * MINUTE, abs=EXACT)
    assert outcome.log.visits[0].wait == pytest.approx(0.0, abs=EXACT)
