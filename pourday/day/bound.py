"""A day that does not come to an end is stopped, with a word on which key keeps it going."""

from __future__ import annotations

import simpy
from simpy.core import EmptySchedule

from pourday.day import log
from pourday.day.site_day import SiteDay
from pourday.scenario.base.faults import Fault, ScenarioError
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    PLANT_STOPPED,
    PUMP_DOWN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
)

MOST_EVENTS = 200_000
"""Events of one day: about ten thousand loads, a hundred times a large floor; chosen here."""
_RATE_OF = {
    PLANT_STOPPED: "plant_stop_every_h",
    TRUCK_BROKEN: "truck_broken_every_h",
    ROAD_CLOSED: "road_closed_every_h",
    PUMP_DOWN: "pump_down_every_h",
    CRANE_LOST: "crane_lost_every_h",
}


def run_out(day: SiteDay, most: int = MOST_EVENTS) -> None:
    """Run a day to its end.

    Raises:
        ScenarioError: after ``most`` events, naming the key that most likely keeps it going.
    """
    step = day.env.step
    try:
        for _ in range(most):
            step()
    except EmptySchedule:
        return
    if day.env.peek() == simpy.core.Infinity:
        return
    key, count, what = max(_counts(day), key=lambda each: each[1])
    raise ScenarioError(
        [
            Fault(
                key,
                f"plan {day.plan.name!r}: day {day.seed} comes to no end: stopped after {most} "
                f"events, {count} {what} among them",
                advice="this key is the likeliest reason; look at its value",
            )
        ]
    )


def _counts(day: SiteDay) -> list[tuple[str, int, str]]:
    """How often each thing happened that a key alone can make endless: key, count, in words."""
    rounds = sum(visit.rounds for visit in day.visits)
    rounds += sum(load.rounds for load in day.loads.values())
    load = "supply.load_m3" if day.plan.load is None else "plan.load_m3"
    found = [
        (load, day.loads_called, "loads"),
        ("site.round_the_block_min", rounds, "turns round the block"),
        ("plan.strip_width_m", len(day.planned), "strips"),
    ]
    for kind, key in _RATE_OF.items():
        count = sum(upset.kind == kind for upset in day.upsets)
        found.append((f"upsets.{key}", count, "upsets of one kind"))
    for front in day.fronts:
        pump = f"pumps.{front.plan.pump}"
        stops = [stop.kind for stop in day.stops if stop.front == front.number]
        lifts = stops.count(log.LENT)
        found.append((f"{pump}.other_lifts_every_min", lifts, "lifts for other trades"))
        # Blockages and breakdowns both stand as "down": what no upset brought was a blockage.
        down = stops.count(log.DOWN) - sum(upset.kind == PUMP_DOWN for upset in day.upsets)
        found.append((f"{pump}.between_blockages_h", down, "stops of the pump"))
    return found
