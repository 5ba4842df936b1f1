"""Order by way of striking, on the whole floor: which of the two did what.

Every order is laid out on the file's own floor, beams and all: by the first plan of the file that
places so, or else by its first plan with the order changed. Each is struck in every way, with the
heap at its mean and without. How long edges stand open is taken from one day of that plan with
every quantity at its mean and nothing going wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from pourday.day.play import play
from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import HOWS, DeckTooSoftError
from pourday.floor.access.set_ups import ReachError
from pourday.floor.layout import Layout, lay_out, restruck
from pourday.floor.order.graph import OrderError
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.deck.level import AT_COLUMNS, LevelSurvey, level_survey
from pourday.outcome.deck.peaks import DeckOutcome, deck_outcome, mean_peaks, peaks_without_heaps
from pourday.outcome.measure import measure
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.faults import Fault, ScenarioError
from pourday.scenario.model.call_off import DayToDay
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.told import Told, counted, nobody, within

ORDERS = ("thirds", "across", "spread")
T = TypeVar("T")


@dataclass(frozen=True)
class Felt:
    """What the deck feels at worst: share of resistance (None: not judged), sag (m) and uplift
    (N/m, 0 where nothing lifts)."""

    use: float | None
    sag: float
    uplift: float


@dataclass(frozen=True)
class FloorRow:
    """One order struck in one way. ``same_as`` names the way that gives the very same floor.

    ``heap`` is with the heap at its mean, ``bare`` without. ``refused`` says why it takes no part
    in comparisons, or that it cannot be struck so: then nothing else is known of it.
    """

    order: str
    strike: str
    same_as: str
    heap: Felt | None
    bare: Felt | None
    level: LevelSurvey | None
    refused: str


@dataclass(frozen=True)
class OrderOfFloor:
    """One order on the whole floor: ``plan`` that lends its crew and cut, ``own`` whether it places
    so itself, how it strikes (``strike``), ``strips`` how it is cut (m: least and greatest width
    along the sheets, or depth of the bands), and how long an edge stands open (s) on the mean day.
    """

    order: str
    plan: str
    own: bool
    strike: str
    strips: tuple[float, float]
    open_time: float


@dataclass(frozen=True)
class FloorOrders:
    """All orders by all ways of striking; ``heap`` is its mean height factor, ``heap_length`` (m),
    ``spans`` (m) the shortest and the longest span between supports, ``concrete`` (m³) the floor in
    theory; ``heaping`` whether the preset has a heaping too: of the two the worse counts."""

    orders: tuple[OrderOfFloor, ...]
    rows: tuple[FloorRow, ...]
    heap: float
    heap_length: float
    spans: tuple[float, float]
    concrete: float
    heaping: bool

    def row(self, order: str, strike: str) -> FloorRow | None:
        """The row of an order struck so; None where it is not among them or was refused."""
        for each in self.rows:
            if (each.order, each.strike) == (order, strike) and not each.refused:
                return each
        return None


def floor_orders(plans: Sequence[Basis], told: Told = nobody) -> FloorOrders:
    """Every order of :data:`ORDERS` (and a listed one) by every way of striking.

    Raises:
        ScenarioError: where no order at all can be laid out.
    """
    first = plans[0]
    scenario = first.scenario
    known = {(b.plan.name, b.plan.strike): b for b in plans}
    orders, rows = [], []
    listed = [b.plan.order for b in plans if b.plan.order not in ORDERS]
    every = list(dict.fromkeys([*ORDERS, *listed]))
    for number, order in enumerate(counted(every, told)):
        plan, own = _plan_of(plans, order)
        part = within(told, number / len(every), (number + 1) / len(every))
        try:
            mine = _rows(scenario, plan, known if own else {}, part)
        except (ReachError, OrderError):
            continue  # no plan of the file places so, and the first one's pump cannot
        found = [each for each, _ in mine]
        at = next((b for each, b in mine if b and each.strike == plan.strike), None)
        at = at or next((b for _, b in mine if b), None)
        rows += found
        if at is not None:
            strips = _strips(at.layout)
            orders.append(OrderOfFloor(order, plan.name, own, plan.strike, strips, open_time(at)))
    if not orders:
        raise ScenarioError([Fault("plan", "no order can be struck on this floor")])
    loads = scenario.loads
    spans = [b - a for run in first.layout.cut.runs for a, b in run.spans]
    return FloorOrders(
        tuple(orders),
        tuple(rows),
        loads.heap_height_factor.mean,
        loads.heap_length,
        (min(spans), max(spans)),
        float(first.layout.theory.sum()),
        any(
            load.heaping > 0
            for line in first.layout.lines
            for loads in line.deck.working.of.values()
            for load in loads
        ),
    )


def _plan_of(plans: Sequence[Basis], order: str) -> tuple[Plan, bool]:
    for each in plans:
        if each.plan.order == order:
            return each.plan, True
    plan = plans[0].plan
    return replace(plan, order=order, cut=order, sequence=None, place_before=()), False


def _rows(
    scenario: Scenario, plan: Plan, known: Mapping[tuple[str, str], Basis], told: Told
) -> list[tuple[FloorRow, Basis | None]]:
    """An order struck in every way; what does not depend on that is laid out once."""
    like = known.get((plan.name, plan.strike))
    out = []
    for how in counted(HOWS, told):
        row, here = _row(scenario, replace(plan, strike=how), known, like)
        like = like or here
        out.append((row, here))
    return out


def _row(
    scenario: Scenario,
    plan: Plan,
    known: Mapping[tuple[str, str], Basis],
    like: Basis | None,
) -> tuple[FloorRow, Basis | None]:
    how = plan.strike
    if how == "pins" and not scenario.beams.given:
        # Pins on supports that do not sink are the datum.
        return FloorRow(plan.order, how, "datum", None, None, None, "as datum"), None
    here = known.get((plan.name, how))
    if here is None:
        try:
            layout = restruck(scenario, plan, like.layout) if like else lay_out(scenario, plan)
            here = basis(scenario, plan, layout)
        except (DeckTooSoftError, BeamTooSoftError) as error:
            why = f"cannot be struck so: {error}"
            return FloorRow(plan.order, how, "", None, None, None, why), None
    level = level_survey(here)
    off = level.over_supports
    refused = ""
    if off > AT_COLUMNS:
        refused = f"struck {off * 1e3:.0f} mm off the datum over supports"
    never = np.full(len(here.layout.strips), np.nan)
    bare = peaks_without_heaps(here)
    heap = mean_peaks(here)
    row = FloorRow(
        order=plan.order,
        strike=how,
        same_as="",
        heap=_felt(deck_outcome(here, heap, never, never)),
        bare=_felt(deck_outcome(here, bare, never, never)),
        level=level,
        refused=refused,
    )
    return row, here


def _felt(deck: DeckOutcome) -> Felt:
    use = deck.use.value if deck.use is not None else None
    judged = None if use is None or not np.isfinite(use) else use
    return Felt(judged, deck.deflection.value, deck.uplift.value)


def _strips(layout: Layout) -> tuple[float, float]:
    across = layout.along == "x"
    widths = [s.y1 - s.y0 if across else s.x1 - s.x0 for s in layout.strips]
    return min(widths), max(widths)


def open_time(plan: Basis) -> float:
    """Longest time (s) that an edge between two strips stands open on the plan's mean day."""
    scenario = mean_of(plan.scenario)
    dry = replace(scenario.weather, rain=())
    calm = replace(scenario, upsets=(), weather=dry, day_to_day=DayToDay())
    never: dict[str, Any] = {
        each.name: None for each in fields(calm.upset_rates) if each.name.endswith("_every")
    }
    calm = replace(calm, upset_rates=replace(calm.upset_rates, absent_share=0.0, **never))
    mean = replace(plan, scenario=calm, plan=mean_of(plan.plan))
    day = measure(mean, play(calm, mean.plan, mean.layout, 0, ()))
    return float(np.nanmax(day.edges.gap, initial=0.0))


def mean_of(value: T) -> T:
    """The same value with every quantity in it, however deep, fixed at its mean."""
    return _at_mean(value)  # type: ignore[no-any-return]


def _at_mean(value: Any) -> Any:
    if isinstance(value, Distribution):
        return fixed(value.mean)
    if is_dataclass(value) and not isinstance(value, type):
        own = {each.name: getattr(value, each.name) for each in fields(value)}
        new = {name: _at_mean(old) for name, old in own.items()}
        changed = {name: item for name, item in new.items() if item is not own[name]}
        return replace(value, **changed) if changed else value
    if isinstance(value, tuple):
        items = tuple(_at_mean(item) for item in value)
        return value if all(a is b for a, b in zip(items, value, strict=True)) else items
    if isinstance(value, Mapping):
        return {name: _at_mean(item) for name, item in value.items()}
    return value
