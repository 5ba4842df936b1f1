"""Factors that hold for a whole day: a slow crew, a slow plant, a slow road.

One factor a day each, since what makes a day slow (new people, a mixer that limps, works on the
road) makes every strip, load or trip of it slow. They are streams of their own, without a plan's
name: a slow crew is slow in every plan of that day.
"""

from __future__ import annotations

from pourday.day.chance.streams import Stream
from pourday.day.log import DayFactors
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.model.scenario import DayToDay

CREW, PLANT, TRAVEL = "crew pace of the day", "plant pace of the day", "travel of the day"
"""The names of their streams."""


def day_factors(days: DayToDay, seed: int) -> DayFactors:
    """The factors of the day with this seed: lognormal, mean 1, with the sd of each."""
    return DayFactors(
        Stream(seed, CREW, _factor(days.crew_pace_sd))(0),
        Stream(seed, PLANT, _factor(days.plant_pace_sd))(0),
        Stream(seed, TRAVEL, _factor(days.travel_sd))(0),
    )


def _factor(sd: float) -> Distribution:
    return Distribution("lognormal", (1.0, sd)) if sd else fixed(1.0)
