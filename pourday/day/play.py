"""Play one day of one plan: from its morning, or from any moment of it."""

from __future__ import annotations

import math

from pourday.day.bound import run_out
from pourday.day.calling import calling
from pourday.day.chance.upsets import Targets, drawn_upsets
from pourday.day.clock import tell
from pourday.day.front import work as at
from pourday.day.front.front import Front
from pourday.day.front.ready import Ready, ready
from pourday.day.log import EPS, DayFactors, DayLog, FrontLog
from pourday.day.placing import placing
from pourday.day.site_day import SiteDay
from pourday.day.state import DayState
from pourday.day.take_up import take_up
from pourday.day.truck import truck
from pourday.floor.layout import Layout
from pourday.scenario.base.upsets import Upset
from pourday.scenario.model.scenario import Plan, Scenario

# Chance brings no upset later than this after the start (s).
_UPSET_DAY = 24 * 3600.0


def play(
    scenario: Scenario,
    plan: Plan,
    layout: Layout,
    seed: int,
    upsets: tuple[Upset, ...] | None = None,
    begin: DayState | None = None,
) -> DayLog:
    """The log of the day with this seed; the same arguments give the same log on every machine.

    Args:
        scenario: floor, mix, supply, site.
        plan: the choice that is played.
        layout: what ``floor.layout.lay_out`` made of both.
        seed: number of the day, 0 or more.
        upsets: what goes wrong; those of :func:`upsets_of_day` unless told.
        begin: how the day stands when it is taken up; its morning unless told.

    Raises:
        ScenarioError: where the day comes to no end (``day.bound``).
    """
    return play_ready(ready(scenario, plan, layout), seed, upsets, begin)


def play_ready(
    plan: Ready,
    seed: int,
    upsets: tuple[Upset, ...] | None = None,
    begin: DayState | None = None,
    factors: DayFactors | None = None,
    blind: bool = False,
) -> DayLog:
    """As :func:`play`, of a plan made ready already: for those who play many days of it.

    ``factors`` say what kind of day it is; those of the state that it begins with, else those of
    the day's own chance, unless told. On a ``blind`` day the foreman guesses a stop by what is
    usual, not by how long it will last.
    """
    day = open_ready(plan, seed, upsets, begin, factors)
    day.blind = day.blind or blind
    run_out(day)
    return day_log(day)


def open_day(
    scenario: Scenario,
    plan: Plan,
    layout: Layout,
    seed: int,
    upsets: tuple[Upset, ...] | None = None,
    begin: DayState | None = None,
) -> SiteDay:
    """The day of :func:`play`, its stories told but not yet run: run ``day.env`` as far as wanted.

    Stories begin in the order in which what they wait for was begun, so that two things that come
    at one moment come in the order in which they would have come.
    """
    return open_ready(ready(scenario, plan, layout), seed, upsets, begin)


def open_ready(
    plan: Ready,
    seed: int,
    upsets: tuple[Upset, ...] | None,
    begin: DayState | None,
    factors: DayFactors | None = None,
) -> SiteDay:
    """As :func:`open_day`, of a plan made ready already."""
    if upsets is None:
        upsets = upsets_of_day(plan.scenario, plan.plan, seed)
    if begin is None:
        day = SiteDay(plan, seed, upsets, factors=factors)
    else:
        day = SiteDay(plan, seed, upsets, begin.at, factors or begin.factors)
    if begin is not None:
        take_up(day, begin)
    stories = [(load.order, truck(day, load)) for load in day.loads.values()]
    for front in day.fronts:
        # The start is when the first truck is wanted; pump and line stand ready by then.
        if front.work.step != at.OVER:
            wake = front.work.wake
            stories.append((front.work.order if wake is None else wake.order, placing(day, front)))
        if not front.supply_over:
            stories.append((front.calling.order, calling(day, front)))
    for _, story in sorted(stories, key=lambda each: each[0]):
        tell(story)
    return day


def day_log(day: SiteDay) -> DayLog:
    """What a day that has been run leaves behind."""
    return DayLog(
        plan=day.plan.name,
        seed=day.seed,
        visits=tuple(sorted(day.visits, key=lambda visit: visit.number)),
        stretches=tuple(day.stretches),
        stops=tuple(day.stops),
        strip_volumes=tuple(day.strip_volumes),
        fronts=tuple(_front_log(day, front) for front in day.fronts),
        upsets=day.upsets,
        calls=tuple(day.calls),
        factors=day.factors,
        orders=day.given,
        given_up=tuple(day.given_up.items()),
    )


def upsets_of_day(scenario: Scenario, plan: Plan, seed: int) -> tuple[Upset, ...]:
    """What the file gives, and what chance brings on the day with this seed, by time."""
    drawn = drawn_upsets(
        scenario.upset_rates,
        Targets(
            [plant.name for plant in scenario.supply.plants],
            [scenario.crews[front.crew].placers for front in plan.fronts],
            scenario.means(plan),
        ),
        plan.start,
        _UPSET_DAY,
        seed,
    )
    return tuple(sorted((*scenario.upsets, *drawn), key=lambda upset: upset.at))


def _front_log(day: SiteDay, front: Front) -> FrontLog:
    wash_out = front.chance.draw("wash out", front.pump.wash_out, 0)
    over = front.end
    if front.left_out > EPS:  # nobody washes out before the pour is told to end
        over = max([over, *(day.given_up[i] for i in front.strips if i in day.given_up)])
    ready = front.plan.start
    return FrontLog(
        ready=ready,
        start=ready if math.isnan(front.begun) else front.begun,
        end=front.end,
        wash_out_end=over + wash_out,
        held=front.held,
        unfinished=front.unfinished if front.unfinished > EPS else 0.0,
        standby=front.standby,
        loads_held=front.calling.loads_held,
        loads_beyond=front.calling.loads_beyond,
        relief="" if front.relief is None else front.relief.name,
        relieved=() if front.relief is None else (front.relief.since, front.relief.until),
        left_out=front.left_out,
    )
