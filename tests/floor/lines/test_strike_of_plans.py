"""How a plan strikes the top: datum, pins, guides, thickness, and a screed that follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.beam_floors import floor, laid, with_rigidity
from builders.pours import laid_out, pour

from pourday.deck.beam import influence
from pourday.deck.ponding import sagging_deck, strike
from pourday.floor.lines.screed import Group, following

SPANS = {"spans_m": [3.6] * 3, "sheet_runs": [3], "length_y_m": 6.0}
DATUM = {"depth_mm": 140, "strike": "datum", "wet_density_kN_m3": 25}
CREW = {"crew_kN_m2": 0.3}


def cells_of(layout, name):
    """A field of what was struck, line after line."""
    return np.concatenate([getattr(line, name) for line in layout.struck.lines])


def test_a_plan_strikes_as_the_slab_says_unless_it_says_so_itself():
    scenario = pour(slab=DATUM)
    assert scenario.plans[0].strike == "datum"
    own = pour(slab=DATUM, plan={"strike": "thickness"})
    assert own.plans[0].strike == "thickness"
    assert laid_out(own).ponding == pytest.approx(0.0, abs=1e-9)
    assert laid_out(scenario).ponding > 0.01


def test_pins_on_supports_that_do_not_sink_are_the_datum():
    datum, pins = (
        laid_out(pour(floor=SPANS, slab=DATUM | {"strike": w})) for w in ("datum", "pins")
    )
    assert cells_of(pins, "thickness") == pytest.approx(cells_of(datum, "thickness"), rel=1e-12)


def test_pins_sink_with_the_beams_so_only_the_sag_of_the_deck_is_filled():
    # SCI AD 344: rails or pins set level on the beams. A deck of thousandfold stiffness does not
    # sag between them: nothing is filled, and the top ends as far down as the beams went.
    stiff = {"bending_stiffness_kNm2_per_m": 5000, "self_weight_kN_m2": 0}
    scenario = floor(deck=stiff, slab=DATUM, loads=CREW)
    pins, datum = (laid(scenario, strike=how) for how in ("pins", "datum"))
    assert 0 < pins.ponding < 0.1 * datum.ponding
    # Level: theory + sag - thickness.
    theory = 0.140
    down = theory + cells_of(pins, "final_sag") - cells_of(pins, "thickness")
    beams = pins.struck.moved[-1].max()
    assert down.max() == pytest.approx(beams, rel=0.03)
    # The middle of a beam that sank gets no more concrete than the theory and its deck's own sag.
    assert cells_of(pins, "extra").max() < 0.06 * cells_of(datum, "extra").max()


def test_pins_over_cambered_beams_are_set_level_so_the_slab_is_thinner_there():
    # AD 344: the initial curvature of the beams is not reflected in the initial tamping level.
    camber = """
