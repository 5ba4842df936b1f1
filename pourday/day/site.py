"""What the stories of a day share: clock, room, counts of concrete, and the records they write."""

from __future__ import annotations

import math
from collections.abc import Generator
from typing import Any

import simpy

from pourday.day.log import Stop, Stretch, Visit
from pourday.day.streams import Stream
from pourday.floor.layout import Layout
from pourday.scenario.model import Crew, Plan, Plant, Pump, Scenario

EPS = 1e-9

Story = Generator[simpy.Event, Any, None]
"""A simpy process: it yields what it waits for."""


class Load:
    """A truck's load on its way and at the pump."""

    __slots__ = ("batched", "done", "end", "left", "limit", "number", "rate", "start", "volume")

    def __init__(self, number: int, volume: float, batched: float, limit: float) -> None:
        self.number = number
        self.volume = volume
        self.left = volume
        self.batched = batched
        self.limit = limit
        self.rate = math.inf
        self.start = math.nan
        self.end = math.nan
        self.done: simpy.Event | None = None


class PlantYard:
    """A plant in the day: trucks in its yard, when its mixer is free, its own streams."""

    __slots__ = ("back", "free_at", "plant", "travel", "trips", "trucks")

    def __init__(self, plant: Plant, trucks: int, seed: int) -> None:
        self.plant = plant
        self.trucks = trucks
        self.free_at = plant.opens
        self.trips = 0
        self.travel = Stream(seed, f"travel from {plant.name}", plant.travel)
        self.back = Stream(seed, f"way back to {plant.name}", plant.back)

    def lead(self, volume: float) -> float:
        """Planned time from calling a load to its arrival (s)."""
        return volume / self.plant.batch + self.plant.travel.mean


class SiteDay:
    """Shared state of one day. The stories read and write it; it has no story of its own."""

    def __init__(self, scenario: Scenario, plan: Plan, layout: Layout, seed: int) -> None:
        self.env = simpy.Environment(initial_time=0.0)
        self.scenario = scenario
        self.plan = plan
        self.layout = layout
        self.seed = seed
        self.pump: Pump = scenario.pumps[plan.pump]
        self.crew: Crew = scenario.crews[plan.crew]
        supply, site = scenario.supply, scenario.site
        self.load_volume = plan.load or supply.load
        shares = fleet(scenario, plan)
        self.yards = [PlantYard(p, n, seed) for p, n in zip(supply.plants, shares, strict=True)]
        room = site.positions + site.holding_places
        self.places = simpy.Resource(self.env, room)
        self.positions = simpy.Resource(self.env, site.positions)
        self.hopper = simpy.Store(self.env)
        self.gate = Stream(seed, "gate", site.gate)
        self.position = Stream(seed, "position", site.position)
        self.test = Stream(seed, "test", site.test)
        self.wash = Stream(seed, "wash", site.wash)
        self.discharge = Stream(seed, "discharge", supply.discharge)
        self.pump_rate = Stream(seed, "output", self.pump.output)(0) * self.pump.output_share
        self.move = Stream(seed, "move", self.pump.move)
        self.blockage = Stream(seed, "blockage", self.pump.blockage)
        self.spacing = Stream(seed, "spacing", plan.spacing)
        use = Stream(seed, "use", scenario.slab.use_factor)
        self.strip_volumes = [float(v) * use(i) for i, v in enumerate(layout.volume)]
        # Records.
        self.visits: list[Visit] = []
        self.stretches: list[Stretch] = []
        self.stops: list[Stop] = []
        self.end = math.nan
        self.unfinished = 0.0
        # Counts that dispatch plans from.
        self.called = 0.0
        self.rejected = 0.0
        self.used = 0.0
        self.used_as_planned = 0.0
        self.current = 0.0
        self.to_begin = float(layout.volume.sum())
        self.held = 0.0
        self.on_site = 0
        self.waiting = 0
        self.last_strip_begun = False
        self.finished = False
        self.supply_over = False
        self.in_flight = 0
        self.changed: simpy.Event | None = None

    def need(self) -> float:
        """Concrete the whole day will take, as the foreman sees it now (m³).

        Strips done and the one in hand are measured; those ahead are taken as planned, times the
        use found so far.
        """
        use = self.scenario.slab.use_factor.mean
        if self.used_as_planned > 0:
            use = self.used / self.used_as_planned
        return self.pump.held_volume + self.used + self.current + self.to_begin * use

    def begin_strip(self, strip: int) -> None:
        """The crew begins a strip, and sees what it will really take."""
        self.current = self.strip_volumes[strip]
        self.to_begin = max(0.0, self.to_begin - float(self.layout.volume[strip]))
        if strip == len(self.strip_volumes) - 1:
            self.last_strip_begun = True
            self.tell()

    def end_strip(self, strip: int, left: float) -> None:
        """The strip is full, or ``left`` (m³) is missing."""
        self.used += self.strip_volumes[strip] - left
        self.used_as_planned += float(self.layout.volume[strip])
        self.current = left

    def finish(self, left: float) -> None:
        """The pour is over; trucks that stand at the pump may go."""
        self.finished = True
        self.end = self.env.now
        self.unfinished = self.strip_total() - self.used
        while self.hopper.items:
            load = self.hopper.items.pop(0)
            if load is not None:
                load.done.succeed()
        self.tell()

    def strip_total(self) -> float:
        """What all strips take today (m³)."""
        return sum(self.strip_volumes)

    def tell(self) -> None:
        """Wake dispatch: something it plans from has changed."""
        if self.changed is not None and not self.changed.triggered:
            self.changed.succeed()

    def pause(self) -> Story:
        """Wait (as part of dispatch) until something has changed."""
        self.changed = self.env.event()
        yield self.changed
        self.changed = None

    def landed(self) -> None:
        """A load has reached its end; where no more can come, tell the placing crew."""
        self.in_flight -= 1
        if self.supply_over and self.in_flight == 0:
            self.hopper.put(None)


def fleet(scenario: Scenario, plan: Plan) -> list[int]:
    """Trucks of each plant; a plan's own number of trucks is shared out in the same proportion."""
    trucks = [plant.trucks for plant in scenario.supply.plants]
    if plan.trucks is None:
        return trucks
    total = sum(trucks)
    exact = [plan.trucks * n / total for n in trucks]
    shares = [max(1, math.floor(e)) for e in exact]
    by_rest = sorted(range(len(trucks)), key=lambda i: shares[i] - exact[i])
    for i in range(max(0, plan.trucks - sum(shares))):
        shares[by_rest[i % len(by_rest)]] += 1
    return shares
