"""A plant's mixer: one load after the other, for this floor and for other customers.

First come, first served. Other customers' loads arrive by chance (exponential gaps, counted from
opening), whatever this floor calls: two plans meet the same customers on the same day.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from pourday.day.chance.streams import Stream
from pourday.day.windows import Window, apart, finish, resume
from pourday.scenario.base.distribution import Distribution


class Hours(NamedTuple):
    """When a mixer opens and closes (s since midnight); ``None``: it never closes."""

    opens: float
    closes: float | None = None


class Customers(NamedTuple):
    """Other customers' loads: ``every`` s apart in the mean (``None``: none), of ``volume`` m³."""

    every: float | None = None
    volume: float = 0.0


_NOBODY = Customers()


class Queue(NamedTuple):
    """What a mixer has before it: when it is free, and since when and how much it has worked (s).

    ``others`` loads of other customers have come, the next comes at ``next_other`` (s).
    """

    free: float
    busy_from: float
    busy: float
    others: int
    next_other: float


class Mixer:
    """The mixer of one plant on one day. Ask and book in clock order: ``now`` never goes back."""

    __slots__ = (
        "_batch",
        "_busy",
        "_busy_from",
        "_closes",
        "_free",
        "_gap",
        "_next_other",
        "_other_work",
        "_others",
        "_stops",
    )

    def __init__(
        self,
        name: str,
        seed: int,
        batch: float,
        hours: Hours,
        customers: Customers = _NOBODY,
        stops: Iterable[Window] = (),
    ) -> None:
        """A mixer that stands ready when it opens.

        ``batch`` is its rate (m³/s). In ``stops`` it stands still, and goes on afterwards where it
        was.

        Raises:
            ValueError: where the mixer or the other customers' gap is not above 0.
        """
        opens, closes = hours
        others_every, others_volume = customers
        if not batch > 0:
            raise ValueError(f"batch must be above 0 m³/s, not {batch}")
        if others_every is not None and not others_every > 0:
            raise ValueError(f"others_every must be above 0 s, not {others_every}")
        self._batch = batch
        self._closes = math.inf if closes is None else closes
        self._stops = apart(stops)
        self._free = opens
        # Since when the mixer has had work without a break, and how much (s).
        self._busy_from, self._busy = opens, 0.0
        self._other_work = others_volume / batch
        # A mixer without other customers needs no chance: its next one never comes.
        every = Distribution("exponential", (others_every or 1.0,))
        self._gap = Stream(seed, f"other customers at {name}", every)
        self._others = 0
        self._next_other = math.inf if others_every is None else opens + self._gap(0)

    @property
    def queue(self) -> Queue:
        """What stands before it now."""
        return Queue(self._free, self._busy_from, self._busy, self._others, self._next_other)

    @queue.setter
    def queue(self, queue: Queue) -> None:
        """Go on from a queue that is known."""
        self._free, self._busy_from, self._busy, self._others, self._next_other = queue

    def book(self, now: float, volume: float) -> tuple[float, float]:
        """Call a load of ``volume`` (m³) at ``now``: when batching it begins and ends (s)."""
        begin = self.free_at(now)
        self._work(begin, volume / self._batch)
        return begin, self._free

    def free_at(self, now: float) -> float:
        """When batching of a load called at ``now`` would begin (s), the queue and stops counted.

        ``inf`` where the mixer stands still for the rest of the day.
        """
        if self._next_other <= now:
            self._take_others(now)
        free = max(now, self._free)
        return resume(free, self._stops) if self._stops else free

    def expected_at(self, now: float) -> float:
        """As :meth:`free_at`, as far as anybody knows: stops that have not begun are not seen."""
        free = self.free_at(now)
        if not self._stops:
            return free
        seen = [stop for stop in self._stops if stop[0] <= now]
        return resume(max(now, finish(self._busy_from, self._busy, seen)), seen)

    def works_again(self, now: float) -> float:
        """When a mixer that stands still now goes on (s); ``now`` where it works."""
        return resume(now, self._stops) if self._stops else now

    def closed(self, now: float) -> bool:
        """Whether a load called at ``now`` is not taken, since it would begin after closing."""
        return self._closes < math.inf and self.expected_at(now) > self._closes

    def _work(self, begin: float, work: float) -> None:
        """Put work into the queue; a queue that had run empty begins anew."""
        if begin > resume(self._free, self._stops):
            self._busy_from, self._busy = begin, 0.0
        self._busy += work
        self._free = finish(begin, work, self._stops)

    def _take_others(self, now: float) -> None:
        """Book the other customers' loads that have arrived up to ``now``."""
        while self._next_other <= now:
            begin = resume(max(self._next_other, self._free), self._stops)
            if begin > self._closes:  # not taken, nor is any later one
                self._next_other = math.inf
                return
            self._work(begin, self._other_work)
            self._others += 1
            self._next_other += self._gap(self._others)
