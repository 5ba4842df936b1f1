"""What keeps a front from placing: breaks, broken pumps, moves, other crews.

Each begins by saying what the front does now, and ends by writing it down. ``catch_up`` tells
apart what a crew stood for where a break came due while it stood for something else.
"""

from __future__ import annotations

import math

from pourday.day import log
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.line import chance_to_block, line_too_old
from pourday.day.front.news import NEED, STOP
from pourday.day.front.pauses import Pause
from pourday.day.front.reach import reaches
from pourday.day.front.usual import usual_stop
from pourday.day.front.work import Behind
from pourday.day.hand_over import go_on, stand_for_long
from pourday.day.log import EPS, Stop
from pourday.day.relief import relieve
from pourday.day.site.load import Load
from pourday.day.site_day import SiteDay
from pourday.floor.access.zones import Shared

# A pump that is down for longer than this sends its trucks to another front (s); common practice,
# no source.
_LONG_STOP = 20 * 60.0
# Nobody goes to eat in a shorter stop than this (s); common practice, no source.
_WORTH_A_BREAK = 5 * 60.0


def note(day: SiteDay, front: Front, kind: str, begin: float, end: float, why: str = "") -> None:
    """Write down a stop; before the first concrete nobody counts them.

    What is down is broken, unless ``why`` says otherwise.
    """
    if end > begin and not math.isnan(front.begun):
        why = why or (log.BROKEN if kind == log.DOWN else "")
        day.stops.append(Stop(kind, begin, end, front.number, why))


def leave_ground(day: SiteDay, front: Front) -> None:
    """Step out of shared ground; another crew may come."""
    if front.ground is not None:
        front.ground = None
        day.ground.leave(front.number)


def rest(day: SiteDay, front: Front) -> None:
    """Rain, a broken pump, a lift for others: the crew stands."""
    pause = _next_pause(front)
    leave_ground(day, front)
    _sit_out(day, front, at.RESTING, pause, _ends(day, front, pause, day.env.now))


def take_break(day: SiteDay, front: Front) -> None:
    """The whole crew takes its break, late if it was busy, but never shorter."""
    leave_ground(day, front)
    pause = _next_break(front)
    _sit_out(day, front, at.RESTING, pause, _ends(day, front, pause, day.env.now))


def break_is_due(day: SiteDay, front: Front) -> bool:
    """Whether the crew goes to its break now: between two trucks, when it has put it off enough."""
    return front.work.load is None and day.env.now >= front.break_at + front.late_by - EPS


def rested(day: SiteDay, front: Front) -> None:
    """The stop or break is over; where the crew ate on after a stop, that was its break."""
    pause, work = _sat_out(day, front), front.work
    note(day, front, pause.kind, work.since, min(work.stop_end, day.env.now))
    note(day, front, log.IDLE, max(work.since, work.stop_end), day.env.now)


def paused(day: SiteDay, front: Front) -> None:
    """A pause is over that came while the crew stood for another reason."""
    _sat_out(day, front)


def catch_up(day: SiteDay, front: Front, behind: Behind) -> bool:
    """Tell apart the pauses that came while the crew stood; whether it sits one out now.

    The last may go on from now. ``behind.begin`` is since when the crew stands for the other
    reason again.
    """
    while (pause := _came_due(front, behind)) is not None:
        _why(day, front, behind, behind.begin, pause.at)
        start = max(behind.begin, pause.at)
        end, back = ends = _ends(day, front, pause, start)
        note(day, front, pause.kind, start, end)
        note(day, front, log.IDLE, end, back)
        front.standby = front.standby or (pause.standby and end > start)
        behind.begin = back
        if back > day.env.now:
            leave_ground(day, front)
            _sit_out(day, front, at.PAUSING, pause, ends)
            return True
    if behind.truck:
        load = behind.load
        if load is not None and front.work.load is load:
            _why(day, front, behind, behind.begin, behind.came)
    else:
        note(day, front, log.HELD, behind.begin, day.env.now)
    return False


def sent_away(day: SiteDay, front: Front, load: Load) -> None:
    """A truck leaves unplaced while the crew waits for one: it was there, but never ready.

    Written down when it leaves, so that what comes later changes nothing of what was.
    """
    work, now = front.work, day.env.now
    if work.doing != at.TRUCK or min(front.pause_at, front.break_at) < now:
        return
    there = max(work.waits_since, load.arrived)
    note(day, front, log.STARVED, work.waits_since, there)
    note(day, front, log.CHANGING, there, now)
    work.waits_since = work.since = now


def too_few(day: SiteDay, front: Front, until: float) -> None:
    """Nobody can place before ``until``, or the next pause."""
    leave_ground(day, front)
    front.work.do(at.TOO_FEW, day.env.now, min(until, front.pause_at))


