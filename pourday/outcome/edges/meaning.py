"""What the rule for edges means for this mix: times on the clock in the day's own temperatures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.concrete.age import arrhenius_rate, clock_time_at_equivalent_age
from pourday.concrete.edges import interval_between_lifts
from pourday.concrete.temperature import at
from pourday.outcome.base.basis import Basis


@dataclass(frozen=True)
class EdgeTimes:
    """Time (s) to stiff and to cold at ``temperature`` (°C), from loading or from placing."""

    temperature: float
    stiff: float
    cold: float


def times_in_the_day(basis: Basis) -> tuple[EdgeTimes, ...]:
    """For concrete that is as warm as the air: at the lowest and the highest of the rows.

    By interval it is the air alone that counts. One entry where the air stays the same.
    """
    air = basis.air.temperature
    rule = basis.edge_rule
    out = []
    for warm in sorted({float(air.min()), float(air.max())}):
        if rule.cold is None:
            cold = float(interval_between_lifts(warm))
        else:
            cold = rule.cold / float(arrhenius_rate(warm, basis.scenario.mix.set_activation))
        out.append(EdgeTimes(warm, rule.stiff_from * cold, cold))
    return tuple(out)


def times_of_first_load(basis: Basis) -> EdgeTimes:
    """For concrete loaded (by interval: placed) at the start of the plan, in the air that follows.

    ``temperature`` is that as delivered on average, by interval that of the air.
    """
    mix, rule, start = basis.scenario.mix, basis.edge_rule, basis.plan.start
    if rule.cold is None:
        air = float(at(basis.air.times, basis.air.temperature, start))
        cold = float(interval_between_lifts(air))
        return EdgeTimes(air, rule.stiff_from * cold, cold)
    warm = mix.delivered.mean + basis.scenario.measures.shift
    ages = np.array([rule.stiff_from * rule.cold, rule.cold])
    stiff, cold = clock_time_at_equivalent_age(basis.relax, start, warm, ages, mix.set_activation)
    return EdgeTimes(warm, float(stiff) - start, float(cold) - start)
