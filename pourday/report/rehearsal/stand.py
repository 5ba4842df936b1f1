"""Where a rehearsal stands, and what it plays the day again with."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from pourday.day.log import Order
from pourday.outcome.events import Event, events, moments
from pourday.outcome.measure import Outcome
from pourday.report.units import SI, Units
from pourday.scenario.base.upsets import Upset
from pourday.study.choices.rehearsed import Rehearsed
from pourday.study.choices.rests import Choice

UPSET, ORDER, CHOICES = "upset", "order", "choices"
"""What a line being written is: something that goes wrong, an order, choices to be tried."""


@dataclass(frozen=True)
class Replay:
    """How a day is played again.

    ``read`` makes an upset of a line and raises ``ValueError`` with the reason where it cannot be;
    ``play`` plays the same day with exactly these upsets. ``rehearsed`` is that day where orders
    can be given; without it there are none. ``units`` are the reader's.
    """

    read: Callable[[str], Upset]
    play: Callable[[tuple[Upset, ...]], Outcome]
    rehearsed: Rehearsed | None = None
    units: Units = SI


@dataclass(frozen=True)
class Stand:
    """Where a rehearsal stands: a day, its moments, the last one seen (index), the clock (s).

    ``typing`` is the line being written, ``asking`` what it will be. ``added`` is what was let go
    wrong and what was ordered, the latest last. ``sheet`` are lines shown in place of the page,
    ``pending`` choices that are to be tried out next.
    """

    outcome: Outcome
    told: tuple[tuple[Event, ...], ...]
    at: int
    time: float
    running: bool = False
    typing: str | None = None
    asking: str = UPSET
    message: str = ""
    change: str = ""
    over: bool = False
    added: tuple[Upset | Order, ...] = ()
    sheet: tuple[str, ...] = ()
    pending: tuple[Choice, ...] = ()

    @property
    def orders(self) -> tuple[Order, ...]:
        """What was ordered, in order of giving."""
        return tuple(each for each in self.added if isinstance(each, Order))


def opening(outcome: Outcome) -> Stand:
    """A rehearsal at the first thing that happens."""
    told = moments(events(outcome))
    return Stand(outcome, told, 0, told[0][0].time)


def last_by(told: tuple[tuple[Event, ...], ...], time: float) -> int:
    """The last moment (index) at or before ``time`` (s)."""
    return max(0, bisect_right([moment[0].time for moment in told], time) - 1)


def played(
    replay: Replay, upsets: tuple[Upset, ...], orders: tuple[Order, ...]
) -> tuple[Outcome, str]:
    """The day with these upsets and orders, and which orders come to nothing now, in words."""
    if not orders or replay.rehearsed is None:
        return replay.play(upsets), ""
    outcome, refused = replay.rehearsed.day(upsets, orders)
    return outcome, "; ".join(f"{order.kind} comes to nothing now: {why}" for order, why in refused)
