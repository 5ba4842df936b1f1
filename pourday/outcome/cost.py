"""What a day costs. Every sum is of things the log counted times a price of the scenario."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis


@dataclass(frozen=True)
class Cost:
    """Money by kind, in the scenario's currency.

    ``labour`` is paid at the plain rate, ``overtime`` is the pay for hours beyond the shift (at
    the overtime factor). ``cold_joints`` is the repair of what went cold, ``stiff_edges`` the care
    for what was stiff.
    """

    concrete: float
    pump: float
    labour: float
    overtime: float
    waiting: float
    cold_joints: float
    stiff_edges: float

    @property
    def total(self) -> float:
        """All of it."""
        return (
            self.concrete
            + self.pump
            + self.labour
            + self.overtime
            + self.waiting
            + self.cold_joints
            + self.stiff_edges
        )


@dataclass(frozen=True)
class Hours:
    """When people and pump were there, clock times in s."""

    pump_from: float
    pump_until: float
    finishers_from: float
    finishers_until: float


def cost_of(
    basis: Basis, log: DayLog, hours: Sequence[Hours], cold_length: float, stiff_length: float
) -> Cost:
    """Price one day.

    A load that fails its test is the plant's. Every other load is paid, whether it is placed, goes
    over its age on the site or is not needed any more; what does not stay costs its disposal on
    top. Truck time on site beyond the free minutes is paid as waiting. Placers and others are
    paid from the pump's arrival to the end of its wash-out, finishers from the end of the first
    strip to the end of their last pass. A stand-by pump that came costs its call-out.

    ``hours`` are those of every front, ``cold_length`` and ``stiff_length`` (m) the edges' own.
    """
    scenario, prices = basis.scenario, basis.scenario.prices
    ours = [v for v in log.visits if v.outcome != "rejected: test"]
    paid_volume = sum(v.volume for v in ours)
    carted_off = sum(v.returned + v.rejected for v in ours)
    waited = sum(max(0.0, v.left_site - v.arrived - prices.free_wait) for v in ours)
    labour = overtime = pumping = 0.0
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, hours, strict=True)):
        pump, crew = scenario.pumps[front.pump], scenario.crews[front.crew]
        on_pump = mine.pump_until - mine.pump_from
        placed = sum(
            s.volume_end - s.volume_start
            for s in log.stretches
            if s.strip >= 0 and s.front == number
        )
        pumping += pump.call_out + on_pump * pump.hire + placed * pump.pumped
        pumping += basis.plan.standby_call_out if log.fronts[number].standby else 0.0
        for persons, present in (
            (crew.placers + crew.others, on_pump),
            (crew.finishers, mine.finishers_until - mine.finishers_from),
        ):
            paid = max(present, prices.least_paid)
            pay = persons * prices.labour
            labour += pay * min(paid, prices.shift)
            overtime += pay * prices.overtime_factor * max(0.0, paid - prices.shift)
    return Cost(
        concrete=paid_volume * prices.concrete + carted_off * prices.returned,
        pump=pumping,
        labour=labour,
        overtime=overtime,
        waiting=waited * prices.waiting,
        cold_joints=cold_length * prices.cold_joint,
        stiff_edges=stiff_length * prices.stiff_edge,
    )
