"""Filling a strip, or pump and line: truck after truck, stretch after stretch."""

from __future__ import annotations

import math

from pourday.day import stands
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.news import ROOM
from pourday.day.front.work import Behind, Job
from pourday.day.log import EPS, Stretch
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.day.supply.yard import slump_life
from pourday.day.waits import let_go

LINE = -1  # the "strip" that stands for pump and line

BUSY, FULL, OUT = "busy", "full", "out"
"""How filling stands: something is being done; all is in; no load will come any more."""


def strip_job(day: SiteDay, front: Front) -> Job:
    """The part in hand of the strip in hand, filled from where it is now."""
    work, strip = front.work, front.strips[front.work.turn]
    part, volume = day.layout.parts[strip][work.part], day.strip_volumes[strip]
    until = volume if part.until == 1.0 else part.until * volume
    pump = front.output * front.access.share[work.turn]
    limit = min(pump, front.pace.on_this_day(front.crew_rate[strip]))
    lift = 0.0 if front.relieved else front.access.lift[work.turn]
    return Job(strip, work.done, until, volume, limit, lift, part.shared)


def line_job(front: Front) -> Job:
    """Pump and line, filled from where they are now."""
    work = front.work
    limit = front.output * front.access.share[0]
    return Job(LINE, work.line_done, work.line_until, work.line_until, limit)


def fill(day: SiteDay, front: Front, job: Job) -> str:
    """Fill on; says whether something is done now, all is in, or no load will come."""
    work = front.work
    while job.until - job.done > EPS:
        if work.behind is None and day.env.now >= front.pause_at - EPS:
            stands.rest(day, front)
            return BUSY
        if work.behind is None and stands.break_is_due(day, front):
            stands.take_break(day, front)
            return BUSY
        if work.load is None or work.behind is not None:
            state = _next_load(day, front)
            if state != FULL:
                return state
            if stands.change_truck(day, front):
                return BUSY
        if job.strip != LINE and _before_flowing(day, front, job):
            if work.doing:
                return BUSY
            if work.behind is not None and stands.catch_up(day, front, work.behind):
                return BUSY
            work.behind = None
            continue
        state = _flow(day, front, job)
        if state:
            return state
    stands.leave_ground(day, front)
    return FULL


def _next_load(day: SiteDay, front: Front) -> str:
    """Take the next truck in the line: ``FULL`` where one is there.

    A crew that stands without concrete goes to its break at the stated time.
    """
    work, hopper = front.work, front.hopper
    if math.isnan(work.waits_since):
        work.waits_since = day.env.now
    while True:
        if work.behind is None:
            if hopper.line:
                work.load = hopper.line.popleft()
            elif hopper.over:
                work.load = None
            else:
                stands.leave_ground(day, front)
                work.do(at.TRUCK, work.waits_since)
                return BUSY
            _came(day, front)
            continue
        behind = work.behind
        if stands.catch_up(day, front, behind):
            return BUSY
        work.behind, work.waits_since = None, behind.begin
        if behind.load is None:
            work.waits_since = math.nan
            return OUT
        if work.load is behind.load:
            work.waits_since = math.nan
            return FULL
        # The truck that came during the break has gone over its age meanwhile, or elsewhere.


def truck_came(day: SiteDay, front: Front) -> None:
    """The truck that the crew waited for is there, or it is known that none comes."""
    _came(day, front)


def _came(day: SiteDay, front: Front) -> None:
    """A truck is taken, or it is known that none comes; one over its age is sent away."""
    work, now = front.work, day.env.now
    if work.load is not None and now >= work.load.limit - EPS:
        let_go(front)
        return
    work.behind = Behind(True, work.waits_since, now, work.load)


def _before_flowing(day: SiteDay, front: Front, job: Job) -> bool:
    """A stand may have blocked or spoilt the line, another crew may be too near."""
    work = front.work
    if day.env.now > work.flowed + front.stand_counts and stands.after_a_stand(day, front):
        return True
    if job.ground is not None and front.ground is not job.ground:
        stands.enter(day, front, job.ground)
        return True
    return False


