"""How old a load may get, by which rule, and when a load that is too old leaves; by hand.

The plain pour: 60 m³/h of mixer, 20 min of road, gate 1, position 3, test 2 min, 8 min for a full
load. The first load is loaded from 06:34, there at 07:00, discharged from 07:06 to 07:14.
"""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from builders.pours import exponential, played, pour
from builders.upset_days import clock, log_with

from pourday.day.log import DayLog, Visit
from pourday.scenario.model.scenario import Scenario

MINUTE, HOUR = 60.0, 3600.0
LONGER = {"length_y_m": 40.0}  # 18 m³: three loads
DOWN = "07:08 pump down 2 h"


def ruled(rule: str, **changes: Any) -> Scenario:
    """The plain pour under a named rule, a load begun not finished past it."""
    supply = {"age_limit_min": None, "age_rule": rule} | changes.pop("supply", {})
    return pour(supply=supply, **changes)


def given_up(visit: Visit) -> float:
    """How old it was when it was given up (min), counted from the start of its loading."""
    return (visit.discharge_end - visit.batched) / MINUTE


# One clock.


@pytest.mark.parametrize(
    ("batch", "placed"),
    [
        (60, 6.0),  # 6 min of loading: 32 min old when it begins, 40 when it is empty
        (30, 6.0),  # 12 min: 38 and 46
        (24, 5.25),  # 15 min: 41 when it begins; 7 min of 8 are left
        (20, 3.0),  # 18 min: 44 when it begins; 4 min are left
    ],
)
def test_age_counts_from_the_start_of_loading(batch, placed):
    plant = {"name": "Slow", "trucks": 6, "batch_m3_h": batch, "travel_min": 20}
    log = played(pour(plants=[plant], supply={"age_limit_min": 48}))
    first = log.visits[0]
    assert first.batched == pytest.approx(clock(7, 0) - 20 * MINUTE - 6 / batch * HOUR)
    assert first.placed == pytest.approx(placed)
    stretches = [s for s in log.stretches if s.truck == 0]
    assert {s.batched for s in stretches} == {first.batched}


@pytest.mark.parametrize(
    ("finish", "placed", "ends"),
    [(0, 3.0, 10), (2, 4.5, 12), (4, 6.0, 14), (15, 6.0, 14)],
)
def test_a_load_that_is_begun_may_be_finished_a_little_past_its_limit(finish, placed, ends):
    # 36 min old at 07:10, with half of it placed.
    log = played(pour(supply={"age_limit_min": 36, "finish_begun_min": finish}))
    first = log.visits[0]
    assert first.placed == pytest.approx(placed)
    assert first.discharge_end == pytest.approx(clock(7, ends))
    assert first.outcome == ("placed" if placed == 6.0 else "part rejected")


def test_a_load_past_its_limit_is_not_begun_however_long_one_that_is_begun_may_be_finished():
    # Ready at 07:06, 32 min old.
    log = played(pour(supply={"age_limit_min": 31, "finish_begun_min": 15}))
    assert log.visits[0].outcome == "rejected: age"
    assert math.isnan(log.visits[0].discharge_start)


@pytest.mark.parametrize(("slump", "placed"), [(96, 3.0), (98, 4.5), (120, 6.0)])
def test_a_load_that_is_begun_is_finished_only_while_it_is_workable(slump, placed):
    # 60 mm/h lost and 60 mm needed: workable for 36, 38 and 60 min; 36 min is the age limit.
    mix = {"slump_mm": slump, "slump_loss_mm_h": 60, "least_slump_mm": 60}
    log = played(pour(mix=mix, supply={"age_limit_min": 36, "finish_begun_min": 15}))
    assert log.visits[0].placed == pytest.approx(placed)


@pytest.mark.parametrize("finish", [0, 15])
def test_a_load_in_hand_when_the_pump_breaks_stands_until_its_last_minute(finish):
    log = log_with(pour(supply={"age_limit_min": 60, "finish_begun_min": finish}), DOWN)
    first = log.visits[0]
    assert first.placed == pytest.approx(1.5)
    assert given_up(first) == pytest.approx(60 + finish)
    assert first.left_site == pytest.approx(first.discharge_end + 8 * MINUTE)


