"""Floors on beams: laws that hold for every floor, and what each load does to deck and beams."""

from __future__ import annotations

from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
from beam_floors import BEAMS, floor, laid, with_rigidity
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pours import pour

import pourday.floor.ponding as floor_ponding
from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError, all_at_once, strike
from pourday.floor.layout import Layout
from pourday.floor.states import DeckLine
from pourday.scenario.model import Scenario

TWO_RUNS = {
    "spans_m": [3.0, 3.4, 4.0, 3.0],
    "sheet_runs": [2, 2],
    "length_y_m": 14.0,
    "primary_beams_y_m": [0.0, 6.0, 14.0],
}
MIXED = """
[beams]
columns_x_m = [0.0, 5.0, 13.4]
secondary = { I_cm4 = 30000, continuous = true }
primary = { I_cm4 = 90000 }
lines = [{ x_m = 13.4, kind = "wall" }, { x_m = 6.4, I_cm4 = 50000 }]
"""
PROPS = {"lines_x_m": [8.5], "stiffness_kN_m2": 900}
CREWED = {"preset": "en_1991_1_6", "crew_kN_m2": 0.3, "heap_height_factor": 1.5}
# One span of 3 m on two secondaries of 12 m that rest on walls: the deck cannot spread a load
# from line to line, and each secondary is a simple beam that a hand can work out.
ALONE = {"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 12.0, "primary_beams_y_m": []}
SECONDARIES = "\n[beams]\nsecondary = { I_cm4 = 30000 }\n"
EI = 30000e-8 * 210e9


def mixed(**changes) -> Scenario:
    changes = {"slab": {"strike": "datum"}, "props": PROPS} | changes
    return floor(MIXED, floor=TWO_RUNS, **changes)


def of_bay(layout: Layout, bay: str) -> list[DeckLine]:
    return [line for line in layout.lines if line.bay.name == bay]


def level(line: DeckLine, number: int) -> np.ndarray:
    """Sag at the stations, deck and beams together."""
    chord = np.interp(line.deck.unit.stations, line.supports, line.supports_down[number])
    return line.base.deflection[number] + chord


# Laws.


@pytest.mark.parametrize("how", ["datum", "guides", "thickness"])
@pytest.mark.parametrize("order", ["thirds", "spread"])
def test_a_floor_on_rigid_beams_is_a_floor_on_walls(how, order):
    plain = {"slab": {"strike": how}, "loads": CREWED, "props": {"lines_x_m": [8.5]}}
    rigid = laid(floor("", floor=TWO_RUNS, **plain), order=order)
    stiff = laid(with_rigidity(mixed(**plain), 1e16), order=order)
    assert stiff.frame is not None
    assert rigid.frame is None
    assert len(stiff.lines) > len(rigid.lines)
    for wall in rigid.lines:
        for line in of_bay(stiff, wall.bay.name):
            size = np.abs(wall.base.moment).max()
            same = {"rel": 1e-6, "abs": 1e-9}
            assert line.struck.thickness == pytest.approx(wall.struck.thickness, **same)
            assert line.struck.later_movement == pytest.approx(
                wall.struck.later_movement, rel=0, abs=1e-8
            )
            assert line.base.moment == pytest.approx(wall.base.moment, rel=0, abs=1e-6 * size)
            assert line.heap.moment == pytest.approx(wall.heap.moment, rel=0, abs=1e-6 * size)
            reaction = np.abs(wall.base.reaction).max()
            assert line.base.reaction == pytest.approx(
                wall.base.reaction, rel=0, abs=1e-6 * reaction
            )
    assert stiff.ponding == pytest.approx(rigid.ponding, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("order", ["thirds", "spread"])
def test_walls_columns_and_props_carry_the_whole_load(order):
    layout = laid(mixed(), order=order)
    frame = layout.frame
    force, total = np.zeros(len(frame.move)), 0.0
    for line in layout.lines:
        pressure, width = line.pressures[-1], line.station.width
        load = pressure[: len(line.deck.fine)] @ np.diff(line.deck.fine, axis=1).ravel()
        total += load * width
        # What the deck gives its supports is what lies on it, whatever they do.
        assert line.base.reaction[-1].sum() == pytest.approx(load, rel=1e-9)
        nodes = frame.nodes_of(line.supports, line.station.y)
        force[nodes] += line.deck.unit.reaction @ pressure * width
    carried = frame.carry @ force
    assert carried.sum() == pytest.approx(total, rel=1e-9)
    by_hand = layout.volume.sum() * 26e3 + 0.12e3 * 13.4 * 14.0
    assert total == pytest.approx(by_hand, rel=1e-9)
    # And only where there is something: nodes in the middle of a beam carry nothing.
    assert np.count_nonzero(np.abs(carried) > 1e-6 * total) < len(carried) / 2


@given(st.floats(0.0, 500.0), st.floats(16e3, 29e3), st.floats(0.0, 500.0), st.floats(16e3, 29e3))
@settings(max_examples=15)
def test_the_effects_of_two_weights_add_up(deck_one, wet_one, deck_two, wet_two):
    base = mixed(slab={"strike": "thickness"}, loads={"heap_height_factor": 1.5})

    def weighing(deck: float, wet: float) -> Layout:
        return laid(
            replace(
                base,
                deck=replace(base.deck, self_weight=deck),
                slab=replace(base.slab, wet_density=wet),
            )
        )

    one, two = weighing(deck_one, wet_one), weighing(deck_two, wet_two)
    both = weighing(deck_one + deck_two, wet_one + wet_two)
    for a, b, c in zip(one.lines, two.lines, both.lines, strict=True):
        for of, name in (
            ("base", "moment"),
            ("base", "reaction"),
            ("base", "deflection"),
            ("heap", "moment"),
            ("heap", "reaction"),
        ):
            x, y, z = (getattr(getattr(line, of), name) for line in (a, b, c))
            assert x + y == pytest.approx(z, rel=0, abs=1e-9 * np.abs(z).max())
        down = c.supports_down
        assert a.supports_down + b.supports_down == pytest.approx(
            down, rel=0, abs=1e-9 * np.abs(down).max()
        )


@pytest.mark.parametrize("order", ["thirds", "spread"])
def test_a_mirrored_floor_poured_from_the_other_end_is_the_mirror_image(order):
    mirrored_floor = TWO_RUNS | {"spans_m": TWO_RUNS["spans_m"][::-1]}
    mirrored_beams = """
[beams]
columns_x_m = [0.0, 8.4, 13.4]
secondary = { I_cm4 = 30000, continuous = true }
primary = { I_cm4 = 90000 }
lines = [{ x_m = 0.0, kind = "wall" }, { x_m = 7.0, I_cm4 = 50000 }]
"""
    whole = {"slab": {"strike": "datum"}, "loads": CREWED}
    props = {"lines_x_m": [13.4 - 8.5], "stiffness_kN_m2": 900}
    here = laid(mixed(**whole), order=order)
    there = laid(
        floor(mirrored_beams, floor=mirrored_floor, props=props, **whole),
        order=order,
        begin_at="high_x",
    )
    others = {(round(13.4 - x.bay.x1, 6), x.station): x for x in there.lines}
    assert len(others) == len(here.lines)
    for line in here.lines:
        other = others[round(line.bay.x0, 6), line.station]
        assert len(line.states) == len(other.states)
        thickness = line.struck.thickness
        assert other.struck.thickness[::-1] == pytest.approx(thickness, rel=1e-9)
        for name in ("reaction", "support_moment", "deflection", "moment"):
            mine, its = getattr(line.base, name), getattr(other.base, name)[:, ::-1]
            assert its == pytest.approx(mine, rel=0, abs=1e-9 * np.abs(mine).max())


def test_a_floor_the_same_from_both_edges_ends_the_same_on_both_sides():
    # The front walks along y and breaks the symmetry while it pours; struck to thickness, the
    # end is symmetric, with one lane or two.
    for marks in ([0.0, 12.0], [0.0, 6.0, 12.0]):
        layout = laid(floor(BEAMS, floor={"primary_beams_y_m": marks}))
        lines = {round(line.station.y, 6): line for line in layout.lines}
        for y, line in lines.items():
            other = lines[round(12.0 - y, 6)]
            assert other.supports_down[-1] == pytest.approx(line.supports_down[-1], rel=1e-9)
            assert other.base.moment[-1] == pytest.approx(
                line.base.moment[-1], rel=0, abs=1e-9 * np.abs(line.base.moment).max()
            )
            assert line.supports_down[-1][::-1] == pytest.approx(line.supports_down[-1], rel=1e-9)


def test_struck_to_thickness_the_final_state_is_the_same_whatever_the_order():
    scenario = mixed(slab={"strike": "thickness"})
    ends = []
    for plan in (
        {"order": "thirds"},
        {"order": "spread"},
        {"order": "spread", "begin_at": "high_x", "alternate": False},
        {"order": "thirds", "fraction": 0.2, "lanes": "one_after_another"},
    ):
        layout = laid(scenario, **plan)
        ends.append(
            {
                (line.bay.name, line.station.y): np.concatenate(
                    [
                        line.supports_down[-1] * 1e6,
                        line.base.reaction[-1],
                        line.base.support_moment[-1],
                    ]
                )
                for line in layout.lines
            }
        )
    for end in ends[1:]:
        assert end.keys() == ends[0].keys()
        for key, values in end.items():
            first = ends[0][key]
            assert values == pytest.approx(first, rel=0, abs=1e-9 * np.abs(first).max())


@given(
    st.integers(20_000, 90_000),
    st.integers(200, 600),
    st.integers(100, 200),
    st.sampled_from(["thirds", "spread"]),
    st.floats(0.15, 0.45),
)
@settings(max_examples=15)
def test_struck_to_datum_a_single_span_never_takes_more_than_levelled_at_once(
    inertia, stiffness, depth, order, fraction
):
    # Every cell presses every other down here (all influences are above zero), so what is struck
    # under part of the load is never thicker than what is struck under all of it.
    scenario = floor(
        BEAMS.replace("30000", str(inertia)).replace("[0.0, 9.0]", "[0.0, 3.0]"),
        floor={"spans_m": [3.0], "sheet_runs": [1]},
        slab={"strike": "datum", "depth_mm": depth},
        deck={"bending_stiffness_kNm2_per_m": stiffness},
    )
    with patch.object(floor_ponding, "strike", wraps=strike) as struck:
        layout = laid(scenario, order=order, fraction=fraction)
    (sag, weight, theory, _), settings_ = struck.call_args
    assert (sag > 0).all()
    at_once = all_at_once(sag, weight, theory, settings_["deck_sag"])
    in_order = np.concatenate([line.struck.thickness for line in layout.lines])
    assert (in_order <= at_once * (1 + 1e-12)).all()
    assert in_order.max() > theory[0]
    if len(layout.struck.steps) > 1:
        assert in_order.min() < at_once.min()


def test_a_beam_bent_up_by_what_it_will_sag_ends_flat_when_struck_to_thickness():
    scenario = floor(SECONDARIES, floor=ALONE | {"spans_m": [3.0, 3.5], "sheet_runs": [2]})
    straight = laid(scenario)
    middle = len(straight.lines) // 2
    sags = straight.lines[middle].supports_down[-1]
    assert sags[1] > 2 * sags[0] > 0.01
    bent = laid(
        replace(
            scenario,
            beams=replace(
                scenario.beams,
                secondary=tuple(
                    replace(beam, precamber=float(sag))
                    for beam, sag in zip(scenario.beams.secondary, sags, strict=True)
                ),
            ),
        )
    )
    line = bent.lines[middle]
    camber = bent.frame.camber_of(line.supports, line.station.y)
    # Weight and movement are those of the straight floor; what is left at mid-beam is the deck's.
    assert line.supports_down[-1] == pytest.approx(sags, rel=1e-12)
    assert camber == pytest.approx(sags, rel=1e-12)
    assert line.struck.final_sag == pytest.approx(
        straight.lines[middle].struck.final_sag - camber_of_cells(line, camber), rel=1e-9
    )
    deck_alone = laid(floor("", floor=ALONE | {"spans_m": [3.0, 3.5], "sheet_runs": [2]}))
    ends = np.abs(sags).max()
    relative = line.struck.final_sag - deck_alone.lines[0].struck.final_sag
    # The deck is a little flatter over a support that has gone down, and no more than that.
    assert np.abs(relative).max() < 0.1 * ends


def camber_of_cells(line: DeckLine, camber: np.ndarray) -> np.ndarray:
    return np.interp([(c.low + c.high) / 2 for c in line.cells], line.supports, camber)


@pytest.mark.parametrize("how", ["datum", "thickness"])
def test_what_striking_says_of_the_final_sag_is_what_the_last_state_says(how):
    beams = MIXED.replace("I_cm4 = 90000", "I_cm4 = 90000, precamber_mm = 6").replace(
        "continuous = true", "continuous = true, precamber_mm = 15"
    )
    layout = laid(floor(beams, floor=TWO_RUNS, props=PROPS, slab={"strike": how}))
    for line in layout.lines:
        x = line.deck.unit.stations
        camber = layout.frame.camber_of(line.supports, line.station.y)
        surface = level(line, -1) - np.interp(x, line.supports, camber)
        for cell, sag in zip(line.cells, line.struck.final_sag, strict=True):
            inside = (x >= cell.low - 1e-9) & (x <= cell.high + 1e-9)
            mean = np.trapezoid(surface[inside], x[inside]) / (cell.high - cell.low)
            assert sag == pytest.approx(mean, rel=0, abs=2e-5)


def test_a_prop_line_is_set_up_against_the_deck_as_it_lies():
    # Both neighbours of the prop line are bent up alike: so is the deck over it.
    beams = "\n[beams]\nsecondary = { I_cm4 = 30000, precamber_mm = 40 }\n"
    layout = laid(floor(beams, floor=ALONE, props={"lines_x_m": [1.2]}))
    for line in layout.lines:
        camber = layout.frame.camber_of(line.supports, line.station.y)
        assert camber[1] == pytest.approx(camber[0], rel=1e-12)
        share = line.station.y / 12.0
        assert camber[0] == pytest.approx(0.04 * 4 * share * (1 - share), rel=1e-9)


def test_soft_beams_and_a_soft_deck_are_told_apart():
    soft_beams = BEAMS.replace("30000", "1500")
    with pytest.raises(BeamTooSoftError, match="the beams are too soft to level the floor on"):
        laid(floor(soft_beams, slab={"strike": "datum"}))
    soft_deck = {"bending_stiffness_kNm2_per_m": 12}
    with pytest.raises(DeckTooSoftError, match=r"^bay 1: deck too soft to level"):
        laid(floor(BEAMS, deck=soft_deck, slab={"strike": "datum"}))


# Uplift: thirds beside the same strips from one end to the other.


@given(
    spans=st.integers(2, 4),
    length=st.floats(2.0, 4.5),
    stiffness=st.integers(100, 1000),
    depth=st.integers(100, 250),
    fraction=st.floats(0.1, 0.45),
    how=st.sampled_from(["datum", "thickness"]),
)
@settings(max_examples=150)
def test_thirds_never_lifts_more_than_the_same_strips_side_by_side(
    spans, length, stiffness, depth, fraction, how
):
    # Equal spans, no crew, no weight of the deck to hold an end down.
    scenario = pour(
        floor={"spans_m": [length] * spans, "sheet_runs": [spans]},
        deck={"bending_stiffness_kNm2_per_m": stiffness, "self_weight_kN_m2": 0.0},
        slab={"depth_mm": depth, "strike": how},
    )
    try:
        thirds = laid(scenario, fraction=fraction)
        by_x = tuple(strip.name for strip in sorted(thirds.strips, key=lambda strip: strip.x0))
        spread = laid(scenario, fraction=fraction, order="listed", sequence=by_x)
    except DeckTooSoftError:
        assume(False)
    uplift = {
        name: float(layout.lines[0].base.reaction.min())
        for name, layout in (("thirds", thirds), ("spread", spread))
    }
    assert uplift["spread"] < 0
    assert uplift["thirds"] > uplift["spread"]
