"""Where the work of a front stands: what it is doing, in which strip, with which load."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from pourday.day.front.pauses import Pause
from pourday.day.site.load import Load
from pourday.floor.access.zones import Shared

# Steps of a front through its day. PRIME, LINE and REFILL fill pump and line: before the first
# strip, after pipes were put on, and after washing out.
START, PRIME, ORDER, BEGIN, PIPES, LINE, STRIP, REFILL, OVER = (
    "start", "prime", "order", "begin", "pipes", "line", "strip", "refill", "over",
)  # fmt: skip

# What a front may be doing, or waiting for.
STARTING, TRUCK, FLOWING, RESTING, PAUSING = "starting", "truck", "flowing", "resting", "pausing"
TOO_FEW, CLEARING, WASHING_OUT = "too few", "clearing", "washing out"
NEXT_TRUCK = "next truck"
SETTING_UP, CHANGING_PIPES, MOVING = "setting up", "changing pipes", "moving"
STRIP_FIRST, CREW_NEAR = "strip first", "crew near"


STANDING = frozenset((RESTING, PAUSING, TOO_FEW, CLEARING, WASHING_OUT))
"""What keeps a front from placing though there may be concrete."""


class Wake(NamedTuple):
    """When a front that stands looks up next (s): at ``limit`` a truck is too old, if not before.

    ``order`` is when that was decided, counted over the day.
    """

    at: float
    limit: float
    order: int


@dataclass(slots=True)
class Behind:
    """Why the crew stood from ``begin`` to ``came`` (s), pauses in between still to be told apart.

    ``truck``: it waited for a truck, and ``load`` came, or none ever will; else another crew or
    strip held it.
    """

    truck: bool
    begin: float
    came: float
    load: Load | None = None


@dataclass(slots=True)
class Job:
    """A strip, or pump and line (``strip`` -1), to be filled from ``done`` to ``until`` (m³).

    ``volume`` is all it takes, ``limit`` the rate of pump and crew (m³/s), ``lift`` hoisting and
    slewing of a skip (s), ``ground`` what it shares with other crews.
    """

    strip: int
    done: float
    until: float
    volume: float
    limit: float
    lift: float = 0.0
    ground: Shared | None = None


@dataclass(slots=True)
class Work:
    """The work of a front: its step, the load in hand, what it does.

    ``doing`` is what it does now, empty between two things, from ``since`` until ``until`` (s;
    ``inf``: until somebody else is done). Flowing has ``take`` (m³) and ``span`` (s) and fills its
    strip up to ``filled`` (m³); a rest or pause has its ``pause`` and
    ``stop_end``, when that ends where the crew eats on; clearing is ``by_standing``
    where the line blocked during a stand; ``first`` is the strip that has to come first.

    ``turn`` counts its strips, ``part`` the parts of the one in hand, ``done`` what is in it (m³),
    ``line_done`` and ``line_until`` what pump and line have and take in the filling under way.
    ``place`` is the set-up place. ``skip`` is what hangs on the crane (m³) and its time left (s).
    ``until_blocked`` is placing time to the next blockage (s). ``flowed`` is when concrete last
    moved in the line, ``batched`` when that was batched, ``ended`` when the last was placed (s).
    ``waits_since`` is since when the crew waits for a truck, ``held_since`` for other strips (s).
    ``breaks_before`` breaks were taken when the stop in hand began.
    """

    step: str = START
    turn: int = 0
    part: int = 0
    done: float = 0.0
    line_done: float = 0.0
    line_until: float = 0.0
    place: int = 0
    load: Load | None = None
    doing: str = ""
    since: float = math.nan
    until: float = math.inf
    take: float = 0.0
    span: float = 0.0
    filled: float = 0.0
    pause: Pause | None = None
    by_standing: bool = False
    first: int = -1
    behind: Behind | None = None
    wake: Wake | None = None
    order: int = 0
    pauses_taken: int = 0
    breaks_taken: int = 0
    stop_end: float = math.inf
    blockages: int = 0
    stands: int = 0
    skips: int = 0
    skip: tuple[float, float] | None = None
    until_blocked: float = math.inf
    flowed: float = math.nan
    batched: float = math.nan
    ended: float = math.nan
    waits_since: float = math.nan
    held_since: float = math.nan
    breaks_before: int = 0
    # What follows from the rest; made when the work of the step begins.
    job: Job | None = None

    def do(self, doing: str, since: float, until: float = math.inf) -> None:
        """Begin to do something, from and until (s)."""
        self.doing, self.since, self.until = doing, since, until


@dataclass(slots=True)
class Calling:
    """Where calling stands: when the next load is due on the site (s), and what is waited for.

    ``awaited`` is the news, ``until`` the clock time (s, ``inf`` for none). ``held`` says that
    calling was held back since the last load, ``late`` by how much the plant is behind the booking
    (s). ``lost`` loads are to be called again at once,
    ``wider`` more come at the wider spacing. ``holding`` is why the foreman holds loads now
    (``rang_for`` counts the stops he rang for), since
    ``hold_since`` (s); ``held_for`` the turn of the last load held, ``booked`` the booking (m³).
    ``told_to_hold`` (when: ``day.telephone``) and ``sends`` (loads, at
    once) are orders.
    """

    due: float = math.nan
    balance_called: bool = False
    held: bool = False
    late: float = 0.0
    lost: int = 0
    wider: int = 0
    holding: str = ""
    rang_for: int = -1
    hold_since: float = math.nan
    held_for: int = -1
    loads_held: int = 0
    loads_beyond: int = 0
    booked: float = math.nan
    awaited: str = ""
    until: float = math.inf
    order: int = 0
    over: bool = False
    told_to_hold: str = ""
    sends: int = 0