def _flow(day: SiteDay, front: Front, job: Job) -> str:
    """Begin a stretch of placing; empty where it took no time and filling goes on."""
    work, begin, load = front.work, day.env.now, front.work.load
    assert load is not None
    rate, stop = min(job.limit, load.rate), math.inf
    if front.pace.varies and job.strip != LINE:
        pace, holds = front.pace.at(begin)
        if pace <= 0.0:
            if front.pace.given_up(begin):
                return OUT
            stands.too_few(day, front, holds)
            return BUSY
        rate, stop = min(job.limit * pace, load.rate), holds - begin
    take = min(job.until - job.done, load.left)
    span = take / rate
    if job.lift and job.strip != LINE:
        if work.skip is None:
            # It is filled to the brim, and empties over the end of a strip into the next.
            last = job.until == job.volume and job.strip == front.strips[-1]
            full = min(front.pump.skip or take, take if last else load.left)
            work.skip = full, max(full / rate, job.lift + _skip(front))
        full, time = work.skip
        take, rate = min(take, full), full / time
        span = time if take == full else take / rate
    stop = min(stop, front.pause_at - begin, load.limit - begin, work.until_blocked)
    if span > stop:
        span = max(0.0, stop)
        take = span * rate
    elif span <= 0.0 and span == stop:
        take = 0.0
    # The last drop of a part or load is set, not summed, so that nothing is left over.
    filled = job.until if job.until - job.done - take <= EPS else job.done + take
    work.take, work.span, work.filled = take, span, filled
    if span > 0.0:
        if math.isnan(load.start):
            load.start = begin
            front.waiting -= 1
            _may_finish(day, load)
            day.tell(ROOM)
        work.do(at.FLOWING, begin, begin + span)
        return BUSY
    _count(day, front, job)
    return BUSY if work.doing else ""


def _may_finish(day: SiteDay, load: Load) -> None:
    """A load that is begun, and still workable, may be finished a little past its limit."""
    if math.isfinite(load.limit):
        workable = load.batched + slump_life(day.scenario)
        load.limit = min(load.limit + day.scenario.supply.finish_begun, max(load.limit, workable))


def flowed(day: SiteDay, front: Front) -> None:
    """A stretch of placing is over: write it down."""
    work, now = front.work, day.env.now
    job, load = work.job, work.load
    assert job is not None
    assert load is not None
    day.stretches.append(
        Stretch(
            work.since, now, job.strip, job.done, work.filled, load.number, load.batched,
            front.number,
        )
    )  # fmt: skip
    if math.isnan(front.begun):
        front.begun = work.since
    load.end = work.flowed = work.ended = now
    work.batched = load.batched
    _count(day, front, job)


def _count(day: SiteDay, front: Front, job: Job) -> None:
    """Take what has flowed from truck and skip; the truck may be done, or the line blocked."""
    work, load = front.work, front.work.load
    assert load is not None
    take, span = work.take, work.span
    if work.skip is not None:
        left, time = work.skip[0] - take, work.skip[1] - span
        work.skip = (left, time) if left > EPS and time > 0.0 else None
    load.left = 0.0 if take >= load.left else load.left - take
    job.done = work.filled
    if job.strip == LINE:
        work.line_done = job.done
    else:
        work.done = job.done
    work.until_blocked -= span
    if load.left <= EPS or day.env.now >= load.limit - EPS:
        let_go(front)
    if work.until_blocked <= EPS:
        stands.clear_blockage(day, front)


def _skip(front: Front) -> float:
    """Filling and emptying of the next skip (s)."""
    k, pump, draw = front.work.skips, front.pump, front.chance.draw
    front.work.skips += 1
    return draw("skip filled", pump.skip_fill, k) + draw("skip emptied", pump.skip_empty, k)
