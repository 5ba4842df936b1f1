"""The rule for edges put to concrete that lies: how much of its time is used, when it is lost.

Which rule it is stands in the mix; what it says, and whose it is, in :mod:`pourday.concrete.edges`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.concrete.age import clock_time_at_equivalent_age, equivalent_age
from pourday.concrete.edges import interval_between_lifts
from pourday.concrete.temperature import at
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts, time_at


def time_used(basis: Basis, found: Fronts, piece: Ints, placed: Floats, covered: Floats) -> Floats:
    """Share of its time to cold that each piece's concrete has used when it is covered.

    ``piece`` (K,) holds it, placed and covered at ``placed`` and ``covered`` (K,) s. Over 1 is a
    cold joint, over the rule's ``stiff_from`` a stiff edge.
    """
    rule = basis.edge_rule
    if rule.cold is None:
        return np.maximum(covered - placed, 0.0) / _intervals(basis, found)[piece]
    batched = found.batched[piece]
    age = equivalent_age(
        basis.relax_on(basis.day_of(found.strip[piece])),
        batched,
        np.maximum(covered, batched),
        found.temperature[piece],
        basis.scenario.mix.set_activation,
    )
    return age / rule.cold


@dataclass(frozen=True, eq=False)
class EdgeClock:
    """When the concrete of every piece is stiff and cold.

    ``stiff``, ``cold`` (N,) are clock times (s) by a rule that looks at age: all of a piece comes
    from one load. Where ``from_placing``, they are lengths of time (s) that count from when the
    front stood at a place.
    """

    found: Fronts
    stiff: Floats
    cold: Floats
    from_placing: bool

    def at(self, piece: Ints, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        """When the oldest concrete of pieces between two y (K,) m is stiff, and when cold (s)."""
        if not self.from_placing:
            return self.stiff[piece], self.cold[piece]
        found = self.found
        low = np.clip(low, found.low[piece], found.high[piece])
        high = np.clip(high, found.low[piece], found.high[piece])
        placed = np.minimum(time_at(found, piece, low), time_at(found, piece, high))
        return placed + self.stiff[piece], placed + self.cold[piece]


def edge_clock(basis: Basis, found: Fronts) -> EdgeClock:
    """When the concrete of every piece of a day is stiff and cold, by the rule of its mix."""
    rule = basis.edge_rule
    if rule.cold is None or not len(found.strip):
        cold = _intervals(basis, found)
        return EdgeClock(found, rule.stiff_from * cold, cold, from_placing=True)
    stiff, cold = clock_time_at_equivalent_age(
        basis.relax_on(basis.day_of(found.strip)),
        found.batched,
        found.temperature,
        np.array([[rule.stiff_from * rule.cold], [rule.cold]]),
        basis.scenario.mix.set_activation,
    )
    return EdgeClock(found, stiff, cold, from_placing=False)


def _intervals(basis: Basis, found: Fronts) -> Floats:
    """Interval between lifts of every piece (s), by the air when its placing begins."""
    air, begun = basis.air, np.minimum(found.time_low, found.time_high)
    warm = at(air.times, air.temperature, begun, basis.day_of(found.strip))
    return interval_between_lifts(warm)
