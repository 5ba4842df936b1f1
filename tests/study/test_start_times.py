"""The same plan begun at other hours: what must move with the clock, and what must not."""

from __future__ import annotations

import pytest
from builders.pours import exponential, measured, pour

from pourday.outcome.concrete.drying import peak_evaporation
from pourday.study.start_times import hours_of_day, start_times

HOUR = 3600.0
CURVE = {
    "hours": [
        {"at": "06:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 5},
        {"at": "12:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 30},
        {"at": "18:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 5},
    ]
}


def test_in_steady_air_a_later_start_moves_every_time_by_as_much():
    scenario = pour()
    found = start_times(
        scenario, scenario.plans[0], hours_of_day(7 * HOUR, 9 * HOUR), range(2), workers=1
    )
    assert [each.start / HOUR for each in found.starts] == [7.0, 8.0, 9.0]
    # The plain day ends at 07:22.
    ends = [each.last_concrete.mean for each in found.starts]
    assert ends == pytest.approx([7 + 22 / 60, 8 + 22 / 60, 9 + 22 / 60])
    done = [each.finished.mean for each in found.starts]
    assert done == pytest.approx([done[0], done[0] + 1, done[0] + 2], abs=1e-3)
    peaks = [each.evaporation.p90 for each in found.starts]
    assert peaks == pytest.approx([5e-6 * 38**2.5 * 0.4 * 14] * 3)
    assert all(each.cold.value == 0.0 and each.unfinished.value == 0.0 for each in found.starts)


def test_a_start_before_the_wind_meets_its_peak_and_one_after_it_does_not():
    scenario = pour(weather=CURVE)
    found = start_times(scenario, scenario.plans[0], (7 * HOUR, 16 * HOUR), range(1), workers=1)
    early, late = found.starts
    assert early.evaporation.mean == pytest.approx(5e-6 * 38**2.5 * 0.4 * 34, rel=0.01)
    assert late.evaporation.mean < 0.6 * early.evaporation.mean


def test_a_start_at_the_plans_own_hour_is_the_plan_itself():
    scenario = pour(weather=CURVE, plants=[
        {"name": "Mill Road", "trucks": 3, "batch_m3_h": 60, "travel_min": exponential(20)}
    ])  # fmt: skip
    found = start_times(scenario, scenario.plans[0], (7 * HOUR,), range(4, 7), workers=1)
    days = [measured(scenario, seed=seed) for seed in (4, 5, 6)]
    ends = [day.log.end / HOUR for day in days]
    peaks = [peak_evaporation(d.basis, d.fronts, d.finishing.covered)[0] for d in days]
    start = found.starts[0]
    assert start.last_concrete.mean == pytest.approx(sum(ends) / 3)
    assert start.evaporation.mean == pytest.approx(sum(peaks) / 3)
    assert start.missed_area.mean == pytest.approx(sum(d.finishing.missed_area for d in days) / 3)


def test_processes_change_nothing_and_all_days_are_told():
    scenario = pour(weather=CURVE)
    told: list[int] = []
    args = scenario, scenario.plans[0], (7 * HOUR, 8 * HOUR), range(3)
    one, two = start_times(*args, workers=1, told=told.append), start_times(*args, workers=2)
    assert one == two
    assert sum(told) == 6


def test_the_curfew_counts_for_finishing_too_where_it_is_for_all():
    # Wash-out ends 07:52; finishing goes on into the afternoon.
    scenario = pour(site={"curfew": "09:00", "curfew_for": "all"})
    found = start_times(scenario, scenario.plans[0], (7 * HOUR,), range(1), workers=1)
    assert found.starts[0].past_curfew.value == 1.0


def test_no_start_and_no_day_are_refused():
    scenario = pour()
    with pytest.raises(ValueError, match="at least one"):
        start_times(scenario, scenario.plans[0], (), range(5))
    with pytest.raises(ValueError, match="at least one"):
        start_times(scenario, scenario.plans[0], (7 * HOUR,), range(0))


def test_hours_of_a_range():
    assert hours_of_day(4 * HOUR, 7 * HOUR) == (14400.0, 18000.0, 21600.0, 25200.0)
    assert hours_of_day(4 * HOUR, 4.5 * HOUR) == (14400.0,)
    assert hours_of_day(5 * HOUR, 3 * HOUR) == ()
