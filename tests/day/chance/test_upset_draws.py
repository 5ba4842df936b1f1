"""Upsets drawn from rates: how many, how long, and that no source shifts another.

The closed forms: arrivals with exponential time between are Poisson (mean = variance); with a
fixed length L after each, the n-th begins before H when n exponential gaps are less than
H - (n - 1) L, a gamma probability (elementary renewal theory: the counts are distributions of
sums of independent times, no fitted figure in them).
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from builders.pours import pour
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pourday.day.chance.rain import rain_windows
from pourday.day.chance.upsets import Targets, drawn_upsets, with_rain
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    PLANT_STOPPED,
    PUMP_DOWN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    UpsetRates,
    parse_upset,
)

HOUR = 3600.0
BEGIN, HOURS = 6.5 * HOUR, 10 * HOUR
PLANTS = ("Mill Road", "Far Field")
NOTHING = UpsetRates(
    plant_stop_every=None,
    truck_broken_every=None,
    road_closed_every=None,
    pump_down_every=None,
    crane_lost_every=None,
    plant_stop=fixed(0.0),
    truck_broken=fixed(0.0),
    road_closed=fixed(0.0),
    pump_down=fixed(0.0),
    crane_lost=fixed(0.0),
    absent_share=0.0,
)
OFTEN = UpsetRates(
    plant_stop_every=3 * HOUR,
    truck_broken_every=2 * HOUR,
    road_closed_every=5 * HOUR,
    pump_down_every=4 * HOUR,
    crane_lost_every=6 * HOUR,
    plant_stop=Distribution("lognormal", (1800.0, 900.0)),
    truck_broken=Distribution("exponential", (2700.0,)),
    road_closed=Distribution("uniform", (600.0, 3600.0)),
    pump_down=Distribution("gamma", (2700.0, 1500.0)),
    crane_lost=fixed(1800.0),
    absent_share=0.1,
)


def day(rates, seed, plants=PLANTS, placers=(5, 4), means=("boom", "skip"), hours=HOURS):
    return drawn_upsets(rates, Targets(plants, placers, means), BEGIN, hours, seed)


def sources(drawn):
    """Upsets of one day by what they hit."""
    found = {}
    for upset in drawn:
        found.setdefault((upset.kind, upset.who), []).append(upset)
    return found


# name: (rates with only this source, keyword of its mean time between, its upsets)
ALONE = {
    "plant": ("plant_stop", PLANT_STOPPED, {"Mill Road", "Far Field"}),
    "truck": ("truck_broken", TRUCK_BROKEN, {""}),
    "road": ("road_closed", ROAD_CLOSED, {"Mill Road", "Far Field"}),
    "pump": ("pump_down", PUMP_DOWN, {"1"}),
    "crane": ("crane_lost", CRANE_LOST, {"2"}),
}


@pytest.mark.parametrize("name", ALONE)
def test_upsets_of_no_length_are_poisson_arrivals(name):
    key, kind, hit = ALONE[name]
    rates = replace(NOTHING, **{f"{key}_every": 2.5 * HOUR})
    days, mean = 1500, 4.0
    counts, times = [], []
    for seed in range(days):
        drawn = day(rates, seed)
        assert {upset.kind for upset in drawn} <= {kind}
        found = sources(drawn)
        assert {who for _, who in found} <= hit
        counts += [len(found.get((kind, who), ())) for who in hit]
        times += [upset.at for upset in drawn]
    total, expected = sum(counts), len(counts) * mean
    # A Poisson total: within 3.29 standard deviations with 99.9 %.
    assert abs(total - expected) < 3.29 * math.sqrt(expected)
    # Index of dispersion times (n - 1) is chi-squared (n large); 99.9 % two-sided.
    dispersion = np.var(counts, ddof=1) / np.mean(counts) * (len(counts) - 1)
    low, high = stats.chi2.ppf([0.0005, 0.9995], len(counts) - 1)
    assert low < dispersion < high
    # The shape of the counts: 0, 1, ... 8, 9 and more; chi-squared at 99.9 %.
    seen = np.bincount(np.minimum(counts, 9), minlength=10)
    share = np.append(stats.poisson.pmf(range(9), mean), stats.poisson.sf(8, mean))
    assert stats.chisquare(seen, share * len(counts)).pvalue > 0.001
    # Given their number, Poisson arrivals lie evenly over the day.
    even = stats.kstest(times, "uniform", args=(BEGIN, HOURS))
    assert even.pvalue > 0.001


def test_counts_with_a_fixed_length_are_those_of_the_renewal_process():
    every, length, days = 2 * HOUR, 0.75 * HOUR, 4000
    rates = replace(NOTHING, truck_broken_every=every, truck_broken=fixed(length))
    counts = np.array([len(day(rates, seed)) for seed in range(days)])
    n = np.arange(1, 40)
    # P(the n-th begins before the end), with what is left of the day after n - 1 lengths.
    left = np.maximum(HOURS - (n - 1) * length, 0.0)
    reached = stats.gamma.cdf(left, n, scale=every)
    mean = reached.sum()
    variance = ((2 * n - 1) * reached).sum() - mean**2
    assert mean < 0.85 * HOURS / every  # so that arrivals that ignore the length would fail
    assert abs(counts.mean() - mean) < 3.29 * math.sqrt(variance / days)  # 99.9 %
    share = -np.diff(np.append(1.0, reached))[:8]
    share = np.append(share, 1 - share.sum())
    seen = np.bincount(np.minimum(counts, 8), minlength=9)
    assert stats.chisquare(seen, share * days).pvalue > 0.001


@pytest.mark.parametrize("name", ALONE)
def test_lengths_follow_their_distribution(name):
    key, kind, _ = ALONE[name]
    length = Distribution("exponential", (1200.0,))
    # The first of a day only, and a day that always has one: later ones are met less the longer
    # those before them last.
    rates = replace(NOTHING, **{f"{key}_every": 0.5 * HOUR, key: length})
    lengths = []
    for seed in range(1200):
        found = sources(day(rates, seed))
        lengths += [spells[0].length for (each, _), spells in found.items() if each == kind]
    assert len(lengths) >= 1200
    assert stats.kstest(lengths, "expon", args=(0, 1200.0)).pvalue > 0.001


@given(st.integers(0, 10**6))
def test_a_day_is_in_order_inside_its_hours_and_nothing_goes_down_twice_at_once(seed):
    drawn = day(OFTEN, seed)
    assert [upset.at for upset in drawn] == sorted(upset.at for upset in drawn)
    for upset in drawn:
        assert BEGIN <= upset.at < BEGIN + HOURS
        assert upset.drawn
    for spells in sources(drawn).values():
        for one, following in pairwise(spells):
            assert following.at >= one.at + one.length


def test_the_same_seed_is_the_same_day_and_another_is_not():
    assert day(OFTEN, 3) == day(OFTEN, 3)
    assert len({day(OFTEN, seed) for seed in range(50)}) == 50


def test_a_longer_day_begins_like_the_shorter():
    short, long = day(OFTEN, 8), day(OFTEN, 8, hours=2 * HOURS)
    assert short == tuple(upset for upset in long if upset.at < BEGIN + HOURS)
    assert len(long) > len(short)


def test_what_begins_at_the_end_of_the_hours_is_left_out_and_just_before_it_is_not():
    for upset in day(OFTEN, 8)[1:]:
        hours = upset.at - BEGIN
        assert upset not in day(OFTEN, 8, hours=hours)
        assert upset in day(OFTEN, 8, hours=hours + 1e-6)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("key", [key for key, _, _ in ALONE.values()])
def test_a_rate_moves_its_own_source_only(key, seed):
    kind = {own: kind for own, kind, _ in ALONE.values()}[key]
    before = day(OFTEN, seed, hours=40 * HOUR)
    rarer = replace(OFTEN, **{f"{key}_every": 30 * HOUR})
    longer = replace(OFTEN, **{key: fixed(7200.0)})
    never = replace(OFTEN, **{f"{key}_every": None})
    others = [upset for upset in before if upset.kind != kind]
    assert len(others) < len(before)
    for changed in (rarer, longer, never):
        after = day(changed, seed, hours=40 * HOUR)
        assert [upset for upset in after if upset.kind != kind] == others
        assert after != before
    assert not any(upset.kind == kind for upset in day(never, seed, hours=40 * HOUR))


def test_a_plant_or_a_front_more_shifts_nothing():
    before = day(OFTEN, 4)
    after = day(
        OFTEN, 4, plants=("Quarry", *PLANTS), placers=(5, 4, 7), means=("boom", "skip", "line")
    )
    assert set(before) < set(after)
    new = set(after) - set(before)
    assert {upset.who for upset in new} <= {"Quarry", "3"}


def test_a_boom_and_a_line_pump_meet_the_same_day_and_a_skip_its_own():
    boom, line = (day(OFTEN, 4, means=(by, "skip")) for by in ("boom", "line"))
    assert boom == line
    kinds = {upset.kind for upset in day(OFTEN, 4, means=("skip", "skip"))}
    assert CRANE_LOST in kinds
    assert PUMP_DOWN not in kinds


def test_sources_are_independent_of_each_other():
    rates = replace(
        NOTHING, **{f"{key}_every": 2 * HOUR for key, _, _ in ALONE.values()}, absent_share=0.3
    )
    keys = [(kind, who) for _, kind, hit in ALONE.values() for who in sorted(hit)]
    rows = []
    for seed in range(2000):
        drawn = day(rates, seed)
        absent = {u.who: u.number for u in drawn if u.kind == CREW_SHORT}
        found = sources(drawn)
        rows.append([len(found.get(key, ())) for key in keys] + [absent.get(w, 0) for w in "12"])
    correlation = np.corrcoef(np.array(rows).T) - np.eye(len(keys) + 2)
    # 36 pairs: |r| < 4.5 / sqrt(n) for all with more than 99.9 %.
    assert len(correlation) == 9
    assert np.abs(correlation).max() < 4.5 / math.sqrt(2000)


def test_absent_people_are_binomial_and_missed_from_the_beginning_all_day():
    rates, days, placers = replace(NOTHING, absent_share=0.15), 3000, 6
    counts = []
    for seed in range(days):
        drawn = day(rates, seed, placers=(placers,), means=("boom",))
        assert len(drawn) <= 1
        for upset in drawn:
            assert (upset.kind, upset.who, upset.at) == (CREW_SHORT, "1", BEGIN)
            assert upset.length == math.inf
        counts.append(sum(upset.number for upset in drawn))
    seen = np.bincount(np.minimum(counts, 4), minlength=5)
    share = np.append(stats.binom.pmf(range(4), placers, 0.15), stats.binom.sf(3, placers, 0.15))
    assert stats.chisquare(seen, share * days).pvalue > 0.001


@given(st.integers(0, 10**6), st.integers(1, 20), st.floats(0, 1))
def test_one_placer_more_does_not_change_who_else_comes(seed, placers, share):
    rates = replace(NOTHING, absent_share=share)
    few, more = (
        sum(upset.number for upset in day(rates, seed, placers=(count,), means=("boom",)))
        for count in (placers, placers + 1)
    )
    assert more - few in (0, 1)


def test_nobody_and_everybody_absent():
    assert day(NOTHING, 1) == ()
    drawn = day(replace(NOTHING, absent_share=1.0), 1)
    assert [(upset.who, upset.number) for upset in drawn] == [("1", 5), ("2", 4)]


@pytest.mark.parametrize("every", [0.0, -1.0, math.nan])
def test_a_time_between_of_nothing_is_refused(every):
    with pytest.raises(ValueError, match="more than 0"):
        day(replace(NOTHING, truck_broken_every=every), 1)


def rainy():
    """A scenario with a rain of its own that comes on some days."""
    rain = [{"at": "12:00", "length_min": {"dist": "exponential", "mean": 30}, "rate_mm_h": 4}]
    return pour(weather={"rain": [rain[0] | {"chance": 0.5}]}, site={"cover_min": 4})


def test_rain_among_the_upsets_comes_for_sure_and_leaves_the_forecast_its_chance():
    scenario = rainy()
    wet = with_rain(
        scenario, [parse_upset("09:00 rain 20 min"), parse_upset("09:00 load rejected")]
    )
    assert wet.weather.rain[:-1] == scenario.weather.rain
    came = 0
    for seed in range(60):
        uncover = scenario.site.uncover.mean
        own = (9 * HOUR, 9 * HOUR + 1200 + uncover)
        windows = rain_windows(wet, seed)
        assert windows[0] == own
        assert windows[1:] == rain_windows(scenario, seed)
        came += len(windows) > 1
    assert 0 < came < 60


def test_rain_of_no_length_and_upsets_without_rain_leave_the_scenario_as_it_is():
    scenario = rainy()
    lines = ["09:00 rain 0 min", "09:00 pump down 1 h", "09:00 crew short 2"]
    assert with_rain(scenario, [parse_upset(line) for line in lines]) is scenario
    assert with_rain(scenario, ()) is scenario


def test_light_rain_among_the_upsets_stops_nobody():
    wet = with_rain(pour(), [parse_upset("09:00 rain 20 min at 0.5 mm/h")])
    assert wet.weather.rain[0].rate < wet.site.stop_rain
    assert rain_windows(wet, 1) == ()
