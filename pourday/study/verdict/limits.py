"""The limits of a scenario as shares of days, and which of them need no day to be decided."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pourday.concrete.cooling import faces
from pourday.concrete.frost import COLD
from pourday.outcome.base.basis import Basis, air_of
from pourday.outcome.concrete.later import repeated
from pourday.outcome.deck.peaks import most_used, peaks_with
from pourday.scenario.model.scenario import Limits, Scenario
from pourday.study.days import PlanDays
from pourday.study.verdict.rounds import Rules

Known = Mapping[str, bool]
"""Limits of a plan that are decided without days, by kind: whether it keeps them."""

METRICS = {
    "cold": "cold",
    "stiff": "stiff",
    "below 5": "below_5_C",
    "frost": "frost",
    "curfew": "past_curfew",
    "unfinished": "unfinished",
}
"""Kind of limit -> the metric that says on which days it happened; the deck's looks at its use."""


@dataclass(frozen=True)
class DayLimit:
    """On at most ``share`` of days (0..1) a plan may do what ``kind`` says."""

    kind: str
    share: float


def day_limits(limits: Limits) -> tuple[DayLimit, ...]:
    """Every limit of a scenario that days are held against, the deck's first."""
    return (
        DayLimit("deck", limits.deck_use_share),
        DayLimit("cold", limits.cold_joint_share),
        DayLimit("stiff", limits.stiff_edge_share),
        DayLimit("below 5", limits.cold_share),
        DayLimit("frost", limits.frost_share),
        DayLimit("curfew", limits.past_curfew_share),
        DayLimit("unfinished", 0.0),
    )


def bad_days(days: PlanDays, limits: Limits) -> NDArray[np.bool_]:
    """Which limit each day breaks, (limits, days), limits as in :func:`day_limits`."""
    over = days.of("use") > limits.deck_use  # a share that nobody judges (nan) is not over
    return np.array([over, *(days.of(metric) > 0.0 for metric in METRICS.values())])


def known_of(basis: Basis) -> dict[str, bool]:
    """What is known of a plan's limits before a day of it is played.

    The deck's where the lowest heap of the file is too high on every day, or the highest is not on
    any (a heap is left out where it relieves, so that a higher one never uses less); the curfew's
    where there is none; those of cold where nothing around the slab can come below 5 °C.
    """
    scenario, out = basis.scenario, {}
    kept = _deck(basis)
    if kept is not None:
        out["deck"] = kept
    if scenario.site.curfew is None:
        out["curfew"] = True
    if never_cold(scenario):
        out["below 5"] = out["frost"] = True
    return out


def _deck(basis: Basis) -> bool | None:
    heap, limits = basis.scenario.loads.heap_height_factor, basis.scenario.limits
    lowest, highest = (_most_used(basis, heap.value_at(share)) for share in (0.0, 1.0))
    if math.isnan(lowest) or highest <= limits.deck_use:
        return True
    return False if lowest > limits.deck_use and limits.deck_use_share < 1.0 else None


def _most_used(basis: Basis, factor: float) -> float:
    if not math.isfinite(factor):
        return math.inf
    heaps = np.full(len(basis.layout.strips), factor)
    return most_used(peaks_with(basis, heaps))


def never_cold(scenario: Scenario) -> bool:
    """Whether no concrete can come below 5 °C on any day: nothing around it is ever that cold."""
    weather, slab = scenario.weather, scenario.cooling
    shift, least = weather.air_shift.value_at(0.0), scenario.mix.delivered.value_at(0.0)
    if not (math.isfinite(shift) and least + scenario.measures.shift >= COLD):
        return False
    air = air_of(weather)
    air = replace(air, temperature=air.temperature + shift)
    if weather.sky_loss and weather.varies:
        air = replace(air, wind=air.wind * 0.0)  # in still air the sky draws the most
    air = repeated(air, scenario.curing.later, 1)
    around = faces(air, slab, air.times)
    return bool(min(around.over.min(), around.under.min()) >= COLD)


def rules_for(limits: Limits, known: Sequence[Known], out: Sequence[bool]) -> Rules:
    """What is fixed before days are played.

    Args:
        limits: those of the scenario.
        known: for each plan what needs no days.
        out: for each plan whether it is ruled out whatever its days bring.
    """
    every = day_limits(limits)
    shares = np.array([[each.share for each in every] for _ in known]).reshape(-1, len(every))
    ruled_out = np.array(out, dtype=bool)
    for plan, of_plan in enumerate(known):
        for number, each in enumerate(every):
            if each.kind in of_plan:
                kept = of_plan[each.kind]
                shares[plan, number] = np.nan if kept else -1.0
                ruled_out[plan] |= not kept
    return Rules(shares, ruled_out, limits.worth_knowing)
