"""The fewest changes of a boom's place among the orders that keep the rules of placing."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, islice

import networkx as nx
import numpy as np
import pytest
from builders.pours import laid_out, pour

from pourday.floor.access.reach import legs
from pourday.floor.access.set_ups import ReachError
from pourday.floor.order.directions import directions

MOST_ORDERS = 4000


def site(floor, reach, places, **plan):
    scenario = pour(
        floor=floor,
        pumps={"pump": {"reach_m": reach}},
        site={"set_ups": [{"name": n, "x_m": x, "y_m": y} for n, (x, y) in places.items()]},
        plan={"set_ups": list(places)} | plan,
    )
    return scenario, scenario.plans[0]


def fewest_of_all(scenario, plan, layout):
    """By hand: every order that keeps the rules, each with its own directions."""
    by_name = {strip.name: strip for strip in layout.strips}
    places = [(p.x, p.y) for p in layout.access[0].places]
    reach = scenario.pumps[plan.fronts[0].pump].reach
    found = []
    for names in nx.all_topological_sorts(layout.graph):
        strips = [by_name[name] for name in names]
        upward = directions(strips, [range(len(strips))], plan)
        found.append(legs(strips, upward, places, reach).moves)
    return found


def random_site(seed):
    """A floor of one or two sheet runs with two or three places around or on it."""
    rng = np.random.default_rng([12, seed])
    spans = rng.choice([3.0, 3.6, 4.5], size=int(rng.integers(3, 6))).tolist()
    first = int(rng.integers(1, len(spans)))
    length = float(rng.choice([8.0, 14.0, 20.0]))
    runs = [len(spans)] if rng.random() < 0.5 and len(spans) < 5 else [first, len(spans) - first]
    floor = {"spans_m": spans, "sheet_runs": runs, "length_y_m": length}
    if rng.random() < 0.3:
        floor |= {"primary_beams_y_m": [0.0, length / 2, length], "cut_at_primary_beams": True}
    width = list(accumulate(spans))[-1]
    count = int(rng.integers(2, 4))
    places = {
        name: (width * (k + float(rng.uniform(0, 1))) / count, float(rng.uniform(-5, length + 5)))
        for k, name in enumerate(("a", "b", "c")[:count])
    }
    corners = [(x, y) for x in (0, width) for y in (0, length)]
    all_of_it = max(min(np.hypot(x - px, y - py) for px, py in places.values()) for x, y in corners)
    plan = {
        "alternate": bool(rng.random() < 0.8),
        "begin_at": str(rng.choice(["low_x", "high_x"])),
        "least_strip_m": float(rng.choice([0.0, 1.2])),
    }
    return site(floor, round(float(all_of_it * rng.uniform(1.0, 1.15)), 2), places, **plan)


def small_floors(count):
    """Random floors that their pump reaches and whose orders can all be tried."""
    out, seed = [], 0
    while len(out) < count:
        scenario, plan = random_site(seed)
        seed += 1
        try:
            layout = laid_out(scenario)
        except ReachError:
            continue
        every = nx.all_topological_sorts(layout.graph)
        orders = sum(1 for _ in islice(every, MOST_ORDERS + 1))
        if 1 < orders <= MOST_ORDERS:
            out.append((scenario, plan, layout))
    return out


def test_no_order_that_keeps_the_rules_has_fewer_changes_on_20_small_floors():
    gained = changes = 0
    for scenario, plan, layout in small_floors(20):
        found = fewest_of_all(scenario, plan, layout)
        assert layout.access[0].set_up_moves == min(found)
        assert not layout.broken
        changes += min(found)
        gained += max(found) > min(found)
    # The floors are worth the look: changes are needed, and orders differ in them.
    assert changes > 10
    assert gained >= 5


def test_a_joined_pour_stays_where_it_is_while_strips_are_in_reach():
    # Two spans either side of x = 8: strips of the first half from a, then all others from b. By
    # position alone, beams come first: a, then b for "beam 3", then back to a for "edge 1".
    floor = {"spans_m": [4.0] * 4, "sheet_runs": [4], "length_y_m": 6.0}
    scenario, plan = site(floor, 11.0, {"a": (2.0, -2.0), "b": (14.0, -2.0)})
    layout = laid_out(scenario)
    (access,) = layout.access
    assert access.set_up_moves == 1
    (change,) = access.changes
    assert (change.before, change.to, change.at, change.forced) == (0, 1, None, True)
    usual = ["beam 1", "beam 2", "beam 3", "edge 1", "gap 2", "gap 3", "edge 4"]
    by_name = {strip.name: strip for strip in layout.strips}
    strips = [by_name[f"1/{name}"] for name in usual]
    upward = directions(strips, [range(7)], plan)
    assert legs(strips, upward, [(2.0, -2.0), (14.0, -2.0)], 11.0).moves == 3


def test_a_boom_long_enough_for_the_farthest_corner_needs_no_move():
    floor = {"spans_m": [4.0] * 4, "sheet_runs": [4], "length_y_m": 6.0}
    places = {"a": (2.0, -2.0), "b": (14.0, -2.0)}
    (access,) = laid_out(site(floor, 11.0, places)[0]).access
    # From a to (16, 6), from b to (0, 6): 14 m along x and 8 m along y.
    assert access.reach_for_all == pytest.approx((16.1245, 16.1245), abs=1e-4)
    (longer,) = laid_out(site(floor, 16.2, places)[0]).access
    assert longer.set_up_moves == 0
    (shorter,) = laid_out(site(floor, 16.0, places)[0]).access
    assert shorter.set_up_moves > 0


def test_a_listed_order_is_left_as_it_is():
    floor = {"spans_m": [4.0] * 4, "sheet_runs": [4], "length_y_m": 6.0}
    places = {"a": (2.0, -2.0), "b": (14.0, -2.0)}
    usual = ["beam 1", "beam 2", "beam 3", "edge 1", "gap 2", "gap 3", "edge 4"]
    names = [f"1/{name}" for name in usual]
    scenario, _ = site(floor, 11.0, places, order="listed", sequence=names)
    layout = laid_out(scenario)
    assert [strip.name for strip in layout.strips] == names
    assert layout.access[0].set_up_moves == 3


def test_two_fronts_with_places_each_keep_to_what_waits_for_the_other():
    floor = {"spans_m": [4.0] * 4, "sheet_runs": [2, 2], "length_y_m": 6.0}
    places = {"a": (2.0, -2.0), "b": (14.0, -2.0)}
    scenario, plan = site(floor, 14.2, places)
    other = replace(plan.fronts[0], bays=("2",))
    plan = replace(
        plan,
        fronts=(replace(plan.fronts[0], bays=("1",)), other),
        place_before=(("2/beam 1", "1/edge 1"),),
    )
    layout = laid_out(replace(scenario, plans=(plan,)))
    at = {strip.name: k for k, strip in enumerate(layout.strips)}
    assert all(at[a] < at[b] for a, b in layout.graph.edges)
