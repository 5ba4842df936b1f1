"""What else could place concrete where a pump or crane has failed, as the user writes it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from pourday.scenario.base.quantities import Price, Table


class StandbyTable(Table):
    """A pump, crane or skip that could be had on the day of the pour."""

    name: Annotated[str, Field(min_length=1, max_length=24)]
    output_m3_h: Annotated[float, Field(ge=0.5, le=200)]
    ready_min: Annotated[float, Field(ge=0, le=600)]
    reach_m: Annotated[float, Field(gt=0, le=200)] | None = None
    call_out: Price = 0.0
