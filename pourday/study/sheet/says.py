"""The values on a sheet, SI; clock times are s since midnight of the pour day.

Everything that is printed as a number stands here, so that nobody who draws has to work it out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.look_out import LookOut
from pourday.outcome.deck.sag_gauges import SagGauge
from pourday.outcome.edges.end_places import EndPlace


@dataclass(frozen=True)
class When:
    """A clock time over many days (s): the middle day, and what 9 days in 10 do not pass.

    Both nan where it happens on none of them.
    """

    about: float
    by: float


@dataclass(frozen=True)
class FrontTimes:
    """The day of one front, as pump and people see it.

    ``set_up`` is when its setting-up begins, ``start`` when its first load is wanted by the plan;
    both do not vary. ``breaks`` are from, to (s).
    """

    set_up: float
    start: float
    breaks: tuple[tuple[float, float], ...]
    last_concrete: When
    washed_out: When


@dataclass(frozen=True)
class StripRow:
    """One strip: ``number`` in the order, from 1; volumes in m³, ``so_far`` with all before it.

    ``way`` is "x" or "y", ``rising`` whether the front goes to higher values. ``cover_within`` (s)
    is how long from its begin its open edge lasts on 9 days in 10; nan where nothing follows
    beside it.
    """

    number: int
    name: str
    bay: str
    front: int
    way: str
    rising: bool
    volume: float
    so_far: float
    begins: When
    full: When
    cover_within: float


@dataclass(frozen=True)
class LoadRow:
    """One load: ``number`` of the day, from 1; m³, ``so_far`` of its front with it.

    ``call_at`` (s) is the last moment of the middle day at which it could still be held. The
    ``balance`` load is measured on the floor, so its volume is nan.
    """

    number: int
    front: int
    call_at: float
    due: When
    volume: float
    so_far: float
    sampled: bool
    balance: bool


@dataclass(frozen=True)
class WayOut:
    """One way to end the pour: ``needed`` m³ go in up to ``places``, ``removed`` m³ come out.

    No places: what is begun is full from end to end. ``decide`` (s) is how long after the stop, on
    9 days in 10, concrete must flow again (or the shovels begin) for the open edges not to be
    lost; 0 where there is no such time.
    """

    places: tuple[EndPlace, ...]
    needed: float
    removed: float
    decide: float


@dataclass(frozen=True)
class StopRow:
    """A stop in one strip (``number`` from 1): what may be lost (m of edge), and the ways out."""

    number: int
    name: str
    open_edges: float
    ways: tuple[WayOut, ...]


@dataclass(frozen=True)
class StopPart:
    """A bay, or with bands that cross the bays one band, and what a stop in it means."""

    name: str
    rows: tuple[StopRow, ...]


@dataclass(frozen=True)
class Pass:
    """A pass of the power float over a bay, s after concrete was placed there.

    From ``begins`` (the middle day) to ``ends`` (the concrete stays open so long on 9 days in 10).
    """

    begins: float
    ends: float


@dataclass(frozen=True)
class FinishRow:
    """Finishing and curing of a bay.

    ``bull_float`` and ``covered`` are s after a strip was begun (the middle day). ``cure_to`` is
    the date to which it is kept damp, None where the file plans none.
    """

    bay: str
    first: int
    last: int
    volume: float
    bull_float: float
    passes: tuple[Pass, ...]
    covered: float
    cure_to: date | None


@dataclass(frozen=True)
class Sheet:
    """All that the paper says of one plan.

    ``days`` were played. ``letters`` name the stop ends in order of x: the first is A. ``loads``
    are those of the middle day; ``loads_by`` is how many 9 days in 10 need at most. The balance is
    called when strip ``balance_after`` (number from 1) is full, 0 where nobody calls one.
    ``deck_share`` is the most of its resistance that the deck uses, heaps at their mean (nan where
    nobody judges); ``frozen`` (m²) freezes on the first day. ``air``, ``wind`` and ``humidity`` are
    least and most of the day (°C, m/s, share), ``rain`` the share of days with some. ``age_limit``
    (s) is what a load may reach from loading, ``spares`` the other means of placing that the file
    knows.
    """

    basis: Basis
    days: int
    made_on: date
    fronts: tuple[FrontTimes, ...]
    finishers_leave: When
    strips: tuple[StripRow, ...]
    letters: tuple[EndPlace, ...]
    loads: tuple[LoadRow, ...]
    loads_by: int
    balance_after: int
    sample_rule: str
    stops: tuple[StopPart, ...]
    gauges: tuple[SagGauge, ...]
    deck_share: float
    frozen: float
    look_out: tuple[LookOut, ...]
    finish: tuple[FinishRow, ...]
    props_to: date | None
    volume: float
    air: tuple[float, float]
    wind: tuple[float, float]
    humidity: tuple[float, float]
    rain: float
    age_limit: float
    spares: tuple[str, ...]

    @property
    def last_concrete(self) -> When:
        """Of the front that ends last by the middle day."""
        return max((front.last_concrete for front in self.fronts), key=lambda each: each.about)

    def letter(self, place: EndPlace) -> str:
        """The letter of a stop end."""
        return letter_of(self.letters.index(place))


def letter_of(number: int) -> str:
    """A, B ... Z, then AA, AB ...: the name of a stop end by its place in the order of x."""
    first, last = divmod(number, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)
