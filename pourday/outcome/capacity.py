"""What a plan asks for and what it can take: the sentence that a planner needs first.

A plan asks for a load every spacing. A front takes what its slowest part lets through (pump, crew,
truck), less moves, changes of place and pipes, changes of truck and the crew's breaks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pourday.day.front.forecast import Expected, capacity, expected
from pourday.day.front.people import break_times
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.site import AFTER_POUR, IN_TURN

TOO_MUCH, TOO_LITTLE = 1.1, 0.7
"""Shares of what a front takes, beyond which trucks queue or the pump waits (common practice, no
source)."""
_WELL_FED = 1.0
_THIRD_AWAY = 1.0 / 3.0


@dataclass(frozen=True)
class Capacity:
    """What a front asks for and takes (m³/s), and its parts.

    ``pump``, ``crew`` and ``truck`` are rates while concrete flows (of the whole floor's mean
    strip), ``takes`` what is left of the least of them on this floor. ``spacing`` (s) would keep
    the front fed, in whole minutes; ``load`` (m³) is what comes with each.
    """

    front: int
    asks: float
    takes: float
    pump: float
    crew: float
    truck: float
    load: float
    spacing: float

    @property
    def share(self) -> float:
        """What is asked for, as a share of what is taken."""
        return self.asks / self.takes if self.takes else math.inf

    @property
    def warns(self) -> bool:
        """Whether trucks will queue, or the pump will wait, on an ordinary day."""
        return not TOO_LITTLE <= round(self.share, 3) <= TOO_MUCH


def capacities(basis: Basis) -> tuple[Capacity, ...]:
    """Every front of a plan: what its spacing asks for, and what it can take on this floor."""
    return tuple(_capacity(basis, number) for number in range(len(basis.plan.fronts)))


def _capacity(basis: Basis, number: int) -> Capacity:
    scenario, plan, layout = basis.scenario, basis.plan, basis.layout
    front = plan.fronts[number]
    pump, crew = scenario.pumps[front.pump], scenario.crews[front.crew]
    strips = [i for i, each in enumerate(layout.front_of) if each == number]
    volumes = [float(layout.volume[i]) for i in strips]
    plants = [p for p in scenario.supply.plants if not front.plants or p.name in front.plants]
    load = min([plan.load or scenario.supply.load, *(p.load for p in plants if p.load)])
    planned = expected(scenario, layout, number, pump, crew)
    total = sum(volumes)
    discharge = scenario.supply.discharge.mean
    area = sum(layout.strips[i].area for i in strips)
    crew_rate = crew.in_zone * crew.rate_per_placer
    if crew.screed is not None:
        crew_rate = min(crew_rate, crew.screed * total / area)
    pump_rate = pump.output.mean * layout.access[number].share[0]
    at_work = _at_work(basis, number, planned, volumes, min(pump_rate, crew_rate))
    takes = capacity(planned, volumes, load) * at_work
    minutes = max(1, math.ceil(load / (_WELL_FED * takes) / 60.0 - 1e-9))
    return Capacity(
        front=number,
        asks=load / front.spacing.mean if front.spacing.mean else math.inf,
        takes=takes,
        pump=pump_rate,
        crew=crew_rate,
        truck=load / discharge if discharge else math.inf,
        load=load,
        spacing=minutes * 60.0,
    )


def _at_work(
    basis: Basis, number: int, planned: Expected, volumes: list[float], at_most: float
) -> float:
    """Share of the pour in which the crew places at its full rate: breaks counted.

    ``at_most`` is what pump and crew place while it flows (m³/s). A skip or a truck that brings
    less leaves a crew of which some are at their meal with little or nothing to catch up.
    """
    scenario, front = basis.scenario, basis.plan.fronts[number]
    crew = scenario.crews[front.crew]
    time = sum(volumes) / capacity(planned, volumes, basis.plan.load or scenario.supply.load)
    due = [
        length for at, length in break_times(scenario.site, front.start) if at < front.start + time
    ]
    if crew.breaks_taken == AFTER_POUR:
        return 1.0
    if crew.breaks_taken == IN_TURN:
        # Three turns, each at the pace of two thirds of the crew.
        flows = sum(volumes) / sum(v / r for v, r in zip(volumes, planned.rate, strict=True))
        lost = min(_THIRD_AWAY, max(0.0, 1.0 - (1.0 - _THIRD_AWAY) * at_most / flows))
        return 1.0 / (1.0 + sum(due) * 3.0 * lost / time)
    return time / (time + sum(due))
