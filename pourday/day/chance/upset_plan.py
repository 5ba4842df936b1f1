"""The upsets of a day, sorted by whom they hit; nobody looks at one before its time has come."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.day.windows import Window, apart
from pourday.scenario.base.trade import SKIP
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    LOAD_REJECTED,
    PLANT_STOPPED,
    PUMP_DOWN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
)
from pourday.scenario.model.scenario import Plan, Scenario


class UpsetPlan:
    """Who is hit by what, and when (s since midnight)."""

    def __init__(self, upsets: Sequence[Upset], plan: Plan, scenario: Scenario) -> None:
        self._upsets = sorted(upsets, key=lambda upset: upset.at)
        self._means = scenario.means(plan)
        self._broken = [u for u in self._upsets if u.kind == TRUCK_BROKEN and u.length > 0]
        self._rejected = [u.at for u in self._upsets if u.kind == LOAD_REJECTED]
        # How many of each have hit somebody.
        self.breakdowns = self.rejections = 0

    def plant_stops(self, plant: str) -> tuple[Window, ...]:
        """When the plant of that name batches nothing."""
        return self._windows(PLANT_STOPPED, plant)

    def road_closures(self, plant: str) -> tuple[Window, ...]:
        """When the road from that plant is closed, both ways."""
        return self._windows(ROAD_CLOSED, plant)

    def pump_stops(self, front: int) -> list[tuple[float, float]]:
        """From, length (s) of every time the pump or crane of a front (index) is down."""
        kind = CRANE_LOST if self._means[front] == SKIP else PUMP_DOWN
        return [
            (u.at, u.length)
            for u in self._upsets
            if u.kind == kind and u.who in ("", str(front + 1)) and u.length > 0
        ]

    def short(self, front: int) -> list[tuple[float, float, int]]:
        """From, to (s) and how many placers are missing in the crew of a front (index)."""
        return [
            (u.at, u.at + u.length, u.number)
            for u in self._upsets
            if u.kind == CREW_SHORT and u.who in ("", str(front + 1)) and u.length > 0
        ]

    def may_break(self, leaves: float) -> bool:
        """Whether a truck that leaves a plant then could be the one that breaks down."""
        broken = self._broken
        return self.breakdowns < len(broken) and broken[self.breakdowns].at <= leaves

    def breakdown(self, leaves: float) -> float:
        """How long (s) the truck stands that leaves a plant now; one breakdown a truck."""
        if not self.may_break(leaves):
            return 0.0
        self.breakdowns += 1
        return self._broken[self.breakdowns - 1].length

    def rejected(self, now: float) -> bool:
        """Whether the load that is looked at now fails by an upset."""
        rejected = self._rejected
        if self.rejections < len(rejected) and rejected[self.rejections] <= now:
            self.rejections += 1
            return True
        return False

    def _windows(self, kind: str, plant: str) -> tuple[Window, ...]:
        return apart(
            (u.at, u.at + u.length) for u in self._upsets if u.kind == kind and u.who in ("", plant)
        )
