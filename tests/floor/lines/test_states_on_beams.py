"""Floors on beams: laws that hold for every floor, and what each load does to deck and beams."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from unittest.mock import patch

import numpy as np
import pytest
from builders.beam_floors import BEAMS, floor, laid, with_rigidity
from builders.pours import pour
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import pourday.floor.lines.ponding as floor_ponding
from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError, all_at_once, strike
from pourday.floor.layout import Layout
from pourday.floor.lines.states import DeckLine
from pourday.scenario.model.scenario import Scenario

TWO_RUNS = {
    "spans_m": [3.0, 3.4, 4.0, 3.0],
    "sheet_runs": [2, 2],
    "length_y_m": 14.0,
    "primary_beams_y_m": [0.0, 6.0, 14.0],
    "cut_at_primary_beams": True,
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
@settings(max_examples=6)
def test_the_effects_of_two_weights_add_up(deck_one, wet_one, deck_two, wet_two):
    base = floor(
        BEAMS.replace("9.0]", "7.0]"),
        floor={"spans_m": [3.0, 4.0], "sheet_runs": [2]},
        props={"lines_x_m": [5.0], "stiffness_kN_m2": 900},
    )

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
    deck = struck.call_args.args[0]
    assert (deck.mean_deflection > 0).all()
    at_once = all_at_once(deck)
    in_order = np.concatenate([line.struck.thickness for line in layout.lines])
    assert (in_order <= at_once * (1 + 1e-12)).all()
    assert in_order.max() > deck.theory[0]
    if len(layout.struck.steps) > 1:
        assert in_order.min() < at_once.min()


def test_a_beam_bent_up_by_what_it_will_sag_ends_flat_when_struck_to_thickness():
    beams = SECONDARIES + "lines = [{ x_m = 3.0, I_cm4 = 50000 }]\n"
    scenario = floor(beams, floor=ALONE)
    straight = laid(scenario)
    middle = len(straight.lines) // 2
    sags = straight.lines[middle].supports_down[-1]
    assert sags[0] > 1.5 * sags[1] > 0.01
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
    # Weight and movement are those of the straight floor; at mid-beam the camber takes it all, and
    # what is left of the sag is that of a deck on walls.
    line = bent.lines[middle]
    assert line.supports_down[-1] == pytest.approx(sags, rel=1e-12)
    walls = laid(floor("", floor=ALONE)).lines[0]
    assert line.struck.final_sag == pytest.approx(walls.struck.final_sag, rel=1e-9)
    # A parabola is fuller than the sag of an even load: at s = 0.063 of the span, the first line
    # but the one beside the wall, 4 s (1 - s) = 0.236 of the middle, not
    # 16/5 (s - 2 s³ + s⁴) = 0.200, so the floor ends high there by 0.036 of the camber.
    assert bent.lines[1].station.y / 12.0 == pytest.approx(0.063, abs=0.001)
    end = bent.lines[1].struck.final_sag - walls.struck.final_sag
    assert end.mean() / sags.mean() == pytest.approx(-0.036, abs=0.003)


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


def test_on_unequal_spans_thirds_can_lift_the_end_of_the_short_span_more():
    # 2.0 m beside 4.0 m, strips of 0.42: thirds begins with the strip over the inner support,
    # whose 1.68 m in the long span lift the far end of the short one. Side by side, the short
    # span's own strip lies there already and holds it down.
    scenario = pour(
        floor={"spans_m": [2.0, 4.0], "sheet_runs": [2]},
        deck={"self_weight_kN_m2": 0.0},
        slab={"depth_mm": 200},
    )
    thirds = laid(scenario, fraction=0.42)
    names = ("1/edge 1", "1/beam 1", "1/edge 2")
    spread = laid(scenario, fraction=0.42, order="listed", sequence=names)
    reactions = [layout.lines[0].base.reaction for layout in (thirds, spread)]
    least = [float(r.min()) for r in reactions]
    assert least[0] < least[1] < 0
    # The greatest lift of thirds: at the short end, with only the strip over the support placed.
    number, support = np.unravel_index(int(np.argmin(reactions[0])), reactions[0].shape)
    assert support == 0
    state = thirds.lines[0].states[number]
    assert (thirds.strips[state.strip].name, state.stage) == ("1/beam 1", "front")
    # By hand, three-moment equation, w = 5.2 kN/m² on a = 0.84 m and b = 1.68 m beside the support:
    # 2 M (2 + 4) = -w [a² (2·2 - a)² / (4·2) + b² (2·4 - b)² / (4·4)].
    w, a, b = 200e-3 * 26e3, 0.84, 1.68
    moment = -w * (a**2 * (4 - a) ** 2 / 8 + b**2 * (8 - b) ** 2 / 16) / 12
    assert least[0] == pytest.approx((w * a**2 / 2 + moment) / 2.0, rel=1e-9)


# Loads. What lies on a line, and what it does to the beams, worked out by hand.


def number_of(line: DeckLine, turn: int, stage: str, which: int = 0) -> int:
    found = [k for k, s in enumerate(line.states) if (s.turn, s.stage) == (turn, stage)]
    return found[which]


def uniform(line: DeckLine, number: int) -> np.ndarray:
    """Pa on the fine cells beyond the deck's own weight."""
    return line.pressures[number][: len(line.deck.fine)] - 120.0


