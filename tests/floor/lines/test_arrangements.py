"""Loads arranged for one effect: what they do to it is its bound, and no more."""

from __future__ import annotations

import numpy as np
import pytest
from builders.beam_floors import BEAMS, floor, laid

from pourday.floor.lines.arrangements import Target, arranged


@pytest.mark.parametrize("beams", ["", BEAMS], ids=["rigid", "on beams"])
@pytest.mark.parametrize("preset", ["en_1991_1_6", "persons"])
def test_an_arrangement_reaches_the_bound_of_its_effect_and_passes_no_other(beams, preset):
    loads = {"preset": preset, "basis": "EN", "heap_height_factor": 1.7}
    layout = laid(floor(beams, loads=loads, deck={"resistance_is": "design"}))
    for line in (layout.lines[0], layout.lines[len(layout.lines) // 2]):
        rows = np.arange(*line.felt.effects.factored_rows.indices(10**6))[::5]
        rows = rows[rows < len(line.felt.effects.matrix)]
        first = line.felt.effects.factored_rows.start
        bound = line.felt.factored.at(np.full(len(line.states), 0.7))
        for sign, of in ((1.0, bound.most), (-1.0, bound.least)):
            target = Target(rows, np.full(len(rows), sign))
            for k in range(len(line.states)):
                found = arranged(line.loaded, line.loaded.factors, k, target, 0.7)
                mine = found[np.arange(len(rows)), rows]
                size = np.abs(bound.most[k]).max()
                assert mine == pytest.approx(of[k, rows - first], rel=1e-9, abs=1e-9 * size)
                every = found[:, line.felt.effects.factored_rows]
                assert (every <= bound.most[k] + 1e-9 * size).all()
                assert (every >= bound.least[k] - 1e-9 * size).all()
