"""The table of the telephone as the user writes it: how loads are called, held back and sent."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from pourday.scenario.base.distribution import Distribution, parse
from pourday.scenario.base.quantities import Minutes, Share, Table, quantity


class CallOffTable(Table):
    """What the foreman does on the telephone, and what the plant makes of it."""

    nobody_phones: bool = False
    waiting_wanted: Annotated[int, Field(ge=0, le=20)] = 1
    waiting_after_stop: Annotated[int, Field(ge=0, le=20)] = 2
    least_load_m3: Annotated[float, Field(ge=0.1, le=15)] = 1.5
    measure_error_share: Share = 0.04
    hold_notice_min: Annotated[float, Field(ge=0, le=240)] = 10.0
    rings_after_breakdown_min: Annotated[float, Field(ge=0, le=240)] = 5.0
    rings_after_blockage_min: Annotated[float, Field(ge=0, le=240)] = 10.0
    guess_factor: Annotated[Distribution, quantity(0.05, 20.0)] = parse(
        {"dist": "lognormal", "mean": 1.0, "sd": 0.3}
    )
    long_hold_min: Annotated[float, Field(ge=5, le=600)] = 45.0
    resume_min: Minutes = parse({"dist": "uniform", "low": 15, "high": 60})
    wider_spacing: Annotated[float, Field(ge=1, le=5)] = 1.3
    wider_loads: Annotated[int, Field(ge=0, le=50)] = 3
    hold_quantity_loads: Annotated[float, Field(ge=0, le=5)] = 1.0
    beyond_booking_min: Minutes = parse({"dist": "uniform", "low": 60, "high": 90})
