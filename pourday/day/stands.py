"""What keeps a front from placing: breaks, broken pumps, moves, other crews.

Whatever it waits for, a crew takes its break at the stated time, sends away trucks that reach
their age limit, and lets others have its trucks where it stands for long.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator
from typing import Any

import simpy

from pourday.day import log
from pourday.day.front import FrontDay
from pourday.day.log import Stop
from pourday.day.pauses import Pause, pauses
from pourday.day.site import EPS, Load, SiteDay, Story
from pourday.day.streams import Stream, of_front
from pourday.floor.access.zones import Shared
from pourday.scenario.base.distribution import Distribution

# A pump that is down for longer than this sends its trucks to another front (s); common practice,
# no source.
_LONG_STOP = 20 * 60.0

Note = Callable[[float, float], None]
"""Writes down why the crew stood, from and to (s)."""


class Hand:
    """What the crew has in hand: a load, pauses to come, placing time to the next blockage."""

    __slots__ = (
        "_between",
        "batched",
        "blockages",
        "ended",
        "flowed",
        "load",
        "pauses",
        "place",
        "skip",
        "skips",
        "stands",
        "turn",
        "until_blocked",
    )

    def __init__(self, day: SiteDay, front: FrontDay) -> None:
        self.load: Load | None = None
        self.pauses: list[Pause] = pauses(day, front)
        between = front.pump.between_blockages
        self._between = Stream(
            day.seed,
            of_front("placing time between blockages", front.number),
            Distribution("exponential", (between,))
            if between
            else Distribution("fixed", (math.inf,)),
        )
        self.blockages = self.stands = self.skips = 0
        # Volume (m³) and time (s) left of the skip that hangs on the crane.
        self.skip: tuple[float, float] | None = None
        self.until_blocked = self._between(0)
        self.place = 0
        # Which of the front's strips is in hand.
        self.turn = 0
        # When concrete last moved in the line or was stirred, and when that concrete was batched.
        self.flowed = self.batched = math.nan
        # When the last concrete was placed.
        self.ended = math.nan

    @property
    def pause_at(self) -> float:
        """Clock time of the next pause. Nobody lends a crane that has a skip on it."""
        if self.skip is None:
            return self.pauses[0].at if self.pauses else math.inf
        return next((pause.at for pause in self.pauses if pause.kind != log.LENT), math.inf)

    def blocked(self) -> int:
        """Count a blockage and draw the time to the next one; returns its number."""
        self.blockages += 1
        self.until_blocked = self._between(self.blockages)
        return self.blockages - 1

    def let_go(self) -> None:
        """Send the truck at the pump away, empty or not."""
        load, self.load, self.skip = self.load, None, None
        if load is not None:
            load.leave()


def note(day: SiteDay, front: FrontDay, kind: str, begin: float, end: float) -> None:
    """Write down a stop; before the first concrete nobody counts them."""
    if end > begin and not math.isnan(front.begun):
        day.stops.append(Stop(kind, begin, end, front.number))


def rest(day: SiteDay, front: FrontDay, hand: Hand) -> Story:
    """The whole crew takes its break, late if it was busy, but never shorter."""
    pause = hand.pauses.pop(0)
    begin = day.env.now
    front.leave_ground()
    yield from _sit_out(day, front, hand, pause, pause.end_from(begin))
    note(day, front, pause.kind, begin, day.env.now)


def pauses_meanwhile(
    day: SiteDay, front: FrontDay, hand: Hand, begin: float, why: Note
) -> Generator[simpy.Event, Any, float]:
    """The pauses that came while the crew stood from ``begin`` to now for another reason.

    The last may go on from now. Returns since when the crew stands for the other reason again.
    """
    came = day.env.now
    while hand.pause_at < came - EPS:
        pause = hand.pauses.pop(0)
        why(begin, pause.at)
        start = max(begin, pause.at)
        end = pause.end_from(start)
        note(day, front, pause.kind, start, end)
        front.standby = front.standby or (pause.standby and end > start)
        begin = end
        if end > day.env.now:
            front.leave_ground()
            yield from _sit_out(day, front, hand, pause, end)
    return begin


def _sit_out(day: SiteDay, front: FrontDay, hand: Hand, pause: Pause, end: float) -> Story:
    begin = day.env.now
    if pause.kind == log.DOWN and end - begin > _LONG_STOP and len(day.fronts) > 1:
        stand_for_long(front, hand)
    yield from stand(day, front, hand, end)
    front.go_on()
    front.standby = front.standby or (pause.standby and end > begin)


def stand_for_long(front: FrontDay, hand: Hand) -> None:
    """Let the trucks at this front go to others that want them."""
    load, hand.load, hand.skip = hand.load, None, None
    front.stand(load)


def too_few(day: SiteDay, front: FrontDay, hand: Hand, until: float) -> Story:
    """Nobody can place before ``until``, or the next pause."""
    begin = day.env.now
    front.leave_ground()
    yield from stand(day, front, hand, min(until, hand.pause_at))
    note(day, front, log.SHORT, begin, day.env.now)


def clear_blockage(day: SiteDay, front: FrontDay, hand: Hand) -> Story:
    """Find and clear a blockage."""
    begin = day.env.now
    front.leave_ground()
    yield from stand(day, front, hand, begin + front.blockage(hand.blocked()))
    note(day, front, log.DOWN, begin, day.env.now)


def wash_out(day: SiteDay, front: FrontDay, hand: Hand) -> Story:
    """Wash out what is too old in pump and line, and prime; the line is to be filled anew."""
    begin, k, pump = day.env.now, front.line_fills, front.pump
    wash = front.draw("wash-out", pump.wash_out, k) + front.draw("prime", pump.prime, k)
    front.leave_ground()
    front.line_fills += 1
    front.for_line += front.access.held_at[hand.turn]
    front.tell("need")
    yield from stand(day, front, hand, begin + wash)
    note(day, front, log.DOWN, begin, day.env.now)


def wait_for_strips(day: SiteDay, front: FrontDay, hand: Hand, strip: int) -> Story:
    """Wait for strips of other fronts that come first; trucks go to who needs them meanwhile."""
    begin = day.env.now

    def held(begin: float, end: float) -> None:
        note(day, front, log.HELD, begin, end)

    for before in day.layout.waits_for[strip]:
        done = day.strip_done[before]
        if not done.triggered:
            stand_for_long(front, hand)
            yield from _until(day, front, hand, done)
    if day.env.now > begin:
        front.go_on()
        begin = yield from pauses_meanwhile(day, front, hand, begin, held)
        held(begin, day.env.now)


def enter(day: SiteDay, front: FrontDay, hand: Hand, ground: Shared) -> Story:
    """Wait until no other crew is too near, then enter; a break that came due may go first."""
    begin = day.env.now

    def held(begin: float, end: float) -> None:
        note(day, front, log.HELD, begin, end)

    turn = day.ground.enter(front.number, ground)
    if turn is not None:
        yield from _until(day, front, hand, turn)
    front.ground = ground
    begin = yield from pauses_meanwhile(day, front, hand, begin, held)
    held(begin, day.env.now)


def set_up(day: SiteDay, front: FrontDay, hand: Hand, place: int) -> Story:
    """Fold, drive to another place, set up and prime there."""
    begin = day.env.now
    front.leave_ground()
    k = front.set_ups_done
    front.set_ups_done += 1
    hand.place = place
    yield from stand(day, front, hand, begin + front.draw("reset", front.pump.reset, k))
    note(day, front, log.SETTING_UP, begin, day.env.now)


def change_pipes(day: SiteDay, front: FrontDay, hand: Hand, turn: int) -> Story:
    """Take off the pipes that the front no longer needs, or put on what it needs."""
    pipes = front.access.pipes[turn]
    if not pipes:
        return
    begin = day.env.now
    first = sum(front.access.pipes[:turn])
    change = front.pump.pipe_change
    time = sum(front.draw("pipe", change, first + n) for n in range(pipes))
    yield from stand(day, front, hand, begin + time)
    note(day, front, log.SETTING_UP, begin, day.env.now)


def stand(day: SiteDay, front: FrontDay, hand: Hand, until: float) -> Story:
    """Let time pass at the pump; trucks that reach their age limit meanwhile are sent away."""
    env = day.env
    while True:
        limit = _first_limit(front, hand)
        wake = env.timeout(max(0.0, min(limit, until) - env.now))
        if math.isinf(day.life):
            yield wake
        else:  # a truck that comes meanwhile has a limit too
            yield env.any_of((wake, front.hopper.watch()))
        if wake.processed and limit >= until:
            return
        if wake.processed:
            _send_away(front, hand, limit)


def _until(day: SiteDay, front: FrontDay, hand: Hand, event: simpy.Event) -> Story:
    """The same until something happens."""
    env = day.env
    while not event.triggered:
        limit = _first_limit(front, hand)
        if math.isinf(limit):
            yield event
        else:
            yield env.any_of((event, env.timeout(max(0.0, limit - env.now))))
            _send_away(front, hand, min(limit, env.now))


def _first_limit(front: FrontDay, hand: Hand) -> float:
    """When the first of the trucks that stand ready reaches its age limit (s)."""
    first = min((load.limit for load in front.hopper.line), default=math.inf)
    return first if hand.load is None else min(first, hand.load.limit)


def _send_away(front: FrontDay, hand: Hand, limit: float) -> None:
    line = front.hopper.line
    if hand.load is not None and hand.load.limit <= limit:
        hand.let_go()
    for load in [load for load in line if load.limit <= limit]:
        line.remove(load)
        load.leave()
