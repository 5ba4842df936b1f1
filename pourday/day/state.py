"""How a day stands at one moment: plain frozen values, from which it can be taken up again.

Nothing here is a process. Times are seconds since midnight, volumes m³; fronts, yards and loads
go by number. What never came is ``nan``, what waits for somebody lasts until ``inf``; a load
whose stage has no known end (a truck on the road, seen from the site) has ``until`` ``None``. The
age of edges is not state: outcomes read the stretches placed so far.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from pourday.day.front.pauses import Pause
from pourday.day.front.reach import Relief
from pourday.day.front.work import Wake
from pourday.day.log import ORDINARY, DayFactors, Order, PhoneCall, Stop, Stretch, Visit
from pourday.day.supply.mixer import Queue

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@dataclass(frozen=True)
class YardState:
    """A plant: trucks in its yard, trips so far, what stands before its mixer."""

    trucks: int
    trips: int
    queue: Queue


@dataclass(frozen=True)
class LoadState:
    """A load that is called and whose truck is not home yet; ``day.site.load`` names the fields.

    ``until`` ``None``: nobody knows when the stage ends; it is drawn, given how long it has lasted.
    """

    number: int
    turn: int
    trip: int
    yard: int
    called_by: int
    front: int
    at: int
    volume: float
    left: float
    batched: float
    leaves: float
    limit: float
    arrived: float
    start: float
    end: float
    rate: float
    stage: str
    since: float
    until: float | None
    order: int
    rounds: int
    handled: float
    testing: float
    gated: float
    wash: float
    looked_at: bool
    outcome: str
    rejected: float


@dataclass(frozen=True)
class NeedState:
    """What a front still takes; ``day.front.need`` names the fields."""

    expected_use: float
    to_begin: float
    for_line: float
    loads_called: int
    called: float
    rejected: float
    used: float
    used_as_planned: float
    current: float


@dataclass(frozen=True)
class CallingState:
    """Where the calling of loads stands; ``day.front.work`` names the fields."""

    due: float
    balance_called: bool
    held: bool
    late: float
    lost: int
    wider: int
    holding: str
    rang_for: int
    hold_since: float
    held_for: int
    loads_held: int
    loads_beyond: int
    booked: float
    awaited: str
    until: float
    order: int
    over: bool
    told_to_hold: str = ""
    sends: int = 0


@dataclass(frozen=True)
class WorkState:
    """Where the work of a front stands; ``day.front.work`` names the fields.

    ``load`` is the number of the load at the pump. ``behind`` is set where the crew sits out a
    pause that came while it stood for something else: whether that was a truck, from, to (s), and
    the number of the load that came.
    """

    step: str
    turn: int
    part: int
    done: float
    line_done: float
    line_until: float
    place: int
    load: int | None
    doing: str
    since: float
    until: float
    take: float
    span: float
    filled: float
    pause: Pause | None
    by_standing: bool
    first: int
    behind: tuple[bool, float, float, int | None] | None
    wake: Wake | None
    order: int
    pauses_taken: int
    breaks_taken: int
    stop_end: float
    blockages: int
    stands: int
    skips: int
    skip: tuple[float, float] | None
    until_blocked: float
    flowed: float
    batched: float
    ended: float
    waits_since: float
    held_since: float
    breaks_before: int = 0


@dataclass(frozen=True)
class FrontState:
    """A front: its work, its counts, trucks at it.

    ``line`` are the numbers of the loads that stand ready, in order, and ``closed`` whether no
    more will come; ``positions`` those of all in a position, and ``queue`` those that wait for
    one, in order. ``ground`` is the strip and part in whose shared ground the crew stands.
    ``relief`` is the stand-by that was ordered. ``told_breaks`` are breaks by number that are taken
    at an ordered time (s), ``left_out`` is what is not poured by order (m³).
    """

    need: NeedState
    calling: CallingState
    work: WorkState
    line: tuple[int, ...]
    closed: bool
    positions: int
    queue: tuple[int, ...]
    ground: tuple[int, int] | None
    on_site: int
    waiting: int
    in_flight: int
    held: float
    line_fills: int
    set_ups_done: int
    last_strip_begun: bool
    begun: float
    end: float
    unfinished: float
    standby: bool
    finished: bool
    stopped: bool
    supply_over: bool
    relief: Relief | None = None
    told_breaks: tuple[tuple[int, float], ...] = ()
    left_out: float = 0.0


@dataclass(frozen=True)
class DayState:
    """How a day stands at ``at`` (s since midnight).

    ``visits``, ``stretches``, ``stops`` and ``calls`` are the log so far.
    ``strip_volumes`` is what each strip takes, ``strips_over`` which get no more. ``loads`` are
    those under way; ``there`` says how many trucks of each front are on the site, ``road`` which
    loads wait for a place, in order; ``ground`` who waits for which shared ground (front, strip,
    part), in order. ``order`` counts
    what was begun so far; ``breakdowns`` and ``rejections`` are upsets that have hit somebody.
    ``factors`` say what kind of day it is; a state kept without them is of an ordinary one.
    On a ``blind`` day nobody knows how long a stop lasts before it is over. ``given`` are the
    orders obeyed so far, ``given_up`` strips that get no more by order, and since when (s).
    """

    at: float
    visits: tuple[Visit, ...]
    stretches: tuple[Stretch, ...]
    stops: tuple[Stop, ...]
    calls: tuple[PhoneCall, ...]
    strip_volumes: tuple[float, ...]
    strips_over: tuple[int, ...]
    loads_called: int
    yards: tuple[YardState, ...]
    loads: tuple[LoadState, ...]
    fronts: tuple[FrontState, ...]
    there: tuple[int, ...]
    road: tuple[int, ...]
    ground: tuple[tuple[int, int, int], ...]
    order: int
    breakdowns: int
    rejections: int
    factors: DayFactors = ORDINARY
    blind: bool = False
    given: tuple[Order, ...] = ()
    given_up: tuple[tuple[int, float], ...] = ()

    def to_json(self) -> str:
        """As JSON text; numbers that JSON lacks are written as "inf" and "nan"."""
        return json.dumps(_plain(self, numbers=True), allow_nan=False)

    @staticmethod
    def from_json(text: str) -> DayState:
        """The state that was written as ``text``, bit for bit.

        Raises:
            ValueError: where the text is no state of a day.
        """
        return _adapter().validate_python(json.loads(text))


@cache
def _adapter() -> TypeAdapter[DayState]:
    from pydantic import TypeAdapter

    return TypeAdapter(DayState)


def same(a: DayState, b: DayState) -> bool:
    """Whether two states are the same bit for bit, ``nan`` being the same as ``nan``."""
    return bool(_plain(a) == _plain(b))


def _plain(value: Any, numbers: bool = False) -> Any:
    """Tuples and dictionaries of plain values; ``nan``, and ``inf`` where asked, as words."""
    if isinstance(value, float) and (math.isnan(value) or (numbers and math.isinf(value))):
        return str(value)
    if isinstance(value, tuple):
        return tuple(_plain(each, numbers) for each in value)
    if hasattr(value, "__dataclass_fields__"):
        return {name: _plain(getattr(value, name), numbers) for name in value.__dataclass_fields__}
    return value
