"""Peaks of the deck on many days: of every state only the places that can ever be the worst.

Between days of a plan only the heaps differ, one height a strip. Every effect grows with the heap
in a straight line from what it is without, so of all effects of a strip's states those count that
no other one beats both in where it begins and in how it grows. What is left out could not have been
the greatest on any day, not even in the last bit: rounding keeps the order of sums and products.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from pourday.deck.factors import Bounds
from pourday.deck.history import judged, worse_is_more
from pourday.floor.lines.bounds import Level
from pourday.outcome.base.basis import Basis, Floats, Ints, LineGroup
from pourday.outcome.deck.peaks import SIGNS, DeckOutcome, counts_today

_Columns = list[tuple[Floats, float]]
"""Effects (K, places), the more the worse, and what each is divided by."""


@dataclass(frozen=True, eq=False)
class DeckDays:
    """Peaks of days (D,), SI; fields as in :class:`pourday.outcome.deck.peaks.DeckOutcome`."""

    sag_moment: Floats
    hog_moment: Floats
    reaction: Floats
    uplift: Floats
    deflection: Floats
    use: Floats
    ponding: float


@dataclass(frozen=True, eq=False)
class _Rising:
    """Effects over a limit: never below ``stands``, and (light + excess x heap) / limit.

    ``strip``, ``light``, ``heap``, ``limit`` (J,): the excess is that of the heap on the strip.
    """

    stands: float
    strip: Ints
    light: Floats
    heap: Floats
    limit: Floats

    def at(self, excess: Floats) -> Floats:
        """The greatest of them with these excesses (D, strips) of heaps, (D,)."""
        if not len(self.strip):
            return np.full(len(excess), self.stands)
        found = (self.light + excess[:, self.strip] * self.heap) / self.limit
        return np.asarray(np.maximum(found.max(axis=1), self.stands))


@dataclass(frozen=True, eq=False)
class Envelope:
    """What of a plan's deck can be the worst on some day: by quantity, in every group of lines.

    Of each group what rises with heaps, None where it has none, and the greatest of all its states
    without. ``judged`` says whether shares of resistance are.
    """

    groups: dict[str, list[tuple[_Rising | None, float]]]
    judged: bool
    ponding: float

    def at(self, factors: Floats) -> DeckDays:
        """Peaks of days with these height factors of heaps, (D, strips)."""
        excess = factors - 1.0
        found = {name: self._greatest(name, excess) for name in SIGNS}
        use = self._greatest("use", excess) if self.judged else np.full(len(factors), math.nan)
        return DeckDays(**found, use=use, ponding=self.ponding)

    def _greatest(self, name: str, excess: Floats) -> Floats:
        out = np.zeros(len(excess))  # less than nothing is nothing
        for rising, bare in self.groups[name]:
            peak = np.full(len(excess), bare)
            if rising is not None:
                today = rising.at(excess)
                counts = today > bare if name == "use" else counts_today(today, bare)
                peak = np.where(counts, today, peak)
            out = np.maximum(out, peak)
        return out


def envelope(basis: Basis) -> Envelope:
    """Prepare the deck of a plan for many days."""
    parts = [_of_group(group) for group in basis.groups]
    return Envelope(
        groups={name: [part[name] for part in parts] for name in (*SIGNS, "use")},
        judged=basis.groups[0].model.resistance is not None,
        ponding=basis.layout.ponding,
    )


def days_of_one(deck: DeckOutcome) -> DeckDays:
    """The peaks of a day that were found with their places."""
    values = {name: np.array([getattr(deck, name).value]) for name in (*SIGNS, "use")}
    return DeckDays(**values, ponding=deck.ponding)


def _of_group(group: LineGroup) -> dict[str, tuple[_Rising | None, float]]:
    bare, felt = group.bare_peaks, group.felt
    effects, resistance = felt.effects, group.model.resistance
    strip = group.strips[:, group.heaped].ravel()

    def _columns(name: str, found: Bounds) -> _Columns:
        if name == "deflection":
            return [(found.most[:, effects.plain.deflection], 1.0)]
        return [(worse_is_more(found, effects.plain)[name], 1.0)]

    def _judged(found: Bounds) -> _Columns:
        checks = () if resistance is None else judged(found, effects, resistance)
        return [each for check in checks for each in check]

    out = {}
    for name, sign in SIGNS.items():
        peak = bare.deflection if name == "deflection" else getattr(bare.plain, name)
        out[name] = _rising(strip, felt.plain, partial(_columns, name)), sign * peak.value
    return {**out, "use": (_rising(strip, felt.factored, _judged), float(bare.use.max()))}


def _rising(strip: Ints, level: Level, columns: Callable[[Bounds], _Columns]) -> _Rising | None:
    """What rises of the states of these strips (K,), without all that is never the worst."""
    if not len(strip):
        return None
    stands = max(
        (float((v / limit).max(initial=0.0)) for v, limit in columns(level.stands)), default=0.0
    )
    owner, light, heap, limits = [], [], [], []
    for (begin, limit), (more, _) in zip(columns(level.light), columns(level.heap), strict=True):
        for each in np.unique(strip):
            mine = strip == each
            a, b = begin[mine].ravel(), more[mine].ravel()
            kept = _unbeaten(a, b)
            owner.append(np.full(len(kept), each))
            limits.append(np.full(len(kept), limit))
            light.append(a[kept])
            heap.append(b[kept])
    if not owner:
        return None
    parts = (np.concatenate(part) for part in (owner, light, heap, limits))
    return _Rising(stands, *parts)


def _unbeaten(light: Floats, heap: Floats) -> Ints:
    """Those that no other one equals or beats in both."""
    order = np.lexsort((-heap, -light))
    so_far = np.maximum.accumulate(np.append(-np.inf, heap[order][:-1]))
    return order[heap[order] > so_far]
