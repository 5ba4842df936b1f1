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
    """When people and pump were there, clock times in s.

    One finisher comes at ``bull_float_from``, the others at ``finishers_from``; all of them leave
    at ``finishers_until``.
    """

    pump_from: float
    pump_until: float
    bull_float_from: float
    finishers_from: float
    finishers_until: float


@dataclass(frozen=True)
class Presence:
    """People of one front who came and went together: "crew" or "finishers", how many, when (s)."""

    who: str
    front: int
    persons: int
    begin: float
    end: float


@dataclass(frozen=True)
class Relief:
    """Others who take over at ``at`` (s), because nobody works longer than the longest shift."""

    who: str
    front: int
    persons: int
    at: float


def presences(basis: Basis, hours: Sequence[Hours]) -> tuple[Presence, ...]:
    """Who is paid, front by front: placers and others, the one at the bull float, the finishers."""
    out = []
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, hours, strict=True)):
        crew = basis.scenario.crews[front.crew]
        first, until = min(1, crew.finishers), mine.finishers_until
        for who, persons, begin, end in (
            ("crew", crew.placers + crew.others, mine.pump_from, mine.pump_until),
            ("finishers", first, mine.bull_float_from, until),
            ("finishers", crew.finishers - first, mine.finishers_from, until),
        ):
            if persons:
                out.append(Presence(who, number, persons, begin, end))
    return tuple(out)


def reliefs(basis: Basis, hours: Sequence[Hours]) -> tuple[Relief, ...]:
    """Who has to be relieved when, in order of time; empty on a day of ordinary length."""
    longest = basis.scenario.prices.longest_shift
    out = [
        Relief(each.who, each.front, each.persons, each.begin + k * longest)
        for each in presences(basis, hours)
        for k in range(1, len(shifts(each.end - each.begin, longest)))
    ]
    return tuple(sorted(out, key=lambda relief: relief.at))


def shifts(present: float, longest: float) -> list[float]:
    """A time of work (s) as shifts of ``longest`` (s) one after another, the last what is left."""
    out = []
    while present > longest + 1e-6:
        out.append(longest)
        present -= longest
    return [*out, max(0.0, present)]


def cost_of(
    basis: Basis, log: DayLog, hours: Sequence[Hours], cold_length: float, stiff_length: float
) -> Cost:
    """Price one day.

    A load that fails its test is the plant's. Every other load is paid, whether it is placed, goes
    over its age on the site or is not needed any more; what does not stay costs its disposal on
    top. Truck time on site beyond the free minutes is paid as waiting. Placers and others are
    paid from the pump's arrival to the end of its wash-out; one finisher from the first concrete,
    the others from before the first pass, to the end of the last. After the longest shift somebody
    else is paid instead, for the least paid time or more. A stand-by pump that came costs its
    call-out. What a floor left unfinished costs on another day is not in it.

    ``hours`` are those of every front, ``cold_length`` and ``stiff_length`` (m) the edges' own.
    """
    scenario, prices = basis.scenario, basis.scenario.prices
    ours = [v for v in log.visits if v.outcome != "rejected: test"]
    paid_volume = sum(v.volume for v in ours)
    carted_off = sum(v.returned + v.rejected for v in ours)
    waited = sum(max(0.0, v.left_site - v.arrived - prices.free_wait) for v in ours)
    labour = overtime = pumping = 0.0
    for there in presences(basis, hours):
        for shift in shifts(there.end - there.begin, prices.longest_shift):
            paid = max(shift, prices.least_paid)
            pay = there.persons * prices.labour
            labour += pay * min(paid, prices.shift)
            overtime += pay * prices.overtime_factor * max(0.0, paid - prices.shift)
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, hours, strict=True)):
        pump = scenario.pumps[front.pump]
        on_pump = mine.pump_until - mine.pump_from
        placed = sum(
            s.volume_end - s.volume_start
            for s in log.stretches
            if s.strip >= 0 and s.front == number
        )
        pumping += pump.call_out + on_pump * pump.hire + placed * pump.pumped
        pumping += basis.plan.standby_call_out if log.fronts[number].standby else 0.0
    return Cost(
        concrete=paid_volume * prices.concrete + carted_off * prices.returned,
        pump=pumping,
        labour=labour,
        overtime=overtime,
        waiting=waited * prices.waiting,
        cold_joints=cold_length * prices.cold_joint,
        stiff_edges=stiff_length * prices.stiff_edge,
    )
