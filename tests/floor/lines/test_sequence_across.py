"""Load states of the order "across": span by span within a band, from either end."""

from __future__ import annotations

import numpy as np
import pytest
from builders.beam_floors import floor, laid
from builders.pours import basis_of, pour

from pourday.outcome.deck.peaks import mean_peaks

# w = 25 kN/m3 x 0.14 m on every metre; the deck weighs nothing, nobody stands on it.
LOAD, SPAN = 25e3 * 0.14, 3.6
BARE = {"bending_stiffness_kNm2_per_m": 300, "self_weight_kN_m2": 0}
EVEN = {"depth_mm": 140, "strike": "thickness", "wet_density_kN_m3": 25}


def peaks_across(spans, begin_at):
    scenario = pour(
        floor={"spans_m": [SPAN] * spans, "sheet_runs": [spans], "length_y_m": 8.0},
        deck=BARE,
        slab=EVEN,
        plan={"order": "across", "band_m": 2.0, "begin_at": begin_at, "alternate": False},
    )
    (found,) = mean_peaks(basis_of(scenario))
    most = found.plain
    return most.sag_moment.value / (LOAD * SPAN**2), most.hog_moment.value / (LOAD * SPAN**2)


@pytest.mark.parametrize("begin_at", ["low_x", "high_x"])
def test_three_equal_spans_filled_one_after_another(begin_at):
    # Handbook coefficients of three equal spans (value from memory, worked out by three moments):
    # first span alone: sag 0.094, spans 1 and 2: hog 0.117; all at once it is 0.080 and 0.100.
    sag, hog = peaks_across(3, begin_at)
    assert sag == pytest.approx(0.094, abs=5e-4)
    assert hog == pytest.approx(-0.117, abs=5e-4)
    # Three moments, first span alone: M1 = -w l2 / 15, so the sag is (1/2 - 1/15)**2 / 2.
    assert sag == pytest.approx((1 / 2 - 1 / 15) ** 2 / 2, rel=2e-3)
    assert hog == pytest.approx(-7 / 60, rel=1e-6)


@pytest.mark.parametrize("begin_at", ["low_x", "high_x"])
def test_two_equal_spans_filled_one_after_another(begin_at):
    # First span alone: M1 = -w l2 / 16, sag (1/2 - 1/16)**2 / 2 = 0.096; both: hog 0.125.
    sag, hog = peaks_across(2, begin_at)
    assert sag == pytest.approx((1 / 2 - 1 / 16) ** 2 / 2, rel=2e-3)
    assert hog == pytest.approx(-0.125, rel=1e-6)


def loads_beside(layout, x):
    """Load (N) in the spans left and right of a beam after every step."""
    left = right = 0.0
    out = []
    for strip, lines in layout.struck.steps:
        for n in lines:
            line = layout.lines[n]
            for cell, thickness in zip(line.cells, line.struck.thickness, strict=True):
                weight = 25e3 * thickness * (cell.high - cell.low) * line.station.width
                middle = (cell.low + cell.high) / 2
                left += weight * (cell.strip == strip and x - 3.0 < middle < x)
                right += weight * (cell.strip == strip and x < middle < x + 3.0)
        out.append((left, right))
    return np.array(out)


def test_a_beam_is_loaded_from_one_end_with_both_sides_nearly_equal():
    # Bands of 2 m on 12 m of beam: never more than the concrete of one band between the two sides,
    # where strips along the beam put a whole span on one side.
    scenario = floor(deck=BARE, slab=EVEN)
    band = laid(scenario, order="across", band=2.0)
    beside = np.abs(np.diff(loads_beside(band, 3.0), axis=1)).max()
    one_band = 25e3 * 0.14 * 3.0 * 2.0
    assert beside == pytest.approx(one_band, rel=1e-6)
    strips = laid(scenario, order="spread", strip_width=3.0)
    assert np.abs(np.diff(loads_beside(strips, 3.0), axis=1)).max() == pytest.approx(6 * one_band)


def test_a_beam_sinks_from_the_end_where_the_bands_begin():
    layout = laid(floor(deck=BARE, slab=EVEN), order="across", band=2.0)
    frame, moved = layout.frame, layout.struck.moved
    beam = frame.node[1]
    half = (len(beam) - 1) // 2
    # After the first half of the bands the low half of the beam has sunk more; at the end alike.
    middle = moved[len(layout.struck.steps) // 2][beam]
    assert middle[half // 2] > 1.1 * middle[-1 - half // 2] > 0
    assert moved[-1][beam][half // 2] == pytest.approx(moved[-1][beam][-1 - half // 2], rel=1e-6)
