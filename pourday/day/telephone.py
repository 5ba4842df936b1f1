"""What the foreman knows when he rings the plant: how long a stop lasts, when his pump is free.

He rings some minutes into a stop, guesses its end, and guesses anew when that has passed. He knows
breaks, moves and changes of place; what chance brings he does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from pourday.day import log
from pourday.day.front import work as at
from pourday.day.front.forecast import ToFill, through_at
from pourday.day.front.front import Front
from pourday.day.front.usual import usual_stop
from pourday.day.site import load as stage
from pourday.day.site_day import SiteDay

# A new guess is never shorter than this (s), and nobody guesses more often; who knows nothing at
# all expects half an hour (common practice, no source).
_LEAST_GUESS, _MOST_GUESSES, _UNKNOWN = 5 * 60.0, 12, 30 * 60.0
_TAKEN = frozenset((stage.WASHING, stage.BACK, stage.HOME))
IN_A_STOP, AT_WORK = "in a stop", "at work"
"""When loads were ordered to be held."""
_IN_A_STRIP = frozenset((at.PIPES, at.LINE, at.STRIP, at.REFILL))
# What a front mostly does, and that is no stop.
_GOES_ON = frozenset((at.FLOWING, at.TRUCK, at.NEXT_TRUCK))
_WORDS = {log.RAIN: "rain", log.LENT: "the crane lifts for others"}


def stop_told(day: SiteDay, front: Front) -> tuple[str, float]:
    """Why the front stands, as the foreman tells the plant now, and until when he thinks (s).

    Empty, and now, where it places, or where a stop is too young to ring for. He knows when a
    stand-by that he called comes.
    """
    why, until = _stop_seen(day, front)
    if why and front.relief is not None and front.relief.awaited:
        until = max(day.env.now, min(until, front.relief.comes))
    return why, until


def _stop_seen(day: SiteDay, front: Front) -> tuple[str, float]:
    work, now, phone = front.work, day.env.now, day.scenario.call_off
    if work.doing in _GOES_ON:
        return "", now
    if work.doing in (at.RESTING, at.PAUSING) and work.pause is not None:
        kind = work.pause.kind
        if kind == log.IDLE:
            return "", work.until
        if now < work.since + (0.0 if kind == log.RAIN else phone.rings_after_breakdown):
            return "", now
        usual = usual_stop(day.scenario, front.pump, kind)
        end = _guessed(day, front, f"guess of stop {work.pauses_taken}", usual)
        return _WORDS.get(kind, "pump stopped"), end
    if work.doing == at.CLEARING:
        if now < work.since + phone.rings_after_blockage:
            return "", now
        usual = front.pump.blockage.mean
        return "line blocked", _guessed(day, front, f"guess of blockage {work.blockages}", usual)
    if work.doing == at.TOO_FEW:
        known = math.isfinite(work.until) and not day.blind
        return "too few people", work.until if known else now + _UNKNOWN
    if work.doing in (at.SETTING_UP, at.CHANGING_PIPES, at.WASHING_OUT, at.MOVING):
        return "", work.until
    return "", now


def still_held(front: Front) -> bool:
    """Whether loads are still held by order, which nobody has lifted.

    What is held in a stop comes when the stop is over and no truck waits, else when the front
    waits for a truck and none is on its way: nobody lets a pump stand for good.
    """
    doing, calling = front.work.doing, front.calling
    if calling.told_to_hold == IN_A_STOP:
        held = doing in at.STANDING or front.waiting > 0
    else:
        held = doing != at.TRUCK or front.in_flight > 0
    calling.told_to_hold = calling.told_to_hold if held else ""
    return held


def rings_at(day: SiteDay, front: Front) -> float:
    """When the foreman will ring for the stop that is on now (s); ``inf`` where he need not."""
    work, phone = front.work, day.scenario.call_off
    if work.doing == at.CLEARING:
        return work.since + phone.rings_after_blockage
    if work.doing in (at.RESTING, at.PAUSING) and work.pause is not None:
        if work.pause.kind == log.RAIN:
            return work.since
        if work.pause.kind == log.DOWN:
            return work.since + phone.rings_after_breakdown
    return math.inf


def _guessed(day: SiteDay, front: Front, source: str, usual: float) -> float:
    """When the stop is over, as somebody guesses (s): around the truth, anew when it has passed.

    On a blind day around what is ``usual`` (s), and then again and again a little longer.
    """
    work, now = front.work, day.env.now
    factor = day.scenario.call_off.guess_factor
    lasts = usual if day.blind else work.until - work.since
    end = work.since + lasts * front.chance.draw(source, factor, 0)
    for k in range(1, _MOST_GUESSES):
        if end > now:
            return end
        truth = 0.0 if day.blind else work.until - end
        left = max(0.0, truth) * front.chance.draw(source, factor, k)
        end += max(_LEAST_GUESS, left)
    return max(end, now)


def on_its_way(day: SiteDay, front: Front) -> float:
    """Concrete called for a front and not placed yet (m³)."""
    total, number = 0.0, front.number
    for load in day.loads.values():
        if load.front == number and load.stage not in _TAKEN:
            total += load.left
    return total


class Outlook(NamedTuple):
    """A front as the foreman sees it now.

    It places from ``begin`` (s) on, pump and line first take ``line`` (m³), then the ``strips``;
    ``breaks`` (at, length in s) are to come.
    """

    begin: float
    line: float
    strips: ToFill
    breaks: Sequence[tuple[float, float]]


def outlook(day: SiteDay, front: Front) -> Outlook:
    """How the foreman sees his front now."""
    work = front.work
    begin = max(day.env.now, stop_told(day, front)[1])
    line = 0.0
    if work.step == at.START:
        begin, line = max(begin, front.plan.start), front.access.held
    elif work.step in (at.PRIME, at.LINE, at.REFILL):
        line = work.line_until - work.line_done
    return Outlook(begin, line, _to_fill(day, front), front.breaks[work.breaks_taken :])


def free_at(front: Front, seen: Outlook, ahead: float) -> float:
    """When the front will have placed so much concrete (m³), as the foreman sees it (s)."""
    plan, line = front.expected, seen.line
    begin = seen.begin + min(line, ahead) / plan.line
    return through_at(plan, begin, ahead - line, seen.strips, seen.breaks)


def _to_fill(day: SiteDay, front: Front) -> ToFill:
    """Strips still to fill: the one in hand is measured, those ahead are taken as planned."""
    work, need = front.work, front.need
    use = need.used / need.used_as_planned if need.used_as_planned > 0 else need.expected_use
    takes = [volume * use for volume in front.planned[work.turn :]]
    begun = work.step in _IN_A_STRIP
    if begun:
        takes[0] = day.strip_volumes[front.strips[work.turn]] - work.done
    return ToFill(work.turn, takes, begun)


def before_change(day: SiteDay, front: Front, enough: float) -> float:
    """Concrete that still goes in before the pump changes its place (m³).

    ``inf`` where there is no change, or none before more than ``enough`` is in.
    """
    work, parts = front.work, day.layout.parts
    if not front.changes_place:
        return math.inf
    if work.step in (at.START, at.PRIME):
        place, total = parts[front.strips[0]][0].place, front.access.held - work.line_done
    else:
        place, total = work.place, 0.0
    for turn in range(work.turn, len(front.strips)):
        strip = front.strips[turn]
        in_it = turn == work.turn and work.step in _IN_A_STRIP
        volume = day.strip_volumes[strip] if in_it else day.planned[strip]
        done = work.done if in_it else 0.0
        for part in parts[strip][work.part if in_it else 0 :]:
            if part.place != place:
                return total
            until = part.until * volume
            if until > done:
                total += until - done
                done = until
        if total > enough:
            break
    return math.inf


def emptying(front: Front, volume: float) -> float:
    """How long a load of so much (m³) takes at the strip in hand (s)."""
    return volume / front.expected.rate[min(front.work.turn, len(front.expected.rate) - 1)]
