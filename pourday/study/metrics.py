"""The numbers by which days are compared: one row of figures for each day, units in the names."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.outcome.base.tables import greatest, totals
from pourday.outcome.days import DaysOutcome
from pourday.outcome.deck.envelope import DeckDays
from pourday.outcome.measure import Outcome

Floats = NDArray[np.float64]
HOUR, MINUTE = 3600.0, 60.0


def _each(things: Sequence[object], name: str) -> Floats:
    """A figure of every day's log, times or cost, (D,)."""
    return np.array([getattr(each, name) for each in things], dtype=float)


def _loads(o: DaysOutcome) -> Floats:
    """How many loads each day had, (D,)."""
    return np.array([len(log.visits) for log in o.logs], dtype=float)


def _of_loads(o: DaysOutcome, name: str) -> Floats:
    """Sum over the loads of each day, (D,)."""
    return totals(o.basis.days, o.visits.day, getattr(o.visits, name))


def _most(o: DaysOutcome, day: NDArray[np.intp], values: Floats) -> Floats:
    """The greatest of each day (D,), 0 where there is none."""
    return np.maximum(greatest(o.basis.days, day, values)[0], 0.0)


def _oldest(o: DaysOutcome) -> Floats:
    """Age of the oldest concrete placed, from loading (s)."""
    used = o.visits.placed > 0
    ages = o.visits.discharge_end[used] - o.visits.batched[used]
    return _most(o, o.visits.day[used], ages)


def _of_pairs(o: DaysOutcome, values: Floats) -> Floats:
    """The greatest of the edge pairs of each day (D,), 0 where none was closed."""
    return np.asarray(np.fmax.reduce(o.by_pair(values), axis=1, initial=0.0))


def _stops(o: DaysOutcome, values: Floats) -> Floats:
    """The greatest of the stopped fronts of each day (D,), 0 without."""
    return _most(o, o.basis.day_of(o.edges.stop_strip), values)


def _ratio(o: DaysOutcome) -> Floats:
    """Share of its time to cold that the oldest edge or stopped front used, (D,)."""
    return np.maximum(_of_pairs(o, o.edges.ratio), _stops(o, o.edges.stop_ratio))


def _stiff(o: DaysOutcome) -> NDArray[np.bool_]:
    """On which days any edge or stopped front was stiff, (D,)."""
    edges = (o.by_pair(o.edges.stiff_length) > 0.0).any(axis=1)
    return np.asarray(edges | (_stops(o, o.edges.stop_stiff.astype(float)) > 0.0))


def _deck(o: DaysOutcome) -> DeckDays:
    if o.deck is None:
        raise ValueError("days measured without their deck have no figures of it")
    return o.deck


