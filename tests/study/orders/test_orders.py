"""Orders judged without a day: the worked case of the design, the search, and where it turns."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations

import networkx as nx
import numpy as np
import pytest
from builders.pours import laid_out, pour

from pourday.deck.beam import influence
from pourday.deck.effects import Resistance, effects_of
from pourday.deck.factors import bounds, push
from pourday.deck.history import peaks, respond
from pourday.floor.cut import floor_cut
from pourday.floor.order.graph import OrderError, broken_rules
from pourday.scenario.model.scenario import BeamData, Beams
from pourday.study.orders.bay import (
    bay_case,
    extra_volume,
    judge,
    judge_case,
    line_in_order,
    planned_order,
)
from pourday.study.orders.search import _Steps, best_and_worst, search
from pourday.study.orders.turns import turning_points

WORKED = {
    "floor": {"spans_m": [4.0] * 3, "sheet_runs": [3], "length_y_m": 10.0, "high_x_end": "joint"},
    "deck": {"bending_stiffness_kNm2_per_m": 210, "self_weight_kN_m2": 0},
    "slab": {"depth_mm": 105, "strike": "datum", "wet_density_kN_m3": 25.0},
}
BUSY = {
    "preset": "us_practice",
    "heap_height_factor": {"dist": "triangular", "low": 1.2, "mode": 1.5, "high": 2.4},
    "crew_kN_m2": 0.3,
    "pipe_kN_m": 0.4,
    "skip_landing_kN": 2.0,
    "stacks": [{"x_m": [2.5, 4.5], "y_m": [0.0, 4.0], "weight_kN": 12.0}],
}
TWO_RUNS = {"spans_m": [3.6] * 4, "sheet_runs": [2, 2], "length_y_m": 12.0}
JOINED = {"primary_beams_y_m": [0.0, 5.0, 12.0], "cut_at_primary_beams": True} | TWO_RUNS


def worked(order: str = "thirds", **changes):
    return pour(**(WORKED | {"plan": {"order": order}} | changes))


def asked(scenario, plan=None, bay="1"):
    """Scenario, its floor cut, a plan (its first unless told) and a bay: what is asked about."""
    return scenario, floor_cut(scenario.floor), plan or scenario.plans[0], bay


def planned(scenario, plan=None, bay="1"):
    what = asked(scenario, plan, bay)
    return judge(*what, planned_order(*what))


def case_of(scenario, bay="1"):
    return bay_case(*asked(scenario, bay=bay))


def rank(result):
    return (round(result.use.value, 9), result.extra_volume)


# ------------------------------------------------------------------------------ the worked case


@pytest.mark.parametrize(
    ("order", "sag_mm", "reaction_kn", "extra_mm", "low_mm", "high_mm"),
    [("spread", 33.1, -1.22, 8.57, -7.5, 9.8), ("thirds", 29.5, -0.04, 9.31, -7.6, 8.5)],
)
def test_the_worked_case_of_the_design(order, sag_mm, reaction_kn, extra_mm, low_mm, high_mm):
    # Design section 6, figures set down there; half a unit of the last digit.
    result = planned(worked(order))
    # Sag and uplift are those of the concrete as struck; the deck carries no less than the rule for
    # ponding says (EN 1994-1-1 9.3.2(2)), since the sag is over a tenth of the depth here.
    line = line_in_order(case_of(worked(order)), result.names)
    fine = len(line.deck.fine)
    struck = line.struck.thickness[line.deck.owner] * 25e3  # the deck weighs nothing here
    as_struck = np.where(line.pressures[:, :fine] > 0.0, struck, 0.0)
    lies = respond(line.deck.unit, np.hstack([as_struck, line.pressures[:, fine:]]))
    assert 1e3 * lies.deflection.max() == pytest.approx(sag_mm, abs=0.05)
    assert 1e-3 * lies.reaction.min() == pytest.approx(reaction_kn, abs=0.005)
    assert result.deflection.value > lies.deflection.max()
    assert 1e3 * result.extra_mean == pytest.approx(extra_mm, abs=0.005)
    assert 1e3 * result.later_low == pytest.approx(low_mm, abs=0.05)
    assert 1e3 * result.later_high == pytest.approx(high_mm, abs=0.05)
    # 12 m x 10 m without openings.
    assert result.extra_volume == pytest.approx(result.extra_mean * 120)


def test_peaks_name_the_strip_that_causes_them():
    result = planned(worked("spread"))
    # The first span full, the rest bare: most sag in it, the support beyond the next span lifts.
    assert (result.deflection.strip, result.deflection.stage) == ("1/strip 3", "front")
    assert 0 < result.deflection.x < 4
    assert (result.uplift.strip, result.uplift.x) == ("1/strip 3", 8.0)


def test_balance_by_hand_struck_to_thickness():
    # Spread on two spans, the first full: all of its load on the left, 3.6 m x 150 mm x 26 kN/m³.
    scenario = pour(floor=TWO_RUNS | {"spans_m": [3.6] * 2, "sheet_runs": [2]})
    plan = replace(scenario.plans[0], order="spread")
    found = planned(scenario, plan).balance
    assert (found.value, found.x) == (pytest.approx(-3.6 * 0.15 * 26e3), 3.6)
    assert found.strip == "1/strip 3"
    assert planned(pour()).balance is None


def test_uplift_by_hand_with_one_of_two_spans_full():
    # Far support -w L / 16 (handbook coefficient, from memory), held down by 3/8 g L.
    scenario = pour(
        floor=TWO_RUNS | {"spans_m": [3.6] * 2, "sheet_runs": [2]},
        plan={"order": "spread", "strip_width_m": 3.6},
    )
    found = planned(scenario).uplift
    assert found.value == pytest.approx(0.375 * 120 * 3.6 - 0.15 * 26e3 * 3.6 / 16)
    assert (found.x, found.strip, found.stage) == (7.2, "1/strip 1", "front")


# --------------------------------------------------------------------- the same as the whole floor


@pytest.mark.parametrize("strike", ["datum", "guides", "thickness"])
@pytest.mark.parametrize("begin_at", ["low_x", "high_x"])
def test_a_bay_alone_is_struck_and_loaded_as_on_the_whole_floor(strike, begin_at):
    scenario = pour(floor=JOINED, slab={"strike": strike}, loads=BUSY, plan={"begin_at": begin_at})
    layout = laid_out(scenario)
    total = 0.0
    for line in layout.lines:
        case = case_of(scenario, line.bay.name)
        names = tuple(layout.strips[i].name for i in line.strips)
        assert planned_order(*asked(scenario, bay=line.bay.name)) == names
        mine = line_in_order(case, names)
        assert mine.struck.thickness == pytest.approx(line.struck.thickness, rel=1e-12)
        assert mine.pressures == pytest.approx(line.pressures, rel=1e-12)
        assert mine.base.moment == pytest.approx(line.base.moment, abs=1e-6)
        assert mine.heap.reaction == pytest.approx(line.heap.reaction, abs=1e-6)
        total += extra_volume(case, mine)
    assert total == pytest.approx(layout.ponding, abs=1e-9)


def test_any_order_is_that_of_a_plan_that_lists_it():
    # Line loads stand in the order of strips: they have to move with it.
    scenario = pour(floor=JOINED | {"sheet_runs": [4]}, slab={"strike": "datum"}, loads=BUSY)
    case = case_of(scenario, "1a")
    names = list(case.own)
    random.Random(4).shuffle(names)
    others = [s.name for s in laid_out(scenario).strips if s.bay == "1b"]
    plan = replace(scenario.plans[0], order="listed", sequence=(*names, *others))
    layout = laid_out(replace(scenario, plans=(plan,)))
    line = next(line for line in layout.lines if line.bay.name == "1a")
    mine = line_in_order(case, names)
    assert mine.pressures.shape == line.pressures.shape
    assert mine.base.moment == pytest.approx(line.base.moment, abs=1e-6)
    assert mine.base.reaction == pytest.approx(line.base.reaction, abs=1e-6)
    assert mine.struck.extra == pytest.approx(line.struck.extra, abs=1e-12)


def test_finer_cells_change_nothing_that_is_struck_to_thickness(monkeypatch):
    scenario = pour(floor=JOINED, loads=BUSY, plan={"fraction": 0.2})
    for bay in ("1a", "2b"):
        order = planned_order(*asked(scenario, bay=bay))
        results = []
        for longest in (1.0, 0.1):
            monkeypatch.setattr("pourday.floor.lines.lines.LONGEST_CELL", longest)
            results.append(judge_case(case_of(scenario, bay), order))
        coarse, fine = results
        for name in ("hog_moment", "reaction", "uplift"):
            assert getattr(fine, name).value == pytest.approx(getattr(coarse, name).value, rel=1e-9)
        # More stations may find a little more between the supports.
        assert fine.sag_moment.value == pytest.approx(coarse.sag_moment.value, rel=1e-3)
        assert fine.extra_volume == coarse.extra_volume == 0.0


def test_an_opening_takes_no_extra_concrete():
    hole = [{"name": "stair", "x_m": [1.0, 2.0], "y_m": [2.0, 6.0]}]
    whole = planned(worked())
    holed = planned(worked(floor=WORKED["floor"] | {"openings": hole}))
    # The line of deck is the same; 4 m² of 120 are missing in the edge strip's cells.
    assert holed.later_high == whole.later_high
    assert holed.extra_volume < whole.extra_volume
    assert holed.extra_mean == pytest.approx(holed.extra_volume / 116)


def test_the_joint_strip_of_the_earlier_bay_comes_first():
    scenario = pour(floor=TWO_RUNS, slab={"strike": "datum"})
    case = case_of(scenario, "2")
    assert case.before == ("1/joint",)
    result = judge_case(case, case.own)
    assert result.names == ("1/joint", *case.own)
    assert judge_case(case, ("1/joint", *case.own)) == result
    # Named elsewhere it takes that place.
    assert judge_case(case, (*case.own, "1/joint")).names[-1] == "1/joint"


def test_beams_are_left_out_and_it_says_so():
    plain = worked()
    beams = Beams((None,) * 4, (BeamData(60e6, 0.0, False),), (0.0, 12.0), 2.5)
    floor = replace(plain.floor, primary_beams_y=(0.0,))
    bent = planned(replace(plain, floor=floor, beams=beams))
    assert bent.beams_left_out
    assert bent == replace(planned(plain), beams_left_out=True)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda own: own[:-1], "leaves out"),
        (lambda own: (*own, "1/attic"), "no strip"),
        (lambda own: (*own, own[0]), "twice"),
    ],
)
def test_an_order_that_does_not_fit_is_refused(change, words):
    case = case_of(worked())
    with pytest.raises(OrderError, match=words):
        judge_case(case, change(case.own))


def test_an_unknown_bay_names_those_there_are():
    scenario = pour(floor=JOINED)
    with pytest.raises(KeyError, match="1a, 1b, 2a, 2b"):
        case_of(scenario, "3")


# -------------------------------------------------------------------------------------- search


def small(**changes):
    """Two spans and a joint: four strips and the rules between them, crew and heap on them."""
    floor = TWO_RUNS | {"spans_m": [3.6, 3.0], "sheet_runs": [2], "high_x_end": "joint"}
    loads = {"preset": "en_1991_1_6", "heap_height_factor": 1.6, "crew_kN_m2": 0.3}
    plain = {"floor": floor, "slab": {"strike": "datum"}, "plan": {"least_strip_m": 0}}
    return pour(**(plain | {"loads": loads} | changes))


def test_exact_search_is_brute_force():
    scenario = small()
    found = best_and_worst(*asked(scenario))
    case = case_of(scenario)
    every = [judge(*asked(scenario), order) for order in permutations(case.own)]
    allowed = [r for r in every if not broken_rules(case.rules, r.names)]
    assert 1 < len(allowed) < len(every) == 24
    assert rank(found.best) == min(map(rank, allowed))
    assert rank(found.worst) == max(map(rank, every))
    assert found.tried == 24
    assert found.worst_how == "exact: all 24 orders judged"
    assert found.best_how == f"exact: all {len(allowed)} orders judged"


@pytest.mark.parametrize("strike", ["datum", "guides", "thickness"])
def test_heuristic_search_finds_the_extremes_of_a_small_bay(strike):
    case = case_of(small(slab={"strike": strike}))
    exact, found = search(case), search(case, most_orders=0)
    assert rank(found.best) == pytest.approx(rank(exact.best), abs=1e-9)
    assert rank(found.worst) == pytest.approx(rank(exact.worst), abs=1e-9)
    assert found.best_how.startswith("exact" if strike == "thickness" else "heuristic")
    assert "dynamic programme" in found.worst_how


def test_dynamic_programme_is_brute_force_on_seven_strips_at_theory_thickness():
    # Four spans, thirds: 7 strips, 5040 orders, no heap and no crew. The use of a set of strips
    # is that of what stands, worked out here from the cells alone.
    floor = {"spans_m": [3.0, 3.6, 3.6, 2.4], "sheet_runs": [4], "length_y_m": 12.0}
    case = case_of(pour(floor=floor))
    strips, count = case.strips, 7
    assert len(strips) == count
    marks = sorted({x for s in strips for x in (s.x0, s.x1)})
    cells = np.column_stack([marks[:-1], marks[1:]])
    deck = influence([0, 3.0, 6.6, 10.2, 12.6], 300e3, cells)
    holds = np.array([(cells.mean(axis=1) > s.x0) & (cells.mean(axis=1) < s.x1) for s in strips])
    sets = (np.arange(2**count)[:, None] >> np.arange(count) & 1).astype(float)
    states = 120.0 + 0.15 * 26e3 * (sets @ holds)
    resistance = Resistance(8e3, 7e3, 40e3)
    effects = effects_of(deck, resistance)
    lies = push(states, effects.matrix)
    plain, factored = (
        bounds(lies.of(rows), (1.0, 1.0)) for rows in (effects.plain_rows, effects.factored_rows)
    )
    use = peaks(plain, factored, effects, resistance).use
    orders = np.array(list(permutations(range(count))))
    stands = np.cumsum(1 << orders, axis=1)
    greatest = np.maximum(use[stands].max(axis=1), use[0])
    at = np.argsort(orders, axis=1)
    number = {s.name: i for i, s in enumerate(strips)}
    keeps = np.all([at[:, number[a]] < at[:, number[b]] for a, b in case.rules.edges], axis=0)
    found = search(case, most_orders=0)
    assert found.best.use.value == pytest.approx(greatest[keeps].min(), rel=1e-3)
    assert found.worst.use.value == pytest.approx(greatest.max(), rel=1e-3)
    # Up to the stations, which differ: the orders found are among the best and worst here, too.
    for result, extreme in ((found.best, greatest[keeps].min()), (found.worst, greatest.max())):
        mine = [number[name] for name in result.names]
        assert greatest[np.all(orders == mine, axis=1)][0] == pytest.approx(extreme, rel=1e-3)


@pytest.mark.parametrize("strike", ["datum", "thickness"])
def test_steps_add_up_to_the_order_they_make(strike):
    # Every kind of load; what the tables say of an order is what judging it says.
    scenario = pour(floor=TWO_RUNS, slab={"strike": strike}, loads=BUSY)
    case = case_of(scenario, "2")
    order = list(case.own)
    for seed in range(6):
        random.Random(seed).shuffle(order)
        # At the thickness of this order the tables are exact for it.
        steps = _Steps(case, tuple(order))
        standing, uses = steps.start, [steps.least]
        for name in order:
            i = steps.number[name]
            uses.append(steps.cost([(standing, i)])[0][0])
            standing |= 1 << i
        assert max(uses) == pytest.approx(judge_case(case, order).use.value, rel=1e-9)


def test_no_order_is_worse_than_the_worst_and_none_allowed_better_than_the_best():
    scenario = worked("spread")
    found = best_and_worst(*asked(scenario))
    assert "heuristic" in found.best_how
    assert "heuristic" in found.worst_how
    case = case_of(scenario)
    picks = random.Random(1)
    for _ in range(60):
        order = picks.sample(case.own, len(case.own))
        assert rank(judge_case(case, order)) <= rank(found.worst)
    for _ in range(60):
        left, order = case.rules.copy(), []
        while left:
            order.append(picks.choice([n for n in left if left.in_degree(n) == 0]))
            left.remove_node(order[-1])
        assert rank(judge_case(case, order)) >= rank(found.best)
    assert rank(found.best) <= rank(planned(scenario)) <= rank(found.worst)


@pytest.mark.parametrize("order", ["thirds", "spread"])
def test_the_best_obeys_every_rule_and_wish(order):
    wish = [["1/gap 2", "1/edge 1"]] if order == "thirds" else [["1/strip 1", "1/strip 8"]]
    scenario = worked(order, plan={"order": order, "place_before": wish})
    case = case_of(scenario)
    assert case.rules.has_edge(*wish[0])
    found = best_and_worst(*asked(scenario))
    assert not broken_rules(case.rules, found.best.names)
    assert set(found.best.names) == set(found.worst.names) == set(case.own)


def test_rules_and_wishes_in_a_circle_are_refused():
    scenario = worked()
    plan = replace(scenario.plans[0], place_before=(("1/joint", "1/beam 1"),))
    with pytest.raises(OrderError, match="circle"):
        best_and_worst(*asked(scenario, plan))


def test_beam_search_on_many_strips_says_so_and_keeps_the_rules():
    floor = {"spans_m": [3.0] * 8, "sheet_runs": [8], "length_y_m": 8.0}
    scenario = pour(floor=floor, slab={"strike": "datum"}, plan={"least_strip_m": 0})
    case = case_of(scenario)
    assert len(case.own) == 15
    found = search(case, width=10)
    assert "beam search (10 sets of each size)" in found.best_how
    assert nx.is_directed_acyclic_graph(case.rules)
    assert not broken_rules(case.rules, found.best.names)
    assert rank(found.best) <= rank(planned(scenario)) <= rank(found.worst)


# ------------------------------------------------------------------------------- turning points


@pytest.fixture(scope="module")
def turns():
    scenario = worked()
    return scenario, turning_points(*asked(scenario))


def test_at_a_turn_both_orders_are_equal_and_beside_it_they_are_as_said(turns):
    _, found = turns
    turn = next(t for t in found if t.what == "span" and t.quantity == "use")
    assert turn.value is not None

    def use(order: str, span: float) -> float:
        floor = WORKED["floor"] | {"spans_m": [span] * 3}
        return planned(worked(order, floor=floor)).use.value

    thirds, spread = (use(order, turn.value) for order in ("thirds", "spread"))
    assert thirds == pytest.approx(spread, rel=1e-3)
    assert (turn.below, turn.above) == ("thirds", "spread")
    assert use("thirds", 0.99 * turn.value) < use("spread", 0.99 * turn.value)
    assert use("thirds", 1.01 * turn.value) > use("spread", 1.01 * turn.value)
    assert turn.now == 4.0
    assert turn.low < turn.value < turn.high


def test_the_load_of_the_crew_turns_the_choice_by_use(turns):
    _, found = turns
    turn = next(t for t in found if t.what == "working load" and t.quantity == "use")

    def use(order: str) -> float:
        own = {"preset": "own", "inside_kN_m2": turn.value / 1e3, "outside_kN_m2": 0.0}
        loads = {"heap_height_factor": 1.0, "crew_kN_m2": 0} | own
        return planned(worked(order, loads=loads)).use.value

    assert use("thirds") == pytest.approx(use("spread"), rel=1e-3)


def test_by_concrete_nothing_turns_in_the_worked_case_but_by_the_width_of_strips(turns):
    # Design section 6: thirds bends less but takes more concrete; so it does under any heap.
    _, found = turns
    concrete = [t for t in found if t.quantity == "concrete" and t.what != "strip width"]
    assert {t.what for t in concrete} == {"span", "EI", "working load", "crew while struck", "heap"}
    for turn in concrete:
        assert turn.value is None
        assert turn.below == turn.above == "spread"


def test_at_the_heap_that_turns_the_choice_both_orders_use_the_deck_alike():
    loads = {"preset": "en_1991_1_6", "heap_height_factor": 2.0}
    floor = {"spans_m": [3.6] * 3, "sheet_runs": [3], "length_y_m": 10.0}
    scenario = pour(floor=floor, slab={"strike": "datum"}, loads=loads)
    found = turning_points(*asked(scenario))
    turn = next(t for t in found if (t.what, t.quantity) == ("heap", "use"))
    assert turn.now == 2.0
    assert 1.0 < turn.value < 3.0

    def use(order: str) -> float:
        heap = loads | {"heap_height_factor": turn.value}
        plan = {"order": order}
        there = pour(floor=floor, slab={"strike": "datum"}, loads=heap, plan=plan)
        return planned(there).use.value

    assert use("thirds") == pytest.approx(use("spread"), rel=1e-3)


def test_struck_to_thickness_both_orders_take_the_same_concrete():
    scenario = pour(floor=TWO_RUNS)
    found = turning_points(*asked(scenario))
    assert {t.below for t in found if t.quantity == "concrete"} == {"even"}


def test_the_range_ends_where_the_deck_can_no_longer_be_levelled():
    scenario = worked(deck=WORKED["deck"] | {"bending_stiffness_kNm2_per_m": 60})
    found = turning_points(*asked(scenario))
    stiffness = next(t for t in found if t.what == "EI")
    assert stiffness.low > 0.5 * 60e3 + 1
    assert stiffness.high == pytest.approx(180e3)
