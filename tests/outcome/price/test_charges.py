"""Charges that a plan or a day brings about, each by itself, and whose fault a load is."""

from __future__ import annotations

import pytest
from builders.made_days import day
from builders.pours import basis_of, measured, pour

from pourday.day.log import PhoneCall, Stop
from pourday.outcome.price.items import GROUPS, ITEMS, OVERTIME, item_of
from pourday.outcome.price.lines import keys_of
from pourday.outcome.price.plant import standing
from pourday.outcome.price.supply import supply_lines, trucks_kept

FLOOR = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 10.0}
SPREAD = {"order": "spread", "strip_width_m": 3.0}


def amount(outcome, key):
    (line,) = (line for line in outcome.cost.lines if line.key == key)
    return line.amount


def quantity(outcome, key):
    (line,) = (line for line in outcome.cost.lines if line.key == key)
    return line.quantity


def test_every_plan_has_the_same_lines_and_every_line_a_label_and_a_group():
    outcome = measured(pour())
    keys = [line.key for line in outcome.cost.lines]
    assert keys == list(keys_of(outcome.basis.scenario.prices))
    assert len(set(keys)) == len(keys)
    assert {item_of(key).group for key in keys} == set(GROUPS)
    assert set(ITEMS) < set(keys)
    assert item_of(f"{OVERTIME}7.5").label == "labour, overtime hours after 7.5 h"


@pytest.mark.parametrize("trucks", [2, 6, 16])
def test_more_trucks_cost_more_where_they_are_booked(trucks):
    outcome = measured(pour(plan={"trucks": trucks}, prices={"truck_booked": 90}))
    assert outcome.cost.trucks == 90 * trucks


def test_only_trucks_of_plants_that_are_called_from_are_kept():
    plants = [
        {"name": "a", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "back_min": 20},
        {"name": "b", "trucks": 4, "batch_m3_h": 60, "travel_min": 20, "back_min": 20},
    ]
    assert trucks_kept(basis_of(pour(plants=plants))) == 10
    assert trucks_kept(basis_of(pour(plants=plants, plan={"plants": ["b"]}))) == 4


def put_off(*calls, **prices):
    scenario = pour(floor=FLOOR, plan=SPREAD, prices={"put_off_load": 80} | prices)
    log = day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    log = log.__class__(**{**vars(log), "calls": tuple(calls)})
    lines = supply_lines(basis_of(scenario), log)
    return next(line for line in lines if line.key == "put_off")


def said(kind, minutes, front=0):
    return PhoneCall(minutes * 60.0, kind, "", 0.0, front)


def test_loads_put_off_within_the_notice_are_charged_and_later_ones_are_not():
    # A load is due every 12 min of the plan.
    assert put_off() == ("put_off", 0.0, 0.0)
    assert put_off(said("hold", 100), said("send", 105)).quantity == 1  # the next one at least
    assert put_off(said("hold", 100), said("send", 130)).quantity == 3  # 30 / 12, rounded up
    assert put_off(said("hold", 100), said("send", 300)).quantity == 5  # an hour's, not 16
    assert put_off(said("hold", 100)).amount == 5 * 80  # never sent for again
    assert put_off(said("hold", 100), notice_min=0).quantity == 0
    assert put_off(said("hold", 100), said("more", 110), said("send", 124)).quantity == 2


def test_a_load_that_fails_its_test_is_paid_by_whom_the_file_says():
    for who in ("plant", "site"):
        outcome = measured(
            pour(
                mix={"reject_share": 0.95},
                prices={"concrete_per_m3": 100, "returned_per_m3": 60, "failed_test": who},
            )
        )
        failed = sum(v.rejected for v in outcome.log.visits if v.outcome == "rejected: test")
        assert failed > 0
        assert quantity(outcome, "sent_away") == pytest.approx(failed if who == "site" else 0.0)
        assert amount(outcome, "disposal") == pytest.approx(failed * 60 if who == "site" else 0.0)


def test_a_load_too_old_before_it_came_is_the_plant_s_where_the_file_says_so():
    # Twenty minutes of road and six of batching against a limit of 24: too old at the gate.
    plants = [{"name": "m", "trucks": 3, "batch_m3_h": 60, "travel_min": 20, "back_min": 20}]
    away = {}
    for who in ("site", "plant"):
        outcome = measured(
            pour(
                plants=plants,
                supply={"age_limit_min": 24},
                prices={"concrete_per_m3": 100, "over_age_on_road": who},
            )
        )
        old = [v for v in outcome.log.visits if v.outcome == "rejected: age"]
        on_road = [v for v in old if v.arrived > v.batched + 24 * 60]
        assert on_road
        away[who] = quantity(outcome, "sent_away")
    assert away["site"] - away["plant"] == pytest.approx(sum(v.volume for v in on_road))


