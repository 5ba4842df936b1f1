"""Machine-readable output: plain dictionaries, documented in docs/outputs.md.

Keys are stable within a schema number. Units stand in the names; hours are clock hours of the
pour day (7.5 is half past seven); what never came is null.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from pourday.outcome.basis import Basis
from pourday.outcome.deck import DeckOutcome, DeckPeak
from pourday.outcome.level import BANDS
from pourday.outcome.measure import Outcome
from pourday.scenario.model import Scenario
from pourday.study.choice import Choice
from pourday.study.compare import CHANCES, Comparison
from pourday.study.deck_study import BayOrders, PlanDeck
from pourday.study.orders import OrderResult
from pourday.study.start_times import StartTimes
from pourday.study.statistics import Interval, Spread

DAY_SCHEMA = "pourday.day/1"
STARTS_SCHEMA = "pourday.starts/1"
DECK_SCHEMA = "pourday.deck/1"
COMPARE_SCHEMA = "pourday.compare/1"

_NAMES = {
    "sag_moment": ("sag_moment_kNm_per_m", 1e-3),
    "hog_moment": ("hog_moment_kNm_per_m", 1e-3),
    "reaction": ("reaction_kN_per_m", 1e-3),
    "uplift": ("uplift_kN_per_m", 1e-3),
    "deflection": ("deflection_mm", 1e3),
    "use": ("use", 1.0),
}


def day_record(outcome: Outcome) -> dict[str, Any]:
    """One day of one plan."""
    log, layout = outcome.log, outcome.basis.layout
    return {
        "schema": DAY_SCHEMA,
        "scenario": outcome.basis.scenario.title,
        "plan": log.plan,
        "seed": log.seed,
        "pour": {
            "start_h": _hour(log.start),
            "end_h": _hour(log.end),
            "duration_h": _number(outcome.duration / 3600),
            "placed_m3": _number(log.placed),
            "ordered_m3": _number(outcome.ordered),
            "rejected_m3": _number(sum(v.rejected for v in log.visits)),
            "returned_m3": _number(sum(v.returned for v in log.visits)),
            "line_and_pump_m3": _number(log.held),
            "unfinished_m3": _number(log.unfinished),
            "past_curfew": outcome.past_curfew,
        },
        "trucks": [
            {
                "id": visit.number + 1,
                "plant": visit.plant,
                "batched_h": _hour(visit.batched),
                "arrived_h": _hour(visit.arrived),
                "discharge_start_h": _hour(visit.discharge_start),
                "discharge_end_h": _hour(visit.discharge_end),
                "left_site_h": _hour(visit.left_site),
                "wait_min": _number(visit.wait / 60),
                "age_at_end_min": _number((visit.discharge_end - visit.batched) / 60),
                "volume_m3": _number(visit.volume),
                "placed_m3": _number(visit.placed),
                "rejected_m3": _number(visit.rejected),
                "returned_m3": _number(visit.returned),
                "outcome": visit.outcome,
            }
            for visit in log.visits
        ],
        "strips": [
            {
                "order": k + 1,
                "id": strip.name,
                "kind": strip.kind,
                "bay": strip.bay,
                "x0_m": _number(strip.x0),
                "x1_m": _number(strip.x1),
                "y0_m": _number(strip.y0),
                "y1_m": _number(strip.y1),
                "from_low_y": layout.upward[k],
                "volume_m3": _number(log.strip_volumes[k]),
                "start_h": _hour(outcome.strip_start[k]),
                "end_h": _hour(outcome.strip_end[k]),
            }
            for k, strip in enumerate(layout.strips)
        ],
        "edge_pairs": _edge_pairs(outcome),
        "stopped_fronts": [
            {
                "strip": layout.strips[strip].name,
                "y_m": _number(y),
                "covered_h": _hour(time),
                "ratio": _number(ratio),
                "cold": bool(ratio > 1.0),
            }
            for strip, y, time, ratio in zip(
                outcome.edges.stop_strip,
                outcome.edges.stop_y,
                outcome.edges.stop_time,
                outcome.edges.stop_ratio,
                strict=True,
            )
        ],
        "pump": {
            f"{kind}_h": _number(getattr(outcome.pump, kind) / 3600)
            for kind in ("placing", "starved", "changing", "moving", "down", "idle", "rain")
        },
        "deck": {
            "peaks": _peaks(outcome.deck),
            "where": {key: _where(outcome.basis, getattr(outcome.deck, key)) for key in _NAMES},
            "ponding_m3": _number(outcome.deck.ponding),
            "look_out": [
                {
                    "at_h": _hour(moment.time),
                    "strip": layout.strips[moment.strip].name,
                    "bay": moment.bay,
                    "x_m": _number(moment.x),
                    "kind": moment.kind,
                    "value": _number(moment.value * (1e3 if moment.kind == "sag" else 1.0)),
                    "limit": _number(moment.limit * (1e3 if moment.kind == "sag" else 1.0)),
                    "look_at": moment.look_at,
                    "do": moment.do,
                }
                for moment in outcome.look_out
            ],
        },
        "drying": _drying(outcome),
        "finishing": _finishing(outcome),
        "calendar": [
            {
                "when": line.when.isoformat(timespec="minutes"),
                "what": line.what,
                "detail": line.detail,
                "source": line.source,
            }
            for line in outcome.calendar
        ],
        "evaporation_peak_kg_m2_h": _number(outcome.evaporation_peak),
        "evaporation_peak_at_h": _hour(outcome.evaporation_time),
        "cost": {
            "currency": outcome.basis.scenario.prices.currency,
            **{
                kind: _number(getattr(outcome.cost, kind))
                for kind in (
                    "concrete",
                    "pump",
                    "labour",
                    "waiting",
                    "overtime",
                    "cold_joints",
                    "total",
                )
            },
        },
    }


def compare_record(scenario: Scenario, comparison: Comparison, choice: Choice) -> dict[str, Any]:
    """All plans over many days."""
    return {
        "schema": COMPARE_SCHEMA,
        "scenario": scenario.title,
        "days": comparison.summaries[0].days,
        "first_seed": comparison.first_seed,
        "plans": [
            {
                "plan": summary.plan,
                **{name: _spread(value) for name, value in summary.figures.items()},
                **{
                    f"{_CHANCE_NAMES[name]}_probability": _interval(summary.chances[name])
                    for name in CHANCES
                },
            }
            for summary in comparison.summaries
        ],
        "differences": [
            {
                "plan": plan,
                "less": comparison.summaries[0].plan,
                **{
                    _CHANCE_NAMES.get(name, name): _interval(value)
                    for name, value in figures.items()
                },
            }
            for plan, figures in comparison.differences.items()
        ],
        "choice": {
            "plan": choice.plan,
            "runner_up": choice.runner_up,
            "saving": _interval(choice.saving) if choice.saving else None,
            "earlier_h": _interval(choice.earlier) if choice.earlier else None,
            "breaches": {
                plan: [{"kind": b.kind, "found": _number(b.found), "limit": b.limit} for b in found]
                for plan, found in choice.breaches.items()
            },
            "turn": {
                "plan": choice.turn.plan,
                "cost": choice.turn.kind,
                "factor": _number(choice.turn.factor),
            }
            if choice.turn
            else None,
        },
    }


def deck_record(
    scenario: Scenario, decks: Sequence[PlanDeck], orders: BayOrders, variant: str
) -> dict[str, Any]:
    """The deck of every plan, order by order, without a day."""
    return {
        "schema": DECK_SCHEMA,
        "scenario": scenario.title,
        "variant": variant,
        "plans": [
            {
                "plans": list(each.alike),
                "peaks": _peaks(each.deck),
                "where": {key: _where(each.basis, getattr(each.deck, key)) for key in _NAMES},
                "checks": {
                    "sag_mm": _number(each.checks.sag * 1e3),
                    "sag_limit_mm": _number(each.checks.sag_limit * 1e3),
                    "ponding_counts": each.checks.ponding_counts,
                    "rule_extra_mm": _number(each.checks.rule_extra * 1e3),
                    "computed_extra_mm": _number(each.checks.mean_extra * 1e3),
                    "fixing_kN_per_m": _number(each.checks.fixing / 1e3),
                    "unbalance_kN_per_m": _number(each.checks.unbalance / 1e3),
                    "beam_down_mm": _number(each.checks.beam_down * 1e3),
                    "beam_bend_left_mm": _number(each.checks.beam_left * 1e3),
                },
                "level": {
                    "extra_m3": _number(each.level.extra),
                    "lowest_mm": _number(-each.level.low * 1e3),
                    "highest_mm": _number(-each.level.high * 1e3),
                    **{
                        f"share_within_{band * 1e3:.0f}_mm": _number(share)
                        for band, share in zip(BANDS, each.level.within, strict=True)
                    },
                    "moved_down_mm": _number(each.level.moved_down * 1e3),
                    "moved_up_mm": _number(each.level.moved_up * 1e3),
                },
                "gauges": [
                    {
                        "x_m": _number(line.x),
                        "points": [
                            {
                                "y_m": _number(point.y),
                                "bend_mm": _number(point.bend * 1e3),
                                "left_mm": _number(point.left * 1e3),
                                "set_above_mm": _number(point.set_above * 1e3),
                                "thickness_mm": _number(point.thickness * 1e3),
                                "finished_mm": _number(point.finished * 1e3),
                            }
                            for point in line.points
                        ],
                    }
                    for line in each.gauges
                ],
            }
            for each in decks
        ],
        "orders": {
            "bay": orders.bay,
            "judged": orders.tried,
            **{
                name: _order(getattr(orders, name))
                for name in ("thirds", "spread", "best", "worst")
            },
            "best_how": orders.best_how,
            "worst_how": orders.worst_how,
            "turns": [
                {
                    "what": turn.what,
                    "by": turn.quantity,
                    "value": None if turn.value is None else _number(turn.value),
                    "unit": turn.unit,
                    "better_below": turn.below,
                    "better_above": turn.above,
                    "now": _number(turn.now),
                }
                for turn in orders.turnings
            ],
        },
    }


def _order(result: OrderResult) -> dict[str, Any]:
    return {
        "strips": list(result.names),
        "use": _number(result.use.value),
        "sag_moment_kNm_per_m": _number(result.sag_moment.value / 1e3),
        "hog_moment_kNm_per_m": _number(-result.hog_moment.value / 1e3),
        "least_reaction_kN_per_m": _number(result.uplift.value / 1e3),
        "deflection_mm": _number(result.deflection.value * 1e3),
        "extra_m3": _number(result.extra_volume),
        "moved_down_mm": _number(result.later_high * 1e3),
        "moved_up_mm": _number(-result.later_low * 1e3),
    }


def _peaks(deck: DeckOutcome) -> dict[str, float | None]:
    return {
        name: _number(getattr(deck, key).value * factor) for key, (name, factor) in _NAMES.items()
    }


_CHANCE_NAMES = {"cold": "cold_joint", "past_curfew": "past_curfew", "unfinished": "unfinished"}


def _drying(outcome: Outcome) -> dict[str, Any]:
    day, strips = outcome.drying, outcome.basis.layout.strips
    return {
        "peak_kg_m2_h": _number(day.peak),
        "peak_at_h": _hour(day.peak_time),
        "area_over_0_5_m2": _number(day.area_watch),
        "area_over_1_0_m2": _number(day.area_act),
        "area_to_cover_m2": _number(day.area_cover),
        "strips": [
            {
                "strip": strips[each.strip].name,
                "screeded_h": _hour(each.screeded),
                "covered_h": _hour(each.covered),
                "peak_kg_m2_h": _number(each.peak),
                "loss_kg_m2": _number(each.loss),
                "bleed_kg_m2": _number(each.bleed),
                "cover_from_h": _hour(each.cover[0]) if each.cover else None,
                "cover_to_h": _hour(each.cover[1]) if each.cover else None,
            }
            for each in day.strips
        ],
        "measures": [
            {
                "measure": effect.name,
                "peak_kg_m2_h": _number(effect.peak),
                "area_over_1_0_m2": _number(effect.area_act),
                "area_to_cover_m2": _number(effect.area_cover),
            }
            for effect in outcome.measure_effects
        ],
    }


def _finishing(outcome: Outcome) -> dict[str, Any]:
    work, strips = outcome.finishing, outcome.basis.layout.strips
    return {
        "end_h": _hour(work.end),
        "missed_area_m2": _number(work.missed_area),
        "overtime_h": _number(work.overtime / 3600),
        "past_curfew": work.past_curfew,
        "jobs": [
            {
                "strip": strips[job.strip].name,
                "pass": job.pass_no,
                "area_m2": _number(job.area),
                "opens_h": _hour(job.opens),
                "closes_h": _hour(job.closes),
                "start_h": _hour(job.start),
                "end_h": _hour(job.end),
                "late_area_m2": _number(job.late_area),
            }
            for job in work.jobs
        ],
    }


def starts_record(scenario: Scenario, found: StartTimes) -> dict[str, Any]:
    """One plan begun at several hours."""
    return {
        "schema": STARTS_SCHEMA,
        "scenario": scenario.title,
        "plan": found.plan,
        "days": found.days,
        "first_seed": found.first_seed,
        "starts": [
            {
                "start_h": _hour(each.start),
                "evaporation_peak_kg_m2_h": _spread(each.evaporation),
                "end_h": _spread(each.last_concrete),
                "finishing_end_h": _spread(each.finished),
                "missed_area_m2": _spread(each.missed_area),
                "cold_joint_probability": _interval(each.cold),
                "past_curfew_probability": _interval(each.past_curfew),
                "unfinished_probability": _interval(each.unfinished),
            }
            for each in found.starts
        ],
    }


def _edge_pairs(outcome: Outcome) -> list[dict[str, Any]]:
    layout, edges = outcome.basis.layout, outcome.edges
    return [
        {
            "first": layout.strips[pair.first].name,
            "second": layout.strips[pair.second].name,
            "along": pair.along,
            "at_m": _number(pair.at),
            "length_m": _number(pair.length),
            "max_gap_min": _number(edges.gap[n] / 60),
            "max_ratio": _number(edges.ratio[n]),
            "worst_y_m": _number(edges.y[n]),
            "covered_h": _hour(edges.time[n]),
            "cold_length_m": _number(edges.cold_length[n]),
            "cold": bool(edges.ratio[n] > 1.0),
        }
        for n, pair in enumerate(layout.pairs)
    ]


def _where(basis: Basis, peak: DeckPeak) -> dict[str, Any]:
    strip = basis.layout.strips[peak.strip]
    return {
        "bay": peak.bay,
        "x_m": _number(peak.x),
        "strip": strip.name,
        "stage": peak.stage,
        "from_h": _hour(peak.time),
        **({"cause": peak.cause} if peak.cause else {}),
    }


def _hour(seconds: float) -> float | None:
    return _number(seconds / 3600)


def _number(value: float) -> float | None:
    """Six significant decimals are plenty on site; nan and infinity have no place in JSON."""
    return round(float(value), 6) if math.isfinite(value) else None


def _spread(value: Spread) -> dict[str, float | None]:
    return {key: _number(getattr(value, key)) for key in ("mean", "p10", "p50", "p90")}


def _interval(value: Interval) -> dict[str, float | None]:
    return {key: _number(getattr(value, key)) for key in ("value", "low", "high")}
