"""Crews that outrun their pokers, machines without people, shifts: what is warned of, and when not.

The plain text's crew "four" places 4 x 5.4 = 21.6 m³/h through a pump of 21.7 m³/h on average, in
a slab of 140 mm. Pokers of 50 mm compact 15 m³/h at the most, of 40 mm 8 (Concrete NZ, Compaction).
"""

from __future__ import annotations

import pytest
from builders.scenario_text import changed

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.clashes.people import fastest, most_compacted, poker_count
from pourday.scenario.presets import preset
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.site import CrewTable, PumpTable

POKERS = "pokers = 2"
DEPTH = "depth_mm = 140"
FOUR, SIX = "crews.four.pokers", "crews.six.pokers"


def warned(*swaps):
    return {w.path: w.text for w in parse_scenario(changed(*swaps))[1]}


def test_a_crew_that_outruns_its_pokers_is_named_with_both_rates():
    found = warned((POKERS, "pokers = 1"))
    assert list(found) == [FOUR]
    assert "1 of 50 mm for up to 21.6 m³/h: the crew outruns them" in found[FOUR]
    assert "these compact up to 15 m³/h (Concrete NZ)" in found[FOUR]
    assert "or vibrating_beam = true" in found[FOUR]


@pytest.mark.parametrize(
    ("pokers", "said"),
    [
        ("pokers = 2", False),  # 30
        ("pokers = 2\npoker_mm = 49", True),  # 16
        ("pokers = 3\npoker_mm = 49", False),  # 24
        ("pokers = 1\npoker_mm = 80", False),  # 31
        ("pokers = 1\nvibrating_beam = true", False),
        ("", True),  # left out: one for four placers
        ("pokers = 1\nscreed_m2_h = 130", False),  # 130 m²/h x 0.110 m = 14.3 m³/h
        ("pokers = 1\nscreed_m2_h = 140", True),  # 15.4
        ("pokers = 1\nmost_in_zone = 2", False),  # 10.8
    ],
)
def test_pokers_are_held_against_what_the_crew_can_place(pokers, said):
    assert (FOUR in warned((POKERS, pokers))) is said


def test_the_pump_holds_a_crew_back_too():
    slow = ("values = [18, 22, 25]", "values = [14, 15, 16]")
    assert FOUR not in warned((POKERS, "pokers = 1"), slow)


@pytest.mark.parametrize(("depth", "said"), [(150, False), (151, True)])
def test_a_beam_serves_slabs_to_150_mm(depth, said):
    found = warned((DEPTH, f"depth_mm = {depth}"))
    assert (SIX in found) is said
    if said:
        # Eight placers of 4.5 m³/h, by one poker of 50 mm.
        assert "1 of 50 mm for up to 36 m³/h" in found[SIX]
        assert "deeper than the 150 mm that a vibrating beam serves" in found[SIX]


def test_a_beam_leaves_edges_beams_and_stop_ends_to_a_poker():
    found = warned((POKERS, "pokers = 0\nvibrating_beam = true"))
    assert "a beam does not reach edges, beams and stop ends" in found[FOUR]


def test_pokers_are_those_given_or_of_the_roles_or_one_for_four_placers():
    plain = {"placers": 9, "rate_per_placer_m3_h": 5.0}
    roles = {"hose": 2, "vibrator": 3, "rakers": 2, "screed": 2}
    counts = [
        poker_count(CrewTable.model_validate(plain | more))
        for more in ({}, {"roles": roles}, {"roles": roles, "pokers": 1})
    ]
    assert counts == [2, 3, 1]
    thin = CrewTable.model_validate(plain | {"pokers": 2, "poker_mm": 30.0})
    assert most_compacted(thin) == 16.0


def test_a_skip_is_no_faster_than_its_lift():
    # 0.75 m³ in (0.7 + 1 + 1.5) / 3 twice and a turn of 1 / 0.6 min: 3.8 min, 11.84 m³/h.
    crane = PumpTable.model_validate(preset("pumps", "crane_and_skip"))
    crew = CrewTable.model_validate(preset("crews", "crew_small"))
    assert fastest(crew, [crane], 110.0) == pytest.approx(11.84, abs=0.01)


def test_machines_beyond_the_finishers_are_pointed_out():
    lines = "[finishing]\nmachines = {}\n[prices]"
    # Four finishers in the preset, two by default.
    assert warned(("[prices]", lines.format(6))) == {}
    found = warned(("[prices]", lines.format(7)))
    assert "no crew has more than 4 finishers" in found["finishing.machines"]


def test_the_longest_shift_is_no_shorter_than_the_paid_one():
    parse_scenario(changed(("shift_h = 9", "shift_h = 9\nlongest_shift_h = 9")))
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(changed(("shift_h = 9", "shift_h = 9\nlongest_shift_h = 8")))
    (fault,) = caught.value.faults
    assert fault.path == "prices.longest_shift_h"
    assert "found 8; allowed: at least the paid shift, prices.shift_h, 9, in h" in fault.text