def had_too_few(day: SiteDay, front: Front) -> None:
    """Somebody has come, or goes to his break."""
    note(day, front, log.SHORT, front.work.since, day.env.now)


def change_truck(day: SiteDay, front: Front) -> bool:
    """One truck away, the next at the hopper; whether that takes time."""
    now, load = day.env.now, front.work.load
    assert load is not None
    time = front.chance.change(load.turn)
    if not time or math.isnan(front.begun):
        return False
    front.work.do(at.NEXT_TRUCK, now, now + time)
    return True


def truck_changed(day: SiteDay, front: Front) -> None:
    """The next truck stands at the hopper."""
    note(day, front, log.CHANGING, front.work.since, day.env.now)


def clear_blockage(day: SiteDay, front: Front, by_standing: bool = False) -> None:
    """Find and clear a blockage; the time to the next one is drawn now."""
    work, now = front.work, day.env.now
    leave_ground(day, front)
    k = work.blockages
    work.blockages += 1
    between = front.chance.between_blockages
    work.until_blocked = between(work.blockages) if between else math.inf
    work.by_standing = by_standing
    front.news.tell(STOP)
    work.do(at.CLEARING, now, now + front.chance.blockage(k))


def cleared(day: SiteDay, front: Front) -> None:
    """The line is free again."""
    note(day, front, log.DOWN, front.work.since, day.env.now, log.BLOCKED)
    relieve(day, front)
    if front.work.by_standing:
        front.work.flowed = day.env.now


def after_a_stand(day: SiteDay, front: Front) -> bool:
    """What a stand has done to the line; whether something has to be done about it."""
    work, now = front.work, day.env.now
    stood, work.flowed = now - work.flowed, now
    if front.access.held <= EPS:
        work.stands += 1
        return False
    if line_too_old(day.scenario, front.pump, day.seed, work.batched, now):
        _wash_out(day, front)
        return True
    work.stands += 1
    chance = chance_to_block(front.pump, stood)
    if chance and front.chance.even("stand blocks", work.stands - 1) < chance:
        clear_blockage(day, front, by_standing=True)
        return True
    return False


def _wash_out(day: SiteDay, front: Front) -> None:
    """Wash out what is too old in pump and line, and prime; the line is to be filled anew."""
    now, k, pump = day.env.now, front.line_fills, front.pump
    draw = front.chance.draw
    wash = draw("wash-out", pump.wash_out, k) + draw("prime", pump.prime, k)
    if front.relief is not None and front.relief.washed and not front.relieved:
        # It was done while the stand-by placed.
        wash, front.relief = 0.0, front.relief._replace(washed=False)
    leave_ground(day, front)
    front.line_fills += 1
    front.need.for_line += front.access.held_at[front.work.turn]
    front.news.tell(NEED)
    front.work.do(at.WASHING_OUT, now, now + wash)


def washed_out(day: SiteDay, front: Front) -> None:
    """Pump and line are clean and are filled anew from the truck."""
    note(day, front, log.DOWN, front.work.since, day.env.now, log.WASHED_OUT)
    work = front.work
    work.step, work.job = at.REFILL, None
    relieve(day, front)
    if front.relieved:
        work.step = at.STRIP
        return
    work.line_done, work.line_until = 0.0, front.access.held_at[work.turn]


def wait_for_strip(day: SiteDay, front: Front, first: int) -> None:
    """Wait for a strip of another front; trucks go to who needs them meanwhile."""
    stand_for_long(day, front)
    front.work.first = first
    front.work.do(at.STRIP_FIRST, day.env.now)


def strip_came(day: SiteDay, front: Front) -> None:
    """One of the strips that come first is over; the next step sees to the others."""


def enter(day: SiteDay, front: Front, ground: Shared) -> None:
    """Enter shared ground, or wait until no other crew is too near."""
    if day.ground.enter(front.number, ground) is None:
        _entered(day, front, ground, day.env.now)
    else:
        front.work.do(at.CREW_NEAR, day.env.now)


def crew_gone(day: SiteDay, front: Front) -> None:
    """The ground is this crew's now."""
    job = front.work.job
    assert job is not None
    assert job.ground is not None
    _entered(day, front, job.ground, front.work.since)


def _entered(day: SiteDay, front: Front, ground: Shared, begin: float) -> None:
    front.ground = ground
    front.work.behind = Behind(False, begin, day.env.now)


def set_up(day: SiteDay, front: Front, place: int) -> None:
    """Fold, drive to another place, set up and prime there."""
    now, k = day.env.now, front.set_ups_done
    leave_ground(day, front)
    front.set_ups_done += 1
    front.work.place = place
    time = front.chance.draw("reset", front.pump.reset, k)
    front.work.do(at.SETTING_UP, now, now + time)


