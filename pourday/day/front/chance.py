"""Streams of chance of one front. Those of the first front have no number in their names."""

from __future__ import annotations

from pourday.day.chance.streams import Stream, of_front
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.scenario import Plan, Pump, Scenario

ALWAYS = Distribution("uniform", (0.0, 1.0))
STANDARD = Distribution("normal", (0.0, 1.0, -3.0, 3.0))


class FrontChance:
    """What happens by chance at a front: at the gate, in position, on moves, at the pump."""

    __slots__ = (
        "_front", "_rare", "_seed", "between_blockages", "blockage", "change", "discharge", "gate",
        "move", "output", "position", "slump_test", "spacing", "stages", "test", "wash",
    )  # fmt: skip

    def __init__(self, scenario: Scenario, plan: Plan, number: int, pump: Pump, seed: int) -> None:
        self._front, self._seed = number, seed
        site, front = scenario.site, plan.fronts[number]
        self.gate = self._stream("gate", site.gate)
        self.position = self._stream("position", site.position)
        self.test = self._stream("test", site.test)
        self.change = self._stream("change of trucks", site.change)
        self.slump_test = self._stream("slump test", ALWAYS)
        self.wash = self._stream("wash", site.wash)
        self.discharge = self._stream("discharge", scenario.supply.discharge)
        self.output = self._stream("output", pump.output)
        self.move = self._stream("move", pump.move)
        self.blockage = self._stream("blockage", pump.blockage)
        between = pump.between_blockages
        self.between_blockages = (
            self._stream("placing time between blockages", Distribution("exponential", (between,)))
            if between
            else None
        )
        self.spacing = self._stream("spacing", front.spacing)
        self.stages = [
            (stage.until_share, self._stream(f"spacing, stage {n}", stage.spacing))
            for n, stage in enumerate(plan.stages, start=1)
        ]
        # Sources that most days never ask; made when they are.
        self._rare: dict[str, Stream] = {}

    def _stream(self, source: str, quantity: Distribution) -> Stream:
        return Stream(self._seed, of_front(source, self._front), quantity)

    def draw(self, source: str, quantity: Distribution, k: int) -> float:
        """The k-th value of a source that few days ask."""
        if source not in self._rare:
            self._rare[source] = self._stream(source, quantity)
        return self._rare[source](k)

    def normal(self, source: str, k: int) -> float:
        """The k-th draw of a standard normal of a source."""
        return self.draw(source, STANDARD, k)

    def even(self, source: str, k: int) -> float:
        """The k-th even draw from 0 to 1 of a source."""
        return self.draw(source, ALWAYS, k)
