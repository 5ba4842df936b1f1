"""Temperature and equivalent age of every strip from placing to final set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.concrete.age import equivalent_age
from pourday.concrete.temperature import concrete_temperature
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts

STEP = 1800.0
"""Time between two rows of a strip (s)."""


@dataclass(frozen=True, eq=False)
class StripAge:
    """The concrete placed last in a strip, and the strip's sets (clock, s).

    ``time`` (T,) s every half hour from placing to final set, ``temperature`` (T,) °C and ``age``
    (T,) s at 20 °C, from loading. ``initial_set`` is that of the latest concrete of the strip,
    ``final_set`` too; ``first_final_set`` that of its earliest.
    """

    strip: int
    time: Floats
    temperature: Floats
    age: Floats
    initial_set: float
    final_set: float
    first_final_set: float


def strip_ages(basis: Basis, found: Fronts) -> tuple[StripAge, ...]:
    """Follow every strip that has concrete, in placing order."""
    if not len(found.strip):
        return ()
    relax = basis.relax
    initial = basis.initial_set.at(found.batched, found.temperature, relax)
    final = basis.final_set.at(found.batched, found.temperature, relax)
    out = []
    for strip in np.unique(found.strip):
        mine = np.flatnonzero(found.strip == strip)
        last = mine[np.argmax(np.maximum(found.time_low[mine], found.time_high[mine]))]
        placed = float(max(found.time_low[last], found.time_high[last]))
        end = max(float(final[last]), placed)
        time = np.append(np.arange(placed, end, STEP), end)
        batched, warm = found.batched[last], found.temperature[last]
        out.append(
            StripAge(
                strip=int(strip),
                time=time,
                temperature=concrete_temperature(relax, time, batched, warm),
                age=equivalent_age(relax, batched, time, warm, basis.scenario.mix.set_activation),
                initial_set=float(initial[mine].max()),
                final_set=float(final[mine].max()),
                first_final_set=float(final[mine].min()),
            )
        )
    return tuple(out)
