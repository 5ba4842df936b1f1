"""Which loads are sampled for strength, and when: drawn beforehand, so that nobody picks them.

A stream of its own gives every load a number; the loads with the smallest are sampled. So a load
more or less changes no other's lot, and sampling changes nothing else in the day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.concrete.temperature import concrete_temperature
from pourday.day.chance.streams import Stream
from pourday.day.log import DayLog, Visit
from pourday.outcome.base.basis import Basis
from pourday.outcome.base.fronts import delivered_temperature
from pourday.scenario.base.distribution import Distribution

ACI_VOLUME = 150 * 0.764555
"""A sample for each so many m³: 150 yd³ (ACI 318-19 26.12.2.1; value from memory)."""
ACI_AREA = 5000 * 0.09290304
"""And for each so many m² of slab: 5,000 ft² (ACI 318-19 26.12.2.1; value from memory)."""
ACI_BATCHES = 5
"""From at least so many batches, or from all (ACI 318-19 26.12.2.1; value from memory)."""

_LOT = Distribution("uniform", (0.0, 1.0))


@dataclass(frozen=True)
class Sample:
    """One sample: of which load, when (s), from where.

    ``load`` counts from 0, ``strip`` is where its middle goes (-1 into pump and line), ``age`` (s)
    from the start of loading, ``temperature`` (°C) as the concrete is then.
    """

    load: int
    plant: str
    at: float
    strip: int
    age: float
    temperature: float


@dataclass(frozen=True)
class Sampling:
    """The samples of a day by the clock, and the rule: "ACI 318" or "the project's"."""

    rule: str
    wanted: int
    samples: tuple[Sample, ...]


def samples_wanted(volume: float, area: float, own: float | None) -> int:
    """How many samples so much concrete (m³, m²) asks for, of one class on one day.

    ``own`` is the project's number a m³ (EN 206 Annex B leaves it to the project), None for
    ACI 318-19 26.12.2.1: at least one a day, one each 150 yd³ and each 5,000 ft² of slab, and at
    least five. 0 where nothing is placed.
    """
    if volume <= 0.0:
        return 0
    if own is not None:
        return max(1, math.ceil(volume * own - 1e-9))
    by_volume = math.ceil(volume / ACI_VOLUME - 1e-9)
    return max(ACI_BATCHES, by_volume, math.ceil(area / ACI_AREA - 1e-9))


def sampling(basis: Basis, log: DayLog) -> Sampling:
    """The samples of a day, from the middle of the discharge of the loads that were drawn.

    ``basis`` with the air of that day. Loads of which nothing was placed are passed over.
    """
    scenario = basis.scenario
    placed = [visit for visit in log.visits if visit.placed > 0.0]
    volume = sum(visit.placed for visit in placed)
    whole = float(basis.layout.volume.sum())
    area = float(basis.layout.theory.sum()) / (scenario.slab.depth - scenario.deck.void_volume)
    own = scenario.site.samples
    wanted = samples_wanted(volume, area * min(1.0, log.placed / whole), own)
    lot = Stream(log.seed, "samples", _LOT)
    drawn = sorted(placed, key=lambda visit: lot(visit.number))[:wanted]
    found = sorted((_sample(basis, log, visit) for visit in drawn), key=lambda each: each.at)
    return Sampling("ACI 318" if own is None else "the project's", wanted, tuple(found))


def _sample(basis: Basis, log: DayLog, visit: Visit) -> Sample:
    """The middle of a load's discharge, by volume: not its first concrete, nor its last."""
    mine = sorted((s for s in log.stretches if s.truck == visit.number), key=lambda s: s.start)
    volume = np.array([s.volume_end - s.volume_start for s in mine])
    out = np.concatenate([[0.0], np.cumsum(volume)])
    half = out[-1] / 2.0
    n = int(np.clip(np.searchsorted(out, half, side="left") - 1, 0, len(mine) - 1))
    share = (half - out[n]) / volume[n] if volume[n] > 0.0 else 0.0
    at = mine[n].start + share * (mine[n].end - mine[n].start)
    warm = delivered_temperature(basis, log.seed)(visit.number) + basis.scenario.measures.shift
    return Sample(
        load=visit.number,
        plant=visit.plant,
        at=at,
        strip=mine[n].strip,
        age=at - visit.batched,
        temperature=float(concrete_temperature(basis.relax, at, visit.batched, warm)),
    )
