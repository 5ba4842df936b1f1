"""Plans side by side: spread of every figure, chance of a cold joint, paired differences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pourday.study.days import PlanDays
from pourday.study.metrics import NAMES
from pourday.study.rare import RareMean, rare_difference, rare_mean
from pourday.study.statistics import Interval, Spread, paired_difference, spread, wilson

Floats = NDArray[np.float64]

CHANCES = (
    "cold", "stiff", "below_5_C", "frost", "past_curfew", "pump_past_curfew",
    "finishing_past_curfew", "unfinished",
)  # fmt: skip
RARE = ("stiff_length_m", "cold_length_m")
"""Figures that are 0 on most days: a spread says nothing of them, nor does Student's interval."""
FIGURES = tuple(name for name in NAMES if name not in CHANCES)


@dataclass(frozen=True)
class PlanSummary:
    """One plan over its days: spreads by metric, chances of what may happen, worst edge pair.

    ``rare`` has, for :data:`RARE`, on which share of days they come up, and how much then.

    ``worst_pair`` is the index of the edge pair that goes cold most often, with its share of
    days; ``None`` where none ever does.
    """

    plan: str
    days: int
    figures: dict[str, Spread]
    chances: dict[str, Interval]
    worst_pair: tuple[int, float] | None
    rare: dict[str, RareMean]


@dataclass(frozen=True)
class Comparison:
    """All plans over the same days; ``differences`` are each plan less the first, paired by day."""

    first_seed: int
    summaries: tuple[PlanSummary, ...]
    differences: dict[str, dict[str, Interval]]


def summarise(days: PlanDays) -> PlanSummary:
    """Spreads, and Wilson intervals of the chances."""
    worst = None
    if len(days.pair_cold) and days.pair_cold.max() > 0:
        worst = (int(days.pair_cold.argmax()), float(days.pair_cold.max()))
    return PlanSummary(
        plan=days.plan,
        days=days.days,
        figures={name: _spread(days.of(name)) for name in FIGURES},
        chances={name: wilson(int(days.of(name).sum()), days.days) for name in CHANCES},
        worst_pair=worst,
        rare={name: rare_mean(days.of(name)) for name in RARE},
    )


def _spread(values: Floats) -> Spread:
    """Spread of a figure; all nan where no day of a plan has it (a share nobody can judge)."""
    if np.isnan(values).all():
        return Spread(math.nan, math.nan, math.nan, math.nan)
    return spread(values)


def _difference(name: str, first: Floats, second: Floats) -> Interval:
    if np.isnan(first).all() or np.isnan(second).all():
        return Interval(math.nan, math.nan, math.nan)
    return rare_difference(first, second) if name in RARE else paired_difference(first, second)


def compare(all_days: Sequence[PlanDays]) -> Comparison:
    """Put plans side by side. All must have played the same days."""
    first = all_days[0]
    return Comparison(
        first_seed=first.first_seed,
        summaries=tuple(summarise(days) for days in all_days),
        differences={
            days.plan: {name: _difference(name, first.of(name), days.of(name)) for name in NAMES}
            for days in all_days[1:]
        },
    )


def on_fresh_days(comparison: Comparison, fresh: Sequence[PlanDays]) -> Comparison:
    """The same with these plans' spreads and chances from fresh days; differences stay paired."""
    by_plan = {each.plan: summarise(each) for each in fresh}
    summaries = tuple(by_plan.get(each.plan, each) for each in comparison.summaries)
    return replace(comparison, summaries=summaries)
