"""The order with the fewest changes of a boom's place, among all that keep the rules of placing.

A state of the pour is which strips are placed, where the front stands and where the pump does. The
rules let only few sets of strips be placed at a time, since bays follow one another: so all of them
are looked at, from the end of the pour back to its begin, and the fewest changes are exact.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from pourday.floor.access.reach import pieces
from pourday.floor.order.directions import rises
from pourday.floor.order.graph import rank, sequence
from pourday.floor.strips import Strip
from pourday.scenario.base.trade import BOOM
from pourday.scenario.model.scenario import FrontPlan, Plan, Scenario

if TYPE_CHECKING:
    import networkx as nx

Place = tuple[float, float]
_State = tuple[int, float | None]
_Costs = dict[int, int]


@dataclass(frozen=True, eq=False)
class _Front:
    """A front's strips and rules; ``before`` are bits of the strips that each one waits for."""

    plan: Plan
    places: tuple[Place, ...]
    reach: float
    strips: tuple[Strip, ...]
    before: tuple[int, ...]

    def ready(self, done: int) -> list[int]:
        """Strips (indices) that may come next."""
        return [
            k
            for k, before in enumerate(self.before)
            if not done >> k & 1 and before & done == before
        ]

    def after(self, state: _State, k: int) -> _State:
        """The state once strip ``k`` is placed."""
        done, here = state
        strip = self.strips[k]
        return done | 1 << k, strip.high if rises(strip, here, self.plan) else strip.low

    def served(self, here: float | None, k: int) -> list[frozenset[int]]:
        """Places that serve each part of a strip, in the direction of its front."""
        up = rises(self.strips[k], here, self.plan)
        found = pieces(k, self.strips[k], up, self.places, self.reach)
        return [piece.places for piece in found if piece.places]


def with_fewest_changes(
    scenario: Scenario,
    plan: Plan,
    graph: nx.DiGraph,
    names: Sequence[str],
    front_of: Mapping[str, int],
) -> tuple[str, ...]:
    """The order ``names`` changed so that each boom with several places changes them least.

    Among orders with equally few the usual ones come first. Several fronts are looked at one after
    the other, each keeping to what those before it chose.
    """
    import networkx as nx

    chosen = graph.copy()
    strips: dict[str, Strip] = nx.get_node_attributes(graph, "strip")
    for number, front in enumerate(plan.fronts):
        places = _places(scenario, front)
        if len(places) < 2:
            continue
        mine = [name for name in names if front_of[name] == number]
        closure = nx.transitive_closure_dag(chosen)
        bit = {name: k for k, name in enumerate(mine)}
        before = tuple(
            sum(1 << bit[other] for other in closure.predecessors(name) if other in bit)
            for name in mine
        )
        reach = scenario.pumps[front.pump].reach or math.inf
        own = _Front(plan, places, reach, tuple(strips[name] for name in mine), before)
        order = [mine[k] for k in _fewest(own)]
        chosen.add_edges_from(pairwise(order), reason="fewest changes of place")
    return sequence(chosen, plan.begin_at)


def _places(scenario: Scenario, front: FrontPlan) -> tuple[Place, ...]:
    """Places between which a front's boom may change; none where it never has to."""
    pump = scenario.pumps[front.pump]
    if pump.means != BOOM or pump.reach is None:
        return ()
    return tuple((each.x, each.y) for each in map(scenario.site.set_up, front.set_ups))


def _fewest(front: _Front) -> list[int]:
    """Strips (indices) in the order with the fewest changes; of those the usual one."""
    every = range(len(front.places))
    start: _State = (0, None)
    to_go = _changes_to_go(front, start)
    sign = -1.0 if front.plan.begin_at == "high_x" else 1.0
    order: list[int] = []
    state, spent = start, dict.fromkeys(every, 0)
    least = min(to_go[start].values())
    while len(order) < len(front.strips):
        here = front.strips[order[-1]] if order else None
        for k in sorted(front.ready(state[0]), key=lambda k: rank(front.strips[k], sign, here)):
            after, costs = front.after(state, k), _served(spent, front.served(state[1], k))
            if min(costs[p] + to_go[after][p] for p in every) == least:
                order.append(k)
                state, spent = after, costs
                break
    return order


def _changes_to_go(front: _Front, start: _State) -> dict[_State, _Costs]:
    """Fewest changes still to come in every state, by the place where the pump stands."""
    levels: list[set[_State]] = [{start}]
    for _ in front.strips:
        levels.append({front.after(s, k) for s in levels[-1] for k in front.ready(s[0])})
    every = range(len(front.places))
    out: dict[_State, _Costs] = {state: dict.fromkeys(every, 0) for state in levels[-1]}
    for level in reversed(levels[:-1]):
        for state in level:
            found: list[_Costs] = []
            for k in front.ready(state[0]):
                ahead = out[front.after(state, k)]
                found.append(_served(ahead, front.served(state[1], k)[::-1]))
            out[state] = {p: min(costs[p] for costs in found) for p in every}
    return out


def _served(costs: _Costs, parts: Sequence[frozenset[int]]) -> _Costs:
    """Costs by place carried over parts of a strip: a change costs one, and goes from any to any.

    The same forward, from what was spent, and backward, from what is still to come.
    """
    for places in parts:
        least = min(costs[p] for p in places)
        # Whoever does not serve the part comes from, or goes to, the best place that does.
        costs = {p: min(c, least + 1) if p in places else least + 1 for p, c in costs.items()}
    return costs
