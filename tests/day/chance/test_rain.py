"""Rain stops the pour, is waited out under cover, and leaves a stopped front; slump is lost."""

from __future__ import annotations

import pytest
from builders.pours import played, pour

MINUTE, SEVEN = 60.0, 7 * 3600.0
FIXED = {"cover_min": 5, "uncover_min": 4}


def rainy(length=20, rate=5.0, chance=1.0, **more):
    rain = [{"at": "07:09", "length_min": length, "rate_mm_h": rate, "chance": chance}]
    return pour(weather={"rain": rain}, site=FIXED, **more)


def test_rain_stops_placing_at_once_and_it_resumes_when_uncovered():
    # First load discharges from 07:06; rain from 07:09 for 20 min, 4 min to uncover: on at 07:33.
    log = played(rainy())
    rain = next(stop for stop in log.stops if stop.kind == "rain")
    assert (rain.start, rain.end) == pytest.approx((SEVEN + 9 * MINUTE, SEVEN + 33 * MINUTE))
    assert not any(s.start < rain.end - 1e-6 and s.end > rain.start + 1e-6 for s in log.stretches)


def test_covering_takes_its_time_even_in_a_short_shower():
    # 2 min of rain: 5 min to cover, 4 to uncover.
    rain = next(stop for stop in played(rainy(length=2)).stops if stop.kind == "rain")
    assert rain.end - rain.start == pytest.approx(9 * MINUTE)


def test_drizzle_below_the_site_limit_stops_nothing():
    dry = played(pour(site=FIXED))
    assert played(rainy(rate=0.5)).end == dry.end


def test_rain_of_chance_comes_on_its_share_of_days():
    # 200 days, chance 0.3: 99.9 % of binomial counts lie within 0.3 +- 3.29 sd = 0.193 to 0.407.
    came = sum(
        any(stop.kind == "rain" for stop in played(rainy(chance=0.3), seed=seed).stops)
        for seed in range(200)
    )
    assert 0.193 < came / 200 < 0.407


def test_a_load_that_has_lost_its_slump_is_sent_away():
    # 96 mm at loading, 60 mm/h lost, 60 mm needed: good for 36 min; loading takes 6 min, and the
    # test ends at 32 min of age, so placing from 32 to 36 min: half a load.
    log = played(pour(mix={"slump_mm": 96, "slump_loss_mm_h": 60, "least_slump_mm": 60}))
    assert log.visits[0].outcome == "part rejected"
    assert log.visits[0].placed == pytest.approx(3.0)
    late = played(pour(mix={"slump_mm": 90, "slump_loss_mm_h": 85, "least_slump_mm": 60}))
    assert {visit.outcome for visit in late.visits} == {"rejected: slump"}
