"""A floor poured in parts: what is poured on a day, and the pours that a file gives. SI inside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pourday.scenario.model.concrete import Weather


@dataclass(frozen=True)
class FloorPart:
    """The part of a floor that is poured on one day, from ``low`` to ``high`` x (m).

    ``low_hardened`` and ``high_hardened`` say whether what lies beyond that end was poured on an
    earlier day; else the deck there is bare.
    """

    low: float
    high: float
    low_hardened: bool = False
    high_hardened: bool = False


@dataclass(frozen=True)
class Pour:
    """A pour of a part of the floor as the file gives it: from ``low`` to ``high`` x (m).

    ``weather`` is None where the pour has that of the file.
    """

    name: str
    date: date
    plan: str
    low: float
    high: float
    weather: Weather | None
