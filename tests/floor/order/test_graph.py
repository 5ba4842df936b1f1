"""The placing order: rules of design section 5 (common practice, no source), worked by hand."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from builders.pours import laid_out, pour
from builders.random_floors import floors, on, plans
from hypothesis import given, settings

from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of
from pourday.floor.order.graph import CONSEQUENCE, OrderError, sequence
from pourday.floor.order.shares import bays_of_fronts, order_of
from pourday.floor.strips import cut_spread, cut_thirds

THREE_SPANS = {"spans_m": [4.0, 4.0, 4.0], "sheet_runs": [3], "length_y_m": 10.0}


def joined(**plan):
    """Two runs of three spans of 4 m."""
    return pour(floor={"spans_m": [4.0] * 6, "sheet_runs": [3, 3], "length_y_m": 10.0}, plan=plan)


def where(strips) -> list[tuple[str, float, float]]:
    return [(s.name, round(s.x0, 6), round(s.x1, 6)) for s in strips]


def test_thirds_on_the_worked_run_of_three_spans():
    # Design section 6: beam strips of two cells, edge with its gap, the middle gap, the last gap,
    # the joint. Cells of 4/3 m; the floor ends at a joint with a later pour.
    layout = laid_out(pour(floor=THREE_SPANS | {"high_x_end": "joint"}))
    third = 4 / 3
    assert [(s.kind, round(s.x0 / third), round(s.x1 / third)) for s in layout.strips] == [
        ("beam", 2, 4),
        ("beam", 5, 7),
        ("edge", 0, 2),
        ("gap", 4, 5),
        ("gap", 7, 8),
        ("joint", 8, 9),
    ]
    for strip in layout.strips:
        assert strip.x0 / third == pytest.approx(round(strip.x0 / third), abs=1e-9)
    cells = [sum(cell.strip == i for cell in layout.lines[0].cells) for i in range(6)]
    assert cells == [2, 2, 2, 1, 1, 1]


def test_ponding_of_the_worked_run_is_that_of_the_design():
    # Design section 6: 210 kN m², 105 mm, 25 kN/m³, no crew load, datum: 8.57 mm of mean extra in
    # spread order, 9.31 mm in thirds; half a unit of the last digit printed there.
    for order, expected in (("spread", 8.57), ("thirds", 9.31)):
        scenario = pour(
            floor=THREE_SPANS | {"high_x_end": "joint"},
            deck={"bending_stiffness_kNm2_per_m": 210, "self_weight_kN_m2": 0},
            slab={"depth_mm": 105, "strike": "datum", "wet_density_kN_m3": 25},
            plan={"order": order},
        )
        assert 1e3 * laid_out(scenario).ponding / 120.0 == pytest.approx(expected, abs=0.005)


def test_thirds_between_two_edges_has_no_joint_strip():
    layout = laid_out(pour(floor=THREE_SPANS))
    assert [s.kind for s in layout.strips] == ["beam", "beam", "edge", "gap", "edge"]
    assert layout.strips[-1].x1 == 12.0


def test_fraction_is_taken_of_each_span():
    layout = laid_out(
        pour(floor=THREE_SPANS | {"spans_m": [3.0, 5.0, 4.0]}, plan={"fraction": 0.25})
    )
    beams = [(s.x0, s.x1) for s in layout.strips if s.kind == "beam"]
    assert beams == [pytest.approx((2.25, 4.25)), pytest.approx((6.75, 9.0))]


def test_joint_strip_belongs_to_the_bay_it_closes_and_is_its_last():
    strips = laid_out(joined()).strips
    joint = next(s for s in strips if s.kind == "joint")
    assert joint.bay == "1"
    assert (joint.x0, joint.x1) == pytest.approx((12 - 4 / 3, 12 + 4 / 3))
    assert strips.index(joint) == max(k for k, s in enumerate(strips) if s.bay == "1")
    second = [s for s in strips if s.bay == "2"]
    assert min(s.x0 for s in second) == pytest.approx(joint.x1)
    assert strips[len(strips) - len(second) :] == tuple(second)


def test_pouring_from_the_other_end_mirrors_the_order():
    forward, back = laid_out(joined()).strips, laid_out(joined(begin_at="high_x")).strips
    assert [s.kind for s in back] == [s.kind for s in forward]
    for one, other in zip(forward, back, strict=True):
        assert (24 - other.x1, 24 - other.x0) == pytest.approx((one.x0, one.x1))
    assert next(s for s in back if s.kind == "joint").bay == "2"


def test_a_floor_that_begins_at_a_joint_closes_that_one_too():
    layout = laid_out(pour(floor=THREE_SPANS | {"low_x_end": "joint", "high_x_end": "joint"}))
    joints = [(s.name, s.x0, s.x1) for s in layout.strips if s.kind == "joint"]
    assert sorted(joints) == [
        ("1/joint", pytest.approx(12 - 4 / 3), 12.0),
        ("1/joint at start", 0.0, pytest.approx(4 / 3)),
    ]
    assert {s.kind for s in layout.strips[-2:]} == {"joint"}


def test_spread_goes_side_by_side_from_the_starting_end():
    for begin_at, sign in (("low_x", 1), ("high_x", -1)):
        middles = [
            sign * s.middle for s in laid_out(joined(order="spread", begin_at=begin_at)).strips
        ]
        assert middles == sorted(middles)
    assert len(middles) == 18


def test_spread_cuts_each_span_evenly_near_the_width_asked_for():
    floor = pour(floor=THREE_SPANS | {"spans_m": [3.0, 4.0, 3.5]}).floor
    strips = cut_spread(floor_cut(floor), 1.2, 1 / 3, "low_x", "side_by_side")
    # 3 / 1.2 = 2.5 goes to 2; 4 / 1.2 = 3.3 to 3; 3.5 / 1.2 = 2.9 to 3.
    assert [round(s.x1 - s.x0, 6) for s in strips] == [1.5, 1.5, *[1.333333] * 3, *[1.166667] * 3]


def test_lanes_side_by_side_or_one_after_another():
    floor = {"spans_m": [3.0] * 4, "sheet_runs": [2, 2], "length_y_m": 12.0}
    floor |= {"primary_beams_y_m": [0.0, 6.0, 12.0], "cut_at_primary_beams": True}
    across = laid_out(pour(floor=floor))
    along = laid_out(pour(floor=floor, plan={"lanes": "one_after_another"}))
    assert list(dict.fromkeys(s.bay for s in across.strips)) == ["1a", "1b", "2a", "2b"]
    assert list(dict.fromkeys(s.bay for s in along.strips)) == ["1a", "2a", "1b", "2b"]


@settings(max_examples=100)
@given(floors(), plans())
def test_the_order_keeps_every_edge_of_its_graph_and_every_edge_has_a_reason(floor, plan):
    cut = floor_cut(floor)
    strips = strips_of(cut, plan)
    order = order_of(on(floor), plan, strips, bays_of_fronts(cut, plan))
    graph, names = order.graph, order.names
    assert sorted(names) == sorted(strip.name for strip in strips)
    at = {name: k for k, name in enumerate(names)}
    assert nx.is_directed_acyclic_graph(graph)
    for before, after, data in graph.edges(data=True):
        assert at[before] < at[after]
        assert data["reason"] in CONSEQUENCE
    if not floor.openings:
        # Bays follow one another: an opening may take every strip that ties two bays together.
        places = [next(s.place for s in strips if s.name == name) for name in names]
        assert places == sorted(places)


@settings(max_examples=100)
@given(floors(openings=0), plans())
def test_thirds_places_a_gap_after_its_beams_and_a_narrow_one_at_most_with_the_later(floor, plan):
    strips = laid_out(replace(on(floor), plans=(replace(plan, order="thirds", strip_width=None),)))
    at = {strip: k for k, strip in enumerate(strips.strips)}
    for strip in strips.strips:
        for other in strips.strips:
            beside = abs(strip.x0 - other.x1) < 1e-6 or abs(strip.x1 - other.x0) < 1e-6
            if not beside or other.kind != "beam" or strip.bay != other.bay:
                continue
            if strip.kind != "beam":
                assert at[other] < at[strip]
            elif strip.joined and (other.x1 in strip.joined or other.x0 in strip.joined):
                assert at[other] < at[strip]
                assert strip.joined[1] - strip.joined[0] < plan.least_strip
            else:  # beam strips touch only where the gap between them was too narrow
                assert other.joined


def test_ties_go_to_the_shortest_move():
    # Bay order and x decide first; only a tie of both is left to the move: two bays of one
    # sheet run never tie, so a graph of one bay's strips at one x does.
    cut = floor_cut(pour(floor=THREE_SPANS).floor)
    strips = cut_thirds(cut, 1 / 3, "low_x", "side_by_side")
    base = next(s for s in strips if s.kind == "beam")
    near = replace(base, name="near", y0=0.0, y1=4.0)
    far = replace(base, name="far", y0=6.0, y1=10.0)
    start = replace(base, name="start", y0=8.0, y1=9.0, x0=base.x0 - 1, x1=base.x1 - 1)
    graph = nx.DiGraph()
    for strip in (near, far, start):
        graph.add_node(strip.name, strip=strip)
    assert sequence(graph, "low_x") == ("start", "far", "near")


# ------------------------------------------------------------------------------ wishes, lists


def test_a_wish_is_kept():
    # By rule edge 1 comes before gap 2; the wish turns them round.
    plain = [s.name for s in laid_out(pour(floor=THREE_SPANS)).strips]
    assert plain.index("1/edge 1") < plain.index("1/gap 2")
    wished = laid_out(pour(floor=THREE_SPANS, plan={"place_before": [["1/gap 2", "1/edge 1"]]}))
    names = [s.name for s in wished.strips]
    assert names.index("1/gap 2") < names.index("1/edge 1")
    assert wished.broken == ()


def test_a_cycle_is_refused_naming_it_with_its_reasons():
    scenario = pour(floor=THREE_SPANS, plan={"place_before": [["1/gap 2", "1/beam 1"]]})
    with pytest.raises(OrderError) as error:
        laid_out(scenario)
    said = str(error.value)
    assert "1/gap 2 -> 1/beam 1 -> 1/gap 2" in said or "1/beam 1 -> 1/gap 2 -> 1/beam 1" in said
    assert "asked for in place_before" in said
    assert "beam strip before the gap beside it" in said


def test_a_strip_before_itself_is_a_cycle():
    with pytest.raises(OrderError, match="1/beam 1 -> 1/beam 1"):
        laid_out(pour(floor=THREE_SPANS, plan={"place_before": [["1/beam 1", "1/beam 1"]]}))


def test_a_wish_for_a_strip_that_is_not_there_is_refused():
    with pytest.raises(OrderError, match="no strip is called '1/beam 7'"):
        laid_out(pour(floor=THREE_SPANS, plan={"place_before": [["1/beam 7", "1/edge 1"]]}))


NAMES = ["1/beam 1", "1/beam 2", "1/edge 1", "1/gap 2", "1/edge 3"]


def listed(names):
    return laid_out(pour(floor=THREE_SPANS, plan={"order": "listed", "sequence": names}))


def test_a_listed_order_is_followed():
    layout = listed(NAMES[1::-1] + NAMES[2:])
    assert [s.name for s in layout.strips] == NAMES[1::-1] + NAMES[2:]
    assert layout.broken == ()


def test_a_list_that_names_leaves_out_or_repeats_strips_is_refused_with_all_of_it():
    with pytest.raises(OrderError) as error:
        listed(["1/beam 1", "1/beam 2", "1/beam 2", "1/edge 1", "1/edge 9"])
    said = str(error.value)
    assert "no strip is called '1/edge 9'" in said
    assert "leaves out '1/gap 2', '1/edge 3'" in said
    assert "names twice '1/beam 2'" in said


def test_a_listed_order_names_every_rule_it_breaks_with_its_consequence():
    layout = listed(["1/gap 2", "1/beam 1", "1/edge 3", "1/beam 2", "1/edge 1"])
    broken = {(rule.earlier, rule.later): rule for rule in layout.broken}
    assert set(broken) == {
        ("1/beam 1", "1/gap 2"),
        ("1/beam 2", "1/gap 2"),
        ("1/beam 2", "1/edge 3"),
    }
    assert broken["1/beam 1", "1/gap 2"].rule == "beam strip before the gap beside it"
    assert "sags more" in broken["1/beam 1", "1/gap 2"].consequence
    assert "uplift" in broken["1/beam 2", "1/edge 3"].consequence


def test_a_listed_order_that_skips_a_bay_or_closes_a_joint_early_is_told_so():
    names = [s.name for s in laid_out(joined()).strips]
    early = ["2/beam 1", "1/joint"]
    moved = early + [name for name in names if name not in early]
    layout = laid_out(joined(order="listed", sequence=moved))
    broken = {(rule.earlier, rule.later, rule.rule) for rule in layout.broken}
    # The joint stands before the other five strips of its bay, the beam before the bay's last.
    assert broken == {
        ("1/joint", "2/beam 1", "bays follow one another"),
        *((name, "1/joint", "joint strip last in its bay") for name in names[:5]),
    }
    assert all(rule.consequence == CONSEQUENCE[rule.rule] for rule in layout.broken)
