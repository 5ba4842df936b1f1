"""Machine-readable output: plain dictionaries, documented in docs/outputs.md.

Keys are stable within a schema number. Units stand in the names; hours are clock hours of the
pour day (7.5 is half past seven); what never came is null.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pourday.day.log import STOPS, DayLog
from pourday.floor.layout import Layout
from pourday.outcome.concrete.ageing import strip_ages
from pourday.outcome.edges.edge_pairs import worst_place
from pourday.outcome.edges.stop_end import StopAdvice
from pourday.outcome.measure import Outcome, PumpTimes, pump_times
from pourday.report.records.cold import cold_record, delivered_record
from pourday.report.records.heat import heat_record
from pourday.report.records.parts import (
    PEAK_NAMES,
    basis_record,
    edge_rule_record,
    factored,
    hour,
    number,
    peaks,
    where,
)
from pourday.report.records.samples import samples_record
from pourday.report.records.upsets import upsets_record
from pourday.report.words import WATER
from pourday.study.effects import Effect
from pourday.study.heat import Heat

DAY_SCHEMA = "pourday.day/1"


def day_record(
    outcome: Outcome,
    effects: Sequence[Effect] = (),
    advice: Sequence[StopAdvice] = (),
    hot: Heat | None = None,
) -> dict[str, Any]:
    """One day of one plan, with the effects of what went wrong and advice for its long stops."""
    return {
        "schema": DAY_SCHEMA,
        "scenario": outcome.basis.scenario.title,
        "plan": outcome.log.plan,
        "seed": outcome.log.seed,
        "pour": _pour(outcome),
        "kind_of_day": _kind_of_day(outcome.log),
        "trucks": _trucks(outcome.log),
        "water": WATER,
        "samples": samples_record(outcome),
        "telephone": _telephone(outcome.log),
        "strips": _strips(outcome),
        "edge_rule": edge_rule_record(outcome.basis.scenario.mix),
        "edge_pairs": _edge_pairs(outcome),
        "stopped_fronts": _stopped_fronts(outcome),
        "pump": _pump(outcome.pump),
        "fronts": _fronts(outcome),
        "upsets": upsets_record(outcome, effects, advice),
        "deck": _deck(outcome),
        "cold": cold_record(outcome),
        "delivered": delivered_record(outcome),
        "drying": _drying(outcome),
        "heat": heat_record(hot),
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
        "evaporation_peak_kg_m2_h": number(outcome.evaporation_peak),
        "evaporation_peak_at_h": hour(outcome.evaporation_time),
        "cost": {
            "currency": outcome.basis.scenario.prices.currency,
            **{kind: number(getattr(outcome.cost, kind)) for kind in _COSTS},
        },
    }


_COSTS = (
    "concrete",
    "pump",
    "labour",
    "waiting",
    "overtime",
    "cold_joints",
    "stiff_edges",
    "total",
)


def _kind_of_day(log: DayLog) -> dict[str, Any]:
    return {
        "crew_pace_factor": number(log.factors.crew),
        "plant_pace_factor": number(log.factors.plant),
        "travel_factor": number(log.factors.travel),
    }


def _pour(outcome: Outcome) -> dict[str, Any]:
    log = outcome.log
    return {
        "start_h": hour(log.start),
        "end_h": hour(log.end),
        "duration_h": number(outcome.duration / 3600),
        "placed_m3": number(log.placed),
        "ordered_m3": number(outcome.ordered),
        "rejected_m3": number(sum(v.rejected for v in log.visits)),
        "returned_m3": number(sum(v.returned for v in log.visits)),
        "line_and_pump_m3": number(log.held),
        "unfinished_m3": number(log.unfinished),
        "past_curfew": outcome.past_curfew,
        "pump_past_curfew": outcome.pump_past_curfew,
    }


def _telephone(log: DayLog) -> dict[str, Any]:
    return {
        "loads_held": sum(front.loads_held for front in log.fronts),
        "loads_beyond_booking": sum(front.loads_beyond for front in log.fronts),
        "calls": [
            {
                "at_h": hour(call.at),
                "kind": call.kind,
                "why": call.why,
                "volume_m3": number(call.volume) if call.volume else None,
                "front": call.front + 1,
            }
            for call in log.calls
        ],
    }


def _trucks(log: DayLog) -> list[dict[str, Any]]:
    placed_by = _placed_by_front(log)
    return [
        {
            "id": visit.number + 1,
            "plant": visit.plant,
            "batched_h": hour(visit.batched),
            "arrived_h": hour(visit.arrived),
            "discharge_start_h": hour(visit.discharge_start),
            "discharge_end_h": hour(visit.discharge_end),
            "left_site_h": hour(visit.left_site),
            "wait_min": number(visit.wait / 60),
            "age_at_end_min": number((visit.discharge_end - visit.batched) / 60),
            "volume_m3": number(visit.volume),
            "placed_m3": number(visit.placed),
            "placed_by_front": [
                {"front": front + 1, "placed_m3": number(placed)}
                for front, placed in sorted(placed_by.get(visit.number, {}).items())
            ],
            "rejected_m3": number(visit.rejected),
            "returned_m3": number(visit.returned),
            "outcome": visit.outcome,
            "front": visit.front + 1,
            "rounds": visit.rounds,
        }
        for visit in log.visits
    ]


def _strips(outcome: Outcome) -> list[dict[str, Any]]:
    layout = outcome.basis.layout
    ages = {each.strip: each for each in strip_ages(outcome.basis, outcome.fronts)}
    return [
        {
            "order": k + 1,
            "id": strip.name,
            "kind": strip.kind,
            "bay": strip.bay,
            "x0_m": number(strip.x0),
            "x1_m": number(strip.x1),
            "y0_m": number(strip.y0),
            "y1_m": number(strip.y1),
            "front_along": strip.along,
            "from_low_y": layout.upward[k],
            "front": layout.front_of[k] + 1,
            "places": _place_names(layout, k),
            "volume_m3": number(outcome.log.strip_volumes[k]),
            "start_h": hour(outcome.strip_start[k]),
            "end_h": hour(outcome.strip_end[k]),
            "initial_set_h": hour(ages[k].initial_set) if k in ages else None,
            "final_set_h": hour(ages[k].final_set) if k in ages else None,
        }
        for k, strip in enumerate(layout.strips)
    ]


def _stopped_fronts(outcome: Outcome) -> list[dict[str, Any]]:
    edges, strips = outcome.edges, outcome.basis.layout.strips
    stops = (edges.stop_strip, edges.stop_at, edges.stop_time, edges.stop_ratio)
    return [
        {
            "strip": strips[strip].name,
            "x_m": number(strips[strip].at(place)[0]),
            "y_m": number(strips[strip].at(place)[1]),
            "covered_h": hour(time),
            "ratio": number(ratio),
            "stiff": bool(edges.stiff_from < ratio <= 1.0),
            "cold": bool(ratio > 1.0),
        }
        for strip, place, time, ratio in zip(*stops, strict=True)
    ]


def _pump(times: PumpTimes) -> dict[str, Any]:
    return {f"{kind}_h": number(getattr(times, kind) / 3600) for kind in ("placing", *STOPS)}


def _fronts(outcome: Outcome) -> list[dict[str, Any]]:
    log, layout = outcome.log, outcome.basis.layout
    return [
        {
            "means": plan.pump,
            "crew": plan.crew,
            "start_h": hour(mine.start),
            "end_h": hour(mine.end),
            "wash_out_end_h": hour(mine.wash_out_end),
            "line_and_pump_m3": number(mine.held),
            "unfinished_m3": number(mine.unfinished),
            "set_up_changes": access.set_up_moves,
            "standby": mine.standby,
            "pump": _pump(pump_times(log, n)),
        }
        for n, (plan, mine, access) in enumerate(
            zip(outcome.basis.plan.fronts, log.fronts, layout.access, strict=True)
        )
    ]


def _deck(outcome: Outcome) -> dict[str, Any]:
    basis, deck = outcome.basis, outcome.deck
    return {
        "peaks": peaks(deck),
        "peaks_factored": factored(deck),
        "basis": basis_record(basis.scenario),
        "where": {key: where(basis, getattr(deck, key)) for key in PEAK_NAMES},
        "ponding_m3": number(deck.ponding),
        "look_out": [
            {
                "at_h": hour(moment.time),
                "strip": basis.layout.strips[moment.strip].name,
                "bay": moment.bay,
                "x_m": number(moment.x),
                "kind": moment.kind,
                "value": number(moment.value * (1e3 if moment.kind == "sag" else 1.0)),
                "limit": number(moment.limit * (1e3 if moment.kind == "sag" else 1.0)),
                "look_at": moment.look_at,
                "do": moment.do,
            }
            for moment in outcome.look_out
        ],
    }


def _placed_by_front(log: DayLog) -> dict[int, dict[int, float]]:
    """What each truck (by number) discharged at each front (m³), filling pump and line counted."""
    out: dict[int, dict[int, float]] = {}
    for stretch in log.stretches:
        mine = out.setdefault(stretch.truck, {})
        placed = stretch.volume_end - stretch.volume_start
        mine[stretch.front] = mine.get(stretch.front, 0.0) + placed
    return out


def _place_names(layout: Layout, strip: int) -> list[str]:
    """Set-up places that a strip is poured from, in order; none where the plan names none."""
    places = layout.access[layout.front_of[strip]].places
    used = dict.fromkeys(part.place for part in layout.parts[strip])
    return [places[n].name for n in used] if places else []


def _drying(outcome: Outcome) -> dict[str, Any]:
    day, strips = outcome.drying, outcome.basis.layout.strips
    return {
        "peak_kg_m2_h": number(day.peak),
        "peak_at_h": hour(day.peak_time),
        "area_over_0_5_m2": number(day.area_watch),
        "area_over_1_0_m2": number(day.area_act),
        "area_to_cover_m2": number(day.area_cover),
        "strips": [
            {
                "strip": strips[each.strip].name,
                "screeded_h": hour(each.screeded),
                "covered_h": hour(each.covered),
                "peak_kg_m2_h": number(each.peak),
                "loss_kg_m2": number(each.loss),
                "bleed_kg_m2": number(each.bleed),
                "cover_from_h": hour(each.cover[0]) if each.cover else None,
                "cover_to_h": hour(each.cover[1]) if each.cover else None,
            }
            for each in day.strips
        ],
        "measures": [
            {
                "measure": effect.name,
                "peak_kg_m2_h": number(effect.peak),
                "area_over_1_0_m2": number(effect.area_act),
                "area_to_cover_m2": number(effect.area_cover),
            }
            for effect in outcome.measure_effects
        ],
    }


def _finishing(outcome: Outcome) -> dict[str, Any]:
    work, strips = outcome.finishing, outcome.basis.layout.strips
    return {
        "end_h": hour(work.end),
        "missed_area_m2": number(work.missed_area),
        "overtime_h": number(work.overtime / 3600),
        "past_curfew": work.past_curfew,
        "jobs": [
            {
                "strip": strips[job.strip].name,
                "pass": job.pass_no,
                "area_m2": number(job.area),
                "opens_h": hour(job.opens),
                "closes_h": hour(job.closes),
                "start_h": hour(job.start),
                "end_h": hour(job.end),
                "late_area_m2": number(job.late_area),
            }
            for job in work.jobs
        ],
    }


def _edge_pairs(outcome: Outcome) -> list[dict[str, Any]]:
    layout, edges = outcome.basis.layout, outcome.edges
    return [
        {
            "first": layout.strips[pair.first].name,
            "second": layout.strips[pair.second].name,
            "along": pair.along,
            "at_m": number(pair.at),
            "length_m": number(pair.length),
            "max_gap_min": number(edges.gap[n] / 60),
            "max_ratio": number(edges.ratio[n]),
            "worst_x_m": number(worst_place(layout, pair, edges.at[n])[0]),
            "worst_y_m": number(worst_place(layout, pair, edges.at[n])[1]),
            "covered_h": hour(edges.time[n]),
            "stiff_length_m": number(edges.stiff_length[n]),
            "cold_length_m": number(edges.cold_length[n]),
            "stiff": bool(edges.pair_stiff[n]),
            "cold": bool(edges.ratio[n] > 1.0),
        }
        for n, pair in enumerate(layout.pairs)
    ]
