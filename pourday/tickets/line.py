"""A line of tickets as frozen values: what it says, when, and where in the file it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

IN, ON, OFF, AWAY, LEFT = "in", "on", "off", "away", "left"
OF_LOADS = (IN, ON, OFF, AWAY, LEFT)
"""What is said of a load: on the site, at the pump, empty, sent away, on the road."""
STRIP_START, STRIP_FULL, STRIP_AT, STOP_END = "strip start", "strip full", "strip at", "stop end"
STOP, GUESS, GO = "stop", "guess", "go"
BREAK, WORK, PEOPLE, MOVED = "break", "work", "people", "moved"
CALL, HOLD, SEND = "call", "hold", "send"
WRONG, UNITS, ALSO = "wrong", "units", "also"
AHEAD = (CALL, GUESS)
"""What names a time that is still to come."""
NO_TIME = (WRONG, UNITS, ALSO)
"""What needs no time."""

DAY = 24 * 3600.0
YARD3 = 0.9144**3
"""A cubic yard in m³: 27 cubic feet of 0.3048 m exactly (international yard, 1959)."""
FOOT = 0.3048


@dataclass(frozen=True)
class Line:
    """One line. Times in s since midnight of the pour day, volumes m³, places m; None: not said.

    ``time`` is when it was, or of a line without one the earliest it can have been; ``latest`` the
    same, or the latest. ``load`` is the number of the delivery ticket, ``strip`` that of the strip
    (from 1), ``front`` the pump (from 0). ``back`` went back in the truck; ``loaded`` is when
    loading began; ``number`` is that of "people" and "wrong"; ``why`` of a stop or of a load sent
    away, the place of "moved", the file of "also".
    """

    row: int
    text: str
    kind: str
    time: float = math.nan
    latest: float = math.nan
    load: str = ""
    strip: int = 0
    front: int = 0
    volume: float | None = None
    back: float | None = None
    loaded: float | None = None
    at: float | None = None
    number: int = 0
    why: str = ""
    plant: str = ""

    @property
    def timed(self) -> bool:
        """Whether the line says when it was."""
        return self.time == self.latest

    @property
    def when(self) -> float:
        """When it was (s); the middle of where it can lie, the earliest where that has no end."""
        return (self.time + self.latest) / 2 if math.isfinite(self.latest) else self.time


@dataclass(frozen=True)
class Remark:
    """Something to look at: the row of the file (0: the file as a whole), and what about it."""

    row: int
    text: str


def clock(seconds: float) -> str:
    """A clock time as a ticket has it: "9:05", and "0:20 (next day)" after midnight."""
    if not math.isfinite(seconds):
        return "now"
    days, rest = divmod(round(seconds / 60.0), 24 * 60)
    return f"{rest // 60}:{rest % 60:02d}" + (" (next day)" if days else "")
