"""The story of a front: strip after strip, as fast as pump, truck, crew and zone allow.

``placing`` does one thing after the other: it decides what comes next, lets its time pass, and
writes down what came of it. What it does now stands in ``front.work``, so that a day can begin at
any moment of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from pourday.day import log, stands
from pourday.day.clock import Story, wake_at
from pourday.day.filling import BUSY, OUT, fill, flowed, line_job, strip_job, truck_came
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.news import NEED, ROOM, TRUCK
from pourday.day.front.work import Behind
from pourday.day.hand_over import go_on, hand_over_line
from pourday.day.log import EPS, Stop
from pourday.day.relief import hand_back
from pourday.day.site_day import SiteDay
from pourday.day.waits import let_go, wait

_TIMED = (at.FLOWING, at.MOVING, at.STARTING)


def placing(day: SiteDay, front: Front) -> Story:
    """From the start of the pour until the last strip is full or no load can come."""
    env, work = day.env, front.work
    while work.doing or _next(day, front):
        doing = work.doing
        if doing in _TIMED:
            yield wake_at(env, work.until)
        elif doing == at.TRUCK:
            work.load = yield front.hopper.wait()
        else:
            yield from wait(day, front)
        work.doing = ""
        _ENDS[doing](day, front)


def _next(day: SiteDay, front: Front) -> bool:
    """Find what is to be done next; false where the front is over."""
    work = front.work
    while work.step != at.OVER:
        if work.behind is not None and not work.behind.truck:
            if stands.catch_up(day, front, work.behind):
                break
            work.behind = None
        _STEPS[work.step](day, front)
        if work.doing:
            work.order = day.order()
            break
    return work.step != at.OVER


# The steps of a front. Each either says what is done now, or goes on to another step.


def _start(day: SiteDay, front: Front) -> None:
    """Pump and line stand ready at the start, when the first truck is wanted."""
    now = day.env.now
    front.work.do(at.STARTING, now, now + (front.plan.start - now))


def _started(day: SiteDay, front: Front) -> None:
    work = front.work
    work.step, work.line_done, work.line_until = at.PRIME, 0.0, front.access.held


def _prime(day: SiteDay, front: Front) -> None:
    """Fill pump and line before the first strip."""
    state = _fill_line(day, front)
    if state == BUSY:
        return
    work = front.work
    left = _left_in_line(front, state)
    front.held = front.access.held - left
    work.place = day.layout.parts[front.strips[0]][0].place
    work.step = at.ORDER
    if left > EPS:
        _finish(day, front)


def _order(day: SiteDay, front: Front) -> None:
    """Wait for strips of other fronts that come before the next one."""
    work, now = front.work, day.env.now
    if day.given_up and not _skip_given_up(day, front):
        return
    if math.isnan(work.held_since):
        work.held_since = now
    for before in day.layout.waits_for[front.strips[work.turn]]:
        if before not in day.strips_over:
            stands.wait_for_strip(day, front, before)
            return
    go_on(front)  # also where the other front gave up at the moment at which this one began to wait
    if now > work.held_since:
        work.behind = Behind(False, work.held_since, now)
    work.held_since = math.nan
    work.step = at.BEGIN


def _begin(day: SiteDay, front: Front) -> None:
    """Begin a strip: the crew sees what it will really take, and moves there.

    Where the hose walks on, over the next span of its band, nothing is moved: only the way counts.
    """
    work, strip, now = front.work, front.strips[front.work.turn], day.env.now
    if strip in day.given_up:
        work.step = at.ORDER
        return
    hand_back(day, front)
    if stands.out_of_reach(day, front, strip):
        return
    if work.turn and now >= front.break_at - EPS:
        stands.take_break(day, front)  # the strip is full: a good moment
        return
    front.need.begin_strip(day.strip_volumes[strip], day.planned[strip])
    front.last_strip_begun = front.last_strip_begun or strip in front.last_strips
    front.news.tell(NEED)
    work.step, work.part, work.done = at.PIPES, 0, 0.0
    if work.turn:
        move = 0.0 if day.layout.walks_on[strip] else front.chance.move(strip)
        time = move + front.pump.walk * day.moves[strip]
        work.do(at.MOVING, now, now + time)


def _moved(day: SiteDay, front: Front) -> None:
    day.stops.append(Stop(log.MOVING, front.work.since, day.env.now, front.number))


def _pipes(day: SiteDay, front: Front) -> None:
    """Change pipes before a strip, and fill those put on."""
    work, access = front.work, front.access
    more = access.fill[work.turn]
    work.step = at.STRIP
    if more > EPS:
        work.step, work.line_done, work.line_until = at.LINE, 0.0, more
        front.held += more
    if access.pipes[work.turn]:
        stands.change_pipes(day, front, work.turn)


def _line(day: SiteDay, front: Front) -> None:
    """Fill the pipes that were put on."""
    state = _fill_line(day, front)
    if state != BUSY:
        front.held -= _left_in_line(front, state)
        front.work.step = at.STRIP


def _refill(day: SiteDay, front: Front) -> None:
    """Fill pump and line anew after washing out, in the middle of a strip."""
    state = _fill_line(day, front)
    if state != BUSY:
        work = front.work
        front.held += work.line_until - _left_in_line(front, state)
        work.flowed = day.env.now
        work.step = at.STRIP


def _strip(day: SiteDay, front: Front) -> None:
    """Place one strip, part after part."""
    work, strip = front.work, front.strips[front.work.turn]
    parts, volume = day.layout.parts[strip], day.strip_volumes[strip]
    if strip in day.given_up:
        work.job = None
        stands.leave_ground(day, front)
        _end_strip(day, front, volume - work.done)
        return
    while work.part < len(parts):
        part = parts[work.part]
        if part.place != work.place:
            stands.set_up(day, front, part.place)
            return
        if work.job is None:
            work.job = strip_job(day, front)
        state = fill(day, front, work.job)
        if state == BUSY:
            return
        until, work.job = work.job.until, None
        if state == OUT:
            _end_strip(day, front, volume - work.done)
            return
        work.done = until
        work.part += 1
    _end_strip(day, front, 0.0)


def _fill_line(day: SiteDay, front: Front) -> str:
    work = front.work
    if work.job is None:
        work.job = line_job(front)
    state = fill(day, front, work.job)
    if state != BUSY:
        work.job = None
    return state


def _left_in_line(front: Front, state: str) -> float:
    """What could not be filled (m³)."""
    return front.work.line_until - front.work.line_done if state == OUT else 0.0


def _end_strip(day: SiteDay, front: Front, left: float) -> None:
    work, strip = front.work, front.strips[front.work.turn]
    placed, planned = day.strip_volumes[strip] - left, day.planned[strip]
    ordered = strip in day.given_up
    if ordered:
        front.need.end_strip(placed, planned * placed / day.strip_volumes[strip], 0.0)
    else:
        front.need.end_strip(placed, planned, left)
    day.end_strip(strip)
    work.turn += 1
    work.step = at.ORDER
    if (left > EPS and not ordered) or work.turn == len(front.strips):
        work.turn -= 1
        _finish(day, front)


def _skip_given_up(day: SiteDay, front: Front) -> bool:
    """Go past strips that get no more by order; whether one is left to pour."""
    work = front.work
    while front.strips[work.turn] in day.given_up:
        work.held_since = math.nan
        if work.turn + 1 == len(front.strips):
            _finish(day, front)
            return False
        work.turn += 1
    return True


def _left_out(day: SiteDay, front: Front) -> float:
    """What of the front's strips is not poured by order (m³)."""
    strips = [i for i in front.strips if i in day.given_up]
    inside = sum(s.volume_end - s.volume_start for s in day.stretches if s.strip in strips)
    return sum(day.strip_volumes[i] for i in strips) - inside