def simple_beam(load: float, at: float, span: float = 12.0) -> float:
    """Sag of a secondary under a load, at the load: P a² b² / (3 EI L)."""
    return load * at**2 * (span - at) ** 2 / (3 * EI * span)


def middle_sag(load: float, width: float, span: float = 12.0) -> float:
    """Sag in the middle of a secondary under N/m along ``width`` around it, as on nine lines and
    one beside each end: on each what lies on its width, P a (3 L² - 4 a²) / (48 EI)."""
    marks = [0.0, *np.linspace(0.1, span - 0.1, 10), span]
    low, high = (span - width) / 2, (span + width) / 2
    sag = 0.0
    for a, b in pairwise(marks):
        near = min((a + b) / 2, span - (a + b) / 2)
        on_it = load * max(0.0, min(high, b) - max(low, a))
        sag += on_it * near * (3 * span**2 - 4 * near**2) / (48 * EI)
    return sag


def alone(**loads) -> tuple[DeckLine, Layout]:
    """The middle line of the single span on two secondaries, struck to thickness."""
    layout = laid(floor(SECONDARIES, floor=ALONE, loads=loads))
    return layout.lines[len(layout.lines) // 2], layout


def extra_down(number: int, **loads) -> np.ndarray:
    """How much further the supports of the middle line go down in a state with these loads."""
    return alone(**loads)[0].supports_down[number] - alone()[0].supports_down[number]


STACK = {"name": "mesh", "x_m": [2.5, 5.0], "y_m": [2.0, 9.0], "weight_kN": 35.0}


def test_a_stack_lies_there_until_its_strip_is_begun():
    # 35 kN on 2.5 m x 7 m are 2 kN/m². Strips: over x = 3 (2..4), 6 (5..7), then 0..2, 4..5, 7..9.
    spans = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3]}
    bare = {"floor": spans | {"length_y_m": 12.0}, "loads": {"stacks": [STACK]}}
    bare |= {"plan": {"least_strip_m": 0}}
    (line,) = laid(pour(**bare)).lines
    first = line.deck.fine.mean(axis=1)
    on = np.where((first > 2.5) & (first < 5.0), 2000.0, 0.0)
    assert [(s.turn, s.stage) for s in line.states[:2]] == [(0, "bare"), (0, "arrive")]
    assert uniform(line, 0) == pytest.approx(on)
    # It reaches over the strips "beam 1" (turn 0) and "gap 2": gone when the first is begun.
    assert uniform(line, 1) == pytest.approx(np.zeros(len(first)))

    later = STACK | {"x_m": [4.2, 4.7], "weight_kN": 7.0}
    (line,) = laid(pour(**bare | {"loads": {"stacks": [later]}})).lines
    (empty,) = laid(pour(**bare | {"loads": {}})).lines
    middles = line.deck.fine.mean(axis=1)
    under = (middles > 4.2) & (middles < 4.7)
    (turn,) = {line.strips.index(line.cells[c].strip) for c in line.deck.owner[under]}
    assert turn == 3
    seen = {}
    for k, state in enumerate(line.states):
        weight = uniform(line, k) @ np.diff(line.deck.fine, axis=1).ravel()
        plain = uniform(empty, k) @ np.diff(empty.deck.fine, axis=1).ravel()
        lies = state.stage == "bare" or state.turn < turn
        assert weight - plain == pytest.approx(1000.0 if lies else 0.0, abs=1e-6)
        seen[lies] = True
    assert len(seen) == 2


