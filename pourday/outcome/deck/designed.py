"""The day beside what the deck was designed for: depth, working load, way of striking, props."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.level import level_survey, theory


@dataclass(frozen=True)
class DayBeside:
    """What the pour brings, for the same questions as ``[deck.designed_for]`` (SI).

    ``wet_depth`` is the thickest slab over the whole profile. ``working_load`` is
    the greatest one of the preset, its heaping included; ``heap_load`` that under the heap, people
    who stand there included, for a heap of ``heap_factor`` times the thickness over
    ``heap_length``. ``skip`` is the heaviest one that the plan's own pumps set down (N), 0 for
    none. ``struck`` is how the plan strikes the top. ``prop_lines`` are the fewest in a span.
    """

    wet_depth: float
    working_load: float
    heap_factor: float
    heap_length: float
    heap_load: float
    skip: float
    struck: str
    prop_lines: int


def day_beside(basis: Basis, factors: Floats) -> DayBeside:
    """Gather it; ``factors`` (strips,) are the height factors of the heaps."""
    scenario, lines = basis.scenario, basis.layout.lines
    factor = float(factors.max())
    loads = [w for line in lines for of in line.deck.working.of.values() for w in of]
    light = max(w.inside - w.heaping for w in loads)
    spans = [
        sum(a < x < b for x in scenario.props.lines_x) for a, b in pairwise(scenario.floor.supports)
    ]
    return DayBeside(
        wet_depth=scenario.slab.depth + level_survey(basis).most,
        working_load=max(max(w.inside, w.outside) for w in loads),
        heap_factor=factor,
        heap_length=scenario.loads.heap_length,
        heap_load=light + (factor - 1.0) * theory(basis) * scenario.slab.wet_density,
        skip=max(line.deck.gear.skip_landing for line in lines),
        struck=basis.plan.strike,
        prop_lines=int(np.min(spans)),
    )
