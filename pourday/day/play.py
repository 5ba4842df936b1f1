"""Play one day of one plan."""

from __future__ import annotations

import math

from pourday.day.dispatch import dispatch
from pourday.day.front import FrontDay
from pourday.day.log import DayLog, FrontLog
from pourday.day.placing import placing
from pourday.day.site import EPS, SiteDay
from pourday.day.upsets import drawn_upsets, with_rain
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
) -> DayLog:
    """The log of the day with this seed; the same arguments give the same log on every machine.

    Args:
        scenario: floor, mix, supply, site.
        plan: the choice that is played.
        layout: what ``floor.layout.lay_out`` made of both.
        seed: number of the day, 0 or more.
        upsets: what goes wrong; those of :func:`upsets_of_day` unless told.
    """
    if upsets is None:
        upsets = upsets_of_day(scenario, plan, seed)
    day = SiteDay(with_rain(scenario, upsets), plan, layout, seed, upsets)
    day.fronts = [FrontDay(day, number) for number in range(len(plan.fronts))]
    for front in day.fronts:
        # The start is when the first truck is wanted; pump and line stand ready by then.
        day.env.process(placing(day, front))
        day.env.process(dispatch(day, front))
    day.env.run()
    return DayLog(
        plan=plan.name,
        seed=seed,
        visits=tuple(sorted(day.visits, key=lambda visit: visit.number)),
        stretches=tuple(day.stretches),
        stops=tuple(day.stops),
        strip_volumes=tuple(day.strip_volumes),
        fronts=tuple(_front_log(front) for front in day.fronts),
        upsets=upsets,
    )


def upsets_of_day(scenario: Scenario, plan: Plan, seed: int) -> tuple[Upset, ...]:
    """What the file gives, and what chance brings on the day with this seed, by time."""
    drawn = drawn_upsets(
        scenario.upset_rates,
        [plant.name for plant in scenario.supply.plants],
        [scenario.crews[front.crew].placers for front in plan.fronts],
        scenario.means(plan),
        plan.start,
        _UPSET_DAY,
        seed,
    )
    return tuple(sorted((*scenario.upsets, *drawn), key=lambda upset: upset.at))


def _front_log(front: FrontDay) -> FrontLog:
    wash_out = front.draw("wash out", front.pump.wash_out, 0)
    ready = front.plan.start
    return FrontLog(
        ready=ready,
        start=ready if math.isnan(front.begun) else front.begun,
        end=front.end,
        wash_out_end=front.end + wash_out,
        held=front.held,
        unfinished=front.unfinished if front.unfinished > EPS else 0.0,
        standby=front.standby,
    )
