"""Swings: means of the same days with an input low and high."""

from __future__ import annotations

import pytest
from builders.pours import basis_of, pour

from pourday.day.chance.factors import CREW
from pourday.day.chance.streams import DaySeed, Stream
from pourday.scenario.base.distribution import Distribution
from pourday.study.days import one_day, study_plans
from pourday.study.engine.here import Here
from pourday.study.engine.run import run
from pourday.study.sensitivity import sensitivity_of, sensitivity_study
from pourday.study.swings import Asked, parse_swing, with_swings

# The crew alone sets the pace: 9 m³ at 30 m³/h are 18 min of placing.
CREW_BOUND = {
    "crews": {"crew": {"rate_per_placer_m3_h": 5}},
    "plan": {"spacing_min": 1},
    "site": {"positions": 2},
}


def test_a_source_that_is_held_gives_the_value_that_so_many_draws_stay_below():
    quantity = Distribution("uniform", (10.0, 20.0))
    day = DaySeed(3)
    before = Stream(day, "other", quantity)(0)
    low = day.with_held(lambda name: name == "output", 0.1)
    assert [Stream(low, "output", quantity)(k) for k in range(3)] == [11.0, 11.0, 11.0]
    assert Stream(low, "other", quantity)(0) == before


def test_a_slow_crew_swings_the_finish_by_its_own_value():
    study = sensitivity_study([basis_of(pour(**CREW_BOUND, day_to_day={"crew_pace_sd": 0.1}))], 40)
    run(Here(), study.work, study.ledger)
    found = sensitivity_of(study)[0]
    swing = found.swings[0]
    assert [each.name for each in found.swings] == ["crew pace of the day"]
    assert swing.low["end_h"].value > 0.0 > swing.high["end_h"].value
    # Held at a value, placing takes that many times as long: 9 m³ at 30 m³/h of a usual crew.
    at = Distribution("lognormal", (1.0, 0.1)).value_at(0.1)
    basis = basis_of(pour(**CREW_BOUND, day_to_day={"crew_pace_sd": 0.1}))
    held = one_day(basis, DaySeed(0).with_held(lambda name: name == CREW, 0.1)).log
    placing = sum(each.end - each.start for each in held.stretches if each.strip >= 0)
    assert placing == pytest.approx(9.0 / 30.0 * 3600.0 / at, rel=1e-12)


def test_a_swing_is_the_difference_of_the_same_days():
    travel = {"dist": "lognormal", "mean": 20, "sd": 5}

    def played(mean: float):
        plant = {"name": "Mill Road", "trucks": 6, "batch_m3_h": 60}
        plants = [plant | {"travel_min": travel | {"mean": mean}, "back_min": 20}]
        return study_plans([basis_of(pour(plants=plants))], 15, workers=1)

    usual, low, high = played(20), played(14), played(24)
    study = sensitivity_study([basis_of(pour())], 15)
    run(Here(), study.work, study.ledger)
    asked = Asked("supply.plants[1].travel_min.mean", 14.0, 24.0)
    swing = with_swings(sensitivity_of(study), usual, [(asked, low, high)])[0].swings[0]
    assert swing.at == ("14", "24")
    for side, days in ((swing.low, low), (swing.high, high)):
        expected = (days[0].of("end_h") - usual[0].of("end_h")).mean()
        assert side["end_h"].value == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("text", ["a=1", "a=2:1", "a=x:2", "=1:2", "a=1:2:3", "a=1:inf", "a"])
def test_what_is_no_swing_is_refused(text: str):
    with pytest.raises(ValueError, match="KEY=LOW:HIGH"):
        parse_swing(text)


def test_a_swing_is_read():
    assert parse_swing(" a[1].b = 1.5 : 2 ") == Asked("a[1].b", 1.5, 2.0)