METRICS: dict[str, Callable[[DaysOutcome], ArrayLike]] = {
    "duration_h": lambda o: (_each(o.logs, "end") - _each(o.logs, "start")) / HOUR,
    "end_h": lambda o: _each(o.logs, "end") / HOUR,
    "placed_m3": lambda o: _each(o.logs, "placed"),
    "ordered_m3": lambda o: _of_loads(o, "volume"),
    "rejected_m3": lambda o: _of_loads(o, "rejected"),
    "returned_m3": lambda o: _of_loads(o, "returned"),
    "line_and_pump_m3": lambda o: _each(o.logs, "held"),
    "unfinished_m3": lambda o: _each(o.logs, "unfinished"),
    "loads": _loads,
    "mean_wait_min": lambda o: _of_loads(o, "wait") / np.maximum(_loads(o), 1.0) / MINUTE,
    "longest_wait_min": lambda o: _most(o, o.visits.day, o.visits.wait) / MINUTE,
    "all_waits_h": lambda o: _of_loads(o, "wait") / HOUR,
    "oldest_age_min": lambda o: _oldest(o) / MINUTE,
    "placing_h": lambda o: _each(o.pump, "placing") / HOUR,
    "starved_h": lambda o: _each(o.pump, "starved") / HOUR,
    "changing_h": lambda o: _each(o.pump, "changing") / HOUR,
    "moving_h": lambda o: _each(o.pump, "moving") / HOUR,
    "setting_up_h": lambda o: _each(o.pump, "setting_up") / HOUR,
    "held_h": lambda o: _each(o.pump, "held") / HOUR,
    "short_h": lambda o: _each(o.pump, "short") / HOUR,
    "lent_h": lambda o: _each(o.pump, "lent") / HOUR,
    "rounds": lambda o: _of_loads(o, "rounds"),
    "down_h": lambda o: _each(o.pump, "down") / HOUR,
    "rain_h": lambda o: _each(o.pump, "rain") / HOUR,
    "idle_h": lambda o: _each(o.pump, "idle") / HOUR,
    "longest_gap_min": lambda o: _of_pairs(o, o.edges.gap) / MINUTE,
    "largest_ratio": _ratio,
    "stiff_length_m": lambda o: o.by_pair(o.edges.stiff_length).sum(axis=1),
    "cold_length_m": lambda o: o.by_pair(o.edges.cold_length).sum(axis=1),
    "sag_moment_kNm_per_m": lambda o: _deck(o).sag_moment / 1e3,
    "hog_moment_kNm_per_m": lambda o: _deck(o).hog_moment / 1e3,
    "reaction_kN_per_m": lambda o: _deck(o).reaction / 1e3,
    "uplift_kN_per_m": lambda o: _deck(o).uplift / 1e3,
    "deflection_mm": lambda o: _deck(o).deflection * 1e3,
    "use": lambda o: _deck(o).use,
    "ponding_m3": lambda o: _deck(o).ponding,
    "evaporation_peak_kg_m2_h": lambda o: o.evaporation_peak,
    "finishing_end_h": lambda o: _each([each[0] for each in o.hours], "finishers_until") / HOUR,
    "missed_area_m2": lambda o: o.finishing.missed_area,
    "area_below_5_C_m2": lambda o: o.cold[0],
    "area_below_0_C_m2": lambda o: o.cold[1],
    "cost_concrete": lambda o: _each(o.cost, "concrete"),
    "cost_pump": lambda o: _each(o.cost, "pump"),
    "cost_labour": lambda o: _each(o.cost, "labour"),
    "cost_waiting": lambda o: _each(o.cost, "waiting"),
    "cost_overtime": lambda o: _each(o.cost, "overtime"),
    "cost_cold_joints": lambda o: _each(o.cost, "cold_joints"),
    "cost_stiff_edges": lambda o: _each(o.cost, "stiff_edges"),
    "cost_total": lambda o: _each(o.cost, "total"),
    "cold": lambda o: _ratio(o) > 1.0,
    "stiff": _stiff,
    "below_5_C": lambda o: o.cold[0] > 0,
    "frost": lambda o: o.cold[1] > 0,
    "past_curfew": lambda o: o.past_curfew,
    "pump_past_curfew": lambda o: o.pump_past_curfew,
    "finishing_past_curfew": lambda o: o.finishing_past_curfew,
    "unfinished": lambda o: _each(o.logs, "unfinished") > 0,
}
"""Name (with unit) -> the figure of each day, (D,). The last eight are 1 on days where it
happened."""

NAMES = tuple(METRICS)
COST_PARTS = tuple(name for name in NAMES if name.startswith("cost_") and name != "cost_total")
"""The parts of the cost, which add up to its total on every day."""


def day_rows(outcome: DaysOutcome) -> Floats:
    """All metrics of days (D, metrics), in the order of :data:`NAMES`."""
    out = np.empty((outcome.basis.days, len(METRICS)))
    for n, metric in enumerate(METRICS.values()):
        out[:, n] = metric(outcome)
    return out


def day_row(outcome: Outcome) -> tuple[float, ...]:
    """The same of a single day."""
    return tuple(day_rows(outcome.days)[0].tolist())