def _finish(day: SiteDay, front: Front) -> None:
    """The front is done; trucks that stand at the pump may go."""
    work = front.work
    work.step, work.job = at.OVER, None
    front.finished = True
    front.unfinished = sum(day.strip_volumes[i] for i in front.strips) - front.need.used
    front.end = day.env.now
    if day.given_up:
        front.left_out = _left_out(day, front)
        front.unfinished -= front.left_out
    if front.unfinished > EPS or front.left_out > EPS:
        # Nobody knows when the crew gives up: the pour ended with its last concrete.
        front.end = front.plan.start if math.isnan(work.ended) else work.ended
        for strip in front.strips:
            day.end_strip(strip)
    hand_over_line(day, front)
    for load in front.hopper.line:
        load.go()
    front.hopper.line.clear()
    stands.leave_ground(day, front)
    day.tell(NEED, TRUCK, ROOM)
    let_go(front)


Step = Callable[[SiteDay, Front], None]

_STEPS: dict[str, Step] = {
    at.START: _start,
    at.PRIME: _prime,
    at.ORDER: _order,
    at.BEGIN: _begin,
    at.PIPES: _pipes,
    at.LINE: _line,
    at.STRIP: _strip,
    at.REFILL: _refill,
}
_ENDS: dict[str, Step] = {
    at.STARTING: _started,
    at.TRUCK: truck_came,
    at.FLOWING: flowed,
    at.RESTING: stands.rested,
    at.PAUSING: stands.paused,
    at.TOO_FEW: stands.had_too_few,
    at.NEXT_TRUCK: stands.truck_changed,
    at.CLEARING: stands.cleared,
    at.WASHING_OUT: stands.washed_out,
    at.SETTING_UP: stands.stands_again,
    at.CHANGING_PIPES: stands.stands_again,
    at.MOVING: _moved,
    at.STRIP_FIRST: stands.strip_came,
    at.CREW_NEAR: stands.crew_gone,
}
