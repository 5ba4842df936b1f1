"""Samples: how many by rule, which loads by lot, from the middle of the discharge."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.made_days import pour_with
from builders.pours import exponential, measured, played, pour
from scipy import stats

from pourday.outcome.samples import samples_wanted


@pytest.mark.parametrize(
    ("volume", "area", "wanted"),
    [
        (30.0, 200.0, 5),  # fewer than five: from five batches
        (570.0, 2000.0, 5),  # 570 / 114.68 = 4.97, 2000 / 464.5 = 4.3
        (580.0, 2000.0, 6),  # 5.06
        (300.0, 3000.0, 7),  # 3000 / 464.5 = 6.46
        (0.0, 0.0, 0),
    ],
)
def test_the_number_by_aci_318(volume, area, wanted):
    # ACI 318-19 26.12.2.1: each 150 yd3, each 5,000 ft2, at least five (values from memory).
    assert samples_wanted(volume, area, None) == wanted


def test_the_projects_own_number_stands_instead():
    assert samples_wanted(290.0, 3000.0, 0.01) == 3
    assert samples_wanted(300.0, 3000.0, 0.01) == 3
    assert samples_wanted(10.0, 3000.0, 0.01) == 1


def long_pour(**changes):
    return pour(floor={"length_y_m": 200.0}, **changes)


def test_a_sample_is_taken_when_half_the_load_is_out():
    # 6 m3 at 60 m3/h and more from the truck: the pump lets it go in steady pace without a stop.
    outcome = measured(long_pour())
    visits = {visit.number: visit for visit in outcome.log.visits}
    assert len(outcome.sampling.samples) == 5
    for each in outcome.sampling.samples:
        visit = visits[each.load]
        middle = (visit.discharge_start + visit.discharge_end) / 2
        assert each.at == pytest.approx(middle, abs=30.0)
        assert each.age == pytest.approx(each.at - visit.batched)
        assert each.temperature == pytest.approx(20.0)


def test_as_many_as_there_are_where_there_are_fewer_than_five_loads():
    outcome = measured(pour())  # 9 m3 in 2 loads
    assert outcome.sampling.wanted == 5
    assert [each.load for each in outcome.sampling.samples] == [0, 1]


def test_every_load_is_as_likely_as_any_other():
    scenario = long_pour(supply={"load_m3": 9.0})  # 90 m3 in 10 loads
    counts = [0] * 10
    for seed in range(300):
        for each in measured(scenario, seed=seed).sampling.samples:
            counts[each.load] += 1
    assert sum(counts) == 300 * 5
    # Five of ten without replacement: the variance of each count is 300/4, that of the sum 0.
    chi2 = sum((count - 150.0) ** 2 for count in counts) / (300 / 4) * 9 / 10
    assert chi2 < stats.chi2.ppf(0.999, 9)


def test_sampling_shifts_nothing_in_the_day_and_no_load_shifts_the_lot():
    plants = [{"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": exponential(20)}]
    plain = long_pour(plants=plants)
    own = replace(plain, site=replace(plain.site, samples=0.5))
    assert played(plain, seed=3) == played(own, seed=3)
    # The lot goes by load number: more samples keep those there are.
    few = {each.load for each in measured(plain, seed=3).sampling.samples}
    many = {each.load for each in measured(own, seed=3).sampling.samples}
    assert few < many


def test_a_load_sent_away_is_not_sampled():
    outcome = measured(long_pour(mix={"reject_share": 0.6}), seed=2)
    away = {visit.number for visit in outcome.log.visits if visit.placed == 0}
    assert away
    assert not away & {each.load for each in outcome.sampling.samples}


def test_a_sample_is_as_warm_as_the_measures_have_the_concrete():
    # It once took off what cooled the mix and forgot what warmed it.
    floor, warmer = {"length_y_m": 60.0}, {"warmer_C": 8.0}
    plain, warm = (measured(pour_with(floor=floor, measures=each)) for each in ({}, warmer))
    for cool, each in zip(plain.sampling.samples, warm.sampling.samples, strict=True):
        assert cool.temperature == pytest.approx(20.0)
        assert 24.0 < each.temperature < 28.0
        (load,) = (one for one in warm.delivered if one.truck == each.load)
        assert each.temperature == pytest.approx(load.temperature, abs=1.0)
