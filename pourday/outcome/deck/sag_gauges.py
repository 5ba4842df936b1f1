"""Where to read the sag of the deck during the pour, and the reading that nobody expects.

A reading is what the deck goes down from where it lies before the pour: that is what a string
line, a laser or a mark on a beam shows. Nobody reads it from beneath.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.floor.lines.states import BARE, DeckLine
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.peaks import bounds_of
from pourday.scenario.base.distribution import Distribution

HARDLY_EVER = 0.99
"""Share of heaps that are lower than the one of a reading (chosen here)."""


@dataclass(frozen=True)
class SagGauge:
    """The place of a bay that goes down most between its supports (m), and in which strip.

    ``x``, ``y`` (m) is the place, ``sag`` (m) the most it is expected to go down from the bare
    deck, heaps as high as on all but 1 day in 100; ``strip`` (index) is the one whose placing
    brings it there.
    """

    bay: str
    x: float
    y: float
    strip: int
    sag: float


def sag_gauges(basis: Basis) -> tuple[SagGauge, ...]:
    """One gauge for every bay with deck, in the order in which the bays are begun."""
    factors = np.full(len(basis.layout.strips), _heap(basis.scenario.loads.heap_height_factor))
    worst: dict[str, SagGauge] = {}
    for line in basis.layout.lines:
        found = _gauge(basis, line, factors)
        if line.bay.name not in worst or found.sag > worst[line.bay.name].sag + 1e-9:
            worst[line.bay.name] = found
    begun = list(dict.fromkeys(strip.bay for strip in basis.layout.strips))
    return tuple(worst[bay] for bay in begun if bay in worst)


def _heap(factor: Distribution) -> float:
    """A heap that hardly any day passes: a reading that ordinary days pass would stop them all."""
    high = factor.value_at(HARDLY_EVER)
    return high if math.isfinite(high) else factor.mean


def _gauge(basis: Basis, line: DeckLine, factors: Floats) -> SagGauge:
    sag = bounds_of(line, factors)[0].most[:, line.felt.effects.plain.deflection]
    bare = next((k for k, state in enumerate(line.states) if state.stage == BARE), 0)
    down = sag - sag[bare]
    state, at = np.unravel_index(int(down.argmax()), down.shape)
    x = float(line.deck.unit.stations[at])
    return SagGauge(
        bay=line.bay.name,
        x=x,
        y=_clear(basis, line, x),
        strip=line.states[int(state)].strip,
        sag=float(down[state, at]),
    )


def _clear(basis: Basis, line: DeckLine, x: float) -> float:
    """The middle of the longest piece of a bay along y that no opening takes at ``x`` (m)."""
    low, high = line.bay.y0, line.bay.y1
    holes = sorted(
        (max(low, hole.y[0]), min(high, hole.y[1]))
        for hole in basis.scenario.floor.openings
        if hole.x[0] <= x <= hole.x[1] and hole.y[0] < high and hole.y[1] > low
    )
    marks = [low, *(y for hole in holes for y in hole), high]
    # Two openings that overlap leave a piece of no length, which is never the longest.
    a, b = max(zip(marks[::2], marks[1::2], strict=True), key=lambda piece: piece[1] - piece[0])
    return (a + b) / 2
