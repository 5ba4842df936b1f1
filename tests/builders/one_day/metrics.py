"""The figures of one day, as they were read off a day at a time."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from builders.one_day.measure import OneDay as Outcome

HOUR, MINUTE = 3600.0, 60.0


def _waits(outcome: Outcome) -> tuple[float, float, float]:
    waits = outcome.waits or [0.0]
    return sum(waits) / len(waits), max(waits), sum(waits)


def _oldest(outcome: Outcome) -> float:
    """Age of the oldest concrete placed, from loading (s)."""
    ages = [v.discharge_end - v.batched for v in outcome.log.visits if v.placed > 0]
    return max(ages, default=0.0)


METRICS: dict[str, Callable[[Outcome], float]] = {
    "duration_h": lambda o: o.duration / HOUR,
    "end_h": lambda o: o.log.end / HOUR,
    "placed_m3": lambda o: o.log.placed,
    "ordered_m3": lambda o: o.ordered,
    "rejected_m3": lambda o: sum(v.rejected for v in o.log.visits),
    "returned_m3": lambda o: sum(v.returned for v in o.log.visits),
    "line_and_pump_m3": lambda o: o.log.held,
    "unfinished_m3": lambda o: o.log.unfinished,
    "loads": lambda o: float(len(o.log.visits)),
    "mean_wait_min": lambda o: _waits(o)[0] / MINUTE,
    "longest_wait_min": lambda o: _waits(o)[1] / MINUTE,
    "all_waits_h": lambda o: _waits(o)[2] / HOUR,
    "oldest_age_min": lambda o: _oldest(o) / MINUTE,
    "placing_h": lambda o: o.pump.placing / HOUR,
    "starved_h": lambda o: o.pump.starved / HOUR,
    "changing_h": lambda o: o.pump.changing / HOUR,
    "moving_h": lambda o: o.pump.moving / HOUR,
    "setting_up_h": lambda o: o.pump.setting_up / HOUR,
    "held_h": lambda o: o.pump.held / HOUR,
    "short_h": lambda o: o.pump.short / HOUR,
    "lent_h": lambda o: o.pump.lent / HOUR,
    "rounds": lambda o: float(sum(v.rounds for v in o.log.visits)),
    "down_h": lambda o: o.pump.down / HOUR,
    "rain_h": lambda o: o.pump.rain / HOUR,
    "idle_h": lambda o: o.pump.idle / HOUR,
    "longest_gap_min": lambda o: _largest(o.edges.gap) / MINUTE,
    "largest_ratio": lambda o: max(_largest(o.edges.ratio), _largest(o.edges.stop_ratio)),
    "stiff_length_m": lambda o: float(o.edges.stiff_length.sum()),
    "cold_length_m": lambda o: float(o.edges.cold_length.sum()),
    "sag_moment_kNm_per_m": lambda o: o.deck.sag_moment.value / 1e3,
    "hog_moment_kNm_per_m": lambda o: o.deck.hog_moment.value / 1e3,
    "reaction_kN_per_m": lambda o: o.deck.reaction.value / 1e3,
    "uplift_kN_per_m": lambda o: o.deck.uplift.value / 1e3,
    "deflection_mm": lambda o: o.deck.deflection.value * 1e3,
    "use": lambda o: o.deck.use.value,
    "ponding_m3": lambda o: o.deck.ponding,
    "evaporation_peak_kg_m2_h": lambda o: o.evaporation_peak,
    "finishing_end_h": lambda o: o.hours[0].finishers_until / HOUR,
    "missed_area_m2": lambda o: o.finishing.missed_area,
    "area_below_5_C_m2": lambda o: o.cold.area_cold,
    "area_below_0_C_m2": lambda o: o.cold.area_frost,
    "cost_concrete": lambda o: o.cost.concrete,
    "cost_pump": lambda o: o.cost.pump,
    "cost_labour": lambda o: o.cost.labour,
    "cost_waiting": lambda o: o.cost.waiting,
    "cost_overtime": lambda o: o.cost.overtime,
    "cost_cold_joints": lambda o: o.cost.cold_joints,
    "cost_stiff_edges": lambda o: o.cost.stiff_edges,
    "cost_total": lambda o: o.cost.total,
    "cold": lambda o: float(o.edges.cold),
    "stiff": lambda o: float(o.edges.stiff),
    "below_5_C": lambda o: float(o.cold.area_cold > 0),
    "frost": lambda o: float(o.cold.area_frost > 0),
    "past_curfew": lambda o: float(o.past_curfew),
    "pump_past_curfew": lambda o: float(o.pump_past_curfew),
    "finishing_past_curfew": lambda o: float(o.finishing.past_curfew),
    "unfinished": lambda o: float(o.log.unfinished > 0),
}
"""Name (with unit) -> the figure of one day. The last eight are 1 on days where it happened."""

NAMES = tuple(METRICS)


def day_row(outcome: Outcome) -> tuple[float, ...]:
    """All metrics of a day, in the order of :data:`NAMES`."""
    return tuple(metric(outcome) for metric in METRICS.values())


def _largest(values: np.ndarray) -> float:
    return float(np.nanmax(values, initial=0.0))
