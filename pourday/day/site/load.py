"""A truck's load: where it is on its way from the plant to the pump and back."""

from __future__ import annotations

import math

import simpy

CALLED, BOOKED = "called", "booked"
BATCHING, ROAD, ROUND, WAITING = "batching", "road", "round", "waiting"
GATE, QUEUE, READYING, READY = "gate", "queue", "readying", "ready"
WASHING, BACK, HOME = "washing", "back", "home"
STAGES = (
    CALLED, BOOKED, BATCHING, ROAD, ROUND, WAITING, GATE, QUEUE, READYING, READY, WASHING, BACK,
    HOME,
)  # fmt: skip
"""Stages of a load in the order of a day without trouble: called, booked (where the plant has no
truck at hand), batched (only where the truck may break down), on the road, driving round the block,
waiting for a place, at the gate, waiting for a position, positioning, ready in line or at the pump,
washing, on the way back, home."""


class Load:
    """A truck's load on its way and at the pump.

    ``number`` counts all loads of the day, ``turn`` those called for the front that called it,
    ``trip`` those of its yard. ``yard``, ``called_by``, ``front`` and ``at`` are numbers: the
    yard, the front that called it, the front it belongs to now, and the front in whose position
    it stands. ``until`` is when its stage ends (s; ``inf`` where it waits for somebody), ``order``
    when its stage was begun, counted over the day.
    """

    __slots__ = (
        "arrived",
        "at",
        "batched",
        "called_by",
        "comes",
        "end",
        "front",
        "gated",
        "handled",
        "leaves",
        "left",
        "limit",
        "looked_at",
        "number",
        "order",
        "outcome",
        "rate",
        "rejected",
        "rounds",
        "since",
        "stage",
        "start",
        "testing",
        "trip",
        "turn",
        "until",
        "volume",
        "wash",
        "yard",
    )

    def __init__(
        self, number: int, turn: int, front: int, yard: int, trip: int, volume: float
    ) -> None:
        self.number, self.turn, self.trip = number, turn, trip
        self.yard = yard
        self.front = self.called_by = self.at = front
        self.volume = self.left = volume
        self.batched = self.leaves = self.arrived = math.nan
        self.limit = self.rate = math.inf
        self.start = self.end = math.nan
        self.stage, self.since, self.until, self.order = CALLED, math.nan, math.inf, 0
        self.rounds = 0
        # Time at the gate and in position (s), which is no waiting; a test that is still to come.
        self.handled = self.testing = self.wash = 0.0
        self.gated = math.nan
        self.looked_at = False
        self.outcome = ""
        self.rejected = 0.0
        # What it waits for where it waits for somebody: a place, a position, to be let go.
        self.comes: simpy.Event | None = None

    def go(self) -> None:
        """Let the truck go on from where it waits: from the road, the queue, the pump."""
        assert self.comes is not None
        self.comes.succeed()
