"""Partial factors, and what loads do at their worst when some of them may be lighter or absent.

A load raises one effect and relieves another. Cell by cell each is taken heavy where it raises the
effect and light where it relieves it, so the worst pattern comes out of two matrix products: one
with the positive part of the influence, one with the negative part.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Factors:
    """What each kind of load is multiplied by, as (where it is unfavourable, where favourable).

    ``permanent`` is deck and mesh. ``concrete`` lies where it was placed: it is never 0.
    ``working`` (persons, gear, stacks) and ``heap`` come and go: 0 where they are favourable.
    """

    name: str
    permanent: tuple[float, float]
    concrete: tuple[float, float]
    working: float
    heap: float


UNFACTORED = Factors("unfactored", (1.0, 1.0), (1.0, 1.0), 1.0, 1.0)
# EN 1990 Table A1.2(B): 1.35 permanent, 1.5 variable. Wet concrete is variable while it is cast
# (SCI AD 346); it lies where it was placed, so its lower value is 1.0 and not 0.
EN = Factors("EN", (1.35, 1.0), (1.5, 1.0), 1.5, 1.5)
# ANSI/SDI C: 1.6 concrete + 1.2 deck + 1.4 construction load; 0.9 where dead load relieves as in
# ASCE 7 (values from memory).
LRFD = Factors("LRFD", (1.2, 0.9), (1.6, 0.9), 1.4, 1.6)
# ANSI/SDI C: the loads as they are (value from memory).
ASD = Factors("ASD", (1.0, 1.0), (1.0, 1.0), 1.0, 1.0)


@dataclass(frozen=True, eq=False)
class Push:
    """What loads do to R effects, (K, R) each, both never negative.

    ``up`` is what they add to each effect where their influence is positive, ``down`` what they
    take off it elsewhere; up - down is the effect of all of them together.
    """

    up: Floats
    down: Floats

    def __add__(self, other: Push) -> Push:
        """Both loads together."""
        return Push(self.up + other.up, self.down + other.down)

    def of(self, rows: slice) -> Push:
        """Some of the effects."""
        return Push(self.up[:, rows], self.down[:, rows])


@dataclass(frozen=True, eq=False)
class Bounds:
    """Greatest and least of R effects in K states, (K, R) each."""

    most: Floats
    least: Floats

    def __add__(self, other: Bounds) -> Bounds:
        """Both kinds of load together: each at its own worst."""
        return Bounds(self.most + other.most, self.least + other.least)


def push(loads: Floats, effects: Floats) -> Push:
    """Push of ``loads`` (K, L), never negative, by the influence ``effects`` (R, L) of each."""
    return Push(loads @ np.maximum(effects, 0.0).T, loads @ np.maximum(-effects, 0.0).T)


def push_of(effect: Floats) -> Push:
    """Push of something that comes as one: ``effect`` (K, R) either raises or relieves."""
    return Push(np.maximum(effect, 0.0), np.maximum(-effect, 0.0))


def bounds(push: Push, factor: tuple[float, float]) -> Bounds:
    """Bounds of one kind of load; kinds add up."""
    heavy, light = factor
    return Bounds(heavy * push.up - light * push.down, light * push.up - heavy * push.down)