def test_a_stack_all_over_the_floor_is_more_self_weight_before_the_pour():
    area = 13.4 * 14.0
    whole = {"x_m": [0.0, 13.4], "y_m": [0.0, 14.0], "weight_kN": 0.5 * area}
    stacked = laid(mixed(loads={"stacks": [whole]}))
    heavier = laid(mixed(deck={"self_weight_kN_m2": 0.12 + 0.5}))
    for line, other in zip(stacked.lines, heavier.lines, strict=True):
        assert line.supports_down[0] == pytest.approx(other.supports_down[0], rel=1e-9)
        size = np.abs(other.base.moment[0]).max()
        assert line.base.moment[0] == pytest.approx(other.base.moment[0], rel=0, abs=1e-9 * size)


def test_a_stack_presses_on_the_beams_with_its_own_weight_wherever_it_lies():
    # 20 kN in the middle of the span, 1 m along y in the middle of the secondaries: 10 kN on each.
    stack = {"x_m": [1.2, 1.8], "y_m": [5.5, 6.5], "weight_kN": 20.0}
    down = extra_down(0, stacks=[stack])
    assert down == pytest.approx([simple_beam(10e3, 6.0)] * 2, rel=1e-9)
    # Two stacks do what each does.
    other = stack | {"x_m": [0.3, 1.1], "y_m": [1.0, 4.0]}
    both = extra_down(0, stacks=[stack, other])
    assert both == pytest.approx(down + extra_down(0, stacks=[other]), rel=1e-9)


def test_a_stack_in_one_bay_moves_the_beam_it_shares_with_the_next():
    stack = {"x_m": [10.0, 12.0], "y_m": [2.0, 12.0], "weight_kN": 100.0}
    with_it, without = laid(mixed(loads={"stacks": [stack]})), laid(mixed())
    strips = with_it.strips
    gone = min(i for i, s in enumerate(strips) if s.x0 < 12.0 and s.x1 > 10.0)
    first = [n for n, line in enumerate(with_it.lines) if line.bay.x0 == 0.0]
    told = set()
    for n in first:
        line, plain = with_it.lines[n], without.lines[n]
        for k, state in enumerate(line.states):
            shared = line.supports_down[k][-1] - plain.supports_down[k][-1]
            lies = state.stage != "full" and (state.stage == "bare" or state.strip < gone)
            told.add(lies)
            if lies:
                assert shared > 1e-5
            else:
                assert shared == pytest.approx(0.0, abs=1e-12)
    assert told == {True, False}


def test_a_skip_stands_in_the_middle_of_the_empty_strip_before_it_is_filled():
    landing = {"skip_landing_kN": 12.0, "skip_side_m": 1.2}
    line, _ = alone(**landing)
    plain, _ = alone()
    middles = line.deck.fine.mean(axis=1)
    under = np.abs(middles - 1.5) < 0.6
    assert uniform(line, 1) == pytest.approx(np.where(under, 12e3 / 1.2**2, 0.0))
    for stage in ("bare", "front", "left", "full"):
        k = number_of(line, 0, stage)
        total = line.pressures[k] @ np.diff(line.deck.fine, axis=1).ravel()
        before = plain.pressures[k] @ np.diff(plain.deck.fine, axis=1).ravel()
        assert total == pytest.approx(before, rel=1e-9)
    # 12 kN: half of it on each secondary, in the middle of its 12 m.
    down = extra_down(1, **landing)
    assert down == pytest.approx([simple_beam(6e3, 6.0)] * 2, rel=1e-9)
    # Deck: a patch of P = 10 kN per metre width over 1.2 m in the middle of 3 m: P (L/4 - c/8).
    moment = line.base.moment[1].max() - 120.0 * 3.0**2 / 8
    assert moment == pytest.approx(10e3 * (3.0 / 4 - 1.2 / 8), rel=1e-9)


