"""The pours of a floor that is poured in parts, as the user writes them."""

from __future__ import annotations

import datetime
from typing import Annotated

from pydantic import Field

from pourday.scenario.base.quantities import Place, Table
from pourday.scenario.tables.concrete import Hour


class PourTable(Table):
    """A part of the floor poured on a day of its own, by one of the plans."""

    name: Annotated[str, Field(min_length=1, max_length=24)]
    date: datetime.date
    plan: str
    bays: list[str] = []
    from_x_m: Place | None = None
    to_x_m: Place | None = None
    sample: str | None = None
    hours: list[Hour] = []
