"""Machine-readable output of studies: plans compared, starts, the deck order by order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pourday.outcome.deck.checks import DeckChecks
from pourday.report.records.deck_supports import supports_record
from pourday.report.records.floor_orders import floor_orders_record, level_record
from pourday.report.records.parts import (
    PEAK_NAMES,
    basis_record,
    edge_rule_record,
    factored,
    hour,
    interval,
    number,
    peaks,
    spread,
    where,
)
from pourday.report.records.verdict import (
    breaches_record,
    choice_record,
    limits_record,
    rare_record,
    verdict_record,
)
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Choice
from pourday.study.compare import CHANCES, Comparison
from pourday.study.orders.bay import OrderResult
from pourday.study.orders.deck_study import BayOrders, PlanDeck
from pourday.study.orders.floor_orders import FloorOrders
from pourday.study.start_times import Ranking, StartTimes

STARTS_SCHEMA = "pourday.starts/1"
DECK_SCHEMA = "pourday.deck/1"
COMPARE_SCHEMA = "pourday.compare/2"

_CHANCE_NAMES = {
    "cold": "cold_joint",
    "stiff": "stiff_edge",
    "below_5_C": "below_5_C",
    "frost": "frost",
    "past_curfew": "past_curfew",
    "pump_past_curfew": "pump_past_curfew",
    "finishing_past_curfew": "finishing_past_curfew",
    "unfinished": "unfinished",
}


def compare_record(scenario: Scenario, comparison: Comparison, choice: Choice) -> dict[str, Any]:
    """All plans over many days."""
    return {
        "schema": COMPARE_SCHEMA,
        "scenario": scenario.title,
        "edge_rule": edge_rule_record(scenario.mix),
        "basis": basis_record(scenario),
        "days": choice.days,
        "first_seed": comparison.first_seed,
        "plans": [
            {
                "plan": summary.plan,
                "days": summary.days,
                **{name: spread(value) for name, value in summary.figures.items()},
                **{
                    f"{_CHANCE_NAMES[name]}_probability": interval(summary.chances[name])
                    for name in CHANCES
                },
                "rare": {name: rare_record(value) for name, value in summary.rare.items()},
            }
            for summary in comparison.summaries
        ],
        "differences": [
            {
                "plan": plan,
                "less": comparison.summaries[0].plan,
                **{
                    _CHANCE_NAMES.get(name, name): interval(value)
                    for name, value in figures.items()
                },
            }
            for plan, figures in comparison.differences.items()
        ],
        "choice": choice_record(choice),
        "verdict": verdict_record(choice.verdict),
    }


def starts_record(scenario: Scenario, found: StartTimes, ranking: Ranking) -> dict[str, Any]:
    """One plan begun at several hours."""
    return {
        "schema": STARTS_SCHEMA,
        "scenario": scenario.title,
        "edge_rule": edge_rule_record(scenario.mix),
        "plan": found.plan,
        "days": found.days,
        "first_seed": found.first_seed,
        "by": ranking.by,
        "best_h": [hour(start) for start in ranking.best],
        "starts": [
            {
                "start_h": hour(each.start),
                "drying_kg_m2_h": spread(each.drying),
                "end_h": spread(each.last_concrete),
                "finishing_end_h": spread(each.finished),
                "on_site_h": spread(each.on_site),
                "cost_total": spread(each.cost),
                "missed_area_m2": spread(each.missed_area),
                "cold_joint_probability": interval(each.cold),
                "stiff_edge_probability": interval(each.stiff),
                "past_curfew_probability": interval(each.past_curfew),
                "pump_past_curfew_probability": interval(each.pump_past_curfew),
                "finishing_past_curfew_probability": interval(each.finishing_past_curfew),
                "frost_probability": interval(each.frost),
                "unfinished_probability": interval(each.unfinished),
                "out": breaches_record(each.breaches),
                "limits": limits_record(each.standings),
                "behind_best": interval(ranking.behind[each.start])
                if each.start in ranking.behind
                else None,
            }
            for each in found.starts
        ],
    }


def deck_record(
    scenario: Scenario,
    decks: Sequence[PlanDeck],
    orders: BayOrders,
    floor: FloorOrders,
    variant: str,
) -> dict[str, Any]:
    """The deck of every plan, order by order, without a day."""
    return {
        "schema": DECK_SCHEMA,
        "scenario": scenario.title,
        "variant": variant,
        "plans": [_plan_deck(each) for each in decks],
        "orders": _orders(orders),
        "floor_orders": floor_orders_record(floor),
    }


def _plan_deck(plan: PlanDeck) -> dict[str, Any]:
    return {
        "plans": list(plan.alike),
        "peaks": peaks(plan.deck),
        "peaks_factored": factored(plan.deck),
        "basis": basis_record(plan.basis.scenario),
        "where": {key: where(plan.basis, getattr(plan.deck, key)) for key in PEAK_NAMES},
        "checks": _checks(plan.checks)
        | {"fixing_kN_per_m": number(plan.supports.fixing.value / 1e3)},
        "supports": supports_record(plan),
        "level": level_record(plan.level),
        "gauges": [
            {
                "x_m": number(line.x),
                "points": [
                    {
                        "y_m": number(point.y),
                        "bend_mm": number(point.bend * 1e3),
                        "left_mm": number(point.left * 1e3),
                        "set_above_mm": number(point.set_above * 1e3),
                        "thickness_mm": number(point.thickness * 1e3),
                        "finished_mm": number(point.finished * 1e3),
                    }
                    for point in line.points
                ],
            }
            for line in plan.gauges
        ],
    }


def _checks(checks: DeckChecks) -> dict[str, Any]:
    return {
        "sag_mm": number(checks.sag * 1e3),
        "sag_limit_mm": number(checks.sag_limit * 1e3),
        "sag_rule": checks.sag_rule,
        "ponding_counts": checks.ponding_counts,
        "rule_extra_mm": number(checks.rule_extra * 1e3),
        "computed_extra_mm": number(checks.mean_extra * 1e3),
        "unbalance_kN_per_m": number(checks.unbalance / 1e3),
        "beam_down_mm": number(checks.beam_down * 1e3),
        "beam_bend_left_mm": number(checks.beam_left * 1e3),
    }


def _orders(orders: BayOrders) -> dict[str, Any]:
    named = ("thirds", "spread", "across", "best", "worst")
    return {
        "bay": orders.bay,
        "judged": orders.tried,
        **{name: _order(getattr(orders, name)) for name in named},
        "best_how": orders.best_how,
        "worst_how": orders.worst_how,
        "turns": [
            {
                "what": turn.what,
                "by": turn.quantity,
                "value": None if turn.value is None else number(turn.value),
                "unit": turn.unit,
                "better_below": turn.below,
                "better_above": turn.above,
                "now": number(turn.now),
            }
            for turn in orders.turnings
        ],
    }


def _order(result: OrderResult) -> dict[str, Any]:
    return {
        "strips": list(result.names),
        "use": number(result.use.value),
        "sag_moment_kNm_per_m": number(result.sag_moment.value / 1e3),
        "hog_moment_kNm_per_m": number(-result.hog_moment.value / 1e3),
        "least_reaction_kN_per_m": number(result.uplift.value / 1e3),
        "deflection_mm": number(result.deflection.value * 1e3),
        "extra_m3": number(result.extra_volume),
        "moved_down_mm": number(result.later_high * 1e3),
        "moved_up_mm": number(-result.later_low * 1e3),
    }
