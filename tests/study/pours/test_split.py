"""The long day and the parts: sums by hand, what is preferred, and on which days it is poured."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from builders.pours import PLAIN, pour

from pourday.study.days import study_plans
from pourday.study.metrics import NAMES
from pourday.study.pours.split import find_split, given_split

FOUR = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2]}
PRICES = {
    "concrete_per_m3": 100,
    "returned_per_m3": 40,
    "labour_per_person_h": 30,
    "shift_h": 8,
    "least_paid_h": 4,
    "overtime_factor": 1.5,
    "stop_end_per_m": 12,
}
PUMP = {"pump": {"call_out": 250, "hire_per_h": 90, "pumped_per_m3": 5}}


def play(bases):
    return study_plans(bases, 3, workers=1)


def floor_for(**changes):
    return pour(**{"floor": FOUR, "prices": PRICES, "pumps": PUMP} | changes)


def split_for(scenario, parts=None, most=4):
    return find_split(scenario, scenario.plans[0], play, parts, most)


def test_every_cubic_metre_is_placed_once():
    found = split_for(floor_for())
    whole = 4 * 3.0 * 20.0 * 0.15
    assert found.long.pouring.volume == pytest.approx(whole)
    for split in found.splits:
        assert sum(each.pouring.volume for each in split.pours) == pytest.approx(whole)
        assert sum(each.pouring.area for each in split.pours) == pytest.approx(4 * 3.0 * 20.0)
        placed = sum(each.days.of("placed_m3") for each in split.pours)
        np.testing.assert_allclose(placed, whole)


def test_what_the_days_cost_is_counted_by_hand():
    """Times are fixed, so every day is alike: each pour by its own counts, times the prices.

    Concrete: 6.6 m of 12 m x 20 m x 150 mm = 19.8 m³, then 16.2 m³, both ordered to the quarter of
    a cubic metre by the last load; a call-out and the m³ of each; nine people for four hours or
    more; 20 m of form.
    """
    scenario = floor_for(supply={"margin_m3": 0.0, "load_step_m3": 0.01})
    (best, *_) = split_for(scenario, parts=2).splits
    first, second = best.pours
    assert [p.pouring.volume for p in best.pours] == pytest.approx([19.8, 16.2])
    crew = scenario.crews["crew"]
    hours = []
    for pour_ in best.pours:
        days = pour_.days
        volume = pour_.pouring.volume
        concrete = days.of("cost_concrete")
        ordered, returned = days.of("ordered_m3"), days.of("returned_m3")
        np.testing.assert_allclose(concrete, 100 * ordered + 40 * returned, rtol=1e-9)
        assert ordered == pytest.approx(volume, abs=0.02)
        paid = days.of("cost_pump") - 250 - 5 * volume
        hours.append(paid / 90)  # from set-up to the end of the wash-out
        assert ((hours[-1] > 1.0) & (hours[-1] < 4.0)).all()
        # Less than the least paid time, so all of the placers and others are paid four hours.
        assert (days.of("cost_labour") >= (crew.placers + crew.others) * 4 * 30 - 1e-9).all()
        assert (days.of("cost_overtime") == 0).all()
    total = sum(each.days.of("cost_total") for each in (first, second)).mean() + 20.0 * 12
    assert best.stop_end_cost == pytest.approx(240.0)
    assert best.cost.mean == pytest.approx(total)
    long = split_for(scenario, parts=2).long.days.of("cost_total").mean()
    assert best.against.value == pytest.approx(total - long)
    assert sum(best.by_kind.values()) == pytest.approx(best.against.value)
    assert best.by_kind["pump"] == pytest.approx(
        250 + 90 * (hours[0].mean() + hours[1].mean()) - _pump_hours(scenario) * 90
    )
    assert best.crew_days == 2 * crew.persons


def _pump_hours(scenario):
    long = split_for(scenario, parts=2).long
    return (long.days.of("cost_pump").mean() - 250 - 5 * 36.0) / 90


def test_an_edge_at_a_stop_end_is_no_cold_joint():
    """Concrete that is cold at once: every edge of the day is, that at the stop end is none."""
    scenario = floor_for(
        mix={"open_time_min": 15, "initial_set_h": 1, "final_set_h": 2},
        plan=PLAIN["plan"] | {"order": "spread", "strip_width_m": 3.0},
    )
    found = split_for(scenario, parts=2)
    long = found.long.days.of("cold_length_m")
    parts = sum(each.days.of("cold_length_m") for each in found.splits[0].pours)
    assert (long > 0).all()
    for each in found.splits[0].pours:
        basis = each.pouring.basis
        assert all(abs(pair.at - 6.6) > 1e-6 for pair in basis.layout.pairs)
    assert (parts < long).all()


def test_a_day_past_the_curfew_is_split_until_every_day_keeps_it():
    scenario = floor_for(site={"curfew": "08:30"})
    found = split_for(scenario)
    assert [b.kind for b in found.long.breaches] == ["curfew"]
    assert found.best.holds
    assert len(found.best.pours) == 2
    assert found.not_mended == ()
    held = [split for split in found.splits if split.holds]
    assert found.splits[: len(held)] == tuple(held)
    assert found.best.cost.mean == min(split.cost.mean for split in held)


def test_what_less_floor_does_not_mend_is_named_and_the_fewest_parts_come_first():
    scenario = floor_for(
        floor={"spans_m": [3.0] * 6, "sheet_runs": [2, 2, 2]}, limits={"deck_use": 0.05}
    )
    found = split_for(scenario)
    assert "deck" in found.not_mended
    assert not found.best.holds
    assert {len(split.pours) for split in found.splits} == {2, 3}
    assert len(found.best.pours) == 2


def test_days_follow_one_another_as_the_file_says():
    days = {1: ["2027-03-01", "2027-03-02"], 3: ["2027-03-01", "2027-03-04"]}
    for apart, expected in days.items():
        best = split_for(floor_for(site={"days_between_pours": apart}), parts=2).best
        assert [each.pouring.date.isoformat() for each in best.pours] == expected
        for each in best.pours:
            assert each.pouring.basis.scenario.date == each.pouring.date


def test_each_pour_has_a_day_of_its_own_in_the_spread_of_the_total():
    """Days of one seed would go together; a split's do not, and its mean is the same."""
    noisy = PLAIN["plants"][0] | {
        "travel_min": {"dist": "lognormal", "mean": 20, "sd": 12},
        "trucks": 2,
    }
    best = split_for(floor_for(plants=[noisy]), parts=2).best
    cost = [each.days.of("cost_total") for each in best.pours]
    mixed = cost[0] + np.roll(cost[1], -1) + best.stop_end_cost
    assert best.cost.p90 == pytest.approx(float(np.percentile(mixed, 90)))
    assert best.cost.mean == pytest.approx(float((cost[0] + cost[1]).mean()) + best.stop_end_cost)


