"""Primary beams cut strips only where the floor asks for it: crews pour straight across them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.pours import laid_out, pour

from pourday.floor.cut import floor_cut
from pourday.floor.lines.frame import stations
from pourday.scenario.model.scenario import BeamData, Beams

FLOOR = {
    "spans_m": [3.0, 3.0],
    "sheet_runs": [2],
    "length_y_m": 12.0,
    "primary_beams_y_m": [0.0, 5.0, 12.0],
}


@pytest.mark.parametrize(
    ("cut", "bays", "lengths"), [(False, ["1"], {12.0}), (True, ["1a", "1b"], {5.0, 7.0})]
)
def test_a_primary_beam_cuts_strips_only_where_the_floor_says_so(cut, bays, lengths):
    scenario = pour(floor=FLOOR | {"cut_at_primary_beams": cut})
    layout = laid_out(scenario)
    assert [bay.name for bay in layout.cut.bays] == bays
    assert {strip.y1 - strip.y0 for strip in layout.strips} == lengths


def test_unless_told_crews_pour_straight_across():
    assert not pour(floor=FLOOR).floor.cut_at_primary_beams


@pytest.mark.parametrize("cut", [False, True])
def test_the_deck_lines_lie_between_the_primary_beams_whether_they_cut_strips_or_not(cut):
    # A secondary beam spans from primary to primary either way, and sags in the same places.
    beam = BeamData(6e6, 0.0, False)
    beams = Beams((beam,) * 3, (beam,) * 3, (0.0, 6.0), 2.5)
    scenario = replace(pour(floor=FLOOR | {"cut_at_primary_beams": cut}), beams=beams)
    lines = stations(scenario, floor_cut(scenario.floor))
    assert [sum(line.y < 5.0 for line in lines), len(lines)] == [11, 22]
    # Nine between two primary beams, and one 0.1 m wide beside each of them.
    marks = [
        *(0.0, *np.linspace(0.1, 4.9, 10), 5.0),
        *(*np.linspace(5.1, 11.9, 10), 12.0),
    ]
    assert [line.low for line in lines] == pytest.approx(marks[:-1])
    assert [line.high for line in lines] == pytest.approx(marks[1:])
