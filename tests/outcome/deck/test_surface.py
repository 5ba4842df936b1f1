"""The finished floor point by point: against finer cells, by volume, and under a straightedge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.beam_floors import floor
from builders.pours import pour

from pourday.floor.layout import lay_out
from pourday.floor.lines import lines
from pourday.outcome.base.basis import basis
from pourday.outcome.deck.level import finished_level, level_survey
from pourday.outcome.deck.surface import LineSurface, straightedge_gap, surfaces

SLAB = {"depth_mm": 140, "strike": "datum", "wet_density_kN_m3": 26}
SPANS = {"spans_m": [3.6, 3.0, 3.6], "sheet_runs": [3], "length_y_m": 12.0}
HOLE = {"openings": [{"name": "stair", "x_m": [3.6, 6.6], "y_m": [2.0, 5.0]}]}
CUTTING = {"openings": [{"name": "stair", "x_m": [1.0, 5.0], "y_m": [2.0, 5.0]}]}
CREW = {"crew_kN_m2": 0.3}
CAMBERED = """
[beams]
columns_x_m = [0.0, 9.0]
secondary = { I_cm4 = 30000, precamber_mm = 8 }
primary = { I_cm4 = 60000 }
"""


def of_plan(scenario, **changes):
    plan = replace(scenario.plans[0], **changes)
    return basis(scenario, plan, lay_out(scenario, plan))


@pytest.mark.parametrize("how", ["datum", "pins", "guides", "thickness"])
@pytest.mark.parametrize("order", ["thirds", "spread", "across"])
@pytest.mark.parametrize("under", ["walls", "beams"])
def test_concrete_above_theory_is_the_volume_between_top_and_soffit(under, order, how):
    # Ordered: what ponding says, cell by cell, exact means. Surveyed: top and soffit in points, a
    # hundred to a span; the points stand for even lengths, which is exact to their square.
    if under == "walls":
        scenario = pour(floor=SPANS | HOLE, slab=SLAB, loads=CREW)
    else:
        scenario = floor(CAMBERED, slab=SLAB, loads=CREW)
    plan = of_plan(scenario, order=order, strike=how, strike_lag=2.0)
    volume = sum(float(each.area @ (each.soffit - each.top)) for each in surfaces(plan, points=100))
    area = sum(strip.area for strip in plan.layout.strips)
    assert volume == pytest.approx(plan.layout.ponding, rel=1e-3, abs=1e-5 * area)
    assert sum(each.area.sum() for each in surfaces(plan)) == pytest.approx(area, rel=5e-3)


def test_an_opening_that_cuts_a_cell_takes_its_mean_from_what_is_ordered():
    # What is left of the cell lies nearer to a support and is thinner, or thicker, than its mean.
    plan = of_plan(pour(floor=SPANS | CUTTING, slab=SLAB, loads=CREW))
    volume = sum(float(each.area @ (each.soffit - each.top)) for each in surfaces(plan, 100))
    assert volume == pytest.approx(plan.layout.ponding, rel=0.012)
    assert volume != pytest.approx(plan.layout.ponding, rel=1e-3)


@pytest.mark.parametrize("how", ["datum", "pins", "guides", "thickness"])
def test_the_mean_of_a_cells_points_is_the_cells_level(how):
    plan = of_plan(floor(CAMBERED, slab=SLAB, loads=CREW), strike=how)
    for each in surfaces(plan, points=100):
        mean = np.bincount(each.cell, each.top) / np.bincount(each.cell)
        assert mean == pytest.approx(finished_level(plan, each.line), abs=2e-6)


def test_points_find_the_dip_that_the_mean_of_a_third_of_a_span_hides(monkeypatch):
    # The same floor with cells of a 48th of a span is the reference: its cells hide nothing.
    scenario = pour(floor=SPANS, deck={"bending_stiffness_kNm2_per_m": 230}, slab=SLAB, loads=CREW)
    coarse = of_plan(scenario)
    means = max(float(finished_level(coarse, line).max()) for line in coarse.layout.lines)
    survey = level_survey(coarse)
    monkeypatch.setattr(lines, "LONGEST_CELL", 1 / 48)
    fine = of_plan(scenario)
    converged = max(float(finished_level(fine, line).max()) for line in fine.layout.lines)
    assert means < 0.65 * converged
    # The load still comes in thirds of a span: within 4 %, where the means were 40 % short.
    assert survey.low == pytest.approx(converged, rel=0.04)
    assert survey.high == pytest.approx(
        min(float(finished_level(fine, line).min()) for line in fine.layout.lines), rel=0.04
    )


def test_twenty_four_points_to_a_span_at_least():
    for each in surfaces(of_plan(pour(floor=SPANS, slab=SLAB), strike="guides")):
        for low, high in ((0, 3.6), (3.6, 6.6), (6.6, 10.2)):
            assert np.sum((each.x > low) & (each.x < high)) >= 24


def test_over_beams_the_lowest_place_is_in_the_middle_of_the_beams():
    plan = of_plan(floor(slab=SLAB), strike="pins")
    tops = [each.top.max() for each in surfaces(plan)]
    assert np.argmax(tops) == len(tops) // 2
    assert tops[0] < 0.6 * max(tops)


def test_only_guides_are_off_the_datum_where_a_column_holds():
    scenario = pour(floor=SPANS, slab=SLAB, loads=CREW)
    for how in ("datum", "pins", "thickness"):
        assert level_survey(of_plan(scenario, strike=how)).over_supports == 0.0
    assert level_survey(of_plan(scenario, strike="guides")).over_supports > 1e-4


def test_guides_that_only_follow_the_beams_are_not_off_their_supports():
    # A deck of great stiffness on soft beams: strips beside sink with the beams, as pins do.
    deck = {"bending_stiffness_kNm2_per_m": 5000, "self_weight_kN_m2": 0}
    survey = level_survey(of_plan(floor(deck=deck, slab=SLAB), strike="guides"))
    assert survey.low > 0.015
    assert survey.over_supports < 0.5 * survey.low


def surface(x, down):
    none = np.zeros(len(x))
    return LineSurface(
        None, np.array(x), none.astype(int), none, none, np.array(down), none, none, none
    )


def test_gap_under_a_straightedge():
    x = np.linspace(0, 6, 61)
    # A dish of 8 mm over 2 m: a parabola. Over 4 m of the same bend the rest of it does not count.
    dish = 0.008 * (1 - (x - 3.0) ** 2)
    assert straightedge_gap(surface(x, dish)) == pytest.approx(0.008, rel=1e-9)
    # A crown: the straightedge rocks on it, but between no two places is there a gap.
    assert straightedge_gap(surface(x, -dish)) == pytest.approx(0.0, abs=1e-12)
    # A level floor with a trench; a slope has none.
    trench = np.where(np.abs(x - 3.0) < 0.15, 0.005, 0.0)
    assert straightedge_gap(surface(x, trench)) == pytest.approx(0.005)
    assert straightedge_gap(surface(x, 0.01 * x)) == pytest.approx(0.0, abs=1e-12)
    # A dip wider than the straightedge, straight down and up: only what lies under it counts.
    fold = np.maximum(0.0, 0.020 - 0.010 * np.abs(x - 3.0))
    assert straightedge_gap(surface(x, fold)) == pytest.approx(0.010, rel=1e-9)
