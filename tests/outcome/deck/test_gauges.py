"""Height gauges along beams: what they say is struck is what is struck."""

from __future__ import annotations

import pytest
from builders.beam_floors import floor

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import basis
from pourday.outcome.deck.level import gauge_lines


@pytest.mark.parametrize("order", ["thirds", "spread"])
def test_the_thickness_at_a_gauge_is_the_one_struck_there(order):
    # A stiff deck on two beams that are alike: what is struck is the beams' way and the deck's own
    # sag, which is that of the same deck on walls.
    spans = {"spans_m": [3.0], "sheet_runs": [1], "primary_beams_y_m": []}
    whole = {
        "floor": spans,
        "deck": {"bending_stiffness_kNm2_per_m": 5000},
        "slab": {"strike": "datum"},
        "plan": {"order": order, "strip_width_m": 3.0},
    }
    scenario = floor("\n[beams]\nsecondary = { I_cm4 = 40000, precamber_mm = 20 }\n", **whole)
    walls = floor("", **whole)
    (wall,) = lay_out(walls, walls.plans[0]).lines
    made = basis(scenario, scenario.plans[0], lay_out(scenario, scenario.plans[0]))
    (one, two) = gauge_lines(made)
    for line in made.layout.lines:
        point = next(p for p in one.points if p.y == pytest.approx(line.station.y))
        on_beams = line.struck.thickness[0] - wall.struck.extra[0]
        assert point.thickness == pytest.approx(on_beams, abs=1e-4)
    assert [p.thickness for p in one.points] == pytest.approx([p.thickness for p in two.points])
    assert max(p.thickness for p in one.points) - min(p.thickness for p in one.points) > 0.005