def test_a_pipe_lies_along_the_whole_strip():
    line, _ = alone(pipe_kN_m=0.8)
    for stage in ("arrive", "front"):
        assert line.pressures[number_of(line, 0, stage)][-1] == 800.0
    for stage in ("bare", "left", "full"):
        assert line.pressures[number_of(line, 0, stage)][-1] == 0.0
    moment = line.base.moment[1].max() - 120.0 * 3.0**2 / 8
    assert moment == pytest.approx(800.0 * 3.0 / 4, rel=1e-9)
    # 0.4 kN/m all along each secondary, on every line what lies on its width.
    by_hand = middle_sag(0.4e3, 12.0)
    down = extra_down(1, pipe_kN_m=0.8)
    assert down == pytest.approx([by_hand] * 2, rel=1e-9)
    assert by_hand == pytest.approx(5 * 400.0 * 12**4 / (384 * EI), rel=0.01)


def test_a_heap_is_as_wide_as_it_is_long():
    line, layout = alone(heap_length_m=1.0, heap_height_factor=2.0)
    k = number_of(line, 0, "front")
    weight = 0.15 * 26e3
    down = [weight / 2] * 2
    own = layout.frame.move[np.ix_(*[layout.frame.nodes_of(line.supports, line.station.y)] * 2)]
    assert np.diag(own) * down == pytest.approx([simple_beam(weight / 2, 6.0)] * 2, rel=1e-9)
    moment = line.heap.moment[k].max()
    assert moment == pytest.approx(weight * 1.0 * (3.0 / 4 - 1.0 / 8), rel=1e-9)


def test_persons_are_the_placers_within_the_zone_and_nobody_outside():
    loads = {"preset": "persons", "person_kN": 0.9}
    line, _ = alone(**loads)
    # Six placers (the plain crew) on 3 m x 3 m.
    pressure = 6 * 900.0 / 3.0**2
    assert uniform(line, number_of(line, 0, "arrive")) == pytest.approx(pressure)
    front = uniform(line, number_of(line, 0, "front"))
    assert front == pytest.approx(pressure + 0.15 * 26e3)
    assert uniform(line, number_of(line, 0, "left")) == pytest.approx(0.15 * 26e3)
    # 5.4 kN, half of it on each secondary, along the 3 m of the zone.
    by_hand = middle_sag(2.7e3 / 3.0, 3.0)
    assert extra_down(1, **loads) == pytest.approx([by_hand] * 2, rel=1e-9)
    # Spread along 3 m in the middle of 12 m: W (8 L³ - 4 L c² + c³) / (384 EI).
    exact = 2.7e3 * (8 * 12.0**3 - 4 * 12.0 * 3.0**2 + 3.0**3) / (384 * EI)
    assert by_hand == pytest.approx(exact, rel=0.01)
    # A span of less than 3 m: the same persons on span x span.
    short = laid(pour(floor={"spans_m": [2.0], "sheet_runs": [1]}, loads=loads)).lines[0]
    assert uniform(short, 1) == pytest.approx(6 * 900.0 / 2.0**2)


