"""A mixer from plain numbers, as its tests write them."""

from __future__ import annotations

from collections.abc import Iterable

from pourday.day.supply.mixer import Customers, Hours, Mixer
from pourday.day.windows import Window


def mixer(
    name: str,
    seed: int,
    batch: float,
    opens: float,
    closes: float | None = None,
    others_every: float | None = None,
    others_volume: float = 0.0,
    stops: Iterable[Window] = (),
) -> Mixer:
    customers = Customers(others_every, others_volume)
    return Mixer(name, seed, batch, Hours(opens, closes), customers, stops)
