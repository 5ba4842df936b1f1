"""How warm the loads are when they are discharged, and which lie outside the rule of the mix."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.concrete.temperature import at, concrete_temperature
from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis
from pourday.outcome.base.fronts import delivered_temperature


@dataclass(frozen=True)
class Delivered:
    """One load: its number, when its discharge begins (s), how warm it is then, and the air (°C).

    ``least``, ``most`` (°C) are what the rule allows in that air, None where it says nothing.
    """

    truck: int
    time: float
    temperature: float
    air: float
    least: float | None
    most: float | None

    @property
    def outside(self) -> bool:
        """Whether the load is colder or warmer than the rule allows."""
        cold = self.least is not None and self.temperature < self.least
        return cold or (self.most is not None and self.temperature > self.most)


def delivered(basis: Basis, log: DayLog) -> tuple[Delivered, ...]:
    """Every load that was discharged, by number.

    On the road the concrete is taken to follow the air as the slab does; ACI 306R has a drum lose
    a quarter of the difference in an hour (value from memory), which is near.
    """
    visits = [visit for visit in log.visits if np.isfinite(visit.discharge_start)]
    if not visits:
        return ()
    draw, shift = delivered_temperature(basis, log.seed), basis.scenario.measures.shift
    when = np.array([visit.discharge_start for visit in visits])
    batched = np.array([visit.batched for visit in visits])
    loaded = np.array([draw(visit.number) for visit in visits]) + shift
    warm = concrete_temperature(basis.relax, when, batched, loaded)
    air = at(basis.air.times, basis.air.temperature, when)
    rule = basis.scenario.mix.delivery
    return tuple(
        Delivered(visit.number, float(t), float(w), float(a), rule.least_at(float(a)), rule.most)
        for visit, t, w, a in zip(visits, when, warm, air, strict=True)
    )
