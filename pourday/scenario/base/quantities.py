"""What all tables of a scenario file share: quantities, clock times, and the strict table."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

from pourday.scenario.base.distribution import Distribution, lowest_and_highest, parse

CLOCK = 'a clock time such as "06:30" (24 h; "25:00" is 1 am)'
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")


@dataclass(frozen=True)
class Within:
    """Reads a number or a distribution whose values stay within low..high (unit of the key)."""

    low: float
    high: float

    def __call__(self, raw: object) -> Distribution:
        """The quantity; pydantic error "quantity" or "outside" where it does not fit."""
        try:
            quantity = parse(raw, self.low, self.high)
        except ValueError as fault:
            raise PydanticCustomError("quantity", "{advice}", {"advice": str(fault)}) from None
        least, most = lowest_and_highest(quantity)
        if least < self.low or most > self.high:
            context = {"low": self.low, "high": self.high}
            raise PydanticCustomError("outside", "{low} {high}", context)
        return quantity


def quantity(low: float, high: float) -> BeforeValidator:
    """Validator of a quantity; ``Within`` stands in it for messages to read."""
    return BeforeValidator(Within(low, high))


def _clock(raw: object) -> float:
    """Clock time "HH:MM" as seconds since midnight."""
    match = _CLOCK.fullmatch(raw) if isinstance(raw, str) else None
    if not match or int(match[1]) > 47 or int(match[2]) > 59:
        raise PydanticCustomError("clock", "{allowed}", {"allowed": CLOCK})
    return int(match[1]) * 3600.0 + int(match[2]) * 60.0


Clock = Annotated[float, BeforeValidator(_clock)]
Minutes = Annotated[Distribution, quantity(0.0, 600.0)]
Share = Annotated[float, Field(ge=0, le=1)]
Place = Annotated[float, Field(ge=-1000, le=1000)]
Price = Annotated[float, Field(ge=0, le=1e9)]
Pair = Annotated[list[Place], Field(min_length=2, max_length=2)]


class Table(BaseModel):
    """What all tables share: frozen, no unknown keys, nothing converted in silence."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, arbitrary_types_allowed=True
    )
