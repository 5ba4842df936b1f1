"""A day in its middle, with all that nobody knows yet drawn anew: one rest of it."""

from __future__ import annotations

import math
from dataclasses import replace

from pourday.day import log
from pourday.day.chance.streams import Stream
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.pauses import Pause
from pourday.day.orders.obey import Given
from pourday.day.orders.stop import ends_at
from pourday.day.play import upsets_of_day
from pourday.day.site import load as stage
from pourday.day.site_day import SiteDay
from pourday.day.state import DayState, LoadState
from pourday.day.take_up import snapshot, take_up
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    PLANT_STOPPED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    Upset,
    UpsetRates,
)

# Mean of a stop for which the file has no length, and the least mean of one for which it has a
# fixed length: both are drawn from an exponential distribution (s; common practice, no source).
_UNKNOWN, _LEAST = 30 * 60.0, 10 * 60.0
# On the site or the road nobody knows how long these take.
_OPEN = (stage.ROAD, stage.BACK, stage.GATE, stage.READYING, stage.WASHING)
_IN_A_STRIP = (at.PIPES, at.LINE, at.STRIP, at.REFILL)


def rest_of(given: Given, state: DayState, seed: int) -> tuple[Given, DayState]:
    """The day at the same moment as the rest with this seed has it.

    What everybody sees stays: what is placed, who is where, what goes wrong now, and what kind of
    day it is (by the middle of a pour slow crews and roads have shown). How long a stop, a trip or
    a time at the gate lasts is drawn, given how long it has lasted; what goes wrong later and what
    the strips ahead take belong to the seed.
    """
    upsets = _upsets(given, state.at, seed)
    rest = Given(given.plan, seed, upsets)
    before = SiteDay(given.plan, given.seed, given.upsets, state.at, state.factors)
    day = SiteDay(given.plan, seed, upsets, state.at, state.factors)
    volumes = _volumes(day, state)
    loads = tuple(_open(load) for load in state.loads)
    take_up(day, replace(state, loads=loads, strip_volumes=volumes))
    for own, known in zip(day.fronts, before.fronts, strict=True):
        _front(day, own, known)
    return rest, snapshot(day)


def _upsets(given: Given, now: float, seed: int) -> tuple[Upset, ...]:
    """What has gone wrong, the end of what lasts drawn; what was told of; what chance brings."""
    rates = given.plan.scenario.upset_rates
    found = []
    for number, upset in enumerate(given.upsets):
        if upset.at > now:
            if not upset.drawn:
                found.append(replace(upset, length=_length(rates, upset, 0.0, (seed, number))))
        elif upset.at + upset.length > now and math.isfinite(upset.length):
            length = _length(rates, upset, now - upset.at, (seed, number))
            found.append(replace(upset, length=length))
        else:
            found.append(upset)
    drawn = upsets_of_day(given.plan.scenario, given.plan.plan, seed)
    found += [upset for upset in drawn if upset.drawn and upset.at > now]
    return tuple(sorted(found, key=lambda upset: upset.at))


def _length(rates: UpsetRates, upset: Upset, elapsed: float, rest: tuple[int, int]) -> float:
    """How long an upset lasts (s) in a rest (its seed, the upset's number), over ``elapsed``."""
    unknown = Distribution("exponential", (_UNKNOWN,))
    of_kind = {
        PUMP_DOWN: rates.pump_down,
        CRANE_LOST: rates.crane_lost,
        PLANT_STOPPED: rates.plant_stop,
        ROAD_CLOSED: rates.road_closed,
        RAIN: unknown,
        CREW_SHORT: unknown,
    }
    quantity = of_kind.get(upset.kind)
    if quantity is None or math.isinf(upset.length):
        return upset.length
    if quantity.is_fixed:  # the file gives one length; on the day nobody knows that it is this one
        quantity = Distribution("exponential", (max(_LEAST, quantity.mean),))
    return Stream(rest[0], f"rest: upset {rest[1]}", quantity).beyond(0, elapsed)


def _volumes(day: SiteDay, state: DayState) -> tuple[float, ...]:
    """What the strips take: those begun are measured, those ahead are of this rest."""
    begun = {stretch.strip for stretch in state.stretches} | set(state.strips_over)
    for front, known in zip(day.fronts, state.fronts, strict=True):
        if known.work.step in _IN_A_STRIP:
            begun.add(front.strips[known.work.turn])
    return tuple(
        known if strip in begun else drawn
        for strip, (known, drawn) in enumerate(
            zip(state.strip_volumes, day.strip_volumes, strict=True)
        )
    )


def _open(load: LoadState) -> LoadState:
    return replace(load, until=None) if load.stage in _OPEN else load


def _front(day: SiteDay, front: Front, known: Front) -> None:
    """What a front is at, its end drawn; ``known`` is the same front of the rehearsed day."""
    work, now = front.work, day.env.now
    old = work.pauses_taken + work.blockages
    waits = sum(pause.at <= now for pause in known.pauses) - work.pauses_taken
    work.pauses_taken = max(0, sum(pause.at <= now for pause in front.pauses) - max(0, waits))
    if front.calling.rang_for == old:
        front.calling.rang_for = work.pauses_taken + work.blockages
    if front.chance.between_blockages is not None:
        work.until_blocked = front.chance.between_blockages(work.blockages)
    if work.doing in (at.RESTING, at.PAUSING) and work.pause is not None:
        _stand(day, front, work.pause)
    elif work.doing == at.CLEARING:
        lasts = front.chance.blockage.beyond(max(0, work.blockages - 1), now - work.since)
        work.until, work.wake = _relieved_at(front, work.since + lasts), None
    elif work.doing == at.TOO_FEW:
        work.until, work.wake = now, None  # they look again who is there
    if front.relieved and front.relief is not None:
        stops = day.upset_plan.pump_stops(front.number)
        ends = [begin + length for begin, length in stops if begin <= now < begin + length]
        front.relief = front.relief._replace(back=min(ends, default=now))


def _relieved_at(front: Front, end: float) -> float:
    """When a stop ends (s) that ends at ``end`` for the own pump: a stand-by may come first."""
    relief = front.relief
    if relief is None or not relief.awaited:
        return end
    front.relief = relief._replace(back=end)
    return min(end, relief.comes)


def _stand(day: SiteDay, front: Front, pause: Pause) -> None:
    """A rain or a breakdown goes on as long as in this rest; a break has its length."""
    now = day.env.now
    if pause.kind not in (log.DOWN, log.RAIN):
        return
    same = [each for each in front.pauses if each.kind == pause.kind and each.at == pause.at]
    end = same[0].at + same[0].length if same else now + _UNKNOWN
    end = max(now, _relieved_at(front, end))
    ends_at(day, front, end)
