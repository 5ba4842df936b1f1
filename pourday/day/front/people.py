"""Who of a crew's placers is there at any moment: those who are missing, and breaks in turns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.scenario.model.scenario import Crew, Site
from pourday.scenario.model.site import IN_TURN

_A_DAY = 24 * 3600.0


@dataclass(frozen=True)
class People:
    """A crew's placers over a day.

    ``short`` are from, to (s) and how many are missing; ``turns`` from, to and which third of those
    who are there is away.
    """

    placers: int
    short: tuple[tuple[float, float, int], ...]
    turns: tuple[tuple[float, float, int], ...]

    @property
    def changes(self) -> tuple[float, ...]:
        """Clock times (s) at which somebody goes or comes, in order."""
        return tuple(sorted({t for row in (*self.short, *self.turns) for t in row[:2]}))

    def missing(self, now: float) -> int:
        """How many have not come, or are gone for a time."""
        return sum(n for begin, end, n in self.short if begin <= now < end)

    def away(self, now: float) -> int:
        """How many of those who are there take their break in turns."""
        present = max(0, self.placers - self.missing(now))
        return sum(
            present // 3 + (third < present % 3)
            for begin, end, third in self.turns
            if begin <= now < end
        )

    def gone(self, now: float) -> int:
        """How many are gone for the rest of the day, as far as anybody knows now."""
        return sum(n for begin, end, n in self.short if begin <= now and math.isinf(end))


def people_of(
    crew: Crew, breaks: Sequence[tuple[float, float]], short: Sequence[tuple[float, float, int]]
) -> People:
    """The placers of a crew on a day with breaks at, of so long (s), and with so many missing.

    A crew that eats in turn sends a third away at a time, each for the length of the break.
    """
    turns = [
        (at + third * length, at + (third + 1) * length, third)
        for at, length in (breaks if crew.breaks_taken == IN_TURN else ())
        for third in range(3)
    ]
    return People(crew.placers, tuple(short), tuple(turns))


def break_times(site: Site, start: float) -> list[tuple[float, float]]:
    """When the breaks of a pour that starts then are due, and how long they are (s), in order.

    A break that was due before the work began is not taken.
    """
    found = []
    for each in site.breaks:
        if each.at is not None:
            found.append((each.at, each.length))
        elif each.every is not None:
            count = int(_A_DAY / each.every)
            found += [(start + n * each.every, each.length) for n in range(1, count + 1)]
    return sorted((at, length) for at, length in found if at >= start)
