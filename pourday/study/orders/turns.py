"""Where the choice between ``thirds`` and ``spread`` turns: span, EI, loads, heap, strip width."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from pourday.deck.ponding import DeckTooSoftError
from pourday.floor.cut import FloorCut, floor_cut
from pourday.floor.lines.judging import resistance_of
from pourday.scenario.base.distribution import fixed
from pourday.scenario.model.scenario import FloorPlan, Plan, Scenario
from pourday.study.orders.bay import OrderResult, bay_case, judge_case, planned_order
from pourday.study.told import Told, counted, nobody, within

THIRDS, SPREAD, EVEN = "thirds", "spread", "even"
STEPS = 15
"""Values tried of each thing that is varied; a choice that turns twice between two is not seen."""
FEW = 8
"""Values tried of heap and strip width."""
SPANS = (0.7, 1.4)
STIFFNESSES = (0.5, 3.0)
LOADS = (0.0, 3000.0)
HEAPS = (1.0, 3.0)
"""Shares of the scenario's own spans and EI, Pa of load, height factors of the heap."""
NARROWEST = 0.5
"""Least width of a strip of ``spread`` (m); the widest is the shortest span."""
QUANTITIES = ("use", "concrete")
_SAME = 1e-6  # share of the value below which both orders are the same
_CLOSE = 1e-3  # at a turn both are equal to this share, or else one of them jumps
_HALVINGS = 12  # to a four thousandth of a step

Pair = tuple[OrderResult, OrderResult]
Names = tuple[str, ...]
_Strips = tuple[str, frozenset[str]]


@dataclass(frozen=True)
class Turning:
    """A value of ``what`` at which one order becomes better than the other.

    ``what`` is "span" (the bay's longest, all others in proportion; ``value`` in m), "EI"
    (N m²/m), "working load" (Pa in the working zone), "crew while struck" (Pa), "heap" (times the
    depth) or "strip width" (m, of spread). ``quantity`` is "use" (greatest share of resistance) or
    "concrete" (mean above theory); less is better.
    ``below`` and ``above`` say which order is better on each side: "thirds", "spread" or "even".
    Where nothing turns ``value`` is None and ``below`` and ``above`` are the same. ``low`` and
    ``high`` are the ends of the range in which the deck could be levelled, ``now`` the scenario's
    own value, ``jump`` whether the difference jumps over zero there (a cut that changes).
    """

    what: str
    quantity: str
    value: float | None
    unit: str
    below: str
    above: str
    low: float
    high: float
    now: float
    jump: bool = False


def turning_points(
    scenario: Scenario, cut: FloorCut, plan: Plan, bay: str, told: Told = nobody
) -> tuple[Turning, ...]:
    """Vary span, EI and load one at a time and find where the better order changes.

    Both orders are cut and sequenced as ``floor.strips`` and ``floor.order`` do it for the plan's
    fraction, strip width, crew and starting end. The working load is varied as preset "own" whose
    parts inside and outside the zone keep the proportion they have in the scenario (all inside
    where it has no load). It leaves concrete as it is; the crew that stands on a strip while it is
    struck (``[loads] crew_kN_m2``) does not, and is varied by itself. A turn is found between two
    values of the grid by halving.

    Raises:
        KeyError: no such bay.
        pourday.floor.order.graph.OrderError: for a cut that cannot be ordered.
    """
    out: list[Turning] = []
    orders: dict[_Strips, Names] = {}  # the same strips, farther apart or not, have the same order
    knobs = _knobs(scenario, cut, plan, bay)
    for number, (what, unit, now, values, changed) in enumerate(knobs):

        def _pair(value: float, changed: _Change = changed) -> Pair | None:
            try:
                return _both(changed(value), bay, orders)
            except DeckTooSoftError:
                return None

        mine = within(told, number / len(knobs), (number + 1) / len(knobs))
        tried = [(value, _pair(value)) for value in counted(values, mine)]
        grid = [(value, found) for value, found in tried if found is not None]
        for quantity in QUANTITIES if resistance_of(scenario) is not None else ("concrete",):
            out += _turns((what, quantity, unit, now), grid, _pair)
    return tuple(out)


_Case = tuple[Scenario, FloorCut, Plan]
_Change = Callable[[float], _Case]
_Knob = tuple[str, str, float, list[float], _Change]


