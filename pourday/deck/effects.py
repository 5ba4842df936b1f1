"""All that a sheet run is asked for, as rows of one matrix: a row an effect, a column a load.

Moment, deflection, reaction, and at every inner support the sum of the shares of moment and
reaction. That sum is linear in the load as well, so its own worst pattern is found exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.deck.beam import Influence
from pourday.deck.settlement import Settlement

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Resistance:
    """Resistance of the deck per metre width, from its supplier's tables."""

    sag_moment: float
    """N m/m, above 0."""
    hog_moment: float
    """N m/m, above 0."""
    reaction: float
    """N/m, above 0, at inner supports."""
    end_reaction: float | None = None
    """N/m at the ends of the run; None takes `reaction`. Tables often give less there."""


@dataclass(frozen=True)
class Where:
    """Columns of each quantity in bounds; ``pressed`` is empty where it is not among them."""

    deflection: slice
    """(S,) m."""
    moment: slice
    """At stations, then supports, (S + n+1,) N m/m."""
    support_moment: slice
    """(n+1,) N m/m."""
    reaction: slice
    """(n+1,) N/m."""
    pressed: slice
    """Moment and reaction together, 2 (n-1) shares; none where no resistance is known."""


@dataclass(frozen=True, eq=False)
class Effects:
    """R effects of a sheet run: ``stations`` (S,) and ``supports`` (n+1,) say where.

    ``matrix`` (R, L) has S deflections, S moments, n+1 moments over supports, n+1 reactions, and
    where a resistance is known, for n-1 inner supports twice: the share of the reaction with that
    of a hogging moment, and with that of a sagging one. Deflection is wanted without partial
    factors only and the shares with them only, so each is left out on the other side.
    """

    stations: Floats
    supports: Floats
    matrix: Floats

    @property
    def plain_rows(self) -> slice:
        """Rows of the matrix that are wanted unfactored: all but the shares."""
        return slice(0, 2 * len(self.stations) + 2 * len(self.supports))

    @property
    def factored_rows(self) -> slice:
        """Rows of the matrix that are wanted factored: all but the deflection."""
        return slice(len(self.stations), len(self.matrix))

    @property
    def plain(self) -> Where:
        """Columns of unfactored bounds."""
        return self._where(len(self.stations), 0)

    @property
    def factored(self) -> Where:
        """Columns of factored bounds."""
        return self._where(0, len(self.matrix) - self.plain_rows.stop)

    def _where(self, first: int, pressed: int) -> Where:
        stations, supports = len(self.stations), len(self.supports)
        over = first + stations
        end = over + 2 * supports
        return Where(
            deflection=slice(0, first),
            moment=slice(first, over + supports),
            support_moment=slice(over, over + supports),
            reaction=slice(over + supports, end),
            pressed=slice(end, end + pressed),
        )

    @property
    def places(self) -> Floats:
        """x (m) of the moments: stations, then supports."""
        return np.concatenate([self.stations, self.supports])


def effects_of(influence: Influence, resistance: Resistance | None) -> Effects:
    """Effects of unit loads on a run.

    ValueError where a resistance is not above zero.
    """
    i = influence
    matrix = stacked(i.deflection, i.moment, i.support_moment, i.reaction, resistance)
    return Effects(i.stations, i.supports, matrix)


def effects_of_settling(
    influence: Influence, settled: Settlement, resistance: Resistance | None
) -> Floats:
    """(R, n+1) the same effects of each support going down by 1 m; deflection between supports."""
    units = np.eye(len(influence.supports))
    chord = np.stack([np.interp(influence.stations, influence.supports, u) for u in units], axis=1)
    return stacked(
        settled.deflection - chord,
        settled.moment,
        settled.support_moment,
        -settled.stiffness,
        resistance,
    )


def checked(resistance: Resistance) -> Resistance:
    """The same; ValueError where a resistance is not above zero."""
    for name, value in (
        ("sagging moment", resistance.sag_moment),
        ("hogging moment", resistance.hog_moment),
        ("reaction", resistance.reaction),
        ("end reaction", end_reaction(resistance)),
    ):
        if not value > 0:
            raise ValueError(f"{name} resistance must be above 0, found {value:g}")
    return resistance


def end_reaction(resistance: Resistance) -> float:
    """Resistance at the ends of the run, N/m."""
    given = resistance.end_reaction
    return resistance.reaction if given is None else given


def stacked(
    deflection: Floats,
    moment: Floats,
    over: Floats,
    reaction: Floats,
    resistance: Resistance | None,
) -> Floats:
    """The rows of :class:`Effects` (R, L), from those of each quantity for L loads."""
    rows = [deflection, moment, over, reaction]
    if resistance is not None:
        r = checked(resistance)
        presses = reaction[1:-1] / r.reaction
        rows += [presses - over[1:-1] / r.hog_moment, presses + over[1:-1] / r.sag_moment]
    return np.concatenate(rows)
