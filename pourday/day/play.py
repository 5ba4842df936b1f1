"""Play one day of one plan."""

from __future__ import annotations

from pourday.day.dispatch import dispatch
from pourday.day.log import DayLog
from pourday.day.placing import placing
from pourday.day.site import EPS, SiteDay
from pourday.day.streams import Stream
from pourday.floor.layout import Layout
from pourday.scenario.model import Plan, Scenario


def play(scenario: Scenario, plan: Plan, layout: Layout, seed: int) -> DayLog:
    """The log of the day with this seed; the same arguments give the same log on every machine.

    Args:
        scenario: floor, mix, supply, site.
        plan: the choice that is played.
        layout: what ``floor.layout.lay_out`` made of both.
        seed: number of the day, 0 or more.
    """
    day = SiteDay(scenario, plan, layout, seed)
    # The plan's start is when the first truck is wanted; pump and line stand ready by then.
    day.env.process(placing(day, plan.start))
    day.env.process(dispatch(day))
    day.env.run()
    wash_out = Stream(seed, "wash out", day.pump.wash_out)(0)
    return DayLog(
        plan=plan.name,
        seed=seed,
        visits=tuple(sorted(day.visits, key=lambda visit: visit.number)),
        stretches=tuple(day.stretches),
        stops=tuple(day.stops),
        strip_volumes=tuple(day.strip_volumes),
        ready=plan.start,
        end=day.end,
        wash_out_end=day.end + wash_out,
        held=day.held,
        unfinished=day.unfinished if day.unfinished > EPS else 0.0,
    )
