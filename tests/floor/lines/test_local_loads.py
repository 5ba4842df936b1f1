"""What stands on a few metres of floor does the same on a short floor and on a long one, and lines
lie where the deck hogs most; what the mesh of lines does to ponding."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from builders.beam_floors import BEAMS, floor, laid

from pourday.deck.beam import influence
from pourday.floor.layout import Layout
from pourday.floor.lines import frame as frames
from pourday.floor.lines.frame import Station
from pourday.floor.lines.local import window

PROP_X = [3.0, 9.0]
STIFF = {"bending_stiffness_kNm2_per_m": 1000}
ZONE = {"preset": "own", "inside_kN_m2": 5.0, "outside_kN_m2": 0.0, "zone_m": 3.0}
HEAPED = {"preset": "en_1991_1_6", "heap_height_factor": 2.5}


def propped(length: float, give: float, **loads) -> Layout:
    """Two spans of 6 m between walls, an elastic prop line in each."""
    spans = {"spans_m": [6.0, 6.0], "sheet_runs": [2], "primary_beams_y_m": [0.0, length]}
    props = {"lines_x_m": PROP_X, "stiffness_kN_m2": give}
    whole = {"props": props, "deck": STIFF, "loads": loads}
    return laid(floor("", floor=spans | {"length_y_m": length}, **whole))


def extremes(layout: Layout, factor: float = 1.0) -> list[float]:
    """Greatest and least moment, greatest reaction, heap of this height factor."""
    out = []
    for name, pick in (("moment", np.max), ("support_moment", np.min), ("reaction", np.max)):
        of = (
            getattr(line.base, name) + (factor - 1) * getattr(line.heap, name)
            for line in layout.lines
        )
        out.append(float(pick([pick(each) for each in of])))
    return out


@pytest.mark.parametrize(("give", "loads"), list(product([500, 5000], [ZONE, HEAPED])))
def test_a_zone_and_a_heap_press_as_hard_on_a_floor_of_4_of_12_and_of_60_m(give, loads):
    four, twelve, sixty = (extremes(propped(y, give, **loads), 2.5) for y in (4.0, 12.0, 60.0))
    assert four == pytest.approx(twelve, rel=1e-9)
    assert sixty == pytest.approx(twelve, rel=1e-9)


def test_deck_on_elastic_props_is_the_same_run_on_springs_of_their_stiffness():
    # Beams aside every metre stands alone: deck.beam's own springs, checked against PyNite there.
    for line in propped(12.0, 500.0, **ZONE).lines:
        springs = np.where(np.isin(line.supports, PROP_X), 500e3, np.inf)
        alone = influence(
            line.supports, 1000e3, line.deck.fine, line.deck.unit.points, springs=springs
        )
        for found, of in ((line.base, line.pressures), (line.heap, line.heap_pressures)):
            reaction = of @ alone.reaction.T
            size = np.abs(reaction).max() + 1.0
            assert found.reaction == pytest.approx(reaction, rel=0, abs=1e-8 * size)
            moment = of @ alone.support_moment.T
            size = np.abs(moment).max() + 1.0
            assert found.support_moment == pytest.approx(moment, rel=0, abs=1e-8 * size)


def test_a_zone_between_beams_presses_alike_in_a_floor_of_two_lanes_and_of_six():
    def lanes(count: int) -> Layout:
        marks = [6.0 * n for n in range(count + 1)]
        spans = {"length_y_m": marks[-1], "primary_beams_y_m": marks, "cut_at_primary_beams": True}
        return laid(floor(BEAMS, floor=spans, loads=ZONE))

    assert extremes(lanes(6)) == pytest.approx(extremes(lanes(2)), rel=1e-3)


def test_a_load_at_the_edge_lies_whole_on_the_floor_and_none_is_wider_than_it():
    line = Station(0, 0.05, 0.0, 0.1)
    assert window(line, 3.0, 12.0) == (0.0, 3.0)
    assert window(Station(0, 11.0, 10.0, 12.0), 3.0, 12.0) == (9.0, 12.0)
    assert window(Station(0, 6.0, 5.0, 7.0), 3.0, 12.0) == (4.5, 7.5)
    assert window(line, 3.0, 2.0) == (0.0, 2.0)


CONTINUOUS = BEAMS.replace("30000 }", "15000, continuous = true }")
TWO_LANES = {"primary_beams_y_m": [0.0, 6.0, 12.0], "cut_at_primary_beams": True}
FLOORS = {
    "simple": (BEAMS, {}),
    "stiff primaries": (BEAMS.replace("60000", "200000"), {}),
    "continuous": (CONTINUOUS, TWO_LANES),
}


@pytest.mark.parametrize("order", ["thirds", "spread"])
@pytest.mark.parametrize("name", FLOORS)
def test_ponding_and_hogging_on_beams_are_within_one_per_cent_of_the_finest_lines(
    name, order, monkeypatch
):
    # With whole widths struck at once and no line beside the beams, seven lines gave 2 to 11 %
    # more ponding and 1 to 11 % less hogging than 61.
    beams, spans = FLOORS[name]
    scenario = floor(
        beams,
        floor=spans,
        slab={"strike": "datum"},
        deck={"bending_stiffness_kNm2_per_m": 250},
        loads={"preset": "en_1991_1_6", "heap_height_factor": 1.5},
    )
    coarse = laid(scenario, order=order)
    monkeypatch.setattr(frames, "LEAST_LINES", 61)
    monkeypatch.setattr(frames, "BESIDE", 0.02)
    fine = laid(scenario, order=order)
    assert len(fine.lines) > 5 * len(coarse.lines)
    assert coarse.ponding == pytest.approx(fine.ponding, rel=0.01)
    assert extremes(coarse, 1.5) == pytest.approx(extremes(fine, 1.5), rel=0.01)
