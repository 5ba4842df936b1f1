"""The story of the placing crew: strip after strip, as fast as pump, truck, crew and zone allow."""

from __future__ import annotations

import math
from collections.abc import Generator
from typing import Any, NamedTuple

import simpy

from pourday.day.log import Stop, Stretch
from pourday.day.rain import rain_windows
from pourday.day.site import EPS, Load, SiteDay, Story
from pourday.day.streams import Stream
from pourday.scenario.distribution import Distribution

LINE = -1  # the "strip" that stands for pump and line


class Pause(NamedTuple):
    """A time at which the crew stands: a break has its length, rain has its end.

    ``kind`` is that of the stop it makes: "idle" or "rain".
    """

    kind: str
    at: float
    length: float

    def end_from(self, begin: float) -> float:
        """When it is over if the crew comes to it at ``begin``."""
        if self.kind == "rain":
            return max(begin, self.at + self.length)
        return max(begin, self.at) + self.length


def pauses(day: SiteDay) -> list[Pause]:
    """Breaks of the site, and rain where it comes on this day and stops the pour, by time.

    Rain stops the crew at once: what is fresh is covered, and uncovered when it is over.
    """
    found = [Pause("idle", each.at, each.length) for each in day.scenario.site.breaks]
    windows = rain_windows(day.scenario, day.seed)
    found += [Pause("rain", start, end - start) for start, end in windows]
    return sorted(found, key=lambda pause: pause.at)


class _Hand:
    """What the crew has in hand: a load, breaks to come, placing time to the next blockage."""

    __slots__ = ("_between", "_count", "breaks", "load", "until_blocked")

    def __init__(self, day: SiteDay) -> None:
        self.load: Load | None = None
        self.breaks: list[Pause] = pauses(day)
        between = day.pump.between_blockages
        self._between = Stream(
            day.seed,
            "placing time between blockages",
            Distribution("exponential", (between,))
            if between
            else Distribution("fixed", (math.inf,)),
        )
        self._count = 0
        self.until_blocked = self._between(0)

    @property
    def break_at(self) -> float:
        """Clock time of the next break."""
        return self.breaks[0].at if self.breaks else math.inf

    def blocked(self) -> int:
        """Count a blockage and draw the time to the next one; returns its number."""
        self._count += 1
        self.until_blocked = self._between(self._count)
        return self._count - 1

    def let_go(self) -> None:
        """Send the truck at the pump away, empty or not."""
        load, self.load = self.load, None
        if load is not None:
            load.leave()


def placing(day: SiteDay, ready: float) -> Story:
    """From the moment the pump is primed until the last strip is full or no load can come."""
    env, layout = day.env, day.layout
    yield env.timeout(ready - env.now)
    hand = _Hand(day)
    moves = layout.moves.tolist()
    left = yield from _fill(day, hand, LINE, day.pump.held_volume, day.pump_rate)
    day.held = day.pump.held_volume - left
    for strip, volume in enumerate(day.strip_volumes):
        if left > EPS:
            break
        day.begin_strip(strip)
        if strip > 0:
            begin = env.now
            yield env.timeout(day.move(strip) + day.pump.walk * moves[strip])
            day.stops.append(Stop("moving", begin, env.now))
        rate = min(day.pump_rate, crew_rate(day, strip))
        left = yield from _fill(day, hand, strip, volume, rate)
        day.end_strip(strip, left)
    day.finish()
    hand.let_go()


def crew_rate(day: SiteDay, strip: int) -> float:
    """What the crew can place in a strip (m³/s): people, screed, speed of the front."""
    crew = day.crew
    rate = crew.placers * crew.rate_per_placer
    shape = day.layout.strips[strip]
    volume = day.planned[strip]
    if crew.screed is not None:
        rate = min(rate, crew.screed * volume / shape.area)
    if crew.front_speed is not None:
        rate = min(rate, crew.front_speed * volume / (shape.y1 - shape.y0))
    return rate


