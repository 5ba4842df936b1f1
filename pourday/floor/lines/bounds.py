"""What each state of a line does at its worst: every load heavy, light or away, wherever it counts.

The deck and what is placed lie where they lie. Persons, gear and stacks come and go, zone and heap
stand at the worst place along the strip, and the heap of the day never adds to the heaping of a
preset: the worse of the two counts. On beams the supports also go down. What the whole floor does
to them counts as one load, by its own sign (all of the concrete heavy, or all of it light); what
stands around the front and along the bay is followed cell by cell, through deck and beams together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.effects import Effects, Resistance, effects_of, effects_of_settling
from pourday.deck.factors import UNFACTORED, Bounds, Factors, Push, bounds, push, push_of
from pourday.floor.lines.lines import BayDeck
from pourday.floor.lines.local import Around, OnProps

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Level:
    """Bounds (M, R) of all states of a line by one set of factors.

    ``stands`` is with all of the working load and no heap of the day; ``light`` is without the
    heaping of a preset, ``heap`` what an excess of one whole strip thickness adds to it.
    """

    stands: Bounds
    light: Bounds
    heap: Bounds

    def at(self, excess: Floats) -> Bounds:
        """Bounds with a heap of these excesses (M,) over the strip's thickness, 0 for none."""
        x = excess[:, None]
        return Bounds(
            np.maximum(self.stands.most, self.light.most + x * self.heap.most),
            np.minimum(self.stands.least, self.light.least + x * self.heap.least),
        )

    def rows(self, pick: NDArray[np.intp]) -> Level:
        """Some of the states."""
        parts = (self.stands, self.light, self.heap)
        return Level(*(Bounds(part.most[pick], part.least[pick]) for part in parts))


@dataclass(frozen=True, eq=False)
class Felt:
    """What a line feels: its ``effects``, and their bounds ``plain`` and ``factored``."""

    effects: Effects
    plain: Level
    factored: Level

    def rows(self, pick: NDArray[np.intp]) -> Felt:
        """Some of the states."""
        return Felt(self.effects, self.plain.rows(pick), self.factored.rows(pick))


def joined(parts: Sequence[Felt]) -> Felt:
    """States of alike lines one line after another."""

    def _all(level: str, part: str) -> Bounds:
        each = [getattr(getattr(felt, level), part) for felt in parts]
        return Bounds(
            np.concatenate([b.most for b in each]), np.concatenate([b.least for b in each])
        )

    def _level(name: str) -> Level:
        return Level(*(_all(name, part) for part in ("stands", "light", "heap")))

    return Felt(parts[0].effects, _level("plain"), _level("factored"))


@dataclass(frozen=True, eq=False)
class Moving:
    """A load that is tried at several places: ``at`` (P, L), ``width`` m along y on beams."""

    at: Floats
    width: float


@dataclass(frozen=True, eq=False)
class Loading:
    """All loads of M states of a line, apart by kind; (M, L) unless said.

    ``permanent`` (L,) deck and mesh; ``concrete`` as it lies; ``wide`` working load all along the
    bay; ``stacks`` what still lies on this line. The others have M entries, None where there is
    none in a state: ``around`` are kinds of load around the front that stay in place (pipe and
    people in a line, a skip); ``zone``, ``light_zone`` (without the heaping) and ``heap`` are tried
    along the strip.
    """

    permanent: Floats
    concrete: Floats
    wide: Floats
    stacks: Floats
    around: Sequence[Sequence[Moving | None]]
    zone: Sequence[Moving | None]
    light_zone: Sequence[Moving | None]
    heap: Sequence[Moving | None]


@dataclass(frozen=True, eq=False)
class Settling:
    """How the supports of a line go down; (M, n+1) m by state unless said.

    ``permanent`` (n+1,) and ``concrete`` are those of the whole floor, ``stacks`` (stacks, M, n+1)
    of each stack. ``own`` says it of a unit load around this line by its width along y, ``wide``
    (n+1, L) of one all along the bay. Elastic props are not in any of them: ``props`` says how far
    those go down.
    """

    permanent: Floats
    concrete: Floats
    stacks: Floats
    own: Around
    wide: Floats
    props: OnProps


