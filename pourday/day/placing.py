"""The story of a front: strip after strip, as fast as pump, truck, crew and zone allow."""

from __future__ import annotations

import math
from collections.abc import Generator
from typing import Any

import simpy

from pourday.day import log, stands
from pourday.day.front import FrontDay
from pourday.day.log import Stop, Stretch
from pourday.day.site import EPS, Load, SiteDay, Story
from pourday.day.stands import Hand, note
from pourday.floor.access.zones import Shared

LINE = -1  # the "strip" that stands for pump and line


def placing(day: SiteDay, front: FrontDay) -> Story:
    """From the moment the pump is primed until the last strip is full or no load can come."""
    env, layout = day.env, day.layout
    yield env.timeout(front.plan.start - env.now)
    hand = Hand(day, front)
    moves = layout.moves.tolist()
    held = front.access.held
    left = yield from _fill(day, front, hand, LINE, 0.0, held, held, math.inf, None)
    front.held = held - left
    first = front.strips[0]
    hand.place = layout.parts[first][0].place
    for turn, strip in enumerate(front.strips):
        if left > EPS:
            break
        yield from stands.wait_for_strips(day, front, hand, strip)
        front.begin_strip(strip)
        if strip != first:
            begin = env.now
            yield env.timeout(front.move(strip) + front.pump.walk * moves[strip])
            day.stops.append(Stop(log.MOVING, begin, env.now, front.number))
        hand.turn = turn
        yield from stands.change_pipes(day, front, hand, turn)
        more = front.access.fill[turn]
        if more > EPS:
            front.held += more
            front.held -= yield from _fill(day, front, hand, LINE, 0.0, more, more, math.inf, None)
        left = yield from _fill_strip(day, front, hand, turn, strip)
        front.end_strip(strip, left)
    front.finish(hand.ended)
    hand.let_go()


def _fill_strip(
    day: SiteDay, front: FrontDay, hand: Hand, turn: int, strip: int
) -> Generator[simpy.Event, Any, float]:
    """Place one strip, part after part; returns what could not be placed (m³)."""
    volume = day.strip_volumes[strip]
    limit = min(front.pump_rate * front.access.share[turn], front.crew_rate(strip))
    lift = front.access.lift[turn]
    done = 0.0
    for part in day.layout.parts[strip]:
        if part.place != hand.place:
            yield from stands.set_up(day, front, hand, part.place)
        until = volume if part.until == 1.0 else part.until * volume
        left = yield from _fill(
            day, front, hand, strip, done, until, volume, limit, part.shared, lift
        )
        if left > EPS:
            return left
        done = until
    return 0.0


