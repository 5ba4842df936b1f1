"""A plant in the day: trucks in its yard, its mixer, its road, its own streams."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from pourday.day.chance.streams import Stream
from pourday.day.supply.mixer import Customers, Hours, Mixer, Queue
from pourday.day.supply.road import Rush, arrival, depart_for
from pourday.day.windows import Window
from pourday.scenario.model.scenario import Plan, Plant, Scenario


class Going(NamedTuple):
    """How a plant and its road go on a day.

    In ``stops`` it batches nothing, in ``closed`` its road is closed, in ``rush`` slow; ``slower``
    is the day's factor on every trip, ``pace`` that on the rate of batching. Nobody knows them
    beforehand: loads are called by what is usual.
    """

    rush: Sequence[Rush] = ()
    stops: Sequence[Window] = ()
    closed: Sequence[Window] = ()
    slower: float = 1.0
    pace: float = 1.0


class PlantYard:
    """A plant with ``trucks`` in its yard, whose trips have been ``trips`` so far.

    ``number`` is its place among the plants.
    """

    __slots__ = (
        "_closed", "_road", "_rush", "_slower", "back", "load", "mixer", "number", "plant",
        "travel", "trips", "trucks",
    )  # fmt: skip

    def __init__(
        self,
        number: int,
        plant: Plant,
        trucks: int,
        load: float,
        seed: int,
        going: Going,
    ) -> None:
        self.number = number
        self.plant = plant
        self.trucks = trucks
        self.load = min(load, plant.load or load)
        self.trips = 0
        self.mixer = Mixer(
            plant.name,
            seed,
            plant.batch * going.pace,
            Hours(plant.opens, plant.closes),
            Customers(plant.others_every, plant.others),
            going.stops,
        )
        self._road = plant.travel.mean
        self.travel = Stream(seed, f"travel from {plant.name}", plant.travel)
        self.back = Stream(seed, f"way back to {plant.name}", plant.back)
        self._rush, self._closed, self._slower = going.rush, going.closed, going.slower

    def go_on_from(self, trucks: int, trips: int, queue: Queue) -> None:
        """Take up a day that has begun: trucks in the yard, trips so far, the mixer's queue."""
        self.trucks, self.trips = trucks, trips
        self.mixer.queue = queue

    def lead(self, volume: float) -> float:
        """Planned time from calling a load to its arrival (s) on a free road."""
        return volume / self.plant.batch + self._road

    def call_at(self, due: float, volume: float) -> float:
        """When to call a load that is wanted on the site at ``due`` (s); rush hours are known."""
        if not self._rush:
            return due - self.lead(volume)
        leaves = depart_for(due, self._road, self._rush)
        return leaves - volume / self.plant.batch

    def due(self, now: float, volume: float) -> float:
        """When a load called now is planned to arrive (s); queue and rush hours are known."""
        leaves = self.mixer.expected_at(now) + volume / self.plant.batch
        return arrival(leaves, self._road, self._rush, ())

    def way_there(self, depart: float, trip: int) -> float:
        """How long the way to the site takes (s) on a trip that leaves at ``depart``."""
        return self._on_the_road(depart, self.travel(trip) * self._slower)

    def way_back(self, depart: float, trip: int) -> float:
        """How long the way back takes (s)."""
        return self._on_the_road(depart, self.back(trip) * self._slower)

    def _on_the_road(self, depart: float, travel: float) -> float:
        """How long a trip takes (s): rush hours and closures counted."""
        there = arrival(depart, travel, self._rush, self._closed)
        # As a difference a free trip would be longer or shorter by rounding.
        return travel if there == depart + travel else there - depart


def fleet(scenario: Scenario, plan: Plan) -> list[int]:
    """Trucks of each plant; a plan's own number of trucks is shared out in the same proportion."""
    trucks = [plant.trucks for plant in scenario.supply.plants]
    if plan.trucks is None:
        return trucks
    total = sum(trucks)
    exact = [plan.trucks * n / total for n in trucks]
    shares = [max(1, math.floor(e)) for e in exact]
    while sum(shares) < plan.trucks:
        shares[min(range(len(shares)), key=lambda i: shares[i] - exact[i])] += 1
    while sum(shares) > max(plan.trucks, len(shares)):  # a plant that had less than one got one
        spare = [i for i, share in enumerate(shares) if share > 1]
        shares[max(spare, key=lambda i: shares[i] - exact[i])] -= 1
    return shares


def slump_life(scenario: Scenario) -> float:
    """How old a load may be (s) until it has lost the slump it must keep."""
    mix = scenario.mix
    return (mix.slump - mix.least_slump) / mix.slump_loss if mix.slump_loss else math.inf


def limit_of(scenario: Scenario, batched: float) -> float:
    """Until when (s) a load may be discharged whose loading began then."""
    rule, weather = scenario.supply.age_rule, scenario.weather
    life = rule.limit
    if rule.warm_from is not None:
        life = rule.limit_at(float(np.interp(batched, weather.at, weather.air)))
    return batched + min(life, slump_life(scenario))


def gives_up(scenario: Scenario, batched: float, arrived: float, begun: bool) -> float:
    """Until when (s) a load may be discharged, arrived (nan: not yet) and perhaps begun.

    The rule of ``day.truck`` and ``day.filling``: one begun may be finished a little past it.
    """
    limit, workable = limit_of(scenario, batched), batched + slump_life(scenario)
    if scenario.supply.age_rule.ends_at == "arrival" and arrived <= limit:
        limit = workable
    if begun and math.isfinite(limit):
        limit = min(limit + scenario.supply.finish_begun, max(limit, workable))
    return limit


def load_life(scenario: Scenario) -> float:
    """How old a load may be on a mild day (s): its age limit, or until it has lost its slump."""
    return min(scenario.supply.age_rule.limit, slump_life(scenario))
