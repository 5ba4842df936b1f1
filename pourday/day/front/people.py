"""Who of a crew's placers is there at any moment: those who are missing, and breaks in turns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.scenario.model.scenario import Break, Crew
from pourday.scenario.model.site import IN_TURNS


@dataclass(frozen=True)
class People:
    """A crew's placers over a day.

    ``short`` are from, to (s) and how many are missing; ``turns`` from, to and whether it is the
    second half that is away: of those who are there first one half is, then the rest.
    """

    placers: int
    short: tuple[tuple[float, float, int], ...]
    turns: tuple[tuple[float, float, bool], ...]

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
            present - present // 2 if second else present // 2
            for begin, end, second in self.turns
            if begin <= now < end
        )

    def gone(self, now: float) -> int:
        """How many are gone for the rest of the day, as far as anybody knows now."""
        return sum(n for begin, end, n in self.short if begin <= now and math.isinf(end))


def people_of(
    crew: Crew, breaks: Sequence[Break], short: Sequence[tuple[float, float, int]]
) -> People:
    """The placers of a crew on a day with these breaks, and with so many missing then."""
    turns: list[tuple[float, float, bool]] = []
    for each in breaks if crew.breaks_taken == IN_TURNS else ():
        middle = each.at + each.length
        turns += [(each.at, middle, False), (middle, each.at + 2 * each.length, True)]
    return People(crew.placers, tuple(short), tuple(turns))
