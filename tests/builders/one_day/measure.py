"""One day of one plan measured by itself, as all days were before they were measured together.

The oracle of :mod:`pourday.outcome.days`: every figure of a day must come out the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from builders.one_day.edge_pairs import edge_outcome
from builders.one_day.finishing import finishing
from builders.one_day.fronts import fronts

from pourday.concrete.cooling import slab_relaxation
from pourday.concrete.temperature import Air
from pourday.day.chance.rain import air_shift, rain_windows
from pourday.day.chance.streams import Stream, of_front
from pourday.day.chance.upsets import with_rain
from pourday.day.log import STOPS, DayLog
from pourday.deck.history import Peaks
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.cold import Cold, cold
from pourday.outcome.concrete.drying import surface_rate
from pourday.outcome.concrete.finishing import Finishing
from pourday.outcome.cost import Cost, Hours, cost_of
from pourday.outcome.deck.peaks import DeckOutcome, deck_outcome, group_peaks, strip_times
from pourday.outcome.edges.edge_pairs import EdgeOutcome
from pourday.outcome.measure import PumpTimes
from pourday.scenario.base.upsets import RAIN, Upset


@dataclass(frozen=True, eq=False)
class OneDay:
    basis: Basis
    log: DayLog
    fronts: Fronts
    strip_start: Floats
    strip_end: Floats
    edges: EdgeOutcome
    deck: DeckOutcome
    by_group: tuple[Peaks, ...]
    pump: PumpTimes
    hours: tuple[Hours, ...]
    finishing: Finishing
    evaporation_peak: float
    evaporation_time: float
    cost: Cost

    @property
    def duration(self) -> float:
        """From first to last concrete (s)."""
        return self.log.end - self.log.start

    @property
    def waits(self) -> list[float]:
        """Waiting of every truck (s)."""
        return [visit.wait for visit in self.log.visits]

    @property
    def ordered(self) -> float:
        """All concrete batched (m³)."""
        return sum(visit.volume for visit in self.log.visits)

    @cached_property
    def cold(self) -> Cold:
        return cold(self.basis, self.fronts, self.finishing.covered)

    @property
    def past_curfew(self) -> bool:
        """Whether anybody whom the curfew of the site is for worked after it."""
        everybody = self.basis.scenario.site.curfew_for == "all"
        return self.pump_past_curfew or (everybody and self.finishing.past_curfew)

    @property
    def pump_past_curfew(self) -> bool:
        """Whether wash-out ended after the curfew of the site."""
        curfew = self.basis.scenario.site.curfew
        return curfew is not None and self.log.wash_out_end > curfew


def of_day(basis: Basis, seed: int, upsets: tuple[Upset, ...] = ()) -> Basis:
    """The basis with the air and the rain of the day with this seed, rain by upsets included.

    The forecast's rows are shifted alike: air and humidity by an amount, wind by a factor.
    """
    weather = basis.scenario.weather
    if weather.rain or any(upset.kind == RAIN for upset in upsets):
        basis = replace(basis, rains=(rain_windows(with_rain(basis.scenario, upsets), seed),))
    if not weather.varies:
        return basis
    warmer = air_shift(basis.scenario, seed)
    moister = Stream(seed, "humidity shift", weather.humidity_shift)(0)
    windier = Stream(seed, "wind factor", weather.wind_factor)(0)
    rows = basis.air
    air = Air(
        rows.times,
        rows.temperature + warmer,
        np.clip(rows.humidity + moister, 0.0, 1.0),
        rows.wind * windier,
    )
    relax = slab_relaxation(air, basis.slab)
    return replace(basis, air=air, relax=relax, varied=True)


def measure(basis: Basis, log: DayLog, by_group: tuple[Peaks, ...] | None = None) -> OneDay:
    """Measure a day.

    Args:
        basis: the plan's basis.
        log: a day of that plan.
        by_group: peaks of the deck lines where they are known already (heaps that do not vary).
    """
    basis = of_day(basis, log.seed, log.upsets)
    found = fronts(basis, log)
    begin, end = strip_times(basis, found)
    edges = edge_outcome(basis, found)
    rate, when = _evaporation(basis, found)
    finish = finishing(basis, found, basis.relax if basis.varied else None)
    hours = _hours(basis, log, begin, finish)
    known = by_group or group_peaks(basis, log.seed)
    return OneDay(
        basis=basis,
        log=log,
        fronts=found,
        strip_start=begin,
        strip_end=end,
        edges=edges,
        deck=deck_outcome(basis, known, begin, end),
        by_group=known,
        pump=pump_times(log),
        hours=hours,
        finishing=finish,
        evaporation_peak=rate,
        evaporation_time=when,
        cost=cost_of(
            basis, log, hours, float(edges.cold_length.sum()), float(edges.stiff_length.sum())
        ),
    )


def pump_times(log: DayLog, front: int | None = None) -> PumpTimes:
    """Share out the time from the first to the last concrete, of one front or of all together."""
    spent = dict.fromkeys(STOPS, 0.0)
    for stop in log.stops:
        if front is None or stop.front == front:
            mine = log.fronts[stop.front]
            spent[stop.kind] += max(0.0, min(stop.end, mine.end) - max(stop.start, mine.start))
    placing = sum(s.end - s.start for s in log.stretches if front is None or s.front == front)
    return PumpTimes(placing=placing, **spent)


def _evaporation(basis: Basis, found: Fronts) -> tuple[float, float]:
    """Greatest evaporation (kg/m²/h) off the front as it is placed, and when (Uno's formula)."""
    if not len(found.strip):
        return 0.0, float("nan")
    when = np.concatenate([found.time_low, found.time_high])
    batched = np.concatenate([found.batched, found.batched])
    warm = np.concatenate([found.temperature, found.temperature])
    rate = surface_rate(basis, when, batched, warm, basis.scenario.measures)
    worst = int(np.argmax(rate))
    return float(rate[worst]), float(when[worst])


def _hours(basis: Basis, log: DayLog, strip_start: Floats, finish: Finishing) -> tuple[Hours, ...]:
    """Pump and people of every front: set-up and priming come before its start.

    One finisher bull-floats from the front's first strip; the others come so long before the first
    pass as the file says, and all crews' finishers work together to the end of the last. Without
    passes all bull-float, and leave when their crew's strips are done.
    """
    rates, front_of = basis.scenario.finishing, np.asarray(basis.layout.front_of)
    out = []
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, log.fronts, strict=True)):
        pump = basis.scenario.pumps[front.pump]
        setup = Stream(log.seed, of_front("set-up", number), pump.setup)(0)
        setup += Stream(log.seed, of_front("prime", number), pump.prime)(0)
        strips = front_of == number
        begin = _least(strip_start[strips], log.end)
        if len(finish.strip):
            until = finish.end
            come = max(begin, float(finish.ready.min()) - rates.before_first_pass)
        else:
            until = max(begin, -_least(-finish.bull_floated[strips], -begin))
            come = begin
        out.append(Hours(front.start - setup, mine.wash_out_end, begin, come, until))
    return tuple(out)


def _least(times: Floats, otherwise: float) -> float:
    """The first of the times that there are (s), else what is given."""
    return float(np.nanmin(times)) if np.isfinite(times).any() else otherwise
