"""What kind of day it was: crew, plant and roads against what is usual. Told when it is over."""

from __future__ import annotations

from pourday.outcome.measure import Outcome
from pourday.report.words import percent


def kind_of_day(outcome: Outcome) -> str:
    """Against what is usual, for the report of a day that is over; empty where days are alike."""
    days, was = outcome.basis.scenario.day_to_day, outcome.log.factors
    said = [
        f"{what} {_words(factor - 1.0, more, less)}"
        for what, sd, factor, more, less in (
            ("crew", days.crew_pace_sd, was.crew, "quicker", "slower"),
            ("plant", days.plant_pace_sd, was.plant, "quicker", "slower"),
            ("trips", days.travel_sd, was.travel, "longer", "shorter"),
        )
        if sd > 0.0
    ]
    return ", ".join(said)


def _words(more: float, above: str, below: str) -> str:
    if round(abs(more), 2) == 0.0:
        return "as usual"
    return f"{percent(abs(more))} {above if more > 0 else below}"
