"""Named streams of chance, so that plans meet the same day.

Every source of chance (travel from a plant, test, wash, moves ...) has a numpy stream of its own,
seeded by the day's seed and the source's name. The k-th truck (trip, strip, blockage) reads the
k-th value of its source, so one plan's extra truck never shifts what another plan meets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from zlib import crc32

import numpy as np

from pourday.scenario.base.distribution import Distribution, fixed


class DaySeed(int):
    """The number of a day that remembers what was drawn for it.

    It is that number wherever a number is asked for. Plans that are given the same one meet the
    same values, as they would anyway, but each is drawn once for all of them.
    """

    drawn: dict[tuple[str, Distribution], Stream]
    anew: Callable[[str], bool] | None
    held: tuple[Callable[[str], bool], float] | None
    told: Mapping[str, Sequence[float]]

    def __new__(cls, number: int) -> DaySeed:
        """A day of which nothing is drawn yet."""
        day = super().__new__(cls, number)
        day.drawn, day.anew, day.held, day.told = {}, None, None, {}
        return day

    def with_anew(self, anew: Callable[[str], bool]) -> DaySeed:
        """The same day, but for the sources that ``anew`` says: these are of a day of their own.

        That day is the same whichever sources are drawn anew, and none that has a number below
        2^61.
        """
        day = DaySeed(int(self))
        day.drawn = {key: each for key, each in self.drawn.items() if not anew(key[0])}
        day.anew = anew
        return day

    def with_held(self, named: Callable[[str], bool], share: float) -> DaySeed:
        """The same day, but each value of these sources is the one that ``share`` of draws meet.

        That is the value at or below which so many (0 to 1) of all draws lie.
        """
        day = DaySeed(int(self))
        day.drawn = {key: each for key, each in self.drawn.items() if not named(key[0])}
        day.held = named, share
        return day

    def with_told(self, told: Mapping[str, Sequence[float]]) -> DaySeed:
        """The same day, but the first values of these sources are known: they are those told."""
        day = DaySeed(int(self))
        day.told = told
        return day

    def has_drawn(self, named: Callable[[str], bool]) -> bool:
        """Whether anything was drawn by chance from one of these sources."""
        return any(each.is_drawn for (source, _), each in self.drawn.items() if named(source))

    def number_for(self, source: str) -> int:
        """The number of the day on which this source is drawn."""
        return int(self) + (_OTHER_DAYS if self.anew is not None and self.anew(source) else 0)


class Stream:
    """The values of one source, drawn in blocks: ``stream(k)`` is the k-th, always the same."""

    __slots__ = ("_generator", "_quantity", "_seed", "_source", "_values")

    def __new__(cls, seed: int, source: str, quantity: Distribution) -> Stream:
        """The stream of this source on this day; the same one where the day remembers it."""
        if not isinstance(seed, DaySeed):
            return super().__new__(cls)._begin(seed, source, quantity)
        known = seed.drawn.get((source, quantity))
        if known is None:
            asked = quantity
            if seed.held is not None and seed.held[0](source):
                asked = fixed(quantity.value_at(seed.held[1]))
            # The plain number: a stream that held its day would never be forgotten with it.
            known = super().__new__(cls)._begin(seed.number_for(source), source, asked)
            if source in seed.told:
                known._values = list(seed.told[source])
            seed.drawn[source, quantity] = known
        return known

    def _begin(self, seed: int, source: str, quantity: Distribution) -> Stream:
        self._seed, self._source = seed, source
        self._quantity = quantity
        # Made when first asked: a generator takes longer to make than most days ask of it.
        self._generator: np.random.Generator | None = None
        self._values = [quantity.mean] * _BLOCK if quantity.is_fixed else []
        return self

    @property
    def is_drawn(self) -> bool:
        """Whether a value was drawn by chance; one that is fixed, or not asked for, never is."""
        return self._generator is not None

    def __call__(self, k: int) -> float:
        """The k-th value of this source."""
        try:
            return self._values[k]
        except IndexError:
            self._draw_up_to(k)
            return self._values[k]

    def beyond(self, k: int, elapsed: float) -> float:
        """The k-th value, given that it is over ``elapsed``; ``elapsed`` where none can be.

        The k-th value itself where it is over ``elapsed``: that is what the day meets that this
        one goes on from. Else an even draw of its own, on the part of the distribution that is
        left (by the inverse of the distribution function).
        """
        value = self(k)
        if value > elapsed:
            return value
        below = self._quantity.share_below(elapsed)
        if not below < 1.0:
            return elapsed
        even = Stream(self._seed, f"{self._source}, beyond", _EVEN)(k)
        # So far out that the share rounds to 1 the value would have no end.
        share = min(below + even * (1.0 - below), math.nextafter(1.0, 0.0))
        return max(elapsed, self._quantity.value_at(share))

    def _draw_up_to(self, k: int) -> None:
        values = self._values
        if self._generator is None and not self._quantity.is_fixed:
            self._generator = generator(self._seed, self._source)
        while k >= len(values):
            if self._generator is None:
                values += values
            else:
                values += self._quantity.sample(self._generator, _BLOCK).tolist()


_EVEN = Distribution("uniform", (0.0, 1.0))
_BLOCK = 64
_OTHER_DAYS = 2**61


def of_front(source: str, front: int) -> str:
    """Name of a front's own source of chance; the first front's (index 0) has no number in it."""
    return source if front == 0 else f"front {front + 1}: {source}"


def generator(seed: int, source: str) -> np.random.Generator:
    """A numpy generator of its own for a source of chance on the day with this seed."""
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, _number(source)])))


def _number(source: str) -> int:
    # crc32 and not hash(): Python salts hash() anew in every process.
    return crc32(source.encode())