# Named rules. Limits: the source lines of presets/age_rules.toml (values from memory).


def weather(*rows: tuple[str, float]) -> dict[str, Any]:
    return {
        "hours": [{"at": at, "air_C": air, "humidity": 0.6, "wind_km_h": 10} for at, air in rows]
    }


@pytest.mark.parametrize(
    ("rule", "air", "limit"),
    [
        ("astm_c94", 20, 90),
        ("astm_c94", 30, 90),
        ("jass_5", 20, 120),
        ("jass_5", 24.9, 120),
        ("jass_5", 25, 90),
        ("jass_5", 30, 90),
    ],
)
def test_a_rule_that_ends_with_discharge(rule, air, limit):
    # The pump is down for 5 h with the first load in hand.
    scenario = ruled(rule, weather=weather(("06:00", air)))
    first = log_with(scenario, "07:08 pump down 5 h").visits[0]
    assert first.outcome == "part rejected"
    assert given_up(first) == pytest.approx(limit)


def test_the_air_counts_when_a_load_is_loaded_not_later():
    # 20 °C at 06:00, 30 °C at 07:40: 23.4 °C at 06:34, 24.6 °C at 06:46, 25.8 °C at 06:58.
    scenario = ruled("jass_5", floor=LONGER, weather=weather(("06:00", 20), ("07:40", 30)))
    log = log_with(scenario, "07:08 pump down 5 h")
    assert [given_up(v) for v in log.visits[:3]] == pytest.approx([120, 120, 90])


@pytest.mark.parametrize(
    ("travel", "outcome"), [(113, "placed"), (114, "placed"), (115, "rejected: age")]
)
def test_bs_8500_asks_how_old_a_load_is_when_it_is_delivered(travel, outcome):
    # 6 min of loading and the road: 119, 120 and 121 min.
    plant = {"name": "Far", "trucks": 6, "batch_m3_h": 60, "travel_min": travel}
    first = played(ruled("bs_8500", plants=[plant])).visits[0]
    assert first.outcome == outcome


def test_bs_8500_leaves_waiting_on_the_site_to_the_slump():
    # Delivered 26 min old; the pump is down until 12:08.
    down = "07:08 pump down 5 h"
    log = log_with(ruled("bs_8500"), down)
    assert [v.outcome for v in log.visits] == ["placed", "placed"]
    assert log.visits[0].discharge_end == pytest.approx(clock(12, 14))
    # 180 mm, 60 mm/h lost, 60 mm needed: no longer workable 120 min after its loading began.
    mix = {"slump_mm": 180, "slump_loss_mm_h": 60, "least_slump_mm": 60}
    assert given_up(log_with(ruled("bs_8500", mix=mix), down).visits[0]) == pytest.approx(120)


# Where a load stands when it gets too old.


def crowded(**site: Any) -> DayLog:
    """One position; loads 6 min apart, 60 min old from 07:34, 07:40 and 07:46 on; pump down."""
    scenario = pour(
        floor=LONGER,
        supply={"age_limit_min": 60, "finish_begun_min": 15},
        site={"positions": 1} | site,
        plan={"spacing_min": 3},
    )
    return log_with(scenario, DOWN)


@pytest.mark.parametrize("holding", [9, 1, 0])
def test_a_load_that_waits_for_the_pump_leaves_at_its_limit(holding):
    # The load in hand may be finished until 07:49 and keeps the position; the others wait on the
    # site or on the road, and leave without washing at the pump.
    first, second, third = crowded(holding_places=holding).visits[:3]
    assert given_up(first) == pytest.approx(75)
    for visit, leaves in ((second, 40), (third, 46)):
        assert visit.outcome == "rejected: age"
        assert visit.left_site == pytest.approx(clock(7, leaves))
        assert visit.discharge_end == visit.left_site
        assert given_up(visit) == pytest.approx(60)
        assert visit.rejected == visit.volume


