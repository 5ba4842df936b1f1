"""Which bays fall to which front, and the order over all fronts; by hand and on random sites."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import networkx as nx
import pytest
from builders.pours import pour
from builders.sites import SLOW, cases
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of
from pourday.floor.layout import lay_out
from pourday.floor.order.graph import OrderError, sequence
from pourday.floor.order.shares import Order, bays_of_fronts, order_of
from pourday.scenario.model.scenario import Scenario


def shared(spans, runs, fronts=2, primary=(), plan=None, length=12.0, **floor) -> Scenario:
    """A floor and a plan with so many fronts, all alike."""
    others = [{"pump": "pump", "crew": "crew"} for _ in range(fronts - 1)]
    floor |= {"spans_m": spans, "sheet_runs": runs, "length_y_m": length}
    return pour(
        floor=floor | {"primary_beams_y_m": list(primary), "cut_at_primary_beams": True},
        plan={"fronts": others, "order": "spread", "strip_width_m": min(3.0, *spans)}
        | (plan or {}),
    )


def of_bays(scenario: Scenario) -> dict[str, int]:
    return bays_of_fronts(floor_cut(scenario.floor), scenario.plans[0])


def planned(scenario: Scenario) -> Order:
    cut, plan = floor_cut(scenario.floor), scenario.plans[0]
    return order_of(scenario, plan, strips_of(cut, plan), bays_of_fronts(cut, plan))


def test_one_front_has_all_bays():
    assert of_bays(shared([3.0, 3.0], [1, 1], 1, [6.0])) == {"1a": 0, "1b": 0, "2a": 0, "2b": 0}


def test_whole_lanes_fall_to_the_fronts_where_there_are_enough():
    assert of_bays(shared([3.0, 3.0], [1, 1], 2, [6.0])) == {"1a": 0, "2a": 0, "1b": 1, "2b": 1}


def test_lanes_are_shared_out_evenly():
    five = of_bays(shared([3.0], [1], 2, [2.0, 4.0, 6.0, 8.0]))
    assert [five[f"1{lane}"] for lane in "abcde"] == [0, 0, 0, 1, 1]
    seven = of_bays(shared([3.0], [1], 3, [2.0, 4.0, 6.0, 8.0, 9.0, 10.0]))
    assert [seven[f"1{lane}"] for lane in "abcdefg"] == [0, 0, 0, 1, 1, 2, 2]


def test_neighbouring_runs_of_about_the_same_area_where_there_is_one_lane():
    # 6, 3 and 3 m wide: half of the floor each.
    assert of_bays(shared([6.0, 3.0, 3.0], [1, 1, 1])) == {"1": 0, "2": 1, "3": 1}
    assert of_bays(shared([3.0, 3.0, 6.0], [1, 1, 1])) == {"1": 0, "2": 0, "3": 1}


def test_openings_take_from_the_area_of_a_bay():
    # The first bay of 6 m keeps 1.5 m for all but 0 m of its length: 18 of 72 m².
    hole = [{"x_m": [0.5, 5.0], "y_m": [0.0, 12.0]}]
    scenario = shared([6.0, 3.0, 3.0], [1, 1, 1], openings=hole)
    assert of_bays(scenario) == {"1": 0, "2": 0, "3": 1}


def test_named_bays_are_their_fronts_own_and_the_rest_falls_to_the_others():
    fronts = [
        {"pump": "pump", "crew": "crew", "bays": ["1b"]},
        {"pump": "pump", "crew": "crew"},
    ]
    scenario = shared([3.0, 3.0], [1, 1], 3, [6.0], {"fronts": fronts})
    # Left are 1a, 2a and 2b: two lanes for fronts 1 and 3.
    assert of_bays(scenario) == {"1b": 1, "1a": 0, "2a": 0, "2b": 2}


@pytest.mark.parametrize(
    ("spans", "expected"), [([1.0, 1.0, 8.0], [0, 1, 2]), ([8.0, 1.0, 1.0], [0, 1, 2])]
)
def test_no_front_goes_without_a_bay_while_there_are_enough(spans, expected):
    found = of_bays(shared(spans, [1, 1, 1], 3))
    assert [found[name] for name in "123"] == expected


def test_more_fronts_than_bays_are_told_to_name_theirs():
    # The reader of a file refuses such a plan; here it is made without one.
    scenario = shared([3.0, 3.0], [1, 1], 1)
    plan = scenario.plans[0]
    with pytest.raises(OrderError, match="no bay is left for front 3; name its bays"):
        lay_out(scenario, replace(plan, fronts=plan.fronts * 3))


@settings(max_examples=100)
@given(
    spans=st.lists(st.integers(2, 40).map(lambda n: n / 4), min_size=1, max_size=8),
    fronts=st.integers(1, 4),
)
def test_runs_of_neighbours_each_front_at_least_one(spans, fronts):
    scenario = shared(spans, [1] * len(spans), 1)
    plan = replace(scenario.plans[0], fronts=scenario.plans[0].fronts * fronts)
    of_bay = bays_of_fronts(floor_cut(scenario.floor), plan)
    found = [of_bay[str(n + 1)] for n in range(len(spans))]
    assert found[0] == 0
    assert all(b - a in (0, 1) for a, b in pairwise(found))
    assert len(set(found)) == min(fronts, len(spans))


# The order.


def test_each_front_keeps_the_order_it_would_have_alone_and_they_take_turns():
    # Lanes of the same size and fronts alike: strip by strip, the first front first.
    scenario = shared([3.0, 3.0], [1, 1], 2, [6.0])
    order = planned(scenario)
    assert order.names == ("1a/strip 1", "1b/strip 1", "2a/strip 1", "2b/strip 1")
    assert [order.front_of[name] for name in order.names] == [0, 1, 0, 1]


def test_a_front_that_starts_later_comes_later():
    # A strip of 18 m² and 150 mm takes 2.7 m³ at 60 m³/h: 2.7 min. The other is there at 07:04.
    fronts = [{"pump": "pump", "crew": "crew", "start": "07:04"}]
    scenario = shared([3.0] * 3, [1] * 3, 2, [6.0], {"fronts": fronts})
    order = planned(scenario)
    assert order.names == tuple(f"{n}/strip 1" for n in ("1a", "2a", "1b", "3a", "2b", "3b"))


def test_strips_of_another_front_are_waited_for():
    plan = {"place_before": [["2a/strip 1", "1b/strip 1"]]}
    scenario = shared([3.0, 3.0], [1, 1], 2, [6.0], plan)
    layout = lay_out(scenario, scenario.plans[0])
    names = [strip.name for strip in layout.strips]
    assert names == ["1a/strip 1", "2a/strip 1", "1b/strip 1", "2b/strip 1"]
    assert layout.waits_for == ((), (), (1,), ())


def test_fronts_that_wait_for_each_other_are_an_order_that_goes_round():
    pairs = [["2a/strip 1", "1b/strip 1"], ["2b/strip 1", "1a/strip 1"]]
    scenario = shared([3.0, 3.0], [1, 1], 2, [6.0], {"place_before": pairs})
    with pytest.raises(OrderError, match="goes round in a circle"):
        lay_out(scenario, scenario.plans[0])


def test_a_listed_order_is_cut_into_that_of_each_front():
    names = [f"{bay}/strip 1" for bay in ("2b", "2a", "1a", "1b")]
    plan = {"order": "listed", "cut": "spread", "sequence": names}
    scenario = shared([3.0, 3.0], [1, 1], 2, [6.0], plan)
    order = planned(scenario)
    assert [n for n in order.names if order.front_of[n] == 0] == ["2a/strip 1", "1a/strip 1"]
    assert [n for n in order.names if order.front_of[n] == 1] == ["2b/strip 1", "1b/strip 1"]


@settings(max_examples=60, suppress_health_check=SLOW)
@given(cases(with_upsets=False))
def test_the_order_over_all_fronts_breaks_no_rule_of_any(case):
    scenario, plan = case.scenario, case.plan
    cut = floor_cut(scenario.floor)
    strips, of_bay = strips_of(cut, plan), bays_of_fronts(cut, plan)
    order = order_of(scenario, plan, strips, of_bay)
    assert sorted(order.names) == sorted(strip.name for strip in strips)
    at = {name: k for k, name in enumerate(order.names)}
    assert all(at[before] < at[after] for before, after in order.graph.edges)
    assert set(of_bay) == {bay.name for bay in cut.bays}
    assert order.front_of == {strip.name: of_bay[strip.bay] for strip in strips}
    for front in range(len(plan.fronts)):
        mine = [name for name in order.names if order.front_of[name] == front]
        assert mine, "a front without a strip"
        whole = sequence(order.graph, plan.begin_at)
        assert mine == [name for name in whole if order.front_of[name] == front]
        if not plan.place_before:
            alone = nx.DiGraph(order.graph.subgraph(mine))
            assert set(order.graph.successors(mine[0])) <= set(alone)
