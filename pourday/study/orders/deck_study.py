"""What the deck feels in every plan, and what other orders of the busiest bay would make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.deck.history import Peaks
from pourday.floor.lines.working import gear_of
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.checks import DeckChecks, deck_checks
from pourday.outcome.deck.level import GaugeLine, LevelSurvey, gauge_lines, level_survey
from pourday.outcome.deck.overhangs import OverhangCheck, overhang_checks
from pourday.outcome.deck.peaks import DeckOutcome, deck_outcome, mean_peaks
from pourday.outcome.deck.stiffness import AtStiffness, at_stiffness
from pourday.outcome.deck.supports import SupportChecks, support_checks
from pourday.scenario.base.faults import Fault, ScenarioError
from pourday.scenario.model.scenario import Props, Scenario
from pourday.study.orders.bay import OrderResult, bay_case, judge, judge_case, planned_order
from pourday.study.orders.search import best_and_worst
from pourday.study.orders.turns import Turning, turning_points
from pourday.study.told import Told, counted, nobody, within


@dataclass(frozen=True, eq=False)
class PlanDeck:
    """The deck of one plan, heaps at their mean height, without a day.

    ``alike`` names the plans that place the same strips in the same order and strike them alike.
    """

    basis: Basis
    alike: tuple[str, ...]
    by_group: tuple[Peaks, ...]
    deck: DeckOutcome
    checks: DeckChecks
    supports: SupportChecks
    overhangs: tuple[OverhangCheck, ...]
    stiffness: tuple[AtStiffness, ...]
    level: LevelSurvey
    gauges: tuple[GaugeLine, ...]


@dataclass(frozen=True)
class BayOrders:
    """Orders of one bay: ``thirds``, ``spread`` and ``across`` as the program makes them.

    ``across`` is that of one band in the worse of its two directions, taken for all of the bay;
    ``best`` and ``worst`` are those of the strips of thirds.
    ``best_how``, ``worst_how`` say how these were found; ``turnings`` where thirds against spread
    turns.
    """

    bay: str
    thirds: OrderResult
    spread: OrderResult
    across: OrderResult
    best: OrderResult
    worst: OrderResult
    best_how: str
    worst_how: str
    tried: int
    turnings: tuple[Turning, ...]


def plan_decks(plans: Sequence[Basis], told: Told = nobody) -> tuple[PlanDeck, ...]:
    """One entry for each different order, or way of striking it, among the plans."""
    alike: dict[tuple[object, ...], list[Basis]] = {}
    for basis in plans:
        # The crew's number is a load only where persons are counted.
        gear = tuple(gear_of(basis.scenario, front) for front in basis.plan.fronts)
        if basis.scenario.loads.preset != "persons":
            gear = tuple(replace(each, persons=0) for each in gear)
        how = (basis.plan.strike, basis.plan.strike_lag if basis.layout.along == "x" else 0.0)
        key = (basis.layout.strips, basis.layout.upward, basis.layout.front_of, gear, how)
        alike.setdefault(key, []).append(basis)
    return tuple(
        _plan_deck(group[0], tuple(b.plan.name for b in group))
        for group in counted(list(alike.values()), told)
    )


def _plan_deck(basis: Basis, names: tuple[str, ...]) -> PlanDeck:
    by_group = mean_peaks(basis)
    never = np.full(len(basis.layout.strips), np.nan)
    return PlanDeck(
        basis=basis,
        alike=names,
        by_group=by_group,
        deck=deck_outcome(basis, by_group, never, never),
        checks=deck_checks(basis),
        supports=support_checks(basis),
        overhangs=overhang_checks(basis),
        stiffness=at_stiffness(basis),
        level=level_survey(basis),
        gauges=gauge_lines(basis),
    )


def bay_orders(basis: Basis, bay: str, told: Told = nobody) -> BayOrders:
    """Judge and search the orders of a bay as this plan cuts and crews it.

    ``told`` hears how far it is; most of it is the turning points.

    Raises:
        KeyError: naming the bays there are.
    """
    scenario, plan, cut = basis.scenario, basis.plan, basis.layout.cut
    results = {}
    for order in ("thirds", "spread"):
        other = replace(plan, order=order, sequence=None)
        names = planned_order(scenario, cut, other, bay)
        results[order] = judge(scenario, cut, other, bay, names)
    found = best_and_worst(scenario, cut, replace(plan, order="thirds", sequence=None), bay)
    told(0.1)
    return BayOrders(
        bay=bay,
        thirds=results["thirds"],
        spread=results["spread"],
        across=_across(basis, bay),
        best=found.best,
        worst=found.worst,
        best_how=found.best_how,
        worst_how=found.worst_how,
        tried=found.tried,
        turnings=turning_points(scenario, cut, plan, bay, within(told, 0.1, 1.0)),
    )


def _across(basis: Basis, bay: str) -> OrderResult:
    """A band filled span by span: the hose crosses it both ways, so the worse of the two counts."""
    scenario, cut = basis.scenario, basis.layout.cut
    plan = replace(basis.plan, order="across", sequence=None, place_before=())
    case = bay_case(scenario, cut, plan, bay)
    names = tuple(name for name in planned_order(scenario, cut, plan, bay) if name in case.own)
    ways = [judge_case(case, way) for way in (names, names[::-1])]
    return max(ways, key=lambda result: result.use.value)


def without_props(scenario: Scenario) -> Scenario:
    """The same scenario with every temporary prop line missing.

    Raises:
        ScenarioError: where there is none to leave out.
    """
    if not scenario.props.lines_x:
        raise ScenarioError([Fault("props.lines_x_m", "no prop line there to leave out")])
    return replace(scenario, props=Props(None, ()))
