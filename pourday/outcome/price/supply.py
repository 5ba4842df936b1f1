"""Lines of concrete, of its trucks and of the plant, and of curing."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import zip_longest

from pourday.day.log import EPS, DayLog, PhoneCall, Visit
from pourday.day.supply.yard import fleet, limit_of
from pourday.outcome.base.basis import Basis
from pourday.outcome.price.hours import weekday_at
from pourday.outcome.price.items import HOUR, MINUTE, Line
from pourday.scenario.model.prices import PLANT

_AGED = ("rejected: age", "rejected: slump")
_DAY = 24 * 3600.0
_SATURDAY = 5


def plants_own(basis: Basis, visit: Visit) -> bool:
    """Whether a load is the plant's to pay: it failed its test, or was too old on the road."""
    prices = basis.scenario.prices
    if visit.outcome == "rejected: test":
        return prices.failed_test == PLANT
    if visit.outcome in _AGED and prices.over_age_on_road == PLANT:
        return visit.arrived > limit_of(basis.scenario, visit.batched)
    return False


def supply_lines(basis: Basis, log: DayLog) -> tuple[Line, ...]:
    """What concrete costs, and what its trucks do.

    Every load but the plant's own is paid, whether it is placed, goes over its age on the site or
    is not needed any more; what does not stay costs its disposal on top. Truck time on site beyond
    the free minutes is paid as waiting, but not that of the plant's own loads.
    """
    scenario, prices = basis.scenario, basis.scenario.prices
    ours = [v for v in log.visits if not plants_own(basis, v)]
    volume = sum(v.volume for v in ours)
    away = sum(v.returned + v.rejected for v in ours)
    in_line = volume - away - log.placed
    in_line = in_line if in_line > EPS else 0.0
    placed = volume - away - in_line
    waited = sum(max(0.0, v.left_site - v.arrived - prices.free_wait) for v in ours)
    delay = scenario.mix.retarder
    area = sum(strip.area for strip in basis.layout.strips)
    return (
        Line("placed", placed, placed * prices.concrete),
        Line("in_line", in_line, in_line * prices.concrete),
        Line("sent_away", away, away * prices.concrete),
        Line("disposal", away, away * prices.returned),
        Line("admixture", volume, volume * prices.admixture),
        Line("retarder", volume if delay else 0.0, volume * delay * prices.retarder),
        Line("waiting", waited / MINUTE, waited * prices.waiting),
        *_truck_lines(basis, log, ours),
        Line("curing", area, area * prices.curing),
    )


def _truck_lines(basis: Basis, log: DayLog, ours: list[Visit]) -> tuple[Line, ...]:
    prices, plan = basis.scenario.prices, basis.plan
    full = plan.load or basis.scenario.supply.load
    below = full if prices.part_load_below is None else prices.part_load_below
    lacks = sum(max(0.0, below - v.volume) for v in ours)
    late = sum(_put_off(basis, log.calls, number) for number in range(len(plan.fronts)))
    odd = sum(v.volume for v in ours if _out_of_hours(basis, v.batched))
    opened = plant_open(basis, log)
    kept = trucks_kept(basis)
    there = 0.0
    if log.visits:
        there = max(v.left_site for v in log.visits) - min(v.batched for v in log.visits)
    return (
        Line("part_loads", lacks, lacks * prices.part_load),
        Line("put_off", late, late * prices.put_off_load),
        Line("out_of_hours", odd, odd * prices.out_of_hours),
        Line("plant_open", opened / HOUR, opened * prices.plant_open),
        Line("trucks", kept, kept * prices.truck_booked),
        Line("truck_hours", kept * there / HOUR, kept * there * prices.truck),
    )


def trucks_kept(basis: Basis) -> float:
    """Trucks that the plan keeps, of the plants that it calls from."""
    plants = basis.scenario.supply.plants
    called: set[str] = set()
    for front in basis.plan.fronts:
        called |= set(front.plants or (plant.name for plant in plants))
    trucks = zip(plants, fleet(basis.scenario, basis.plan), strict=True)
    return float(sum(count for plant, count in trucks if plant.name in called))


def _put_off(basis: Basis, calls: tuple[PhoneCall, ...], front: int) -> float:
    """Loads that a front's foreman puts off less than the notice ahead.

    When he says "hold", a load is due every spacing of the plan; those due before he says "send"
    again, or before the notice is over, are put off too late. The first of them always is.
    """
    notice = basis.scenario.prices.notice
    spacing = basis.plan.fronts[front].spacing.mean
    mine = [call for call in calls if call.front == front and call.kind in ("hold", "send")]
    count = 0.0
    for call, after in zip_longest(mine, mine[1:]):
        if call.kind == "hold" and notice > 0:
            held = notice if after is None else min(notice, after.at - call.at)
            count += max(1, math.ceil(held / spacing - 1e-9)) if spacing > 0 else 1
    return count


def _out_of_hours(basis: Basis, at: float) -> bool:
    prices = basis.scenario.prices
    if weekday_at(at, basis.scenario.date.weekday()) >= _SATURDAY:
        return True
    return not prices.normal_from <= at % _DAY <= prices.normal_until


def plant_open(basis: Basis, log: DayLog) -> float:
    """How long plants work for the pour at odd hours (s), from their first load to their last."""
    prices, batched = basis.scenario.prices, defaultdict[str, list[float]](list)
    for visit in log.visits:
        batched[visit.plant].append(visit.batched)
    weekend = basis.scenario.date.weekday() >= _SATURDAY
    out = 0.0
    for times in batched.values():
        first, last = min(times), max(times)
        normal = 0.0
        if not weekend:
            normal = max(0.0, min(last, prices.normal_until) - max(first, prices.normal_from))
        out += last - first - normal
    return out