def _fill(
    day: SiteDay,
    front: FrontDay,
    hand: Hand,
    strip: int,
    done: float,
    until: float,
    volume: float,
    limit_rate: float,
    ground: Shared | None,
    lift: float = 0.0,
) -> Generator[simpy.Event, Any, float]:
    """Fill a strip (or the line) from ``done`` to ``until`` of its ``volume`` (m³).

    Returns what of the volume could not be filled, 0 where all of it was.
    """
    env = day.env
    if strip == LINE:
        limit_rate = front.pump_rate * front.access.share[0]
    while until - done > EPS:
        if env.now >= hand.pause_at - EPS:
            yield from stands.rest(day, front, hand)
            continue
        if hand.load is None:
            yield from _next_load(day, front, hand)
            if hand.load is None:
                return volume - done
        if strip != LINE:
            if env.now > hand.flowed + front.stand_counts:
                stood = yield from _after_a_stand(day, front, hand)
                if stood:
                    continue
            if ground is not None and not front.in_ground(ground):
                yield from stands.enter(day, front, hand, ground)
                continue  # pauses may have come, and the load is older
        load, begin = hand.load, env.now
        rate, stop = min(limit_rate, load.rate), math.inf
        if front.pace_varies and strip != LINE:
            pace, holds = front.pace(begin)
            if pace <= 0.0:
                if front.given_up(begin):
                    return volume - done
                yield from stands.too_few(day, front, hand, holds)
                continue
            rate, stop = min(limit_rate * pace, load.rate), holds - begin
        take = min(until - done, load.left)
        span = take / rate
        if lift and strip != LINE:
            if hand.skip is None:
                take = min(take, front.pump.skip or take)
                hand.skip = take, max(take / rate, lift + _skip(front, hand))
            take, span = hand.skip
            rate = take / span
        stop = min(stop, hand.pause_at - begin, load.limit - begin, hand.until_blocked)
        if span > stop:
            span = max(0.0, stop)
            take = span * rate
        elif span <= 0.0 and span == stop:
            take = 0.0
        # The last drop of a part or load is set, not summed, so that nothing is left over.
        filled = until if until - done - take <= EPS else done + take
        if span > 0.0:
            if math.isnan(load.start):
                load.start = begin
                front.waiting -= 1
                day.tell("room")
            yield env.timeout(span)
            day.stretches.append(
                Stretch(
                    begin, env.now, strip, done, filled, load.number, load.batched, front.number
                )
            )
            if math.isnan(front.begun):
                front.begun = begin
            load.end = hand.flowed = hand.ended = env.now
            hand.batched = load.batched
        if hand.skip is not None:
            left, time = hand.skip[0] - take, hand.skip[1] - span
            hand.skip = (left, time) if left > EPS and time > 0.0 else None
        load.left = 0.0 if take >= load.left else load.left - take
        done = filled
        hand.until_blocked -= span
        if load.left <= EPS or env.now >= load.limit - EPS:
            hand.let_go()
        if hand.until_blocked <= EPS:
            yield from stands.clear_blockage(day, front, hand)
    front.leave_ground()
    hand.skip = None
    return 0.0


def _skip(front: FrontDay, hand: Hand) -> float:
    """Filling and emptying of the next skip (s)."""
    k, pump = hand.skips, front.pump
    hand.skips += 1
    return front.draw("skip filled", pump.skip_fill, k) + front.draw(
        "skip emptied", pump.skip_empty, k
    )


def _next_load(day: SiteDay, front: FrontDay, hand: Hand) -> Story:
    """Take the next truck in the line; leaves ``hand.load`` empty where none will come any more.

    A crew that stands without concrete goes to its break at the stated time.
    """
    env, hopper = day.env, front.hopper
    begin = env.now
    while True:
        if hopper.line:
            load = hopper.line.popleft()
        elif hopper.over:
            load = None
        else:
            front.leave_ground()
            load = yield hopper.wait()
        hand.load = load
        if load is not None and env.now >= load.limit - EPS:
            hand.let_go()
            continue
        came = env.now

        def why(begin: float, end: float, load: Load | None = load) -> None:
            _note_standing(day, front, begin, end, load)

        begin = yield from stands.pauses_meanwhile(day, front, hand, begin, why)
        if load is None:
            return
        if hand.load is load:
            break
        # The truck that came during the break has gone over its age meanwhile, or elsewhere.
    why(begin, came)


def _note_standing(
    day: SiteDay, front: FrontDay, begin: float, end: float, load: Load | None
) -> None:
    """Write down why the pump stood: no truck on the site, or one that was not ready yet."""
    there = min(max(begin, load.arrived), end) if load is not None else end
    note(day, front, log.STARVED, begin, there)
    note(day, front, log.CHANGING, max(begin, there), end)


def _after_a_stand(day: SiteDay, front: FrontDay, hand: Hand) -> Generator[simpy.Event, Any, bool]:
    """What a stand has done to the line; says whether time has passed over it.

    Concrete that got too old in the line is washed out, and the line filled anew from the truck.
    """
    env, begin = day.env, day.env.now
    stood, hand.flowed = begin - hand.flowed, begin
    if front.line_too_old(hand.batched, begin):
        yield from stands.wash_out(day, front, hand)
        held = front.access.held_at[hand.turn]
        left = yield from _fill(day, front, hand, LINE, 0.0, held, held, math.inf, None)
        front.held += held - left
        hand.flowed = env.now
        return True
    hand.stands += 1
    if front.blocked_by_standing(stood, hand.stands - 1):
        yield from stands.clear_blockage(day, front, hand)
        hand.flowed = env.now
        return True
    return False
