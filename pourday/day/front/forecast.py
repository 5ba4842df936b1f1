"""What a foreman expects: when his front will be through with the concrete that is on its way.

He knows the plan (rates, moves, changes of place, breaks), what he has measured, and as much of a
stop as he guesses; never what chance will bring.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pourday.floor.layout import Layout
from pourday.scenario.model.scenario import Crew, Pump, Scenario


@dataclass(frozen=True)
class Expected:
    """A front as planned, strip by strip in its order: rate (m³/s), and time before it (s).

    ``before`` is the move to the strip (the way alone where the hose walks on within a band), its
    pipes, and changes of place before or in it. ``change`` is from one truck to the next (s), each
    with a ``load`` (m³); ``line`` the rate at which pump and line fill (m³/s).
    """

    rate: tuple[float, ...]
    before: tuple[float, ...]
    change: float
    load: float
    line: float


def expected(
    scenario: Scenario,
    layout: Layout,
    number: int,
    pump: Pump,
    crew: Crew,
) -> Expected:
    """What the plan of a front (index ``number``) means for its rates and moves."""
    access = layout.access[number]
    strips = [i for i, front in enumerate(layout.front_of) if front == number]
    discharge = scenario.supply.discharge.mean
    truck = scenario.supply.load / discharge if discharge else math.inf
    output, move, reset = pump.output.mean, pump.move.mean, pump.reset.mean
    pipe_change = pump.pipe_change.mean
    rate, before, place = [], [], layout.parts[strips[0]][0].place
    for turn, strip in enumerate(strips):
        shape, volume = layout.strips[strip], float(layout.volume[strip])
        crew_rate = crew_in_strip(crew, shape.area, shape.high - shape.low, volume)
        full = min(output * access.share[turn], crew_rate, truck)
        rate.append(_with_skip(full, pump, access.lift[turn]))
        time = pipe_change * access.pipes[turn]
        if turn:
            time += (0.0 if layout.walks_on[strip] else move) + pump.walk * float(
                layout.moves[strip]
            )
        for part in layout.parts[strip]:
            time += reset if part.place != place else 0.0
            place = part.place
        before.append(time)
    line = min(output * access.share[0], truck)
    change = scenario.site.change.mean
    if scenario.site.positions == 1:
        # Nobody backs up to the pump before the truck ahead has gone.
        change += scenario.site.position.mean
    return Expected(tuple(rate), tuple(before), change, scenario.supply.load, line)


def crew_in_strip(crew: Crew, area: float, length: float, volume: float) -> float:
    """What a full crew places in a strip (m³/s): by its people, its screed, its front."""
    rate = crew.in_zone * crew.rate_per_placer
    if crew.screed is not None:
        rate = min(rate, crew.screed * volume / area)
    if crew.front_speed is not None:
        rate = min(rate, crew.front_speed * volume / length)
    return rate


def _with_skip(rate: float, pump: Pump, lift: float) -> float:
    if not lift or pump.skip is None:
        return rate
    cycle = lift + pump.skip_fill.mean + pump.skip_empty.mean
    return pump.skip / max(pump.skip / rate, cycle)


class ToFill(NamedTuple):
    """Strips still to fill, from the one whose turn it is: what each still takes (m³).

    ``begun`` says that the front stands in the first already.
    """

    turn: int
    takes: Sequence[float]
    begun: bool


def through_at(
    plan: Expected,
    begin: float,
    ahead: float,
    strips: ToFill,
    breaks: Iterable[tuple[float, float]],
) -> float:
    """When so much concrete (m³) will have been placed, placing from ``begin`` (s) on.

    ``breaks`` (at, length) that fall in between are taken, and so is a change of truck for every
    load. Concrete that the floor does not take costs no time.
    """
    time, turn, begun = begin, strips.turn, strips.begun
    before, rate, change, load = plan.before, plan.rate, plan.change, plan.load
    # A day asks this a hundred times, each for a dozen strips: nothing is called in here.
    for takes in strips.takes:
        if ahead <= 0.0:
            break
        take = takes if takes < ahead else ahead
        time += take / rate[turn] if begun else before[turn] + take / rate[turn]
        time += change * take / load
        ahead -= take
        turn, begun = turn + 1, False
    for at, length in breaks:
        if begin - length < at < time:
            time += length
    return time


def capacity(plan: Expected, volumes: Sequence[float], load: float) -> float:
    """What a front can take over its whole floor (m³/s), moves and changes of truck counted."""
    total = sum(volumes)
    time = sum(plan.before) + sum(v / r for v, r in zip(volumes, plan.rate, strict=True))
    return total / (time + plan.change * total / load)
