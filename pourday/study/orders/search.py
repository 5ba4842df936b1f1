"""The best and the worst order of strips in a bay.

The rules leave a foreman many orders, and no rule at all leaves n!. Few are judged one by one;
for more, a step (a strip placed while a set of others stands) costs the same whatever came before
if the thickness is taken as known, so the order is a path through the sets of strips.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import islice, permutations
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pourday.deck.factors import Bounds, bounds, push
from pourday.deck.history import shares
from pourday.floor.cut import FloorCut
from pourday.floor.lines.judging import factors_of
from pourday.floor.lines.states import DeckLine
from pourday.scenario.model.scenario import Plan, Scenario, Stack
from pourday.study.orders.bay import (
    BayCase,
    OrderResult,
    bay_case,
    extra_volume,
    judge_case,
    line_in_order,
    peaks_of,
    planned_order,
)

if TYPE_CHECKING:
    import networkx as nx

Floats = NDArray[np.float64]
Names = tuple[str, ...]

MOST_ORDERS = 720
"""So many orders are judged one by one; more are searched."""
MOST_STRIPS = 12
"""Strips of which all sets are searched; of more, a share."""
WIDTH = 60
"""Sets of equal size kept by the search through a share of them."""
_EVEN = 1e-9  # uses that differ by less are the same
_AGAIN, _FEW = 3, 9  # searches with the thickness of the order found before, if strips are few
_JUDGED = 300  # orders judged at most while the one found is improved, each way


@dataclass(frozen=True)
class Extremes:
    """The best order under the rules and the worst of any order, judged exactly.

    Orders are compared by the greatest share of resistance used, then by concrete above theory.
    ``best_how`` and ``worst_how`` say how each was found, ``tried`` how many orders were judged.
    """

    best: OrderResult
    worst: OrderResult
    best_how: str
    worst_how: str
    tried: int


def best_and_worst(scenario: Scenario, cut: FloorCut, plan: Plan, bay: str) -> Extremes:
    """Search the orders of a bay's own strips; strips of earlier bays that reach in come first.

    Best of the orders that the rules of ``thirds`` and the plan's ``place_before`` allow, whatever
    order the plan names; worst of all orders. Up to :data:`MOST_ORDERS` orders are enumerated. Of
    more, the way through the sets of strips is found with the thickness taken as theory, and again
    as struck in the order found (all sets up to :data:`MOST_STRIPS` strips, else the :data:`WIDTH`
    most promising of each size); then strips are exchanged and moved, judged exactly, while that
    helps, up to some hundred times.

    Raises:
        KeyError: no such bay.
        pourday.floor.order.graph.OrderError: rules and wishes that go round in a circle.
        pourday.deck.ponding.DeckTooSoftError: where the deck is too soft to be levelled.
    """
    case = bay_case(scenario, cut, plan, bay)
    planned = planned_order(scenario, cut, plan, bay)
    return search(case, also=[tuple(name for name in planned if name in case.own)])


def search(
    case: BayCase,
    most_orders: int = MOST_ORDERS,
    width: int | None = None,
    also: Sequence[Names] = (),
) -> Extremes:
    """:func:`best_and_worst` for a bay that is prepared.

    ``width`` None is chosen by the number of strips; ``also`` are orders of the bay's own strips
    to be judged with those that the search finds.
    """
    import networkx as nx

    known: dict[Names, tuple[float, float]] = {}

    def _score(order: Names) -> tuple[float, float]:
        if order not in known:
            line = line_in_order(case, (*case.before, *order))
            # Where no share is judged, concrete alone tells orders apart.
            use = float(np.nan_to_num(peaks_of(case, line)[1].use).max())
            known[order] = (round(use / _EVEN) * _EVEN, extra_volume(case, line))
        return known[order]

    if width is None and len(case.own) > MOST_STRIPS:
        width = WIDTH
    free = nx.DiGraph()
    free.add_nodes_from(case.own)
    for order in also:
        _score(order)
    hows = []
    for graph, sign in ((case.rules, 1), (free, -1)):
        orders = list(islice(_orders(graph), most_orders + 1))
        if len(orders) <= most_orders:
            for order in orders:
                _score(order)
            how = f"exact: {_count(len(orders))} judged"
        else:
            found = _through_sets(_Steps(case), graph, sign, width)
            for _ in range(_AGAIN if len(case.own) <= _FEW else 1):
                _score(found)
                found = _through_sets(_Steps(case, found), graph, sign, width)
            _score(found)
            _improve(_best_of(known, graph, sign), graph, sign, _score)
            how = _how(case, width)
        hows.append(how)
    best, worst = _best_of(known, case.rules, 1), _best_of(known, free, -1)
    return Extremes(judge_case(case, best), judge_case(case, worst), hows[0], hows[1], len(known))


def _best_of(known: dict[Names, tuple[float, float]], graph: nx.DiGraph, sign: int) -> Names:
    """Of the orders judged, the best (``sign`` 1) or worst (-1) that the graph allows."""
    allowed = [order for order in known if _allowed(graph, order)]
    return min(allowed, key=lambda order: [sign * value for value in known[order]])


def _orders(graph: nx.DiGraph) -> Iterable[Names]:
    """Every order that the graph allows."""
    import networkx as nx

    if not graph.number_of_edges():
        return permutations(graph)
    return (tuple(order) for order in nx.all_topological_sorts(graph))


def _count(orders: int) -> str:
    return "the only order" if orders == 1 else f"all {orders} orders"


def _how(case: BayCase, width: int | None) -> str:
    way = "dynamic programme over all sets of strips" if width is None else "beam search"
    through = "" if width is None else f" ({width} sets of each size)"
    if case.how == "thickness" and width is None:
        return f"exact in use: {way}"
    return (
        f"heuristic: {way}{through} with the thickness taken as theory, then as struck in the "
        "order found; then strips exchanged and moved, judged exactly, while that helps"
    )


def _improve(
    order: Names, graph: nx.DiGraph, sign: int, score: Callable[[Names], tuple[float, float]]
) -> None:
    """Exchange or move strips as long as the order becomes better (``sign`` 1) or worse (-1)."""

    def _rank(names: Names) -> tuple[float, ...]:
        return tuple(sign * value for value in score(names))

    # A judged order costs a few milliseconds: where strips are many, not every exchange is tried.
    left, found = _JUDGED, True
    while found and left > 0:
        found = False
        for names in _exchanged(order):
            if left > 0 and _allowed(graph, names):
                left -= 1
                if _rank(names) < _rank(order):
                    order, found = names, True
                    break


def _exchanged(order: Names) -> Iterable[Names]:
    for i in range(len(order)):
        for j in range(i):
            names = list(order)
            names[i], names[j] = names[j], names[i]
            yield tuple(names)
        rest = order[:i] + order[i + 1 :]
        for j in range(len(order)):
            if abs(i - j) > 1:
                yield (*rest[:j], order[i], *rest[j:])


def _allowed(graph: nx.DiGraph, order: Names) -> bool:
    at = {name: n for n, name in enumerate(order)}
    return all(at[a] < at[b] for a, b in graph.edges)


# A way through the sets of strips: (last strip, the way before it).
_Way = tuple[int, "_Way"] | None


def _through_sets(steps: _Steps, graph: nx.DiGraph, sign: int, width: int | None) -> Names:
    """Order whose greatest use is least (``sign`` 1) or greatest (-1); of such, by concrete.

    Two passes: the first finds the use, the second the least (most) concrete that goes with it.
    """
    own = [steps.number[name] for name in graph]
    needs = dict.fromkeys(own, 0)
    for a, b in graph.edges:
        needs[steps.number[b]] |= 1 << steps.number[a]

    def _level(front: dict[tuple[int, bool], tuple[float, _Way]]) -> list[tuple[int, bool, int]]:
        return [
            (s, flag, i) for s, flag in front for i in own if not s >> i & 1 and needs[i] & ~s == 0
        ]

    def _walk(peak: float | None) -> tuple[float, _Way] | None:
        reached = peak is None or sign > 0 or steps.least >= peak - _EVEN
        front: dict[tuple[int, bool], tuple[float, _Way]] = {
            (steps.start, reached): (steps.least if peak is None else 0.0, None)
        }
        for _ in own:
            moves = _level(front)
            costs = steps.cost([(s, i) for s, _, i in moves])
            after: dict[tuple[int, bool], tuple[float, _Way]] = {}
            for (s, flag, i), (use, extra) in zip(moves, costs, strict=True):
                so_far, way = front[s, flag]
                if peak is None:
                    value = max(so_far, use)
                elif sign > 0 and use > peak + _EVEN:
                    continue
                else:
                    value = so_far + extra
                    flag = flag or use >= peak - _EVEN
                key = (s | 1 << i, flag)
                if key not in after or sign * value < sign * after[key][0]:
                    after[key] = (value, (i, way))
            kept = sorted(after, key=lambda k: sign * after[k][0])[:width]
            front = {key: after[key] for key in kept}
        return next((front[k] for k in front if k[1]), None)

    first = _walk(None)
    assert first is not None
    second = _walk(first[0])
    way = (second or first)[1]
    order: list[int] = []
    while way is not None:
        order.append(way[0])
        way = way[1]
    return tuple(steps.names[i] for i in reversed(order))


class _Steps:
    """Use and concrete of placing strip i while a set of strips stands, whatever came before.

    The thickness is taken as theory, or as it is struck in ``order`` (of the bay's own strips).

    Loads add up, so the response of a step is that of the bare deck, of every strip of the set, of
    what stands at the front of strip i (three states or more), and of the stacks not yet taken.
    Sets are bits of an int. Concrete (m³) is the mean sag at the moment of striking, to datum, the
    fill of the sag left out: it only breaks ties of use.
    """

    def __init__(self, case: BayCase, order: Names | None = None) -> None:
        how = case.how
        if order is None:
            order, how = case.own, "thickness"
        self.names = (*case.before, *order)
        self.number = {name: i for i, name in enumerate(self.names)}

        def _line_with(stacks: tuple[Stack, ...]) -> DeckLine:
            loads = replace(case.scenario.loads, stacks=stacks)
            some = replace(case, scenario=replace(case.scenario, loads=loads), how=how)
            return line_in_order(some, self.names)

        self.line = _line_with(())
        deck, count = self.line.deck, len(self.names)
        self.factors = factors_of(case.scenario.loads)
        pressures, _ = peaks_of(case, self.line)
        owner = np.array([deck.cells[n].strip for n in deck.owner])
        bare = np.zeros(pressures.shape[1])
        bare[: len(owner)] = case.scenario.bare_weight
        strips = np.zeros((count, len(bare)))
        for i in range(count):
            fine = np.flatnonzero(owner == i)
            strips[i, fine] = (pressures[-1] - bare)[fine]
        excess = np.full(len(self.line.states), case.scenario.loads.heap_height_factor.mean - 1.0)
        felt = _side_by_side(self.line.felt.factored.at(excess))
        self._bare = self._wide(bare[None], self.factors.permanent)[0]
        self._strip = self._wide(strips, self.factors.concrete)
        before = self._bare + np.cumsum(self._strip, axis=0) - self._strip
        front = felt[1:-1].reshape(count, -1, felt.shape[1]) - before[:, None]
        self._states = front.shape[1]
        self._front = front
        stacks = [_line_with((stack,)).pressures[0] for stack in case.scenario.loads.stacks]
        stacks = [row - pressures[0] for row in stacks]
        stacks = [row for row in stacks if row.any()]
        lying = np.array(stacks).reshape(len(stacks), len(bare))
        self._stack = self._wide(lying, (self.factors.working, 0.0))
        under = [{int(owner[n]) for n in np.flatnonzero(row[: len(owner)])} for row in stacks]
        self._under = [sum(1 << i for i in on) for on in under]
        self._sag = self._concrete(case)
        self._known: dict[tuple[int, int], tuple[float, float]] = {}
        self.start, uses = 0, [float(self._use(felt[-1:])[0])]
        uses.append(float(self._use((felt[0] + self._stack.sum(axis=0))[None])[0]))
        for i in range(len(case.before)):
            uses.append(self.cost([(self.start, i)])[0][0])
            self.start |= 1 << i
        self.least = max(uses)

    def cost(self, steps: Sequence[tuple[int, int]]) -> list[tuple[float, float]]:
        """(greatest use, concrete in m³) of every step (set, strip)."""
        new = list(dict.fromkeys(s for s in steps if s not in self._known))
        for first in range(0, len(new), 2048):
            some = new[first : first + 2048]
            sets, placed = np.array([s for s, _ in some]), np.array([i for _, i in some])
            stands = (sets[:, None] >> np.arange(len(self.number)) & 1).astype(float)
            wide = self._bare + stands @ self._strip
            if self._under:
                begun = sets | 1 << placed
                there = (begun[:, None] & np.array(self._under)) == 0
                wide = wide + there.astype(float) @ self._stack
            states = (wide[:, None] + self._front[placed]).reshape(-1, wide.shape[1])
            uses = self._use(states).reshape(len(some), self._states).max(axis=1)
            own, by_set = self._sag
            extras = own[placed] + (by_set[placed] * stands).sum(axis=1)
            self._known |= {
                s: (float(u), float(e)) for s, u, e in zip(some, uses, extras, strict=True)
            }
        return [self._known[s] for s in steps]

    def _wide(self, pressures: Floats, factor: tuple[float, float]) -> Floats:
        """Bounds of one kind of load by rows of pressures: most of all effects, then least."""
        effects = self.line.felt.effects
        return _side_by_side(bounds(push(pressures, effects.matrix[effects.factored_rows]), factor))

    def _use(self, wide: Floats) -> Floats:
        resistance = self.line.resistance
        if resistance is None:
            return np.zeros(len(wide))
        checks = shares(Bounds(*np.hsplit(wide, 2)), self.line.felt.effects, resistance)
        return np.asarray(
            np.max([share.max(axis=1) for share, _ in checks if share.shape[1]], axis=0)
        )

    def _concrete(self, case: BayCase) -> tuple[Floats, Floats]:
        """m³ that strip i takes with bare deck and crew counted, and more for each that stands."""
        cells, thickness = self.line.cells, self.line.struck.thickness
        of = np.array([[c.strip == i for c in cells] for i in range(len(self.names))], dtype=float)
        sag = (of * case.areas) @ self.line.deck.coarse.mean_deflection
        by_set = (sag * case.scenario.slab.wet_density * thickness) @ of.T
        crew = case.scenario.loads.crew * np.einsum("ic,ic->i", sag, of)
        own = np.diag(by_set) + crew + sag.sum(axis=1) * case.scenario.bare_weight
        return own, by_set


def _side_by_side(found: Bounds) -> Floats:
    return np.hstack([found.most, found.least])