def _fill(
    day: SiteDay, hand: _Hand, strip: int, volume: float, limit_rate: float
) -> Generator[simpy.Event, Any, float]:
    """Fill one strip (or the line); returns what could not be filled (m³), 0 as a rule."""
    env = day.env
    done = 0.0
    while volume - done > EPS:
        if env.now >= hand.break_at - EPS:
            yield from _rest(day, hand)
            continue
        if hand.load is None:
            yield from _next_load(day, hand)
            if hand.load is None:
                return volume - done
        load, begin = hand.load, env.now
        rate = min(limit_rate, load.rate)
        take = min(volume - done, load.left)
        span = take / rate
        stop = min(hand.break_at - begin, load.limit - begin, hand.until_blocked)
        if span > stop:
            span = max(0.0, stop)
            take = span * rate
        if span > 0.0:
            yield env.timeout(span)
            day.stretches.append(
                Stretch(begin, env.now, strip, done, done + take, load.number, load.batched)
            )
            load.end = env.now
        elif span == stop:
            take = 0.0
        # The last drop of a strip or load is set, not summed, so that nothing is left over.
        load.left = 0.0 if take >= load.left else load.left - take
        done = volume if take >= volume - done else done + take
        hand.until_blocked -= span
        if load.left <= EPS or env.now >= load.limit - EPS:
            hand.let_go()
        if hand.until_blocked <= EPS:
            yield from _clear_blockage(day, hand)
    return 0.0


def _next_load(day: SiteDay, hand: _Hand) -> Story:
    """Take the next truck in the line; leaves ``hand.load`` empty where none will come any more.

    A crew that stands without concrete goes to its break at the stated time.
    """
    env = day.env
    begin = env.now
    while True:
        line = day.hopper.line
        load = line.popleft() if line else (yield day.hopper.wait())
        if load is not None and env.now >= load.limit - EPS:
            hand.load = load
            hand.let_go()
            continue
        came = env.now
        while hand.break_at < came - EPS:
            pause = hand.breaks.pop(0)
            _note_standing(day, begin, pause.at, load)
            start = max(begin, pause.at)
            end = pause.end_from(start)
            if day.stretches and end > start:
                day.stops.append(Stop(pause.kind, start, end))
            begin = end
            if end > env.now:
                hand.load = load
                yield from _stand(day, hand, end)
        if load is None or hand.load is not None or env.now == came:
            break
        # The truck that came during the break has gone over its age meanwhile.
    hand.load = load
    if load is None:
        return
    _note_standing(day, begin, came, load)
    load.start = env.now
    day.waiting -= 1
    day.tell("room")


def _note_standing(day: SiteDay, begin: float, end: float, load: Load | None) -> None:
    """Write down why the pump stood: no truck on the site, or one that was not ready yet."""
    if end <= begin or not day.stretches:
        return
    there = min(max(begin, load.arrived), end) if load is not None else end
    if there > begin:
        day.stops.append(Stop("starved", begin, there))
    if end > there:
        day.stops.append(Stop("changing", there, end))


def _rest(day: SiteDay, hand: _Hand) -> Story:
    """The whole crew takes its break, late if it was busy, but never shorter."""
    pause = hand.breaks.pop(0)
    begin = day.env.now
    yield from _stand(day, hand, pause.end_from(begin))
    if day.stretches and day.env.now > begin:
        day.stops.append(Stop(pause.kind, begin, day.env.now))


def _clear_blockage(day: SiteDay, hand: _Hand) -> Story:
    begin = day.env.now
    yield from _stand(day, hand, begin + day.blockage(hand.blocked()))
    day.stops.append(Stop("down", begin, day.env.now))


def _stand(day: SiteDay, hand: _Hand, until: float) -> Story:
    """Let time pass at the pump; trucks that reach their age limit meanwhile are sent away."""
    env, line = day.env, day.hopper.line
    while True:
        ready = [load for load in (hand.load, *line) if load is not None]
        limit = min((load.limit for load in ready), default=math.inf)
        if limit >= until:
            break
        yield env.timeout(max(0.0, limit - env.now))
        if hand.load is not None and hand.load.limit <= limit:
            hand.let_go()
        for load in [load for load in line if load is not None and load.limit <= limit]:
            line.remove(load)
            load.leave()
    yield env.timeout(max(0.0, until - env.now))
