"""What the deck of one bay feels in a given order of strips; no day is played for it.

Every bay is taken on rigid supports, whatever ``[beams]`` says, so that it is a problem of its own:
a line of deck one metre wide. :class:`OrderResult` says when beams were left out. Which orders to
judge is for :mod:`pourday.study.orders.search`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pourday.deck.history import Peak, Peaks, UseCause, balance, peaks
from pourday.floor.bands import band_marks, bands_in
from pourday.floor.cut import Bay, FloorCut
from pourday.floor.cutting import strips_of
from pourday.floor.lines.frame import Station
from pourday.floor.lines.lines import BayDeck, LinePlace, bay_deck, crosses, renumbered
from pourday.floor.lines.ponding import Striking, floor_struck
from pourday.floor.lines.states import DeckLine, deck_lines
from pourday.floor.lines.working import gear_of
from pourday.floor.order.graph import add_wishes, listed_graph, sequence, thirds_graph
from pourday.floor.order.shares import bays_of_fronts, order_of
from pourday.floor.strips import Strip, way_of_cutting
from pourday.outcome.deck.peaks import CAUSES
from pourday.scenario.model.scenario import Plan, Scenario

if TYPE_CHECKING:
    import networkx as nx

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class OrderPeak:
    """An extreme: ``value`` (SI), at ``x`` (m), the strip and stage of its state.

    ``strip`` is the one that the front is in, ``stage`` that of `floor.lines.states.State`
    ("bare" names the first strip, "full" the last). ``cause`` is the check that used most, for the
    use of resistance only.
    """

    value: float
    x: float
    strip: str
    stage: str
    cause: str = ""


@dataclass(frozen=True)
class OrderResult:
    """One order of strips in one bay; values per metre width, signs as in ``deck.beam``.

    ``names`` are the strips that cross the bay in placing order. ``sag_moment`` and ``hog_moment``
    (N m/m, hogging negative), ``reaction`` and ``uplift`` (N/m; the least reaction, negative where
    a support lifts), ``deflection`` (m), ``use`` (share of resistance, 1 = used up). ``balance``
    (N/m, load of the right span less the left, greatest in size) is None for a single span.
    ``extra_volume`` (m³) is the concrete above theory in the bay, ``extra_mean`` (m) the same over
    the bay's area without openings. ``later_low`` and ``later_high`` (m, downward positive) are the
    least and the greatest movement of a cell's surface after it was struck: the level lost.
    ``beams_left_out`` is True where the scenario has beams that bend: supports are rigid here.
    """

    bay: str
    names: tuple[str, ...]
    sag_moment: OrderPeak
    hog_moment: OrderPeak
    reaction: OrderPeak
    uplift: OrderPeak
    deflection: OrderPeak
    use: OrderPeak
    balance: OrderPeak | None
    extra_mean: float
    extra_volume: float
    later_low: float
    later_high: float
    beams_left_out: bool


@dataclass(frozen=True, eq=False)
class BayCase:
    """A bay with all that its orders share; the beam is solved once.

    In the order "across" it is the first band of a bay, which stands for all of them. ``strips``
    are all that cross the bay, ``deck`` has them in this order, ``areas`` (C,) m² are
    those of its cells without openings. ``before`` (names) belong to bays poured earlier and reach
    into this one over a sheet joint, ``own`` are the bay's own; ``rules`` is the graph over ``own``
    of the placement rules of ``thirds`` (design section 5) and the plan's ``place_before``. ``how``
    the top is struck and the ``lag`` (m) of the screed are the plan's.
    """

    scenario: Scenario
    bay: Bay
    strips: tuple[Strip, ...]
    deck: BayDeck
    areas: Floats
    before: tuple[str, ...]
    own: tuple[str, ...]
    rules: nx.DiGraph
    how: str
    lag: float


def bay_case(scenario: Scenario, cut: FloorCut, plan: Plan, bay: str) -> BayCase:
    """Cut a bay as the plan cuts it and solve its deck.

    Args:
        scenario: the floor and what stands on it.
        cut: its floor, cut.
        plan: its cut and its crew count.
        bay: name of the bay.

    Raises:
        KeyError: no bay of this name, or none that takes concrete.
        OrderError: where the wishes of the plan and the rules go round in a circle.
    """
    here = next(_pieces(cut, plan, bay))
    everything = sorted(strips_of(cut, plan), key=lambda s: s.place)
    gear = gear_of(scenario, plan.fronts[bays_of_fronts(cut, plan)[bay]])
    deck = bay_deck(scenario, cut, here, everything, (gear, plan.strike))
    if not deck.strips:
        raise KeyError(f"bay {bay!r} takes no concrete: openings take it whole")
    strips = tuple(everything[i] for i in deck.strips)
    own = tuple(s.name for s in strips if s.bay == bay)
    rules = thirds_graph([s for s in strips if s.bay == bay])
    add_wishes(rules, [pair for pair in plan.place_before if set(pair) <= set(own)])
    sequence(rules, plan.begin_at)  # raises on a cycle
    whole = cut.bay(bay)
    return BayCase(
        scenario=scenario,
        bay=here,
        strips=strips,
        deck=renumbered(deck, {i: n for n, i in enumerate(deck.strips)}),
        areas=np.array([cut.open_area(c.low, c.high, whole.y0, whole.y1) for c in deck.cells]),
        before=tuple(s.name for s in strips if s.bay != bay),
        own=own,
        rules=rules,
        how=plan.strike,
        lag=plan.strike_lag,
    )


def _pieces(cut: FloorCut, plan: Plan, bay: str) -> Iterator[Bay]:
    """The bay, or in the order "across" its bands that take concrete: they are all alike.

    Raises:
        KeyError: no such bay.
    """
    here = cut.bay(bay)
    across = way_of_cutting(plan) == "across"
    for piece in bands_in(here, band_marks(cut, plan) if across else ()):
        if not across or cut.open_area(piece.x0, piece.x1, piece.y0, piece.y1) > 1e-9:
            yield piece


def planned_order(scenario: Scenario, cut: FloorCut, plan: Plan, bay: str) -> tuple[str, ...]:
    """Names of the strips that cross a bay as the plan places them.

    Raises:
        KeyError: no such bay.
        OrderError: for an order that cannot be followed.
    """
    strips = strips_of(cut, plan)
    here = next(_pieces(cut, plan, bay))
    order = order_of(scenario, plan, strips, bays_of_fronts(cut, plan))
    mine = {s.name for s in strips if crosses(s, here)}
    return tuple(name for name in order.names if name in mine)


def judge(
    scenario: Scenario, cut: FloorCut, plan: Plan, bay: str, order: Sequence[str]
) -> OrderResult:
    """What the deck of a bay feels and takes if its strips are placed in this order.

    Args:
        scenario: floor, deck, slab and loads; the heap has its mean height factor.
        cut: its floor, cut.
        plan: fixes the cut and the crew; its own order does not matter here.
        bay: name of the bay.
        order: names of all strips that cross the bay. Those of earlier bays may be left out; they
            then come first.

    Raises:
        KeyError: no such bay.
        OrderError: a strip unknown, missing or named twice.
        pourday.deck.ponding.DeckTooSoftError: where the deck is too soft to be levelled.
    """
    return judge_case(bay_case(scenario, cut, plan, bay), order)


def judge_case(case: BayCase, order: Sequence[str]) -> OrderResult:
    """:func:`judge` for a bay that is prepared; use it where many orders are judged."""
    names = full_order(case, order)
    line = line_in_order(case, names)
    pressures, found = peaks_of(case, line)
    struck = line.struck
    volume = extra_volume(case, line)

    def _named(peak: Peak, cause: str = "") -> OrderPeak:
        state = line.states[peak.state]
        return OrderPeak(peak.value, peak.x, names[state.strip], state.stage, cause)

    judged = not np.isnan(found.use).any()
    worst = int(np.argmax(found.use)) if judged else found.plain.sag_moment.state
    use = Peak(float(found.use[worst]), worst, float(found.use_x[worst]))
    return OrderResult(
        bay=case.bay.name,
        names=names,
        sag_moment=_named(found.plain.sag_moment),
        hog_moment=_named(found.plain.hog_moment),
        reaction=_named(found.plain.reaction),
        uplift=_named(found.plain.uplift),
        deflection=_named(found.deflection),
        use=_named(use, CAUSES[UseCause(int(found.use_cause[worst]))] if judged else ""),
        balance=_out_of_balance(line, pressures, names),
        extra_mean=volume / float(case.areas.sum()),
        extra_volume=volume,
        later_low=float(struck.later_movement.min()),
        later_high=float(struck.later_movement.max()),
        beams_left_out=case.scenario.beams.given,
    )


def full_order(case: BayCase, order: Sequence[str]) -> tuple[str, ...]:
    """The order with the strips of earlier bays put first where it leaves them out.

    Raises:
        OrderError: a strip unknown, missing or named twice.
    """
    names = (*(name for name in case.before if name not in order), *order)
    listed_graph(case.strips, names)  # raises on what does not fit
    return names


def line_in_order(case: BayCase, names: Sequence[str]) -> DeckLine:
    """Strike the bay in this order and build its load states; ``names`` are all its strips."""
    at = {strip.name: i for i, strip in enumerate(case.strips)}
    old = [at[name] for name in names]
    strips = tuple(case.strips[i] for i in old)
    deck = renumbered(case.deck, {i: n for n, i in enumerate(old)})
    bay = case.bay
    place = LinePlace(0, Station(bay.lane, (bay.y0 + bay.y1) / 2, bay.y0, bay.y1))
    # Strips of a band are crossed from the span that comes first towards the others.
    x = [strip.x0 for strip in strips]
    way = Striking(case.how, case.lag, [x[0] <= x[-1]] * len(strips))
    struck = floor_struck(case.scenario, [deck], [place], way, None)
    return deck_lines(case.scenario, [deck], [place], strips, struck, None)[0]


def peaks_of(case: BayCase, line: DeckLine) -> tuple[Floats, Peaks]:
    """Pressures (K, C+P) of all states with the mean heap, and the peaks over them."""
    factor = case.scenario.loads.heap_height_factor.mean
    excess = np.full(len(line.states), factor - 1.0)
    felt = line.felt
    plain, factored = felt.plain.at(excess), felt.factored.at(excess)
    pressures = line.pressures + (factor - 1.0) * line.heap_pressures
    return pressures, peaks(plain, factored, felt.effects, line.resistance)


def extra_volume(case: BayCase, line: DeckLine) -> float:
    """Concrete above theory that the bay takes (m³)."""
    return float(line.struck.extra @ case.areas)


def _out_of_balance(line: DeckLine, pressures: Floats, names: Sequence[str]) -> OrderPeak | None:
    found = balance(line.supports, line.deck.fine, pressures, line.deck.unit.points)
    if not len(found.x):
        return None
    k = int(np.argmax(np.abs(found.difference)))
    state = line.states[int(found.state[k])]
    return OrderPeak(float(found.difference[k]), float(found.x[k]), names[state.strip], state.stage)