def with_pours(*pours, **changes):
    from builders.pours import text

    from pourday.scenario.read import parse_scenario

    rows = "\n".join(
        "[[pour]]\n" + "\n".join(f"{key} = {value}" for key, value in each.items())
        for each in pours
    )
    return parse_scenario(text(floor=FOUR, prices=PRICES, **changes) + "\n" + rows)


WEST = {"name": '"west"', "date": "2027-03-05", "plan": '"plain"', "bays": '["1"]'}
EAST = {"name": '"east"', "date": "2027-03-09", "plan": '"plain"', "bays": '["2"]'}


def test_given_pours_are_those_of_the_proposed_split():
    scenario, warnings = with_pours(WEST, EAST)
    assert warnings == ()
    given = given_split(scenario, play)
    proposed = split_for(scenario, parts=2)
    assert given.given
    assert given.best.cost == proposed.best.cost
    for mine, theirs in zip(given.best.pours, proposed.best.pours, strict=True):
        np.testing.assert_array_equal(mine.days.values, theirs.days.values)
    assert [each.pouring.name for each in given.best.pours] == ["west", "east"]
    assert [each.pouring.date for each in given.best.pours] == [date(2027, 3, 5), date(2027, 3, 9)]
    assert given.best.ends == proposed.best.ends


def test_the_part_poured_later_gives_way_whichever_it_is():
    scenario, _ = with_pours(EAST | {"date": "2027-03-05"}, WEST | {"date": "2027-03-09"})
    low_high = [(round(each.low, 6), round(each.high, 6)) for each in scenario.pours]
    assert low_high == [(5.4, 12.0), (0.0, 5.4)]
    west = given_split(scenario, play).best.pours[1].pouring.part
    assert west.high_hardened
    assert not west.low_hardened


def test_weather_of_its_own_changes_that_pour_alone():
    warm = '[{ at = "06:00", air_C = 33, humidity = 0.3, wind_km_h = 20 }]'
    plain, _ = with_pours(WEST, EAST)
    own, _ = with_pours(WEST, EAST | {"hours": warm})
    first, second = (given_split(each, play).best for each in (plain, own))
    np.testing.assert_array_equal(first.pours[0].days.values, second.pours[0].days.values)
    dry = NAMES.index("evaporation_peak_kg_m2_h")
    assert (second.pours[1].days.values[:, dry] > first.pours[1].days.values[:, dry]).all()


def test_a_scenario_without_pours_has_none_to_play():
    with pytest.raises(ValueError, match="no pours"):
        given_split(floor_for(), play)