def test_own_loads_press_on_the_beams_over_their_own_zone():
    loads = {"preset": "own", "inside_kN_m2": 3.0, "outside_kN_m2": 0.0, "zone_m": 1.0}
    assert extra_down(1, **loads) == pytest.approx([simple_beam(1.5e3, 6.0)] * 2, rel=1e-9)
    everywhere = {"preset": "own", "inside_kN_m2": 0.5, "outside_kN_m2": 0.5}
    heavier = laid(floor(SECONDARIES, floor=ALONE, deck={"self_weight_kN_m2": 0.62})).lines
    weight = heavier[len(heavier) // 2].supports_down[0] - alone()[0].supports_down[0]
    assert extra_down(1, **everywhere) == pytest.approx(weight, rel=1e-9)


@pytest.mark.parametrize(("span", "worse"), [(3.0, "line"), (6.0, "uniform")])
def test_us_practice_tries_a_uniform_and_a_line_load_and_the_worse_counts(span, worse):
    # 20 psf everywhere, or 150 lb/ft across the run (values from memory): w L²/8 and P L/4 are
    # equal at L = 2 P/w = 15 ft.
    psf, plf = 20 * 4.44822162 / 0.3048**2, 150 * 4.44822162 / 0.3048
    scenario = pour(
        floor={"spans_m": [span], "sheet_runs": [1]},
        loads={"preset": "us_practice"},
        deck={"self_weight_kN_m2": 0.0},
    )
    (line,) = laid(scenario).lines
    arrive = [k for k, s in enumerate(line.states) if s.stage == "arrive"]
    assert len(arrive) == 2
    by_hand = {"uniform": psf * span**2 / 8, "line": plf * span / 4}
    found = line.base.moment[arrive].max(axis=1)
    assert found == pytest.approx([by_hand["uniform"], by_hand["line"]], rel=1e-6)
    assert found.max() == pytest.approx(by_hand[worse], rel=1e-6)
    assert max(by_hand, key=by_hand.get) == worse
    # With the concrete placed both are tried again, and outside the zone only the uniform one.
    assert sum(s.stage == "front" for s in line.states) == 2
    left = number_of(line, 0, "left")
    assert uniform(line, left) + 120.0 == pytest.approx(0.15 * 26e3 + psf, rel=1e-6)


EN_CASES = [
    # span, depth m, unit weight: working load inside, 0.75 kN/m² and the heaping; side of the zone
    (5.0, 0.15, 26e3, 750.0 + 750.0, 3.0),  # 3.9 kPa: a tenth is below 0.75 kN/m²
    (5.0, 7.5e3 / 26e3, 26e3, 750.0 + 750.0, 3.0),  # just at the lower bound
    (5.0, 0.40, 26e3, 750.0 + 1040.0, 3.0),  # a tenth of 10.4 kPa
    (5.0, 0.70, 26e3, 750.0 + 1820.0, 3.0),  # no upper bound
    (2.0, 0.40, 26e3, 750.0 + 1040.0, 2.0),  # span below 3 m: the zone is the span
    (3.0, 0.40, 26e3, 750.0 + 1040.0, 3.0),
    (2.99, 0.40, 26e3, 750.0 + 1040.0, 2.99),
]


@pytest.mark.parametrize(("span", "depth", "weight", "inside", "side"), EN_CASES)
def test_the_working_load_of_en_1991_1_6_at_the_corners_of_its_rule(
    span, depth, weight, inside, side
):
    # EN 1991-1-6 Table 4.2 (values from memory) as SCI AD 346 reads it: heaping on top of 0.75.
    plain = pour(
        floor={"spans_m": [span], "sheet_runs": [1]}, loads={"preset": "en_1991_1_6"}, slab={}
    )
    scenario = replace(plain, slab=replace(plain.slab, depth=depth, wet_density=weight))
    (line,) = laid(scenario).lines
    middles = line.deck.fine.mean(axis=1)
    zone = np.abs(middles - span / 2) < side / 2
    lengths = np.diff(line.deck.fine, axis=1).ravel()
    assert lengths[zone].sum() == pytest.approx(side, rel=1e-9)
    arrive, front = number_of(line, 0, "arrive"), number_of(line, 0, "front")
    expected = np.where(zone, inside, 750.0)
    assert uniform(line, arrive) == pytest.approx(expected, rel=1e-9)
    # While the strip is filled the heaping stands beside, not on top of the heap of the day.
    assert uniform(line, front) == pytest.approx(750.0 + depth * weight, rel=1e-9)
    heaping = line.heaping_pressures[front][: len(line.deck.fine)]
    assert heaping == pytest.approx(np.where(zone, inside - 750.0, 0.0), rel=1e-9)
    # Gone to the next line the crew is still outside, and at the end nobody is there.
    assert uniform(line, number_of(line, 0, "left")) == pytest.approx(750.0 + depth * weight)
    assert uniform(line, number_of(line, 0, "full")) == pytest.approx(depth * weight)


def test_the_void_of_the_ribs_is_no_weight_for_the_working_load():
    # 0.40 m less 0.05 m of void: 9.1 kPa, a tenth of it heaped inside the zone.
    scenario = pour(
        floor={"spans_m": [3.0], "sheet_runs": [1]},
        loads={"preset": "en_1991_1_6"},
        deck={"void_volume_m3_per_m2": 0.05},
        slab={"depth_mm": 400},
    )
    (line,) = laid(scenario).lines
    assert uniform(line, 1) == pytest.approx(750.0 + 910.0, rel=1e-9)
