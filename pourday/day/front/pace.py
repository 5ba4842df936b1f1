"""How fast a crew places: its people and tools, who is missing, and the heat."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

import numpy as np

from pourday.day.chance.rain import air_shift
from pourday.day.front.people import people_of
from pourday.scenario.model.scenario import Crew, Scenario

# A crew in great heat still works at this share of its pace (common practice, no source).
_LEAST_IN_HEAT = 0.3
# In heat the pace is looked at anew this often (s).
_LOOK_AT_HEAT = 900.0


class Pace:
    """A crew's pace over one day.

    ``breaks`` are when they are due and how long (s), ``missing`` from, to (s) and how many placers
    are not there.

    ``factor`` is that of the day.
    """

    __slots__ = (
        "_changes",
        "_factor",
        "_scenario",
        "_shares",
        "_warmer",
        "crew",
        "people",
        "varies",
    )

    def __init__(
        self,
        scenario: Scenario,
        crew: Crew,
        breaks: Sequence[tuple[float, float]],
        missing: Sequence[tuple[float, float, int]],
        seed: int,
        factor: float = 1.0,
    ) -> None:
        self.crew = crew
        self.people = people_of(crew, breaks, missing)
        self._scenario = scenario
        self._factor = factor
        self._changes = self.people.changes
        # The share that holds up to each change, and after the last.
        self._shares = [1.0, *map(self._share, self._changes)]
        self._warmer = air_shift(scenario, seed) if scenario.site.heat_slows else 0.0
        self.varies = bool(self._changes) or scenario.site.heat_slows

    def on_this_day(self, rate: float) -> float:
        """What the full crew places (m³/s) on this day where it places ``rate`` on a plain one."""
        return rate * self._factor

    def at(self, now: float) -> tuple[float, float]:
        """Share of its full rate at which the crew works now, and until when (s) that holds."""
        share, until = 1.0, math.inf
        if self._changes:
            passed = bisect_right(self._changes, now)
            share = self._shares[passed]
            until = self._changes[passed] if passed < len(self._changes) else math.inf
            if share <= 0.0:
                return share, until
        site = self._scenario.site
        if site.heat_slows:
            rows = self._scenario.weather
            air = float(np.interp(now, rows.at, rows.air)) + self._warmer
            lost = site.heat_loss_share * max(0.0, air - site.heat_from)
            share *= max(_LEAST_IN_HEAT, 1.0 - lost)
            until = min(until, now + _LOOK_AT_HEAT)
        return share, until

    def _share(self, now: float) -> float:
        return short_share(self.crew, self.people.missing(now) + self.people.away(now))

    def given_up(self, now: float) -> bool:
        """Whether too few people are left for the rest of the day; nobody knows who else goes."""
        return short_share(self.crew, self.people.gone(now)) <= 0.0


def short_share(crew: Crew, missing: int) -> float:
    """Share of its pace that a crew keeps with some placers missing; 0 where it cannot place.

    As the crew's table says; without one, in proportion to the people at the front. Nobody places
    without hose and vibrator, where the roles are given.
    """
    present = crew.placers - missing
    if missing <= 0:
        return 1.0
    if present <= 0 or (crew.roles and present < crew.roles.hose + crew.roles.vibrator):
        return 0.0
    if crew.rate_when_short:
        enough = missing <= len(crew.rate_when_short)
        return crew.rate_when_short[missing - 1] if enough else 0.0
    return min(1.0, present / crew.in_zone)
