"""What a day leaves behind: visits of trucks, stretches of placing, stops of the pumps.

Times are seconds since midnight of the pour day, volumes m³. Fronts count from 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from pourday.scenario.base.upsets import Upset

EPS = 1e-9
"""Less than this is nothing: m³, or s."""
STARVED, CHANGING, MOVING, SETTING_UP, HELD = "starved", "changing", "moving", "setting_up", "held"
DOWN, SHORT, LENT, IDLE, RAIN = "down", "short", "lent", "idle", "rain"
BROKEN, BLOCKED, WASHED_OUT = "broken", "blocked", "washed out"
"""Why a pump or crane is down."""
HOLD, SEND, CANCEL, AWAY = "hold", "send", "cancel", "away"
STANDBY, END, END_BAY, BREAK = "stand-by", "end", "end bay", "break"
STOPS = (STARVED, CHANGING, MOVING, SETTING_UP, HELD, DOWN, SHORT, LENT, IDLE, RAIN)


class Visit(NamedTuple):
    """One load from the start of its loading (``batched``) to its end.

    ``outcome`` is "placed", "part rejected" (limit met while discharging), "rejected: test",
    "rejected: age" or "rejected: slump" (whichever is lost first), "returned" (not needed any
    more), "part returned" (the rest not needed), "sent away" or "part sent away" (by order).
    Times that never came are ``nan``. ``wait`` is standing time at the site before discharge,
    gate, positioning and test not counted; turns round the block (``rounds`` of them) are.
    ``front`` is where it ended up.
    """

    number: int
    plant: str
    batched: float
    arrived: float
    discharge_start: float
    discharge_end: float
    left_site: float
    wait: float
    volume: float
    placed: float
    rejected: float
    returned: float
    outcome: str
    front: int = 0
    rounds: int = 0


class Stretch(NamedTuple):
    """Placing without a pause: one strip, one truck, one rate. ``strip`` -1 fills pump and line.

    ``volume_start`` and ``volume_end`` count within the strip.
    """

    start: float
    end: float
    strip: int
    volume_start: float
    volume_end: float
    truck: int
    batched: float
    front: int = 0


class Stop(NamedTuple):
    """A front does not place.

    ``kind`` is "starved" (no truck on the site), "changing" (a truck is there, but still at the
    gate, positioning or being tested), "moving", "setting_up" (the pump goes to another place, or
    changes its pipes), "held" (another crew is too near, or its strip has to come first), "down"
    (pump or crane broken, blocked, or washed out because it stood too long), "short" (too few
    people), "lent" (the crane lifts for others), "idle" (break) or "rain". ``why`` of one that is
    down is "broken", "blocked" or "washed out".
    """

    kind: str
    start: float
    end: float
    front: int = 0
    why: str = ""


class PhoneCall(NamedTuple):
    """What the foreman of a front said on the telephone, and when (s).

    ``kind`` is "hold" (no more for now), "send" (again), "balance" (the last load, ``volume`` m³),
    "again" (a load that was lost) or "more" (a load beyond the booking). ``why`` says the rest.
    """

    at: float
    kind: str
    why: str
    volume: float = 0.0
    front: int = 0


class Order(NamedTuple):
    """What the foreman of a front orders, and when (s); the day obeys from then on.

    ``kind`` is "hold" (no more loads: in a stop until it is over and no truck waits, else
    until none is on its way to a front that waits for one; "send" lifts it),
    "send" (``number`` loads at once, whatever the foreman thinks), "cancel" (the last ``number``
    loads whose loading has not begun; held from then on), "away" (truck ``number``, from 0, leaves
    undischarged), "stand-by" (``name`` is called), "end" (the front's pour ends when ``strip`` is
    full, or where it stands for -1), "end bay" (the bay in hand ends where the front stands) or
    "break" (the crew takes its next break now).
    """

    at: float
    kind: str
    front: int = 0
    number: int = 0
    name: str = ""
    strip: int = -1


class DayFactors(NamedTuple):
    """What kind of day it is; 1 is an ordinary one.

    ``crew`` multiplies the rate at which crews place, ``plant`` the rate of batching, ``travel``
    the time of every trip, out and back.
    """

    crew: float = 1.0
    plant: float = 1.0
    travel: float = 1.0


ORDINARY = DayFactors()


@dataclass(frozen=True)
class FrontLog:
    """One front's day: pump ready, last concrete, wash-out; m³ left in pump and line, and missing.

    ``start`` is its first discharge, ``ready`` where it had none. ``standby`` says whether a
    stand-by pump came. ``loads_held`` were called later than planned because the foreman held them,
    ``loads_beyond`` beyond the booking. ``relief`` names a stand-by of the file that was ordered,
    ``relieved`` says from and until when it placed (s; nan: in vain), ``left_out`` is what was not
    poured by order (m³).
    """

    ready: float
    start: float
    end: float
    wash_out_end: float
    held: float
    unfinished: float
    standby: bool = False
    loads_held: int = 0
    loads_beyond: int = 0
    relief: str = ""
    relieved: tuple[float, ...] = ()
    left_out: float = 0.0


@dataclass(frozen=True)
class DayLog:
    """One played day of one plan.

    ``strip_volumes`` is what each strip took in this day (planned volume times the day's use).
    ``upsets`` is what went wrong, in order of time; ``factors`` what kind of day it was.
    ``orders`` were obeyed, ``given_up`` are strips that get no more by order, and since when (s).
    """

    plan: str
    seed: int
    visits: tuple[Visit, ...]
    stretches: tuple[Stretch, ...]
    stops: tuple[Stop, ...]
    strip_volumes: tuple[float, ...]
    fronts: tuple[FrontLog, ...]
    upsets: tuple[Upset, ...] = ()
    calls: tuple[PhoneCall, ...] = ()
    factors: DayFactors = ORDINARY
    orders: tuple[Order, ...] = ()
    given_up: tuple[tuple[int, float], ...] = ()

    @property
    def start(self) -> float:
        """First discharge (s); the end of the pump's set-up where nothing was discharged."""
        return min(front.start for front in self.fronts)

    @property
    def ready(self) -> float:
        """When the first pump stands ready (s)."""
        return min(front.ready for front in self.fronts)

    @property
    def end(self) -> float:
        """Last concrete of the day (s)."""
        return max(front.end for front in self.fronts)

    @property
    def wash_out_end(self) -> float:
        """When the last pump is washed out (s)."""
        return max(front.wash_out_end for front in self.fronts)

    @property
    def held(self) -> float:
        """Concrete that stays in pumps and lines (m³)."""
        return sum(front.held for front in self.fronts)

    @property
    def unfinished(self) -> float:
        """Concrete that no truck could bring any more (m³)."""
        return sum(front.unfinished for front in self.fronts)

    @property
    def left_out(self) -> float:
        """Concrete that was not placed by order (m³)."""
        return sum(front.left_out for front in self.fronts)

    @property
    def upsets_met(self) -> tuple[Upset, ...]:
        """Those given, and those of chance that came before everybody had gone."""
        return tuple(u for u in self.upsets if not u.drawn or u.at < self.wash_out_end)

    @property
    def placed(self) -> float:
        """Concrete in the strips (m³)."""
        return sum(s.volume_end - s.volume_start for s in self.stretches if s.strip >= 0)
