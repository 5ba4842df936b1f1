"""What goes wrong by chance: one day's upsets, drawn from how often they come.

Each source (this plant, that road, that pump, the fleet, the placers of a front) has streams of
its own, so that a plant more, or another rate of one thing, never shifts what another meets.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from pourday.day.chance.streams import Stream
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.trade import SKIP
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    KINDS,
    PLANT_STOPPED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
    UpsetRates,
)
from pourday.scenario.model.scenario import Rain, Scenario


class Targets(NamedTuple):
    """Whom things happen to.

    ``plants`` by name, each of which may stop, and each road be closed; ``placers`` of every front,
    any of whom may not come; ``means`` ("boom", "line" or "skip") of every front: a skip loses its
    crane, a pump is down.
    """

    plants: Sequence[str]
    placers: Sequence[int]
    means: Sequence[str]


def drawn_upsets(
    rates: UpsetRates,
    targets: Targets,
    begin: float,
    hours: float,
    seed: int,
) -> tuple[Upset, ...]:
    """The upsets that chance brings on the day with this seed, in order of time.

    Args:
        rates: how often, and how long.
        targets: whom things happen to.
        begin: clock time (s) from which things go wrong; who does not come is missed from here.
        hours: how long from there (s).
        seed: number of the day, 0 or more.

    Raises:
        ValueError: where a mean time between is not more than 0.
    """
    end = begin + hours
    drawn: list[Upset] = []

    def _add(kind: str, who: str, every: float | None, length: Distribution) -> None:
        for at, lasts in _spells(f"{kind} {who}", every, length, begin, end, seed):
            drawn.append(Upset(at, kind, lasts, who, drawn=True))

    for plant in targets.plants:
        _add(PLANT_STOPPED, plant, rates.plant_stop_every, rates.plant_stop)
        _add(ROAD_CLOSED, plant, rates.road_closed_every, rates.road_closed)
    _add(TRUCK_BROKEN, "", rates.truck_broken_every, rates.truck_broken)
    for front, (count, by) in enumerate(zip(targets.placers, targets.means, strict=True), start=1):
        if by == SKIP:
            _add(CRANE_LOST, str(front), rates.crane_lost_every, rates.crane_lost)
        else:
            _add(PUMP_DOWN, str(front), rates.pump_down_every, rates.pump_down)
        absent = _absent(front, count, rates.absent_share, seed) if rates.absent_share else 0
        if absent:
            drawn.append(Upset(begin, CREW_SHORT, math.inf, str(front), absent, drawn=True))
    return tuple(sorted(drawn, key=lambda upset: (upset.at, KINDS.index(upset.kind), upset.who)))


def with_rain(scenario: Scenario, upsets: Sequence[Upset]) -> Scenario:
    """The scenario with every rain among the upsets as a row of its weather that comes for sure.

    The rows stand after those of the file, so that these keep their chance. Rain of no length
    adds no row: not even the floor is covered.
    """
    rows = tuple(
        Rain(upset.at, fixed(upset.length), upset.rate, 1.0)
        for upset in upsets
        if upset.kind == RAIN and upset.length > 0
    )
    if not rows:
        return scenario
    weather = scenario.weather
    return replace(scenario, weather=replace(weather, rain=weather.rain + rows))


def _spells(
    source: str, every: float | None, length: Distribution, begin: float, end: float, seed: int
) -> Iterator[tuple[float, float]]:
    """Clock time and length (s) of each spell of one source: up by chance, down, up again.

    The time up is exponential, so spells of no length are Poisson arrivals. It counts from the
    end of the last spell: what is down cannot go down again.
    """
    if every is None:
        return
    if not every > 0:
        raise ValueError(f"the mean time between must be more than 0 s, not {every:g}")
    gaps = Stream(seed, f"time before {source}", Distribution("exponential", (every,)))
    lasts = Stream(seed, f"length of {source}", length)
    at, k = begin + gaps(0), 0
    while at < end:
        yield at, lasts(k)
        at += lasts(k) + gaps(k + 1)
        k += 1


def _absent(front: int, placers: int, share: float, seed: int) -> int:
    """How many of a front's placers do not come: one chance for each, whoever the others are."""
    each = Stream(seed, f"placers of front {front} who come", Distribution("uniform", (0.0, 1.0)))
    return sum(each(k) < share for k in range(placers))
