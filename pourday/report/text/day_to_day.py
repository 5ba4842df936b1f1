"""What kind of day it was: crew, plant and roads against what is usual. Told when it is over."""

from __future__ import annotations

from pourday.outcome.measure import Outcome
from pourday.report.words import percent


def kind_of_day(outcome: Outcome) -> str:
    """In words, for the report of a day that is over; empty where all days are alike."""
    days, was = outcome.basis.scenario.day_to_day, outcome.log.factors
    said: list[str] = []
    against = " than usual"
    for what, sd, factor, above, below in (
        ("crew", days.crew_pace_sd, was.crew, "quicker", "slower"),
        ("plant", days.plant_pace_sd, was.plant, "quicker", "slower"),
        ("trips", days.travel_sd, was.travel, "longer", "shorter"),
    ):
        more = factor - 1.0
        if sd == 0.0:
            continue
        if round(abs(more), 2) == 0.0:
            said.append(f"{what} as usual")
            continue
        said.append(f"{what} {percent(abs(more))} {above if more > 0 else below}{against}")
        against = ""  # once is enough
    return ", ".join(said)
