"""How the bays fall to the fronts of a plan, and in which order all strips come.

Each front keeps the rules of placing within its own bays; bays of different fronts are poured at
the same time. The order over all fronts is that of a day in which everything goes as planned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pourday.floor.cut import FloorCut
from pourday.floor.order.changes import with_fewest_changes
from pourday.floor.order.graph import (
    OrderError,
    across_graph,
    add_wishes,
    band_rules,
    listed_graph,
    sequence,
    spread_graph,
    thirds_graph,
)
from pourday.floor.strips import Strip, way_of_cutting
from pourday.scenario.model.scenario import Plan, Scenario

if TYPE_CHECKING:
    import networkx as nx


class NoBayError(OrderError):
    """A front without a bay."""


@dataclass(frozen=True, eq=False)
class Order:
    """Strip names in placing order, the front (index) of each, and the graphs behind it.

    ``graph`` is what the plan follows, ``rules`` what it is judged by.
    """

    names: tuple[str, ...]
    front_of: dict[str, int]
    graph: nx.DiGraph
    rules: nx.DiGraph


def bays_of_fronts(cut: FloorCut, plan: Plan) -> dict[str, int]:
    """Front (index) of every bay.

    Bays that a front names are its own. The others fall to the fronts that name none: whole lanes
    where there are enough of them, else runs of neighbouring bays of about the same area.
    """
    named = {bay: n for n, front in enumerate(plan.fronts) for bay in front.bays}
    open_fronts = [n for n, front in enumerate(plan.fronts) if not front.bays]
    in_order = [
        b for b in cut.sequence(plan.begin_at, plan.lanes, plan.begin_y) if b.name not in named
    ]
    if not open_fronts:
        return named | {bay.name: 0 for bay in in_order}
    free_lanes = sorted({bay.lane for bay in in_order})
    if len(cut.lanes) > 1 and len(free_lanes) >= len(open_fronts):
        lanes_left, share = len(free_lanes), len(open_fronts)
        of_lane = {ln: open_fronts[k * share // lanes_left] for k, ln in enumerate(free_lanes)}
        return named | {bay.name: of_lane[bay.lane] for bay in in_order}
    in_order = sorted(in_order, key=lambda bay: (bay.x0, bay.lane))
    area = [bay.area for bay in in_order]
    total, before, last = sum(area), 0.0, len(open_fronts) - 1
    out, part = {}, -1
    for bay, size, left in zip(in_order, area, range(len(area) - 1, -1, -1), strict=True):
        by_area = int((before + size / 2) / total * len(open_fronts))
        # Nobody goes without a bay while there are enough of them.
        part = min(max(by_area, last - left, 0), part + 1, last)
        out[bay.name] = open_fronts[part]
        before += size
    return named | out


def order_of(
    scenario: Scenario, plan: Plan, strips: Sequence[Strip], of_bay: Mapping[str, int]
) -> Order:
    """The order in which all strips are placed, each front by the rules of the plan.

    ``of_bay`` is the front of every bay, as :func:`bays_of_fronts` shares them out.

    Raises:
        OrderError: for an order that cannot be followed.
    """
    import networkx as nx

    groups = [[s for s in strips if of_bay[s.bay] == n] for n in range(len(plan.fronts))]
    idle = [str(n) for n, group in enumerate(groups, start=1) if not group]
    if idle:
        raise NoBayError(f"no bay is left for front {', '.join(idle)}; name its bays")
    rules = nx.compose_all([_rules(plan, group) for group in groups])
    if plan.order == "listed":
        listed_graph(strips, plan.sequence or ())  # says what is missing, unknown or named twice
        wanted = plan.sequence or ()
        graph = nx.compose_all(
            [listed_graph(g, [n for n in wanted if n in {s.name for s in g}]) for g in groups]
        )
    else:
        graph = nx.compose_all([_graph(plan, group) for group in groups])
    add_wishes(graph, plan.place_before)
    front_of = {s.name: n for n, group in enumerate(groups) for s in group}
    names = sequence(graph, plan.begin_at)
    if plan.order != "listed":
        names = with_fewest_changes(scenario, plan, graph, names, front_of)
    if len(groups) > 1:
        names = _as_planned(scenario, plan, graph, names, front_of)
    return Order(names, front_of, graph, rules)


def _rules(plan: Plan, strips: Sequence[Strip]) -> nx.DiGraph:
    match way_of_cutting(plan):
        case "spread":
            return spread_graph(strips, plan.begin_at)
        case "across":
            return band_rules(strips)
        case _:
            return thirds_graph(strips)


def _graph(plan: Plan, strips: Sequence[Strip]) -> nx.DiGraph:
    return across_graph(strips) if plan.order == "across" else _rules(plan, strips)


def _as_planned(
    scenario: Scenario,
    plan: Plan,
    graph: nx.DiGraph,
    names: Sequence[str],
    front_of: dict[str, int],
) -> tuple[str, ...]:
    """All strips by the time at which each would be begun if every front kept its mean pace."""
    import networkx as nx

    strips: dict[str, Strip] = nx.get_node_attributes(graph, "strip")
    depth = scenario.slab.depth - scenario.deck.void_volume
    queues = [[n for n in names if front_of[n] == f] for f in range(len(plan.fronts))]
    # From the start of the plan, so that the same plan begun later has the same order to the bit.
    clock = [front.start - plan.start for front in plan.fronts]
    pace = [_pace(scenario, front.pump, front.crew) for front in plan.fronts]
    ended: dict[str, float] = {}
    begun: dict[str, float] = {}
    # ``names`` keeps the order of the graph, so a strip's predecessors have always been met.
    for name in names:
        f = front_of[name]
        assert queues[f][0] == name
        queues[f].pop(0)
        begun[name] = max([clock[f], *(ended[before] for before in graph.predecessors(name))])
        ended[name] = clock[f] = begun[name] + strips[name].area * depth / pace[f]
    place = {name: k for k, name in enumerate(names)}
    return tuple(sorted(names, key=lambda name: (begun[name], place[name])))


def _pace(scenario: Scenario, pump: str, crew: str) -> float:
    people = scenario.crews[crew]
    return min(scenario.pumps[pump].output.mean, people.in_zone * people.rate_per_placer)