def test_a_load_too_old_when_it_comes_never_takes_the_place_at_the_pump():
    # The road is closed from 06:45 to 07:45. The first three, loaded from 06:34, 06:46 and 06:58,
    # are past 60 min when they come at 08:00 and, those still on their way out, 08:05: they turn
    # round behind the gate, a minute later.
    log = log_with(pour(floor=LONGER, supply={"age_limit_min": 60}), "06:45 road closed 60 min")
    for visit, comes in zip(log.visits[:3], ((8, 0), (8, 5), (8, 5)), strict=True):
        assert visit.arrived == pytest.approx(clock(*comes))
        assert visit.outcome == "rejected: age"
        assert visit.left_site == pytest.approx(visit.arrived + MINUTE)
        assert visit.discharge_end == visit.left_site
    assert log.unfinished == 0.0


def test_a_load_that_gets_too_old_in_line_leaves_while_another_discharges():
    # Discharge takes 30 min: the first from 07:06 to 07:36, the second, loaded from 06:40, from
    # 07:36 to its last minute at 07:55. The third, loaded from 06:46, is in position from 07:36
    # and ready at 07:39: at 07:46 it is 60 min old and goes.
    log = played(
        pour(
            floor=LONGER,
            supply={"age_limit_min": 60, "finish_begun_min": 15, "discharge_min": 30},
            plan={"spacing_min": 3},
        )
    )
    first, second, third = log.visits[:3]
    assert first.outcome == "placed"
    assert second.discharge_end == pytest.approx(clock(7, 55))
    assert second.placed == pytest.approx(6 * 19 / 30)
    assert third.outcome == "rejected: age"
    assert given_up(third) == pytest.approx(60)
    assert third.left_site == pytest.approx(clock(7, 46 + 8))


def harsh_day(seed: int) -> tuple[Scenario, DayLog]:
    """Two strips on a day with a broken pump, a closed road, rain and blockages, all by chance."""
    chance = random.Random(seed)
    pick = chance.choice
    scenario = pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": pick([20.0, 40.0])},
        supply={
            "age_limit_min": pick([40, 60, 90]),
            "finish_begun_min": pick([0, 15]),
            "discharge_min": exponential(9),
        },
        site={
            "positions": pick([1, 2]),
            "holding_places": pick([0, 3]),
            "change_min": 1,
            "breaks": [{"at": "07:20", "length_min": 15}, {"at": "08:30", "length_min": 30}],
            "late_by_min": pick([0, 20]),
            "early_min": pick([0, 45]),
        },
        pumps={
            "pump": {
                "between_blockages_h": 1,
                "blockage_min": exponential(15),
                "move_min": 2,
            }
        },
        crews={"crew": {"breaks_taken": pick(["in_turn", "together", "after_pour"])}},
        call_off={"nobody_phones": pick([True, False])},
        plan={"spacing_min": pick([3, 8, 15]), "order": "spread", "strip_width_m": 3.0},
    )
    minute = [chance.randrange(10, 60) for _ in range(3)]
    log = log_with(
        scenario,
        f"07:{minute[0]} pump down {chance.randrange(3, 90)} min",
        f"06:{minute[1]} road closed {chance.randrange(5, 60)} min",
        f"08:{minute[2]} rain {chance.randrange(5, 40)} min at 5 mm/h",
        seed=seed,
    )
    return scenario, log


@pytest.mark.slow
def test_no_concrete_is_placed_past_its_limit_and_no_expired_load_is_at_the_pump_on_200_days():
    begun_and_finished = turned_round = 0
    for seed in range(200):
        scenario, log = harsh_day(seed)
        life, finish = scenario.supply.age_rule.limit, scenario.supply.finish_begun
        for s in log.stretches:
            assert s.end <= s.batched + life + finish + 1e-6
        for visit in log.visits:
            limit = visit.batched + life
            if not math.isnan(visit.discharge_start):
                assert visit.discharge_start <= limit + 1e-6
                begun_and_finished += visit.discharge_end > limit + 1e-6
            elif visit.outcome == "rejected: age":
                # A load that backs up before its limit is seen to, 3 min and its test of 2, and
                # sent away; one that comes later turns round behind the gate, a minute on.
                there = max(limit + 5 * MINUTE, visit.arrived + MINUTE)
                assert visit.discharge_end <= there + 1e-6
                turned_round += visit.arrived > limit
    assert begun_and_finished > 20, "the days are not harsh enough"
    assert turned_round > 20, "the days are not harsh enough"
