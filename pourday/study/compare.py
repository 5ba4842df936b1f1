"""Plans side by side: spread of every figure, chance of a cold joint, paired differences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.study.days import PlanDays
from pourday.study.metrics import NAMES
from pourday.study.statistics import Interval, Spread, paired_difference, spread, wilson

Floats = NDArray[np.float64]

CHANCES = (
    "cold", "stiff", "below_5_C", "frost", "past_curfew", "pump_past_curfew",
    "finishing_past_curfew", "unfinished",
)  # fmt: skip
FIGURES = tuple(name for name in NAMES if name not in CHANCES)


@dataclass(frozen=True)
class PlanSummary:
    """One plan over its days: spreads by metric, chances of what may happen, worst edge pair.

    ``worst_pair`` is the index of the edge pair that goes cold most often, with its share of
    days; ``None`` where none ever does.
    """

    plan: str
    days: int
    figures: dict[str, Spread]
    chances: dict[str, Interval]
    worst_pair: tuple[int, float] | None


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
    )


def _spread(values: Floats) -> Spread:
    """Spread of a figure; all nan where no day of a plan has it (a share nobody can judge)."""
    if np.isnan(values).all():
        return Spread(math.nan, math.nan, math.nan, math.nan)
    return spread(values)


def _difference(first: Floats, second: Floats) -> Interval:
    if np.isnan(first).all() or np.isnan(second).all():
        return Interval(math.nan, math.nan, math.nan)
    return paired_difference(first, second)


def compare(all_days: Sequence[PlanDays]) -> Comparison:
    """Put plans side by side. All must have played the same days."""
    first = all_days[0]
    return Comparison(
        first_seed=first.first_seed,
        summaries=tuple(summarise(days) for days in all_days),
        differences={
            days.plan: {name: _difference(first.of(name), days.of(name)) for name in NAMES}
            for days in all_days[1:]
        },
    )
