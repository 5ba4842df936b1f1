"""Two days priced to the cent by hand, every sum shown.

The source is arithmetic: the times are those of the plain pour (``tests/builders/pours.py``), added
up clock time by clock time beside each sum; the prices are invented. How a builder's estimate is
set out (labour, plant, materials, risk; quantity x rate) is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from builders.pours import measured, played, pour

CENT = 0.005


def lines_of(outcome):
    """Key -> (quantity, amount) of every line that costs something."""
    return {line.key: (line.quantity, line.amount) for line in outcome.cost.lines if line.amount}


def same_to_the_cent(found, expected):
    assert found.keys() == expected.keys()
    for key, (quantity, amount) in expected.items():
        assert found[key][0] == pytest.approx(quantity, abs=1e-3), key
        assert found[key][1] == pytest.approx(amount, abs=CENT), key


def a_monday():
    """Monday, 1 March 2027: 9 m³ in loads of 6 and 3 m³, wanted at 07:00 and 07:12.

    First load: its batching of 6 min begins 06:34, it leaves 06:40, comes 07:00, gate 1 min,
    position 3, test 2: discharges 07:06 to 07:14, is washed for 8 min, leaves 07:22. Second: 06:49,
    06:52, comes 07:12, discharges 07:18 to 07:22, leaves 07:30. Pump: set-up 30 min and priming 10
    before 07:00, wash-out 30 min after 07:22: 06:20 to 07:52. Finishers: one from 07:06, the other
    from 10:49 (an hour before the first pass), both to 13:14:30 (tests/outcome/test_cost.py).
    """
    return pour(
        crews={
            "crew": {
                "roles": {"hose": 1, "vibrator": 1, "rakers": 1, "screed": 2, "foreman": 1},
                "others": 1,
            }
        },
        pumps={
            "pump": {
                "call_out": 200,
                "hire_per_h": 120,
                "hire_least_h": 2,
                "pumped_per_m3": 5,
                "priming_charge": 60,
                "line_length_m": 30,
                "pipe_free_m": 20,
                "extra_pipe_per_m": 4,
                "standing_per_h": 90,
            }
        },
        prices={
            "concrete_per_m3": 100,
            "returned_per_m3": 60,
            "admixture_per_m3": 2,
            "retarder_per_m3_h": 3,
            "labour_per_person_h": 40,
            "roles": {"hose_per_h": 44, "foreman_per_h": 55, "operator_per_h": 50}
            | {"finishers_per_h": 45},
            "overtime": [{"after_h": 2, "factor": 1.25}, {"after_h": 5, "factor": 1.5}],
            "night_factor": 1.5,
            "saturday_factor": 1.5,
            "least_paid_h": 1,
            "set_up_paid_min": 20,
            "clean_up_paid_min": 10,
            "travel_paid_min": 30,
            "fare": 12,
            "waiting_per_min": 2,
            "free_wait_min": 10,
            "part_load_per_m3": 25,
            "put_off_load": 80,
            "normal_from": "06:45",
            "out_of_hours_per_m3": 8,
            "plant_open_per_h": 60,
            "truck_booked": 30,
            "truck_per_h": 20,
            "curing_per_m2": 0.5,
            "cold_joint_per_m": 50,
            "cold_joint_each": 500,
            "late_after": "13:00",
            "late_charge": 50,
            "late_per_h": 100,
        },
    )


def test_a_monday_to_the_cent():
    outcome = measured(a_monday())
    # The crew: one at the hose (44), one at the vibrator, one raker, two at the screed (40 each),
    # foreman (55), operator (50): 44 + 4 x 40 + 55 + 50 = 309 an hour for 7 people. Paid 20 min
    # before 06:20 and 10 min after 07:52: 06:00 to 08:02, 2 h 02 min.
    # Finishers (45): 07:06 to 13:24:30 is 6 h 18.5 min; 10:49 to 13:24:30 is 2 h 35.5 min.
    expected = {
        # 7 x 2 h + 2 h + 2 h; 309 x 2 + 45 x 2 + 45 x 2
        "plain": (18.0, 618.00 + 90.00 + 90.00),
        # beyond 2 h: 7 x 2 min; 3 h of the first finisher; 35.5 min of the second
        "overtime_after_2": (
            7 * 2 / 60 + 3 + 35.5 / 60,
            309 * 2 / 60 * 1.25 + 45 * 3 * 1.25 + 45 * 35.5 / 60 * 1.25,  # 12.875+168.75+33.28125
        ),
        # beyond 5 h: 1 h 18.5 min of the first finisher; 45 x 1.308333 x 1.5
        "overtime_after_5": (78.5 / 60, 88.3125),
        # half an hour each at the plain rate: (309 + 2 x 45) / 2
        "travel": (9 * 0.5, 199.50),
        "fares": (9, 108.00),
        "call_out": (1, 200.00),
        # 92 min, but 2 h at least
        "pump_hours": (2.0, 240.00),
        "pumped": (9.0, 45.00),
        "priming": (1, 60.00),
        # 30 m of line, 20 m of them free
        "extra_pipe": (10.0, 40.00),
        "placed": (9.0, 900.00),
        "admixture": (9.0, 18.00),
        # on site 22 min and 18 min, 10 min of each free
        "waiting": (20.0, 40.00),
        # 3 m³ in a truck for 6
        "part_loads": (3.0, 75.00),
        # the first load begins at 06:34, before 06:45: 6 m³, and the plant 11 min
        "out_of_hours": (6.0, 48.00),
        "plant_open": (11 / 60, 11.00),
        # six trucks, from 06:34 to 07:30: 6 x 56 min = 5.6 h
        "trucks": (6, 180.00),
        "truck_hours": (5.6, 112.00),
        # 3 m x 20 m
        "curing": (60.0, 30.00),
        # 13:14:30 is 14.5 min after 13:00
        "late_days": (1, 50.00),
        "late_hours": (14.5 / 60, 24.1667),
    }
    same_to_the_cent(lines_of(outcome), expected)
    # Labour 798.00 + 214.90625 + 88.3125 + 199.50 + 108.00 = 1408.71875; plant 585.00; concrete
    # 900 + 18 + 40 + 75 + 48 + 11 + 180 + 112 + 30 = 1414.00; risk 74.1667: 3481.885.
    assert outcome.cost.total == pytest.approx(3481.885, abs=CENT)
    assert outcome.cost.overtime == pytest.approx(214.90625 + 88.3125, abs=CENT)
    assert outcome.cost.labour == pytest.approx(798.00 + 199.50 + 108.00, abs=CENT)
    assert outcome.cost.trucks == pytest.approx(75 + 48 + 11 + 180 + 112, abs=CENT)


def a_saturday_night(**prices):
    """Saturday, 6 March 2027, first load at midnight: the same times 17 hours later, on Sunday.

    With a margin of half a cubic metre the second load is 3.5 m³: it begins batching half a minute
    sooner, 23:48:30, and half a cubic metre goes back. No finishers.
    """
    saturday = {
        "concrete_per_m3": 100,
        "returned_per_m3": 60,
        "retarder_per_m3_h": 3,
        "labour_per_person_h": 40,
        "night_factor": 1.3,
        "saturday_factor": 1.25,
        "sunday_factor": 1.75,
        "least_paid_h": 4,
        "out_of_hours_per_m3": 8,
        "plant_open_per_h": 60,
    }
    scenario = pour(
        supply={"margin_m3": 0.5},
        mix={"retarder_min": 120},
        crews={"crew": {"finishers": 0}},
        finishing={"passes": 0},
        plan={"start": "24:00"},
        prices=saturday | prices,
        pumps={"pump": {"call_out": 200, "hire_per_h": 120}},
    )
    return replace(scenario, date=date(2027, 3, 6))


def a_night_by_hand(night, weekend):
    # Seven people for 92 min, 23:20 to 00:52, paid for 4 h: to 03:20, 148 min of them not worked.
    return {
        "plain": (7 * 92 / 60, 7 * 92 / 60 * 40),
        "least": (7 * 148 / 60, 7 * 148 / 60 * 40),
        "night": night,
        "weekend": weekend,
        "call_out": (1, 200.00),
        "pump_hours": (92 / 60, 184.00),
        "placed": (9.0, 900.00),
        "sent_away": (0.5, 50.00),
        "disposal": (0.5, 30.00),
        # two hours of delay at 3: 6 a cubic metre
        "retarder": (9.5, 57.00),
        # at a weekend all 9.5 m³, and from 23:34 to 23:48:30 the plant works for us alone
        "out_of_hours": (9.5, 76.00),
        "plant_open": (14.5 / 60, 14.50),
    }


def test_a_saturday_night_to_the_cent_by_the_largest_premium():
    outcome = measured(a_saturday_night())
    expected = a_night_by_hand(
        # all 28 h lie in the night: 0.3 x 40 on top
        night=(28.0, 28 * 0.3 * 40),
        # Saturday's quarter is less than the night's 0.3. From midnight to 03:20 it is Sunday:
        # 0.75, of which the night has paid 0.3: 7 x 3 h 20 min x 0.45 x 40
        weekend=(7 * 200 / 60, 420.00),
    )
    same_to_the_cent(lines_of(outcome), expected)
    # 1120.00 + 336.00 + 420.00 + 384.00 + 1127.50
    assert outcome.cost.total == pytest.approx(3387.50, abs=CENT)


def test_a_saturday_night_to_the_cent_where_premiums_are_added():
    outcome = measured(a_saturday_night(premiums="added"))
    expected = a_night_by_hand(
        night=(28.0, 336.00),
        # 40 min of Saturday at 0.25, 3 h 20 min of Sunday at 0.75, for seven: 46.6667 + 700
        weekend=(28.0, 746.6667),
    )
    same_to_the_cent(lines_of(outcome), expected)
    assert outcome.cost.total == pytest.approx(3714.1667, abs=CENT)


def test_the_clock_times_of_both_days_are_those_added_up_above():
    for scenario, shift, second in (
        (a_monday(), 0, 6 * 60 + 49),
        (a_saturday_night(), 17 * 60, 6 * 60 + 48.5),
    ):
        first, last = played(scenario).visits
        clock = (first.batched, first.arrived, first.left_site, last.batched, last.left_site)
        hand = (6 * 60 + 34, 7 * 60, 7 * 60 + 22, second, 7 * 60 + 30)
        assert [each / 60 - shift for each in clock] == pytest.approx(hand)
