"""What the telephone is worth: loads held in a stop, called again in time, measured at the end.

Hand-worked on the plain floor: loads of 6 m³ every 12 min, 26 min from the call to the site (6 of
batching, 20 of road), one truck empties in 8 min; pump and crew take 60 m³/h.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from statistics import fmean

import pytest
from builders.places import SCENARIOS
from builders.pours import laid_out, measured, pour

from pourday.day.front.ready import ready
from pourday.day.play import open_day, play, play_ready
from pourday.day.telephone import before_change
from pourday.outcome.days import measure_days
from pourday.scenario.base.upsets import parse_upset
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare, with_upsets

SEVEN, MINUTE = 7 * 3600.0, 60.0
PHONES = {
    "nobody_phones": False,
    "measure_error_share": 0,
    "hold_notice_min": 0,
    "guess_factor": 1,
}
LONG = {"length_y_m": 80.0}  # 36 m³: six loads
SPREAD = {"spacing_min": 12}


def stopped(text: str, **call_off):
    scenario = pour(floor=LONG, plan=SPREAD, call_off=PHONES | call_off)
    plan, layout = scenario.plans[0], laid_out(scenario)
    return play(scenario, plan, layout, 1, (parse_upset(text),))


def test_he_rings_five_minutes_into_a_breakdown_and_again_one_lead_time_before_its_end():
    # Down 07:20 to 08:20. He rings at 07:25 and guesses 08:20. Three loads came at 07:00, 07:12
    # and 07:24 (called 06:34, 06:46 and 06:58), a fourth and a fifth are on the road: called 07:10
    # and 07:22. The sixth is due at 08:00, held, and sent so that one truck at most waits.
    log = stopped("07:20 pump down 60 min")
    hold, send = log.calls[:2]
    assert (hold.kind, hold.at) == ("hold", SEVEN + 25 * MINUTE)
    assert "08:20" in hold.why
    assert send.kind == "send"
    assert send.at >= hold.at
    called = sorted(visit.batched for visit in log.visits)
    assert not [at for at in called if hold.at < at < send.at]
    assert log.unfinished == 0.0


def test_nothing_is_held_for_a_stop_that_nobody_rings_for():
    log = stopped("07:20 pump down 4 min")
    assert not [call for call in log.calls if call.kind == "hold"]


def test_with_nobody_on_the_telephone_loads_come_whatever_happens():
    with_phone = stopped("07:20 pump down 60 min")
    without = stopped("07:20 pump down 60 min", nobody_phones=True)
    assert not without.calls
    spaced = [
        b.arrived - a.arrived for a, b in zip(without.visits, without.visits[1:], strict=False)
    ]
    assert spaced[:4] == pytest.approx([12 * MINUTE] * 4)
    waits = [fmean(v.wait for v in log.visits) for log in (with_phone, without)]
    assert waits[0] < waits[1]


def test_the_balance_is_what_is_left_and_no_less_than_the_plant_sends():
    # 80 m x 3 m x 0.15 m = 36 m³ and 0.7 m³ more: the seventh load would be 0.7 m³.
    scenario = pour(floor={"length_y_m": 82.0}, plan=SPREAD, call_off=PHONES)
    log = play(scenario, scenario.plans[0], laid_out(scenario), 1)
    assert [visit.volume for visit in log.visits] == pytest.approx([6.0] * 6 + [1.5])
    assert [call.kind for call in log.calls] == ["balance"]


def test_a_lost_load_is_called_again_at_once_and_shifts_no_other():
    scenario = pour(floor=LONG, plan=SPREAD, call_off=PHONES)
    plan, layout = scenario.plans[0], laid_out(scenario)
    log = play(scenario, plan, layout, 1, (parse_upset("07:20 load rejected"),))
    lost = next(visit for visit in log.visits if visit.outcome == "rejected: test")
    again = next(call for call in log.calls if call.kind == "again")
    assert again.at - lost.discharge_end < 1.0
    assert log.unfinished == 0.0


def test_after_a_closed_road_loads_do_not_come_in_a_bunch():
    scenario = pour(floor={"length_y_m": 160.0}, plan={"spacing_min": 18}, call_off=PHONES)
    plan, layout = scenario.plans[0], laid_out(scenario)
    log = play(scenario, plan, layout, 1, (parse_upset("07:10 road closed 40 min"),))
    late = sorted(v.arrived for v in log.visits if v.batched > SEVEN + 50 * MINUTE)
    gaps = [b - a for a, b in pairwise(late)]
    # Never closer than 0.6 of the planned 18 min: that is how fast the plant may catch up.
    assert min(gaps) >= 0.6 * 18 * MINUTE - 1.0


def mean_of(name: str, nobody: bool, upset: str, days: int):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    scenario = replace(scenario, call_off=replace(scenario.call_off, nobody_phones=nobody))
    plans = scenario.plans[:1]
    if any("skip" in means for means in [scenario.means(plans[0])]):
        upset = upset.replace("pump down", "crane lost")
    basis = prepare(with_upsets(scenario, (upset,), plans), plans)[0]
    plan = ready(basis.scenario, basis.plan, basis.layout)
    logs = [play_ready(plan, seed) for seed in range(days)]
    lost = fmean(sum(v.rejected for v in log.visits) for log in logs)
    cost = fmean(each.total for each in measure_days(basis, logs).cost)
    return lost, cost, fmean(log.end - log.start for log in logs), basis


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(path.stem for path in SCENARIOS.glob("*.toml")))
def test_the_telephone_pays_in_a_stop_of_an_hour(name):
    # 200 days. Concrete that is lost is less with it; no dearer than without by one load, and no
    # longer by one spacing.
    lost, cost, time, basis = mean_of(name, False, "10:30 pump down 60 min", 200)
    lost_without, cost_without, time_without, _ = mean_of(name, True, "10:30 pump down 60 min", 200)
    load = basis.scenario.supply.load
    # On the floors of a hot and a frosty day it loses as much as without, within one load.
    more = load if name in ("frost_night", "hot_roof") else 0.0
    assert lost < lost_without + more
    assert cost <= cost_without + load * basis.scenario.prices.concrete
    assert time <= time_without + min(front.spacing.mean for front in basis.plan.fronts)


@pytest.mark.slow
def test_a_stop_near_a_break_costs_the_same_whichever_minute_it_begins():
    # 12:20, 12:28 and 12:32 on the library, whose break is due at 12:30: within one load and the
    # labour of one spacing of each other, mean of 40 days.
    costs = [mean_of("library_level_2", False, f"{at} pump down 45 min", 40) for at in
             ("12:20", "12:28", "12:32")]  # fmt: skip
    basis = costs[0][-1]
    load = basis.scenario.supply.load * basis.scenario.prices.concrete
    crew = basis.scenario.crews[basis.plan.fronts[0].crew]
    people = crew.placers + crew.finishers + crew.others
    spacing = basis.plan.fronts[0].spacing.mean * people * basis.scenario.prices.labour * 1.5
    money = [cost for _, cost, _, _ in costs]
    assert max(money) - min(money) <= load + spacing


def test_a_day_says_what_was_said():
    outcome = measured(pour(floor=LONG, plan=SPREAD, call_off=PHONES))
    assert all(
        call.kind in ("hold", "send", "balance", "again", "more") for call in outcome.log.calls
    )


def test_a_change_of_place_is_counted_no_further_than_is_enough():
    scenario, _ = read_scenario(SCENARIOS / "depot_two_pumps.toml")
    basis = prepare(scenario)[1]
    day = open_day(scenario, basis.plan, basis.layout, 1)
    seen = []
    for half_hour in range(14, 26):
        day.env.run(until=1800.0 * half_hour)
        for front in day.fronts:
            exact = before_change(day, front, math.inf)
            for enough in (0.0, 0.5 * exact, exact, 2.0 * exact):
                found = before_change(day, front, enough)
                assert found == exact or (found == math.inf and exact > enough)
                seen.append(found < math.inf)
    assert any(seen)
    assert not all(seen)
