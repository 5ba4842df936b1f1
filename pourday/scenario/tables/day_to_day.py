"""The table of what makes a whole day slow or quick, as the user writes it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from pourday.scenario.base.quantities import Table

_Sd = Annotated[float, Field(ge=0, le=0.5)]
"""An sd of a factor whose mean is 1; beyond a half such days are no longer of the same site."""


class DayToDayTable(Table):
    """How much crew, plant and roads differ from one day to the next; the default is invented."""

    crew_pace_sd: _Sd = 0.10
    plant_pace_sd: _Sd = 0.10
    travel_sd: _Sd = 0.10
