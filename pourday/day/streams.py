"""Named streams of chance, so that plans meet the same day.

Every source of chance (travel from a plant, test, wash, moves ...) has a numpy stream of its own,
seeded by the day's seed and the source's name. The k-th truck (trip, strip, blockage) reads the
k-th value of its source, so one plan's extra truck never shifts what another plan meets.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np

from pourday.scenario.base.distribution import Distribution


class Stream:
    """The values of one source, drawn in blocks: ``stream(k)`` is the k-th, always the same."""

    __slots__ = ("_generator", "_quantity", "_values")

    def __init__(self, seed: int, source: str, quantity: Distribution) -> None:
        self._quantity = quantity
        self._generator = None if quantity.is_fixed else generator(seed, source)
        self._values = [quantity.mean] * _BLOCK if quantity.is_fixed else []

    def __call__(self, k: int) -> float:
        """The k-th value of this source."""
        try:
            return self._values[k]
        except IndexError:
            self._draw_up_to(k)
            return self._values[k]

    def _draw_up_to(self, k: int) -> None:
        values = self._values
        while k >= len(values):
            if self._generator is None:
                values += values
            else:
                values += self._quantity.sample(self._generator, _BLOCK).tolist()


_BLOCK = 64


def of_front(source: str, front: int) -> str:
    """Name of a front's own source of chance; the first front's (index 0) has no number in it."""
    return source if front == 0 else f"front {front + 1}: {source}"


def generator(seed: int, source: str) -> np.random.Generator:
    """A numpy generator of its own for a source of chance on the day with this seed."""
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, _number(source)])))


def _number(source: str) -> int:
    # crc32 and not hash(): Python salts hash() anew in every process.
    return crc32(source.encode())