def _knobs(scenario: Scenario, cut: FloorCut, plan: Plan, bay: str) -> list[_Knob]:
    span = max(b - a for a, b in cut.run_of(cut.bay(bay)).spans)
    stiffness = scenario.deck.bending_stiffness
    working = [w for of in bay_case(scenario, cut, plan, bay).deck.working.of.values() for w in of]
    most = max(working, key=lambda w: (w.inside, w.zone_length))
    outside = most.outside / most.inside if most.inside else 0.0
    zone = most.zone_length or scenario.loads.zone

    spans = [b - a for a, b in cut.run_of(cut.bay(bay)).spans]
    width = plan.strip_width or min(spans) * plan.fraction

    def _scaled(length: float) -> _Case:
        wide = _stretched(scenario, length / span)
        return wide, floor_cut(wide.floor), plan

    def _stiffened(ei: float) -> _Case:
        return replace(scenario, deck=replace(scenario.deck, bending_stiffness=ei)), cut, plan

    def _with(**loads: Any) -> _Case:
        return replace(scenario, loads=replace(scenario.loads, **loads)), cut, plan

    def _loaded(load: float) -> _Case:
        return _with(preset="own", inside=load, outside=outside * load, zone=zone)

    def _crewed(load: float) -> _Case:
        return _with(crew=load)

    def _heaped(factor: float) -> _Case:
        return _with(heap_height_factor=fixed(factor))

    def _cut_in(strip: float) -> _Case:
        return scenario, cut, replace(plan, strip_width=strip)

    def _grid(ends: tuple[float, float], by: float = 1.0, steps: int = STEPS) -> list[float]:
        return [by * float(share) for share in np.linspace(*ends, steps)]

    widths = _grid((min(NARROWEST, min(spans)), min(spans)), steps=FEW)

    return [
        ("span", "m", span, _grid(SPANS, span), _scaled),
        ("EI", "N m²/m", stiffness, _grid(STIFFNESSES, stiffness), _stiffened),
        ("working load", "Pa", most.inside, _grid(LOADS), _loaded),
        ("crew while struck", "Pa", scenario.loads.crew, _grid(LOADS), _crewed),
        ("heap", "", scenario.loads.heap_height_factor.mean, _grid(HEAPS, steps=FEW), _heaped),
        ("strip width", "m", width, widths, _cut_in),
    ]


def _stretched(scenario: Scenario, by: float) -> Scenario:
    """Everything that has a place along the sheets, farther apart."""
    floor, loads = scenario.floor, scenario.loads

    def _all_x(x: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(by * a for a in x)

    def _both(x: tuple[float, float]) -> tuple[float, float]:
        return (by * x[0], by * x[1])

    wide: FloorPlan = replace(
        floor,
        supports=_all_x(floor.supports),
        stop_ends_x=_all_x(floor.stop_ends_x),
        openings=tuple(replace(hole, x=_both(hole.x)) for hole in floor.openings),
    )
    return replace(
        scenario,
        floor=wide,
        props=replace(scenario.props, lines_x=_all_x(scenario.props.lines_x)),
        loads=replace(loads, stacks=tuple(replace(s, x=_both(s.x)) for s in loads.stacks)),
    )


def _both(case_of: _Case, bay: str, orders: dict[_Strips, Names]) -> Pair:
    scenario, cut, plan = case_of

    def _of(order: str) -> OrderResult:
        mine = replace(plan, order=order, cut=order, sequence=None, place_before=())
        case = bay_case(scenario, cut, mine, bay)
        strips = (order, frozenset((*case.before, *case.own)))
        if strips not in orders:
            orders[strips] = planned_order(scenario, cut, mine, bay)
        return judge_case(case, orders[strips])

    return _of(THIRDS), _of(SPREAD)


def _turns(
    names: tuple[str, str, str, float],
    grid: list[tuple[float, Pair]],
    pair: Callable[[float], Pair | None],
) -> list[Turning]:
    what, quantity, unit, now = names
    if not grid:
        return []
    low, high = grid[0][0], grid[-1][0]
    out = []
    for (a, left), (b, right) in pairwise(grid):
        below, above = _better(left, quantity), _better(right, quantity)
        if below == above:
            continue
        for _ in range(_HALVINGS):
            middle = (a + b) / 2
            found = pair(middle)
            # A deck that cannot be levelled lies between two that can: nothing to choose there.
            if found is None:
                break
            if _better(found, quantity) == below:
                a, left = middle, found
            else:
                b, right = middle, found
        jump = min(abs(_gap(left, quantity)), abs(_gap(right, quantity))) > _CLOSE
        out.append(Turning(what, quantity, (a + b) / 2, unit, below, above, low, high, now, jump))
    if not out:
        same = _better(grid[0][1], quantity)
        out.append(Turning(what, quantity, None, unit, same, same, low, high, now))
    return out


def _better(pair: Pair, quantity: str) -> str:
    gap = _gap(pair, quantity)
    if abs(gap) <= _SAME:
        return EVEN
    return THIRDS if gap < 0 else SPREAD


def _gap(pair: Pair, quantity: str) -> float:
    """How much more thirds takes than spread, as a share of the greater of the two."""
    thirds, spread = (_value(result, quantity) for result in pair)
    greater = max(abs(thirds), abs(spread))
    return (thirds - spread) / greater if greater > 1e-12 else 0.0


def _value(result: OrderResult, quantity: str) -> float:
    return result.use.value if quantity == "use" else result.extra_mean
