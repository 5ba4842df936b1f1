"""What finishing asks and what there is, worked by hand on 60 m² of the plain pour.

9 m³ in loads of 6 m³ every 12 min ask for 30 m³/h: 18 min of pouring. Floating counts from placing:
here at initial set (float_from_share 1), the sets 2 h apart, and 20 min of travel before placing.
60 m² and 46 m of edge, finishers at 60 m of edge an hour each.
"""

from __future__ import annotations

import io

import pytest
from builders.made_days import pour_with
from builders.pours import basis_of
from rich.console import Console

from pourday.outcome.concrete.finishing_need import finishing_need
from pourday.report.text.check_people import finishing_words, slump_words


def need(**changes):
    return finishing_need(basis_of(pour_with(**changes)))


def said(**changes):
    out = io.StringIO()
    finishing_words(Console(file=out, width=300), [basis_of(pour_with(**changes))])
    return out.getvalue()


def test_of_several_plans_the_tightest_speaks_and_is_named():
    out = io.StringIO()
    plans = [
        basis_of(pour_with(plan={"name": f"{spacing} min", "spacing_min": spacing}))
        for spacing in (24, 12, 18)
    ]
    finishing_words(Console(file=out, width=300), plans)
    assert out.getvalue().startswith(
        "finishing of '12 min', the tightest here: 2 passes over 60 m²"
    )
    assert "1 h 06 min of work; the useful window is 1 h 58 min" in out.getvalue()


def test_work_and_window_of_the_plain_pour():
    found = need()
    # Two passes, two floats of 180 m²/h and two people at the edges: 2 (10 + 23) min.
    assert found.work / 60 == pytest.approx(66)
    assert found.window / 60 == pytest.approx(18 + 120 - 20)
    assert found.fits
    assert (found.area_each, found.too_few) == (pytest.approx(30), False)


def test_one_machine_for_two_people_takes_longer():
    found = need(finishing={"machines": 1, "passes": 3})
    assert found.work / 60 == pytest.approx(3 * (20 + 23))


def test_a_window_too_short_is_said():
    assert "finishing does not fit" not in said(finishing={"passes": 3})  # 99 of 118 min
    assert "finishing does not fit" in said(finishing={"passes": 4})  # 132


@pytest.mark.parametrize(("length", "few"), [(133.0, False), (134.0, True)])
def test_more_than_200_m2_for_a_walk_behind_is_noted_and_for_a_ride_on_its_weight(length, few):
    # 3 m wide, two floats: 199.5 and 201 m² each.
    floor = {"floor": {"length_y_m": length}}
    assert ("for each walk-behind float" in said(**floor)) is few
    rides = said(**floor, finishing={"machine": "ride_on"})
    assert "for each walk-behind float" not in rides
    assert "ask the engineer" in rides


def test_two_fronts_pour_in_half_the_time():
    floor = {"spans_m": [3.0, 3.0], "sheet_runs": [1, 1], "length_y_m": 20.0}
    plan = {"fronts": [{"pump": "pump", "crew": "crew"}]}
    found = need(floor=floor, plan=plan)
    assert found.machines == 4
    assert found.window / 60 == pytest.approx(18 + 120 - 20)  # 18 m³ at 60 m³/h


@pytest.mark.parametrize(
    "changes", [{"finishing": {"passes": 0}}, {"crews": {"crew": {"finishers": 0}}}]
)
def test_nothing_is_asked_where_nobody_floats(changes):
    assert need(**changes) is None
    assert said(**changes) == ""


def test_the_slump_as_ordered_is_printed_with_that_of_careful_placing():
    wet = slump_words(pour_with(mix={"slump_mm": 130, "slump_tolerance_mm": 20}).mix)
    assert wet.startswith("130 mm as ordered, 20 mm more or less; careful placing asks for 100 mm")
    dry = slump_words(pour_with(mix={"slump_mm": 100}).mix)
    assert dry == "100 mm as ordered, 30 mm more or less (careful placing: up to 100 mm)"