@dataclass(frozen=True, eq=False)
class DeckStatics:
    """Effects of a bay's deck; ``matrix`` (R, L) and ``settled`` (R, n+1) are those of loads and of
    its beams going down, elastic props going down with them."""

    effects: Effects
    matrix: Floats
    settled: Floats


def statics_of(deck: BayDeck, resistance: Resistance | None, props: OnProps) -> DeckStatics:
    """The effects of a bay that is prepared."""
    effects = effects_of(deck.unit, resistance)
    settled = effects_of_settling(deck.unit, deck.settled, resistance)
    return DeckStatics(effects, effects.matrix + settled @ props.own, settled @ props.beams)


class Influences:
    """Influence (R, L) of loads of a given width along y, deck and beams together."""

    def __init__(self, deck: DeckStatics, settling: Settling | None) -> None:
        self._deck = deck.matrix
        self._settled = deck.settled
        self._settling = settling
        self._known: dict[float, Floats] = {}

    @property
    def of_deck(self) -> Floats:
        """(R, L) of a load with which beams do not go down."""
        return self._deck

    @property
    def effects(self) -> int:
        """R, how many effects there are."""
        return len(self._deck)

    def of_width(self, width: float) -> Floats:
        """(R, L) of a load this wide along y (m)."""
        if self._settling is None:
            return self._deck
        if width not in self._known:
            self._known[width] = self._deck + self._settled @ self._settling.own.of_width(width)
        return self._known[width]

    def wide(self) -> Floats:
        """(R, L) of a load all along the bay."""
        return (
            self._deck
            if self._settling is None
            else self._deck + self._settled @ self._settling.wide
        )


def felt_of(
    deck: DeckStatics,
    loading: Loading,
    settling: Settling | None,
    factors: Factors,
) -> Felt:
    """Bounds of every state of a line, without and with partial factors."""
    effects, settled = deck.effects, deck.settled
    influences = Influences(deck, settling)
    rigid = deck.matrix
    dead = push(loading.permanent[None, :], rigid)
    concrete = push(loading.concrete, rigid)
    away = push(loading.wide, influences.wide()) + push(loading.stacks, rigid)
    if settling is not None:
        dead = dead + push_of(settling.permanent[None, :] @ settled.T)
        concrete = concrete + push_of(settling.concrete @ settled.T)
        for stack in settling.stacks:
            away = away + push_of(stack @ settled.T)
    for each in loading.around:
        away = away + _worst(each, influences)
    zone, light = (_worst(each, influences) for each in (loading.zone, loading.light_zone))
    heap = _worst(loading.heap, influences)

    def _level(f: Factors, rows: slice) -> Level:
        goes = (f.working, 0.0)
        lies = bounds(dead.of(rows), f.permanent) + bounds(concrete.of(rows), f.concrete)
        stays = lies + bounds(away.of(rows), goes)
        return Level(
            stays + bounds(zone.of(rows), goes),
            stays + bounds(light.of(rows), goes),
            bounds(heap.of(rows), (f.heap, 0.0)),
        )

    return Felt(
        effects, _level(UNFACTORED, effects.plain_rows), _level(factors, effects.factored_rows)
    )


def _worst(rows: Sequence[Moving | None], influences: Influences) -> Push:
    """Push (M, R) of a load at its worst place in every state, effect by effect.

    States that share a load (the same object) share the work.
    """
    wanted = {id(row): row for row in rows if row is not None and row.at.any()}
    found: dict[int, tuple[Floats, Floats]] = {}
    for key, row in wanted.items():
        # A load along one strip leaves most cells alone.
        on = np.flatnonzero(row.at.any(axis=0))
        every = push(row.at[:, on], influences.of_width(row.width)[:, on])
        found[key] = every.up.max(axis=0), every.down.max(axis=0)
    out = Push(*np.zeros((2, len(rows), influences.effects)))
    for k, each in enumerate(rows):
        if id(each) in found:
            out.up[k], out.down[k] = found[id(each)]
    return out
