"""What the reports say of people, reliefs, the curfew and a cost that is not whole."""

from __future__ import annotations

import io

import pytest
from builders.made_days import pour_with
from builders.pours import basis_of, measured
from rich.console import Console

from pourday.report.text.compare import compare_report
from pourday.report.text.day import day_report
from pourday.report.text.starts import starts_report
from pourday.study.choice import choose
from pourday.study.compare import compare as side_by_side
from pourday.study.days import study_plans
from pourday.study.start_times import ranked, start_times

PRICES = {"shift_h": 5, "longest_shift_h": 5, "labour_per_person_h": 40}
SHUT = [{"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "closes": "07:30"}]
"""With two hours between loads, one of 6 m³ of the 9 m³ comes."""


def day_of(width=200, **changes):
    out = io.StringIO()
    day_report(Console(file=out, width=width), measured(pour_with(**changes)))
    return out.getvalue()


def compared(**changes):
    scenario = pour_with(**changes)
    played = study_plans([basis_of(scenario)], 2, workers=1)
    found, out = side_by_side(played), io.StringIO()
    choice = choose(played, scenario.limits)
    compare_report(Console(file=out, width=200), scenario, [basis_of(scenario)], found, choice)
    return out.getvalue()


def test_the_one_at_the_bull_float_and_the_others_are_named_with_their_times():
    # As in tests/outcome/test_cost.py: first concrete 07:06, first window 11:49, done 13:14:30.
    assert "at the bull float from 07:06, the others come at 10:49, all leave 13:14" in day_of()


def test_a_relief_is_named_with_its_time_and_number():
    text = day_of(prices=PRICES)
    assert "relief at 12:06: 1 other person for finishing, paid above; nobody works longer" in text
    assert "relief" not in day_of()


def test_without_passes_it_says_when_finishers_leave():
    # The screed is through at 07:22; the curfew comes before it or after.
    text = day_of(finishing={"passes": 0})
    assert "finishers leave at 07:22, when the bull float is through\n" in text
    late = day_of(finishing={"passes": 0}, site={"curfew": "07:20"})
    assert "when the bull float is through, after the curfew" in late


@pytest.mark.parametrize("report", [day_of, compared])
def test_an_unfinished_floor_says_what_its_cost_leaves_out(report):
    text = report(plants=SHUT, plan={"spacing_min": 120})
    assert "3.0 m³" in text
    assert "not placed: their concrete, pump and people on another day" in text
    assert "not placed: their concrete" not in report()


def test_a_comparison_shows_the_curfew_by_its_rule_and_for_pump_and_finishers():
    # Wash-out ends 07:52, finishing 13:14.
    for whose, share in (("pump", "0"), ("all", "100")):
        text = compared(site={"curfew": "12:00", "curfew_for": whose})
        (rule,) = (line for line in text.splitlines() if line.startswith("past the curfew, days"))
        assert rule.removeprefix("past the curfew, days").split()[0] == share
    text = compared(site={"curfew": "12:00"})
    (pump,) = (line for line in text.splitlines() if "pump past it" in line)
    (late,) = (line for line in text.splitlines() if "finishers past it" in line)
    assert pump.split()[-2:] == ["0", "%"]
    assert late.split()[-2:] == ["100", "%"]


@pytest.mark.parametrize(("whose", "share"), [("pump", 0.0), ("all", 1.0)])
def test_starts_and_comparison_go_by_one_rule_of_the_curfew(whose, share):
    scenario = pour_with(site={"curfew": "12:00", "curfew_for": whose})
    plan = scenario.plans[0]
    (begun,) = start_times(scenario, plan, [plan.start], range(3), workers=1).starts
    assert begun.past_curfew.value == share
    assert (begun.pump_past_curfew.value, begun.finishing_past_curfew.value) == (0.0, 1.0)
    (played,) = study_plans([basis_of(scenario)], 3, workers=1)
    assert played.of("past_curfew").mean() == share
    assert played.of("pump_past_curfew").mean() == 0.0
    assert played.of("finishing_past_curfew").mean() == 1.0
    out = io.StringIO()
    found = start_times(scenario, plan, [plan.start], range(3), workers=1)
    starts_report(Console(file=out, width=80), scenario, found, ranked(found, "drying"))
    assert ("No start keeps the curfew (wash-out or finishing)." in out.getvalue()) is (share > 0)
    assert max(map(len, out.getvalue().splitlines())) <= 80
