"""What the tickets of pours show: lengths of time as noted, and of what kind each is.

Waiting is left out: a trip is one as its two ends were told, a change of truck counts where the
next truck stood ready, a move where one truck had concrete all the while.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Length:
    """A length of time (s) as noted, its two ends to ``steps`` (s), in the pour of this number."""

    pour: int
    seen: float
    steps: tuple[float, float]

    def over(self, factor: float) -> Length:
        """The same in units of ``factor``: rounding shrinks with it."""
        first, second = self.steps
        return Length(self.pour, self.seen / factor, (first / factor, second / factor))


@dataclass(frozen=True)
class AtPump:
    """A load at the pump from on to off (s), moves and stops taken off.

    The truck's own discharge counts ``share`` of a full load; the full crew as the file has it
    takes ``crew`` s for it.
    """

    length: Length
    share: float
    crew: float


@dataclass(frozen=True)
class Tested:
    """Loads tested in a pour, and those of them that were sent away."""

    pour: int
    plant: int
    tested: int
    failed: int


@dataclass
class Seen:
    """All that the tickets of pours show.

    ``travel`` by plant and ``at_pump`` by front of the plan; ``left_out`` counts loads and why.
    ``no_strips`` pours tell nothing of strips.
    """

    pours: int = 0
    loads: int = 0
    no_strips: int = 0
    travel: dict[int, list[Length]] = field(default_factory=dict)
    at_pump: dict[int, list[AtPump]] = field(default_factory=dict)
    changes: list[Length] = field(default_factory=list)
    moves: dict[int, list[Length]] = field(default_factory=dict)
    tests: list[Tested] = field(default_factory=list)
    left_out: dict[str, int] = field(default_factory=dict)

    def leave_out(self, why: str) -> None:
        """Count something that was not used."""
        self.left_out[why] = self.left_out.get(why, 0) + 1


@dataclass(frozen=True, eq=False)
class Lengths:
    """Lengths as arrays (N,): ``pour`` from 0 with no gap, seen (s), steps (s)."""

    pour: NDArray[np.intp]
    seen: Floats
    steps: tuple[Floats, Floats]

    @property
    def pours(self) -> int:
        """How many pours they are of."""
        return int(self.pour.max()) + 1 if len(self.pour) else 0


def lengths(of: Sequence[Length]) -> Lengths:
    """Lengths as arrays; the pours that have any are numbered anew."""
    _, pour = np.unique([each.pour for each in of], return_inverse=True)
    return Lengths(
        np.asarray(pour, dtype=np.intp),
        np.array([each.seen for each in of], dtype=float),
        (
            np.array([each.steps[0] for each in of], dtype=float),
            np.array([each.steps[1] for each in of], dtype=float),
        ),
    )


def clock_step(times: Iterable[float]) -> float:
    """To what step (s) clock times were noted: 1, a minute, or 5 minutes."""
    whole = [round(time) for time in times]
    if not whole:
        return 60.0
    if sum(time % 60 != 0 for time in whole) > _SOME * len(whole):
        return 1.0
    fives = sum(time % 300 == 0 for time in whole)
    return 300.0 if len(whole) >= _ENOUGH and fives >= _MOST * len(whole) else 60.0


# A clock that shows seconds shows others than :00; a hand that rounds to five minutes does so
# nearly always (chosen here).
_SOME, _MOST, _ENOUGH = 0.1, 0.9, 12