[beams]
columns_x_m = [0.0, 9.0]
secondary = { I_cm4 = 30000, precamber_mm = 10 }
primary = { I_cm4 = 60000 }
"""
    stiff = {"bending_stiffness_kNm2_per_m": 5000, "self_weight_kN_m2": 0}
    layout = laid(with_rigidity(floor(camber, deck=stiff, slab=DATUM), 1e12), strike="pins")
    middle = layout.struck.lines[len(layout.struck.lines) // 2]
    assert middle.extra.mean() == pytest.approx(-0.010, abs=3e-4)


# The screed of a band behind the hose.


def test_in_a_band_each_cell_is_struck_when_the_hose_is_a_lag_beyond_its_middle():
    # Two spans of 3 m in thirds: middles 0.5, 1.5 ...; the hose stands at 1, 2, 3 ...
    spots = np.array([(n, n + 1) for n in range(6)], dtype=float)
    there = [Group([0, 1, 2], True, True), Group([3, 4, 5], True, True)]
    placed, struck = following(there, spots, 2.0)
    assert placed == [[0], [1], [2], [3], [4], [5]]
    # 0.5 + 2.0 = 2.5: nearest the hose at 2 (the first of two as near); the end is caught up.
    assert struck == [[], [0], [1], [2], [3], [4, 5]]
    back = [Group([3, 4, 5], True, False), Group([0, 1, 2], True, False)]
    placed, struck = following(back, spots, 2.0)
    assert placed == [[5], [4], [3], [2], [1], [0]]
    assert struck == [[], [5], [4], [3], [2], [1, 0]]


def test_the_screed_catches_up_before_the_hose_turns_and_strips_are_struck_as_they_are_placed():
    spots = np.array([(0, 3), (3, 6), (0, 3), (3, 6)], dtype=float)
    turned = [
        Group([0], True, True),
        Group([1], True, True),
        Group([3], True, False),
        Group([2], True, False),
    ]
    placed, struck = following(turned, spots, 6.0)
    assert placed == [[0], [1], [3], [2]]
    assert struck == [[], [0, 1], [], [3, 2]]
    strips = [Group([0, 2], False, True), Group([1, 3], False, True)]
    assert following(strips, spots, 6.0) == ([[0, 2], [1, 3]], None)


def test_a_band_struck_behind_the_hose_is_the_deck_on_its_own():
    plan = {"order": "across", "band_m": 6.0, "strike_lag_m": 3.6}
    layout = laid_out(pour(floor=SPANS, slab=DATUM, loads=CREW, plan=plan))
    edges = np.linspace(0, 10.8, 10)
    sag = influence([0, 3.6, 7.2, 10.8], 300e3, np.column_stack([edges[:-1], edges[1:]]))
    sag = sag.mean_deflection
    # Cells of 1.2 m: a cell is struck when the hose is nearest to 3.6 m beyond its middle.
    again = [[], [], [0], [1], [2], [3], [4], [5], [6, 7, 8]]
    crew = np.zeros((9, 9))
    for k, cells in enumerate(again):
        crew[k, cells] = 300.0
    alone = strike(
        sagging_deck(sag, 25e3, 0.140, sag @ np.full(9, 120.0)),
        [[n] for n in range(9)],
        crew=crew,
        again=again,
    )
    assert layout.struck.lines[0].thickness == pytest.approx(alone.thickness, rel=1e-9)
    at_once = laid_out(pour(floor=SPANS, slab=DATUM, loads=CREW, plan=plan | {"strike_lag_m": 0}))
    assert abs(at_once.ponding - layout.ponding) > 0.01


# Guides: bands have neighbours along y too.


def test_a_band_struck_to_guides_is_level_with_the_band_before_it():
    # One span, two bands: nothing stands beside the second but the first, at the same x.
    plan = {"order": "across", "band_m": 3.0, "strike": "guides", "strike_lag_m": 0}
    one_span = {"spans_m": [3.6], "sheet_runs": [1], "length_y_m": 6.0}
    layout = laid_out(pour(floor=one_span, slab=DATUM, loads=CREW, plan=plan))
    first, second = layout.struck.lines
    theory = 0.140
    level = theory + first.final_sag - first.thickness
    # The first stands as it will end: its crew has gone, nothing else lies on its span.
    assert level[0] == pytest.approx(first.later_movement[0], rel=1e-9)
    assert level[0] < -1e-4
    then = theory + second.sag_when_struck - second.thickness
    assert then == pytest.approx(level, rel=1e-9)


def test_lines_of_a_band_on_beams_take_their_level_from_the_nearest_line_of_the_band_before():
    scenario = floor(slab=DATUM, loads=CREW)
    layout = laid(
        with_rigidity(scenario, 1e13), order="across", band=6.0, strike="guides", strike_lag=0.0
    )
    plain = pour(
        floor=SPANS | {"spans_m": [3.0] * 3, "length_y_m": 12.0},
        slab=DATUM,
        loads=CREW,
        plan={"order": "across", "band_m": 6.0, "strike": "guides", "strike_lag_m": 0},
    )
    rigid = laid_out(plain).struck.lines
    for line, struck in zip(layout.lines, layout.struck.lines, strict=True):
        alike = rigid[0 if line.station.y < 6.0 else 1]
        assert struck.thickness == pytest.approx(alike.thickness, rel=1e-4)


def test_bands_alike_are_solved_once_whichever_way_the_hose_crosses_them():
    layout = laid_out(pour(floor=SPANS, slab=DATUM, plan={"order": "across", "band_m": 2.0}))
    decks = [line.deck for line in layout.lines]
    assert len(decks) == 3
    assert layout.upward[0] != layout.upward[3]
    assert all(deck.coarse is decks[0].coarse for deck in decks)
    assert [deck.strips for deck in decks] == [(0, 1, 2), (3, 4, 5), (6, 7, 8)]
    assert [c.strip for c in decks[1].cells] == [5, 5, 5, 4, 4, 4, 3, 3, 3]


def test_the_same_plan_struck_otherwise_is_another_floor():
    scenario = pour(floor=SPANS, slab=DATUM, loads=CREW)
    plan = scenario.plans[0]
    extras = {
        how: laid_out(replace(scenario, plans=(replace(plan, strike=how),))).ponding
        for how in ("datum", "guides", "thickness")
    }
    assert extras["datum"] > extras["guides"] > extras["thickness"] == pytest.approx(0, abs=1e-9)
