"""What a plan's finishing asks of its people and machines, before any day is played."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.outcome.base.basis import Basis

MOST_PER_WALK_BEHIND = 200.0
"""Area for each walk-behind float above which they have fallen behind (m²).

Five on 985 m² fell behind in heat (Concrete Construction; value from memory).
"""


@dataclass(frozen=True)
class FinishingNeed:
    """Passes over an area (m²) by so many machines, the time they take and the time there is (s).

    ``rate`` (m²/s) is that of one machine, ``kind`` "walk_behind" or "ride_on". ``window`` runs
    from the floating condition of the first to final set of the last concrete at 20 °C, with the
    concrete arriving at the planned spacing, the mean travel counted; moves and breaks only make it
    longer.
    """

    area: float
    passes: int
    machines: int
    kind: str
    rate: float
    work: float
    window: float

    @property
    def fits(self) -> bool:
        """Whether the work fits into the window, were it spread over it without a gap."""
        return self.work <= self.window

    @property
    def area_each(self) -> float:
        """Area for each machine (m²)."""
        return self.area / self.machines

    @property
    def too_few(self) -> bool:
        """Whether each walk-behind float has more area than is known to go well."""
        return self.kind == "walk_behind" and self.area_each > MOST_PER_WALK_BEHIND


def finishing_need(basis: Basis) -> FinishingNeed | None:
    """What the finishing of a plan asks; None where nobody finishes or no pass is asked for."""
    scenario, plan, rates = basis.scenario, basis.plan, basis.scenario.finishing
    finishers = scenario.finishers(plan)
    if not finishers or not rates.passes:
        return None
    machines = min(finishers, rates.machines or finishers)
    area = sum(strip.area for strip in basis.layout.strips)
    by_hand = basis.top.edge_of_all / (rates.edge * finishers)
    work = rates.passes * (area / (rates.power_float * machines) + by_hand)
    load = plan.load or scenario.supply.load
    spacings = [front.spacing.mean for front in plan.fronts]
    asked = sum(load / spacing for spacing in spacings if spacing > 0.0)
    pour = float(basis.layout.volume.sum()) / asked if asked else 0.0
    mix = scenario.mix
    floating = rates.float_from_share * (mix.initial_set + mix.retarder)
    floating += min(plant.travel.mean for plant in scenario.supply.plants)
    window = pour + mix.final_set + mix.retarder - floating
    return FinishingNeed(
        area, rates.passes, machines, rates.machine, rates.power_float, work, window
    )
