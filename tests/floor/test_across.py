"""The order ``across``, worked out by hand: bands, order, ways, moves, edges, deck states."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import numpy as np
import pytest
from builders.pours import basis_of, laid_out, measured, played, pour
from builders.random_floors import floors, on, plans
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.deck.beam import influence
from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of
from pourday.outcome.edges.edge_pairs import worst_place
from pourday.scenario.model.scenario import BeamData, Beams

TWO_RUNS = {"spans_m": [4.0, 4.0, 3.0], "sheet_runs": [2, 1], "length_y_m": 6.0}


def across(floor=TWO_RUNS, **changes):
    plan = {"order": "across"} | changes.pop("plan", {})
    return pour(floor=floor, plan=plan, **changes)


def told(layout):
    """Strips as they are read off the strip plan: place in x and y, and the way."""
    return [
        (s.x0, s.x1, round(s.y0, 9), round(s.y1, 9), "right" if up else "left")
        for s, up in zip(layout.strips, layout.upward, strict=True)
    ]


# Geometry and order.


def test_a_run_is_poured_in_bands_and_the_hose_goes_to_and_fro():
    # Run 1 (two spans) from low y to high y in three bands of 2 m; the hose ends at the right,
    # on y = 6, so run 2 goes back from high y to low y.
    assert told(laid_out(across())) == [
        (0, 4, 0, 2, "right"),
        (4, 8, 0, 2, "right"),
        (4, 8, 2, 4, "left"),
        (0, 4, 2, 4, "left"),
        (0, 4, 4, 6, "right"),
        (4, 8, 4, 6, "right"),
        (8, 11, 4, 6, "right"),
        (8, 11, 2, 4, "left"),
        (8, 11, 0, 2, "right"),
    ]


def test_names_count_bands_from_low_y_and_spans_from_low_x_whichever_way_it_goes():
    names = [strip.name for strip in laid_out(across()).strips]
    assert names[:3] == ["1/band 1 span 1", "1/band 1 span 2", "1/band 2 span 2"]
    assert names[6:] == ["2/band 3 span 1", "2/band 2 span 1", "2/band 1 span 1"]
    back = laid_out(across(plan={"begin_at": "high_x", "begin_y": "high_y"}))
    assert back.strips[0].name == "2/band 3 span 1"
    assert sorted(strip.name for strip in back.strips) == sorted(names)
    assert told(back)[:2] == [(8, 11, 4, 6, "left"), (8, 11, 2, 4, "right")]


@pytest.mark.parametrize(
    ("width", "pours"),
    [
        (None, [["1 1", "1 2"], ["2 1"]]),
        (4.0, [["1 1"], ["1 2"], ["2 1"]]),
        (7.9, [["1 1"], ["1 2", "2 1"]]),
        (11.0, [["1 1", "1 2", "2 1"]]),
    ],
)
def test_a_stated_width_of_pour_takes_whole_spans_across_sheet_joints(width, pours):
    plan = {} if width is None else {"pour_width_m": width}
    strips = laid_out(across(plan=plan)).strips
    found: dict[int, set[str]] = {}
    for strip in strips:
        found.setdefault(strip.place, set()).add(f"{strip.bay} {strip.name[-1]}")
    assert [found[place] for place in sorted(found)] == [set(names) for names in pours]


def test_without_alternating_every_band_begins_at_the_same_end():
    layout = laid_out(across(plan={"alternate": False}))
    assert [way for *_, way in told(layout)] == ["right"] * 9
    assert [s.x0 for s in layout.strips] == [0, 4, 0, 4, 0, 4, 8, 8, 8]
    assert [s.y0 for s in layout.strips] == pytest.approx([0, 0, 2, 2, 4, 4, 0, 2, 4])


@pytest.mark.parametrize(("band", "count"), [(2.0, 3), (2.5, 2), (4.0, 2), (6.0, 1), (0.5, 12)])
def test_bands_are_even_and_as_near_the_wanted_depth_as_it_goes(band, count):
    strips = laid_out(across(plan={"band_m": band})).strips
    assert len({round(s.y0, 9) for s in strips}) == count
    assert {round(s.y1 - s.y0, 9) for s in strips} == {round(6.0 / count, 9)}


@settings(max_examples=60)
@given(floors(openings=2), plans(), st.data())
def test_strips_tile_the_floor_and_each_band_follows_the_one_before_it(floor, plan, data):
    plan = replace(plan, order="across", strip_width=None)
    cut = floor_cut(floor)
    strips = strips_of(cut, plan)
    assert sum(s.area for s in strips) == pytest.approx(cut.area)
    x = data.draw(st.floats(floor.supports[0] + 1e-3, floor.supports[-1] - 1e-3))
    y = data.draw(st.floats(1e-3, floor.length_y - 1e-3))
    holds = [s for s in strips if s.x0 < x < s.x1 and s.y0 < y < s.y1]
    assert len(holds) <= 1
    if cut.area < 1e-6:
        return
    layout = laid_out(replace(on(floor), plans=(plan,)))
    assert [s.name for s in layout.strips] == [s.name for s in strips]
    assert not layout.broken
    columns: dict[tuple[int, str, float], list[float]] = {}
    for strip in layout.strips:
        columns.setdefault((strip.place, strip.bay, strip.x0), []).append(strip.y0)
    for rows in columns.values():
        assert rows == sorted(rows) or rows == sorted(rows, reverse=True)
    assert layout.theory.sum() == pytest.approx(cut.area * 0.15)


def test_a_listed_order_of_bands_is_judged_band_by_band():
    names = [strip.name for strip in laid_out(across()).strips]
    # Both directions within a band keep the rules; a band before the one behind it does not.
    other_way = [names[1], names[0], *names[2:]]
    plan = {"order": "listed", "cut": "across"}
    kept = laid_out(pour(floor=TWO_RUNS, plan=plan | {"sequence": other_way}))
    assert not kept.broken
    turned = [names[3], names[1], names[2], names[0], *names[4:]]
    (broken,) = laid_out(pour(floor=TWO_RUNS, plan=plan | {"sequence": turned})).broken
    assert (broken.earlier, broken.later) == ("1/band 1 span 1", "1/band 2 span 1")
    assert broken.rule == "each band after the one before it"


def test_several_fronts_have_bands_of_their_own():
    front = {"pump": "pump", "crew": "crew", "bays": ["2"]}
    layout = laid_out(across(plan={"bays": ["1"], "fronts": [front], "pour_width_m": 30.0}))
    assert {s.bay: f for s, f in zip(layout.strips, layout.front_of, strict=True)} == {
        "1": 0,
        "2": 1,
    }
    mine = [s.name for s, f in zip(layout.strips, layout.front_of, strict=True) if f == 1]
    assert mine == ["2/band 1 span 1", "2/band 2 span 1", "2/band 3 span 1"]


# Moves.


def test_the_hose_walks_on_within_a_band_and_to_the_next_band_where_it_stands():
    layout = laid_out(across())
    # From the end of a band two metres on to the next one; from run 1 to run 2 it stands there.
    assert layout.moves == pytest.approx([0, 0, 2, 0, 2, 0, 0, 2, 2])
    assert layout.walks_on == (False, *[True] * 8)


def test_going_back_to_the_other_end_is_a_move():
    layout = laid_out(across(plan={"alternate": False}))
    # Back over 8 m and on by 2 m; to run 2 down 4 m of y; within run 2 back over 3 m.
    assert layout.moves == pytest.approx([0, 0, 10, 0, 10, 0, 4, 5, 5])
    assert layout.walks_on == (False, True, False, True, False, True, False, False, False)


def test_strips_along_y_are_never_walked_on_to():
    assert not any(laid_out(pour(floor=TWO_RUNS)).walks_on)


# Edges.


def test_the_open_edge_is_the_front_and_sides_within_a_band_wait_for_nothing():
    # One run of two spans of 4 m, two bands of 3 m, 150 mm: 1.8 m³ a strip, poured at 60 m³/h
    # from one truck of 8 m³: 1.8 min a strip, 0.45 min a metre of x.
    floor = {"spans_m": [4.0, 4.0], "sheet_runs": [2], "length_y_m": 6.0}
    scenario = across(
        floor,
        plan={"band_m": 3.0},
        supply={"load_m3": 8.0, "discharge_min": 1},
    )
    outcome = measured(scenario)
    pairs = outcome.basis.layout.pairs
    gaps = {(p.first, p.second): gap / 60 for p, gap in zip(pairs, outcome.edges.gap, strict=True)}
    sides = {(p.first, p.second): (p.along, p.at, p.low, p.high) for p in pairs}
    # Strips: 0 left below, 1 right below, 2 right above, 3 left above.
    assert sides == {
        (0, 1): ("y", 4.0, 0.0, 3.0),
        (1, 2): ("x", 3.0, 4.0, 8.0),
        (2, 3): ("y", 4.0, 3.0, 6.0),
        (0, 3): ("x", 3.0, 0.0, 4.0),
    }
    assert gaps[0, 1] == pytest.approx(0.0, abs=1e-6)
    assert gaps[2, 3] == pytest.approx(0.0, abs=1e-6)
    # At the turn the edge is covered at once; a metre from it after two metres of pouring. At
    # x = 4 the front was 4 m away and back: 8 x 0.45 min; at x = 0 it was 8 m: 16 x 0.45.
    assert gaps[1, 2] == pytest.approx(3.6)
    assert gaps[0, 3] == pytest.approx(7.2)
    place = {(p.first, p.second): worst_place(outcome.basis.layout, p, at)
             for p, at in zip(pairs, outcome.edges.at.tolist(), strict=True)}  # fmt: skip
    assert place[0, 3] == pytest.approx((0.0, 3.0))
    assert place[1, 2] == pytest.approx((4.0, 3.0))
    assert place[0, 1] == pytest.approx((4.0, 1.5))


def test_a_band_round_an_opening_is_filled_by_what_is_left_of_it():
    # A hole of 2 m x 1 m in a band 4 m long and 2 m deep: 1 m whole, 2 m half, 1 m whole.
    floor = {"spans_m": [4.0], "sheet_runs": [1], "length_y_m": 2.0}
    floor |= {"openings": [{"x_m": [1.0, 3.0], "y_m": [0.0, 1.0]}]}
    (profile,) = laid_out(across(floor)).profiles
    held = np.interp([0, 1, 3, 4], profile.at, profile.volume)
    assert held == pytest.approx([0.0, 0.3, 0.6, 0.9])


# The deck.


def states_of(layout):
    """(x of the strip, stage) of every state of the first line."""
    line = layout.lines[0]
    return [(layout.strips[s.strip].x0, s.stage) for s in line.states]


def test_a_line_of_deck_is_filled_span_by_span_and_each_band_has_its_own():
    floor = {"spans_m": [4.0] * 3, "sheet_runs": [3], "length_y_m": 4.0}
    layout = laid_out(across(floor))
    assert [(line.station.low, line.station.high) for line in layout.lines] == [(0, 2), (2, 4)]
    assert states_of(layout) == [
        (0, "bare"),
        (0, "arrive"), (0, "front"), (0, "left"),
        (4, "arrive"), (4, "front"), (4, "left"),
        (8, "arrive"), (8, "front"), (8, "left"),
        (8, "full"),
    ]  # fmt: skip
    # The second band is filled from the other end.
    back = layout.lines[1]
    assert [layout.strips[i].x0 for i in back.strips] == [8, 4, 0]


def test_moments_of_a_band_are_those_of_one_two_and_three_loaded_spans():
    # Three equal spans, wet concrete only: the end span alone bends 0.094 w l² (Steel Designers'
    # Manual, value from memory: 0.094), two spans hog 0.117 w l² over the support between them.
    floor = {"spans_m": [4.0] * 3, "sheet_runs": [3], "length_y_m": 2.0}
    deck = {"self_weight_kN_m2": 0}
    layout = laid_out(across(floor, deck=deck))
    (line,) = layout.lines
    w, l2 = 0.15 * 26e3, 16.0
    sag = line.base.moment.max(axis=1) / (w * l2)
    hog = line.base.moment.min(axis=1) / (w * l2)
    stages = [(s.turn, s.stage) for s in line.states]
    assert sag[stages.index((0, "front"))] == pytest.approx(0.094, abs=5e-4)
    over = line.base.support_moment.min(axis=1) / (w * l2)
    assert min(over[stages.index((1, "front"))], hog.min()) == pytest.approx(-0.117, abs=5e-4)
    assert over[stages.index((2, "front"))] == pytest.approx(-0.100, abs=5e-4)
    # An independent solution of the same loads, all in one piece.
    whole = influence((0.0, 4.0, 8.0, 12.0), 300e3, np.array([[0.0, 12.0]]))
    assert line.base.moment.max(axis=1)[-1] == pytest.approx(
        float(whole.moment.max()) * w, rel=2e-3
    )


def test_a_band_on_beams_is_placed_on_all_its_lines_at_once():
    floor = {"spans_m": [4.0, 4.0], "sheet_runs": [2], "length_y_m": 8.0}
    floor |= {"primary_beams_y_m": [0.0, 8.0]}
    beam = BeamData(8e6, 0.0, False)
    beams = Beams((beam,) * 3, (None, None), (), 2.5)
    scenario = replace(across(floor, plan={"band_m": 4.0}), beams=beams)
    layout = laid_out(scenario)
    # Nine lines are wanted between the primary beams: five in each band of 4 m, and the one beside
    # the primary beam.
    assert len(layout.lines) == 12
    steps = [(strip, len(lines)) for strip, lines in layout.struck.steps]
    assert steps == [(0, 6), (1, 6), (2, 6), (3, 6)]
    # Under the first band the beam is down before the second one comes.
    assert layout.struck.moved[2].max() > 0
    assert layout.theory.sum() == pytest.approx(8 * 8 * 0.15)


# A day of it.


def test_a_day_places_every_band_exactly_and_in_order():
    scenario = across()
    log = played(scenario)
    assert log.unfinished == 0
    placed = np.zeros(9)
    for stretch in log.stretches:
        if stretch.strip >= 0:
            placed[stretch.strip] += stretch.volume_end - stretch.volume_start
    assert placed == pytest.approx(laid_out(scenario).volume)
    order = [s.strip for s in log.stretches if s.strip >= 0]
    assert order == sorted(order)


def test_finishers_have_the_whole_floor_and_its_edge_all_round():
    basis = basis_of(across())
    strips = basis.layout.strips
    assert sum(s.area for s in strips) == pytest.approx(66.0)
    # 11 m x 6 m: 34 m of edge, none between bands or spans.
    assert basis.top.edge_of_all == pytest.approx(34.0)


def test_the_graph_is_one_order_with_a_reason_on_every_edge():
    layout = laid_out(across())
    assert nx.is_directed_acyclic_graph(layout.graph)
    (only,) = nx.all_topological_sorts(layout.graph)
    assert only == [strip.name for strip in layout.strips]