def test_a_pump_stands_for_want_of_others_but_not_for_its_own_moves():
    scenario = pour(
        floor=FLOOR,
        plan=SPREAD,
        pumps={"pump": {"standing_per_h": 120, "standing_free_min": 15}},
    )
    stops = [("starved", 100, 110), ("changing", 110, 112), ("moving", 112, 115)]
    stops += [("rain", 115, 120), ("idle", 215, 300)]
    log = day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100), stops=stops)
    # 10 + 5 min, and of the last only what lies before the last concrete: 5 min.
    assert standing(log, 0) == 20 * 60
    assert isinstance(log.stops[0], Stop)
    assert amount(measured(scenario, log), "standing") == pytest.approx(120 * 5 / 60)


def test_a_crane_is_called_a_crane():
    scenario = pour(
        pumps={"pump": {"means": "skip", "skip_m3": 1.0, "hire_per_h": 100}},
        site={"set_ups": [{"name": "mast", "x_m": -3, "y_m": 0, "loading_m": [-6, 0]}]},
        plan={"set_ups": ["mast"]},
    )
    outcome = measured(scenario)
    assert amount(outcome, "crane_hours") > 0
    assert quantity(outcome, "pump_hours") == quantity(outcome, "pumped") == 0
    assert quantity(outcome, "skipped") == pytest.approx(outcome.log.placed)
    assert quantity(outcome, "in_line") == 0.0  # a skip leaves nothing, and no dust of rounding
    assert quantity(outcome, "placed") == pytest.approx(outcome.log.placed)


def test_each_cold_side_and_a_late_finish_cost_the_user_s_own_figure():
    prices = {"cold_joint_each": 700, "late_per_h": 30, "late_charge": 10, "late_after": "11:00"}
    scenario = pour(floor=FLOOR, plan=SPREAD, prices=prices, crews={"crew": {"finishers": 0}})
    log = day(scenario, (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100))
    cost = measured(scenario, log).cost
    assert cost.cold_joints == 700  # one side, cold somewhere
    # Last concrete 08:00 + 220 min, wash-out 30 min: 12:10 by the made day.
    assert cost.late == pytest.approx(10 + 30 * 70 / 60)


def test_the_curfew_is_when_a_finish_is_late_unless_told():
    for site, late in (({}, 0.0), ({"curfew": "07:22"}, 15.0)):
        crews = {"crew": {"finishers": 0}}
        outcome = measured(pour(site=site, prices={"late_per_h": 30}, crews=crews))
        assert outcome.cost.late == pytest.approx(late)  # wash-out ends 07:52


def test_set_up_and_clean_up_bring_no_relief_but_are_paid():
    # The crew is there for 92 min, in shifts of one hour: 60 and 32 min.
    prices = {"longest_shift_h": 1, "shift_h": 1, "least_paid_h": 0, "labour_per_person_h": 60}
    crews = {"crew": {"finishers": 0}}
    plain = measured(pour(prices=prices, crews=crews))
    more = {"set_up_paid_min": 20, "clean_up_paid_min": 10}
    paid = measured(pour(prices=prices | more, crews=crews))
    assert paid.reliefs == plain.reliefs
    assert len(plain.reliefs) == 1
    # Before: 60 min and 32 min, all plain. Now 80 min, 20 of them overtime at 1.5, and 42 min.
    assert plain.cost.total == pytest.approx(7 * 92)
    assert paid.cost.total == pytest.approx(7 * (60 + 42) + 7 * 20 * 1.5)


def test_without_roles_everybody_is_paid_alike_and_finishers_their_own():
    prices = {"labour_per_person_h": 40, "least_paid_h": 0}
    alike = measured(pour(prices=prices))
    more = measured(pour(prices=prices | {"roles": {"finishers_per_h": 60, "hose_per_h": 99}}))
    finishers = (alike.hours[0].finishers_until - alike.hours[0].bull_float_from) / 3600
    finishers += (alike.hours[0].finishers_until - alike.hours[0].finishers_from) / 3600
    assert more.cost.total - alike.cost.total == pytest.approx(finishers * 20)