def change_pipes(day: SiteDay, front: Front, turn: int) -> None:
    """Take off the pipes that the front no longer needs, or put on what it needs."""
    pipes, now = front.access.pipes, day.env.now
    first, change = sum(pipes[:turn]), front.pump.pipe_change
    time = sum(front.chance.draw("pipe", change, first + n) for n in range(pipes[turn]))
    front.work.do(at.CHANGING_PIPES, now, now + time)


def stands_again(day: SiteDay, front: Front) -> None:
    """The pump stands at its place, with the pipes it needs."""
    note(day, front, log.SETTING_UP, front.work.since, day.env.now)


def _came_due(front: Front, behind: Behind) -> Pause | None:
    """The first of pauses and breaks that came while the crew stood.

    A crew that need not wait puts its break off to a better moment.
    """
    break_at = front.break_at if behind.came > behind.begin + EPS else math.inf
    if min(front.pause_at, break_at) >= behind.came - EPS:
        return None
    return _next_pause(front) if front.pause_at <= break_at else _next_break(front)


def _next_break(front: Front) -> Pause:
    due, length = front.break_at, front.breaks[front.work.breaks_taken][1]
    front.work.breaks_taken += 1
    return Pause(log.IDLE, due, length)


def _next_pause(front: Front) -> Pause:
    pause = front.pauses[front.work.pauses_taken]
    front.work.pauses_taken += 1
    return pause


def _sit_out(
    day: SiteDay, front: Front, kind: str, pause: Pause, ends: tuple[float, float]
) -> None:
    """Stand until the crew is back; ``ends`` are those of the pause and of the meal in it (s)."""
    now, (end, back) = day.env.now, ends
    long = end - now > _LONG_STOP
    if day.blind:
        long = usual_stop(day.scenario, front.pump, pause.kind) > _LONG_STOP
    if pause.kind == log.DOWN and long and len(day.fronts) > 1:
        stand_for_long(day, front)
    front.work.pause, front.work.stop_end = pause, end
    front.news.tell(STOP)
    front.work.do(kind, now, back)


def _ends(day: SiteDay, front: Front, pause: Pause, begin: float) -> tuple[float, float]:
    """When a pause is over that begins then, and when the crew has eaten too (s)."""
    end = pause.end_from(begin)
    front.work.breaks_before = front.work.breaks_taken
    if pause.kind not in (log.DOWN, log.RAIN) or end - begin < _WORTH_A_BREAK:
        return end, end
    return end, max(end, _eat(day, front, begin, end))


def meal_after(day: SiteDay, front: Front, begin: float, end: float) -> float:
    """When the crew has eaten (s) in the stop in hand, which ends otherwise than was thought."""
    front.work.breaks_taken = front.work.breaks_before
    if end - begin < _WORTH_A_BREAK:
        return end
    return max(end, _eat(day, front, begin, end))


def _eat(day: SiteDay, front: Front, begin: float, end: float) -> float:
    """When a crew has eaten that stands from, to (s).

    A stop that begins shortly before a break is the break; one that comes due in it is taken there.
    """
    eaten, early = begin, begin + day.scenario.site.early
    if front.break_at <= early:
        eaten += _next_break(front).length
    while front.break_at < end:
        pause = _next_break(front)
        eaten = max(eaten, pause.at) + pause.length
    return eaten


def _sat_out(day: SiteDay, front: Front) -> Pause:
    work = front.work
    assert work.pause is not None
    go_on(front)
    if work.pause.kind == log.DOWN:
        relieve(day, front)
    front.standby = front.standby or (work.pause.standby and work.until > work.since)
    return work.pause


def out_of_reach(day: SiteDay, front: Front, strip: int) -> bool:
    """Before a strip: whether the front stands, since only the own pump reaches it."""
    relief, now = front.relief, day.env.now
    if relief is None or not relief.places:
        return False
    standby = next(each for each in day.scenario.standbys if each.name == relief.name)
    if reaches(standby, day.scenario.floor, day.layout.strips[strip]):
        return False
    leave_ground(day, front)
    pause = Pause(log.DOWN, now, max(0.0, relief.back - now))
    _sit_out(day, front, at.RESTING, pause, _ends(day, front, pause, now))
    return True


def _why(day: SiteDay, front: Front, behind: Behind, begin: float, end: float) -> None:
    """Write down why the pump stood: held, no truck on the site, or one that was not ready yet."""
    if not behind.truck:
        note(day, front, log.HELD, begin, end)
        return
    load: Load | None = behind.load
    there = min(max(begin, load.arrived), end) if load is not None else end
    note(day, front, log.STARVED, begin, there)
    note(day, front, log.CHANGING, max(begin, there), end)
