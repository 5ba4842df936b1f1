"""A front of a pour under way as a day's state has it: what it does, needs, and calls."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourday.day import log
from pourday.day.chance.streams import Stream
from pourday.day.front import work as do
from pourday.day.front.pauses import Pause, other_lifts
from pourday.day.front.people import break_times
from pourday.day.log import EPS
from pourday.day.state import CallingState, FrontState, NeedState, WorkState
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.site import AFTER_POUR, TOGETHER
from pourday.study.forecast.begin_loads import Draw, LoadsNow, next_due
from pourday.study.forecast.known import Known
from pourday.study.forecast.laid import LINE, Laid
from pourday.study.forecast.past import BLOCKED, ToldStop, in_hand

# A break that was due so long ago (s) and nobody told of has been had.
_HAD = 3600.0
_MOST_GUESSES = 12


@dataclass(frozen=True)
class FrontNow:
    """What a front's state is made from: its number, where its concrete lies, the volumes of all
    strips (m³), the loads, and the draw."""

    number: int
    laid: Laid
    volumes: list[float]
    loads: LoadsNow
    draw: Draw


def front_state(known: Known, now: FrontNow) -> FrontState:
    """The front as it stands."""
    number, laid, loads = now.number, now.laid, now.loads
    work = _work(known, now)
    placed = [s for s in laid.stretches if s.strip != LINE]
    begun = min((s.start for s in laid.stretches), default=math.nan)
    hand = in_hand(known.past.fronts[number])
    there = loads.there.get(number, 0)
    strips = known.ground[number].strips
    started = strips[: laid.turn + (work.step in _BEGUN)]
    filled = laid.turn + (work.step in _BEGUN)
    line = loads.line.get(number, [])
    return FrontState(
        need=_need(known, now, work.step in _BEGUN),
        calling=_calling(known, now),
        work=work,
        line=tuple(n for n in line if n != work.load),
        closed=False,
        positions=loads.positions.get(number, 0),
        queue=tuple(loads.queue.get(number, [])),
        ground=None,
        on_site=there,
        waiting=loads.waiting.get(number, 0),
        in_flight=loads.in_flight.get(number, 0),
        held=0.0 if work.step in (do.START, do.PRIME) else sum(known.ground[number].fill[:filled]),
        line_fills=1,
        set_ups_done=0,
        last_strip_begun=any(i in known.plan.fronts[number].last_strips for i in started),
        begun=begun if hand is None or math.isfinite(begun) else math.nan,
        end=placed[-1].end if laid.finished and placed else math.nan,
        unfinished=0.0,
        standby=False,
        finished=laid.finished,
        stopped=False,
        supply_over=laid.finished,
    )


_BEGUN = frozenset((do.PIPES, do.LINE, do.STRIP))


def _need(known: Known, now: FrontNow, begun: bool) -> NeedState:
    ground, laid, loads = known.ground[now.number], now.laid, now.loads
    strips, turn = ground.strips, laid.turn
    mine = [n for n in loads.states if n.called_by == now.number]
    gone = [v for v in loads.visits if v.front == now.number]
    home = {v.number for v in gone}
    called = sum(n.volume for n in mine if n.number not in home) + sum(v.volume for v in gone)
    rejected = sum(n.rejected for n in mine if n.number not in home) + sum(v.rejected for v in gone)
    return NeedState(
        expected_use=known.basis.scenario.slab.use_factor.mean,
        to_begin=sum(ground.planned[turn + begun :]),
        for_line=known.basis.layout.access[now.number].line_volume,
        loads_called=loads.turns.get(now.number, 0),
        called=called,
        rejected=rejected,
        used=sum(now.volumes[strips[t]] for t in range(turn)),
        used_as_planned=sum(ground.planned[:turn]),
        current=now.volumes[strips[turn]] if begun and turn < len(strips) else 0.0,
    )


def _calling(known: Known, now: FrontNow) -> CallingState:
    front = known.past.fronts[now.number]
    full = known.basis.plan.load or known.basis.scenario.supply.load
    last = [n.volume for n in now.loads.states if n.called_by == now.number]
    granted = now.loads.turns.get(now.number, 0) - len(front.loads)
    plan = known.basis.plan.fronts[now.number]
    due = next_due(known, now.number) + granted * plan.spacing.mean
    # What the plan wanted by now and did not get is sent a little closer, where it is of use.
    lost = sum("old" in n.away or "test" in n.away for _, n in front.loads)
    booked = plan.start + max(0, len(front.loads) + granted - lost) * plan.spacing.mean
    return CallingState(
        due=due,
        balance_called=bool(last) and last[-1] < full - 0.1,
        held=front.held is not None,
        late=max(0.0, due - booked),
        lost=0,
        wider=0,
        holding="" if front.held is None else "held",
        rang_for=-1,
        hold_since=math.nan if front.held is None else front.held,
        held_for=-1,
        loads_held=0,
        loads_beyond=0,
        booked=math.nan,
        awaited="",
        until=math.inf,
        order=0,
        over=now.laid.finished,
    )


def _work(known: Known, now: FrontNow) -> WorkState:
    """What the front does now; what lasts has an end drawn, given how long it has lasted."""
    front, laid, at = known.past.fronts[now.number], now.laid, known.past.at
    own = now.draw.fronts[now.number]
    last = laid.stretches[-1] if laid.stretches else None
    placed = [s for s in laid.stretches if s.strip != LINE]
    blocked = sum(stop.kind == BLOCKED for stop in front.stops)
    between = own.between_blockages
    hand = in_hand(front)
    work = _plain_work()
    work = replace(
        work,
        turn=min(laid.turn, len(known.ground[now.number].strips) - 1),
        load=None if hand is None else hand[0],
        blockages=blocked,
        until_blocked=between(blocked) if between else math.inf,
        flowed=math.nan if last is None else last.end,
        batched=math.nan if last is None else last.batched,
        ended=placed[-1].end if placed else math.nan,
        breaks_taken=_breaks_taken(known, now.number),
        pauses_taken=_lifts_taken(known, now),
    )
    if laid.finished:
        return replace(work, step=do.OVER, load=None)
    work = _in_strip(known, now, work)
    if front.stop is not None:
        return _stopped(known, now, work, front.stop)
    if work.doing or hand is not None or work.step == do.START:
        return work
    since = known.basis.plan.fronts[now.number].start if last is None else last.end
    line = now.loads.line.get(now.number, [])
    if not line:
        return replace(work, doing=do.TRUCK, since=min(since, at), waits_since=min(since, at))
    time = own.change(next(n.turn for n in now.loads.states if n.number == line[0]))
    if not time or last is None:
        return replace(work, waits_since=min(since, at))
    begin = max(since, at - time)
    return replace(
        work, doing=do.NEXT_TRUCK, load=line[0], since=begin, until=max(at, begin + time)
    )


def _in_strip(known: Known, now: FrontNow, work: WorkState) -> WorkState:
    """The step of a front that is not over, by where its concrete lies."""
    ground, laid, at = known.ground[now.number], now.laid, known.past.at
    layout, front = known.basis.layout, known.past.fronts[now.number]
    turn, strip = laid.turn, ground.strips[laid.turn]
    parts = layout.parts[strip]
    start = known.basis.plan.fronts[now.number].start
    if not laid.stretches and in_hand(front) is None and at < start:
        return replace(work, step=do.START)
    if turn == 0 and laid.line < ground.primed - EPS and laid.done <= EPS:
        return replace(work, step=do.PRIME, line_done=laid.line, line_until=ground.primed)
    before = layout.parts[ground.strips[turn - 1]][-1].place if turn else parts[0].place
    place = before if front.place is None else front.place
    if laid.done > EPS:
        share = laid.done / now.volumes[strip]
        part = next((n for n, each in enumerate(parts) if share < each.until), len(parts) - 1)
        return replace(work, step=do.STRIP, part=part, done=laid.done, place=parts[part].place)
    work = replace(work, place=place)
    if laid.line > EPS and turn:
        return replace(work, step=do.LINE, line_done=laid.line, line_until=ground.fill[turn])
    if front.begun is not None and front.begun[0] == turn:
        return replace(work, step=do.STRIP, place=parts[0].place)
    if not turn or layout.waits_for[strip] or front.stop is not None:
        return replace(work, step=do.ORDER)
    own, pump = now.draw.fronts[now.number], known.basis.scenario.pumps
    move = 0.0 if layout.walks_on[strip] else own.move(strip)
    walk = pump[known.basis.plan.fronts[now.number].pump].walk
    since = min(at, laid.stretches[-1].end)
    until = max(at, since + move + walk * float(layout.moves[strip]))
    return replace(work, step=do.PIPES, doing=do.MOVING, since=since, until=until)


def _stopped(known: Known, now: FrontNow, work: WorkState, stop: ToldStop) -> WorkState:
    """The stop that lasts, with an end drawn beyond now."""
    at, site = known.past.at, known.basis.scenario.site
    if stop.kind == log.IDLE:
        length = site.breaks[0].length if site.breaks else 30 * 60.0
        until = max(at, stop.since + length)
    else:
        until = stop.since + _stop_lasts(known, now, stop)
    if stop.kind == BLOCKED:
        return replace(work, doing=do.CLEARING, since=stop.since, until=until)
    pause = Pause(stop.kind, stop.since, until - stop.since)
    return replace(
        work, doing=do.RESTING, since=stop.since, until=until, pause=pause, stop_end=until
    )


def _stop_lasts(known: Known, now: FrontNow, stop: ToldStop) -> float:
    """How long a stop lasts (s), given that it lasts still; around the guess where there is one."""
    elapsed, seed = known.past.at - stop.since, now.draw.seed
    name = f"forecast: stop of front {now.number}"
    if stop.guess is not None and stop.guess > stop.since:
        factor = known.basis.scenario.call_off.guess_factor
        even = Stream(seed, name, factor)
        for k in range(_MOST_GUESSES):
            # The guess was the truth times this factor.
            length = (stop.guess - stop.since) / max(0.05, even(k))
            if length > elapsed:
                return length
        return elapsed + 300.0
    pump = known.basis.scenario.pumps[known.basis.plan.fronts[now.number].pump]
    length_of: Distribution = known.basis.scenario.upset_rates.pump_down
    if stop.kind == BLOCKED:
        length_of = pump.blockage
    if length_of.is_fixed and length_of.mean <= elapsed:
        length_of = Distribution("exponential", (max(600.0, length_of.mean),))
    return Stream(seed, name, length_of).beyond(0, elapsed)


def _breaks_taken(known: Known, number: int) -> int:
    """Breaks of the whole crew that were had: as told, and those due so long ago that they were."""
    scenario, plan = known.basis.scenario, known.basis.plan.fronts[number]
    crew = scenario.crews[plan.crew]
    told = sum(stop.kind == log.IDLE for stop in known.past.fronts[number].stops)
    due: list[float] = []
    if crew.breaks_taken == TOGETHER:
        due = [at for at, _ in break_times(scenario.site, plan.start)]
    elif crew.breaks_taken == AFTER_POUR and scenario.site.breaks:
        due = [plan.start + n * scenario.site.longest_without_break for n in range(1, 5)]
    had = sum(at + scenario.site.late_by + _HAD < known.past.at for at in due)
    return min(len(due), max(told, had))


def _lifts_taken(known: Known, now: FrontNow) -> int:
    """Lifts for other trades before now: they are told as stops, or were not."""
    plan = known.basis.plan.fronts[now.number]
    pump = known.basis.scenario.pumps[plan.pump]
    lifts = other_lifts(pump, plan.start, now.draw.fronts[now.number].draw)
    return sum(lift.at <= known.past.at for lift in lifts)


def _plain_work() -> WorkState:
    nan = math.nan
    return WorkState(
        step=do.STRIP, turn=0, part=0, done=0.0, line_done=0.0, line_until=0.0, place=0, load=None,
        doing="", since=nan, until=math.inf, take=0.0, span=0.0, filled=0.0, pause=None,
        by_standing=False, first=-1, behind=None, wake=None, order=0, pauses_taken=0,
        breaks_taken=0, stop_end=math.inf, blockages=0, stands=0, skips=0, skip=None,
        until_blocked=math.inf, flowed=nan, batched=nan, ended=nan, waits_since=nan, held_since=nan,
    )  # fmt: skip
