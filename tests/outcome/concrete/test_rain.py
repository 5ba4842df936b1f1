"""Rain after the pour: the floor lies under cover, nothing dries and nobody finishes."""

from __future__ import annotations

import numpy as np
import pytest
from builders.pours import day_of_rain, pour

HOUR = 3600.0


def measured(*rain):
    return day_of_rain(pour(weather={"rain": list(rain)}), finishers=True)


def shower(at: str, length: float, chance: float = 1.0):
    return {"at": at, "length_min": length, "rate_mm_h": 5, "chance": chance}


def test_finishing_waits_for_rain_and_sets_go_on():
    # Initial set comes 5 h after batching, about noon; a shower from 11:30 holds the finishers
    # for 90 + 10 min (uncovering), to 13:10. The windows are those of the dry day.
    dry, wet = measured(), measured(shower("11:30", 90))
    assert wet.finishing.opens == pytest.approx(dry.finishing.opens)
    assert wet.finishing.closes == pytest.approx(dry.finishing.closes)
    first = dry.finishing.start.min()
    assert 11.5 * HOUR < first < 13.0 * HOUR
    assert wet.finishing.start.min() == pytest.approx((11.5 * 60 + 90 + 10) * 60.0)
    work = (wet.finishing.work_end - wet.finishing.start).sum()
    assert work == pytest.approx((dry.finishing.work_end - dry.finishing.start).sum())


def test_a_job_that_rain_interrupts_ends_later_by_the_rain():
    dry = measured()
    start, end = float(dry.finishing.start[0]), float(dry.finishing.work_end[0])
    minute = int((start + end) / 2 // 60)
    at = f"{minute // 60:02d}:{minute % 60:02d}"
    assert start < minute * 60 < end
    wet = measured(shower(at, 20))
    assert wet.finishing.start[0] == pytest.approx(start)
    assert wet.finishing.work_end[0] == pytest.approx(end + 30 * 60.0)


def test_nothing_dries_under_cover():
    # The same cover time on both days: what is lost is less by the rate over the shower, which at
    # 20 °C constant is constant: 5 x 38^2.5 x (1 - 0.6) x 14e-6 kg/m²/h.
    rate = 5 * 38**2.5 * 0.4 * 14e-6
    dry, wet = measured(), measured(shower("08:30", 50))
    lost = [sum(s.loss for s in each.drying.strips) for each in (dry, wet)]
    # Step of 10 min: an hour under cover is found to within one step at either end.
    assert lost[0] - lost[1] == pytest.approx(rate * 1.0, abs=rate / 3)
    assert wet.drying.peak <= dry.drying.peak + 1e-12


def test_two_showers_that_meet_are_one_time_under_cover():
    both = measured(shower("11:30", 30), shower("11:50", 40))
    assert both.basis.rain == ((11.5 * HOUR, 12.5 * HOUR + 600.0),)
    assert not np.any(
        (both.finishing.start >= 11.5 * HOUR) & (both.finishing.start < 12.5 * HOUR + 600.0)
    )
