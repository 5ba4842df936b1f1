"""What a day cost by the rules before there was a list of lines, kept to the letter.

The keys that came later are not in it: a file without them has to cost what it did.
"""

from __future__ import annotations

from pourday.outcome.measure import Outcome
from pourday.outcome.price.people import shifts


def old_cost(outcome: Outcome) -> dict[str, float]:
    """Money by kind."""
    basis, log = outcome.basis, outcome.log
    scenario, prices = basis.scenario, basis.scenario.prices
    ours = [v for v in log.visits if v.outcome != "rejected: test"]
    paid_volume = sum(v.volume for v in ours)
    carted_off = sum(v.returned + v.rejected for v in ours)
    waited = sum(max(0.0, v.left_site - v.arrived - prices.free_wait) for v in ours)
    labour = overtime = pumping = 0.0
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, outcome.hours, strict=True)):
        crew, pump = scenario.crews[front.crew], scenario.pumps[front.pump]
        first = min(1, crew.finishers)
        for persons, begin, end in (
            (crew.placers + crew.others, mine.pump_from, mine.pump_until),
            (first, mine.bull_float_from, mine.finishers_until),
            (crew.finishers - first, mine.finishers_from, mine.finishers_until),
        ):
            for shift in shifts(end - begin, prices.longest_shift) if persons else ():
                paid = max(shift, prices.least_paid)
                pay = persons * prices.labour
                labour += pay * min(paid, prices.shift)
                overtime += pay * prices.overtime_factor * max(0.0, paid - prices.shift)
        on_pump = mine.pump_until - mine.pump_from
        placed = sum(
            s.volume_end - s.volume_start
            for s in log.stretches
            if s.strip >= 0 and s.front == number
        )
        pumping += pump.call_out + on_pump * pump.hire + placed * pump.pumped
        pumping += basis.plan.standby_call_out if log.fronts[number].standby else 0.0
    return {
        "concrete": paid_volume * prices.concrete + carted_off * prices.returned,
        "pump": pumping,
        "labour": labour,
        "overtime": overtime,
        "waiting": waited * prices.waiting,
        "cold_joints": float(outcome.edges.cold_length.sum()) * prices.cold_joint,
        "stiff_edges": float(outcome.edges.stiff_length.sum()) * prices.stiff_edge,
    }
