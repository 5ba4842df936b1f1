"""What a plan asks for and can take, worked by hand, and the sentence that says so."""

from __future__ import annotations

import pytest
from builders.pours import basis_of, pour

from pourday.outcome.capacity import capacities
from pourday.report.text.capacity import capacity_words

# The plain pour: one span of 3 m, 9 m³ in strips of 20 m; pump 60 m³/h, crew 60 m³/h, a truck of
# 6 m³ in 8 min: 45 m³/h, the slowest. 9 m³ at 45 m³/h are 12 min.


def _said(**changes):
    return capacities(basis_of(pour(**changes)))[0]


def test_the_slowest_part_is_what_a_front_takes():
    said = _said()
    rates = [3600.0 * rate for rate in (said.asks, said.pump, said.crew, said.truck, said.takes)]
    assert rates == pytest.approx([30.0, 60.0, 60.0, 45.0, 45.0])
    assert (said.load, said.spacing) == (6.0, 8 * 60.0)


def test_moves_and_trucks_are_taken_off():
    # Moves of 2 min before all strips but the first, 1.5 changes of truck of 4 min.
    strips = len(basis_of(pour()).layout.strips)
    said = _said(pumps={"pump": {"move_min": 2}}, site={"change_min": 4, "positions": 2})
    minutes = 12.0 + 2.0 * (strips - 1) + 1.5 * 4.0
    assert 3600.0 * said.takes == pytest.approx(9.0 * 60.0 / minutes)


@pytest.mark.parametrize(
    ("taken", "crew_rate", "lost"),
    [
        ("together", 10.0, 20.0),
        ("after_pour", 10.0, 0.0),
        # Three turns of 20 min. Two thirds of 60 m³/h are 40 of the truck's 45: a ninth is lost.
        ("in_turn", 10.0, 60.0 / 9.0),
        # Crew and pump at 60 m³/h and a truck at 45; a crew of 30 m³/h sets the pace: a third.
        ("in_turn", 5.0, 20.0),
    ],
)
def test_breaks_are_taken_off_as_the_crew_takes_them(taken, crew_rate, lost):
    said = _said(
        site={"breaks": [{"at": "07:05", "length_min": 20}]},
        crews={"crew": {"breaks_taken": taken, "rate_per_placer_m3_h": crew_rate}},
    )
    minutes = 9.0 / min(45.0, 6 * crew_rate) * 60.0
    assert 3600.0 * said.takes == pytest.approx(9.0 * 60.0 / (minutes + lost))


def test_a_break_after_the_pour_costs_nothing():
    assert _said(site={"breaks": [{"at": "09:00", "length_min": 20}]}).takes == _said().takes


HEAD = "6 m³ every {} min asks for {} m³/h; pump 60, crew 60, truck 45; "
HEAD += "moves, changes and breaks leave about 45 on this floor: "


@pytest.mark.parametrize(
    ("spacing", "asks", "tail", "warns"),
    [
        (10, 36, "80% of what it takes.", False),
        (7, 51, "114%, trucks will queue. 8 min would keep it fed.", True),
        (12, 30, "67%, the pump will wait for concrete. 8 min would keep it fed.", True),
    ],
)
def test_the_sentence(spacing, asks, tail, warns):
    said = _said(plan={"spacing_min": spacing})
    assert said.warns == warns
    assert capacity_words(said, spacing * 60.0) == HEAD.format(spacing, asks) + tail
