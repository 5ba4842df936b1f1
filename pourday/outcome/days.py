"""Turn day logs into outcomes, many days of a plan in one go: what studies ask of every day.

One day is the case of length one: :mod:`pourday.outcome.measure` has all there is to say of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pourday.concrete.temperature import concrete_temperature
from pourday.day.chance.streams import Stream, of_front
from pourday.day.log import STOPS, DayLog
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts, fronts
from pourday.outcome.base.tables import (
    Visits,
    greatest,
    stops_of,
    stretches_of,
    totals,
    visits_of,
)
from pourday.outcome.base.weather import Weather, of_days
from pourday.outcome.concrete.cold_days import cold_areas
from pourday.outcome.concrete.drying import rate_off
from pourday.outcome.concrete.finishing import FinishingDays, finishing_of_days, past_curfew
from pourday.outcome.cost import Cost, Hours, cost_of
from pourday.outcome.deck.envelope import DeckDays, Envelope
from pourday.outcome.deck.peaks import heap_factors, strip_times
from pourday.outcome.edges.edge_pairs import EdgeOutcome, edge_outcome

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class PumpTimes:
    """How the time from first to last concrete was spent (s); all of it, front by front, added up.

    Fields are "placing" and the kinds of :class:`pourday.day.log.Stop`.
    """

    placing: float
    starved: float
    changing: float
    moving: float
    setting_up: float
    held: float
    down: float
    short: float
    lent: float
    idle: float
    rain: float


@dataclass(frozen=True, eq=False)
class DaysOutcome:
    """D days of one plan, measured. Times in s since midnight, volumes in m³.

    ``basis`` is that of all of them, and so are ``fronts`` and ``edges``, end to end.
    ``strip_start``, ``strip_end`` are (D, strips), ``evaporation_peak`` (kg/m²/h) and
    ``evaporation_time`` (D,); ``pump``, ``hours`` and ``cost`` one a day.
    """

    basis: Basis
    logs: tuple[DayLog, ...]
    fronts: Fronts
    strip_start: Floats
    strip_end: Floats
    edges: EdgeOutcome
    deck: DeckDays | None
    pump: tuple[PumpTimes, ...]
    hours: tuple[tuple[Hours, ...], ...]
    finishing: FinishingDays
    evaporation_peak: Floats
    evaporation_time: Floats
    cost: tuple[Cost, ...]

    @cached_property
    def visits(self) -> Visits:
        """All loads."""
        return visits_of(self.logs)

    @cached_property
    def cold(self) -> tuple[Floats, Floats]:
        """Area (m²) of each day that comes below 5 °C and below 0 °C; worked out when asked."""
        return cold_areas(self.basis, self.fronts, self.finishing.covered)

    @property
    def pump_past_curfew(self) -> Flags:
        """On which days wash-out ended after the curfew of the site, (D,)."""
        curfew = self.basis.scenario.site.curfew
        ends = np.array([log.wash_out_end for log in self.logs])
        return np.asarray(ends > (np.inf if curfew is None else curfew))

    @property
    def finishing_past_curfew(self) -> Flags:
        """On which days finishers left after it, (D,)."""
        return past_curfew(self.basis, self.finishing.leave)

    @property
    def past_curfew(self) -> Flags:
        """On which days anybody whom the curfew of the site is for worked after it, (D,)."""
        everybody = self.basis.scenario.site.curfew_for == "all"
        return self.pump_past_curfew | (self.finishing_past_curfew & everybody)

    def by_pair(self, values: Floats) -> Floats:
        """Values of the edge pairs (D, P), day by day."""
        return values.reshape(self.basis.days, len(self.basis.pair_first))


def measure_days(
    basis: Basis,
    logs: Sequence[DayLog],
    deck: Envelope | None = None,
    weather: Weather | None = None,
) -> DaysOutcome:
    """Measure days of a plan, all in one go.

    Args:
        basis: the plan's basis.
        logs: days of that plan, at least one.
        deck: the plan's envelope; without it nothing is said of the deck.
        weather: that of these days where it is known already.
    """
    basis = of_days(basis, logs, weather)
    found = fronts(basis, *logs)
    shape = (basis.days, basis.strips)
    begin, end = (times.reshape(shape) for times in strip_times(basis, found))
    edges = edge_outcome(basis, found)
    rate, when = _evaporation(basis, found)
    finish = finishing_of_days(basis, found)
    hours = _hours(basis, logs, begin, finish)
    pairs = (basis.days, len(basis.pair_first))
    cold, stiff = (
        length.reshape(pairs).sum(axis=1).tolist()
        for length in (edges.cold_length, edges.stiff_length)
    )
    heaps = () if deck is None else [heap_factors(basis, log.seed) for log in logs]
    return DaysOutcome(
        basis=basis,
        logs=tuple(logs),
        fronts=found,
        strip_start=begin,
        strip_end=end,
        edges=edges,
        deck=None if deck is None else deck.at(np.array(heaps)),
        pump=pump_times_of(logs),
        hours=hours,
        finishing=finish,
        evaporation_peak=rate,
        evaporation_time=when,
        cost=tuple(cost_of(basis, *each) for each in zip(logs, hours, cold, stiff, strict=True)),
    )


def pump_times_of(logs: Sequence[DayLog], front: int | None = None) -> tuple[PumpTimes, ...]:
    """Share out each day's time from first to last concrete, of one front or all together."""
    stops, stretches, days = stops_of(logs), stretches_of(logs), len(logs)
    most = max(len(log.fronts) for log in logs)
    begun, ended = np.zeros((days, most)), np.zeros((days, most))
    for n, log in enumerate(logs):
        begun[n, : len(log.fronts)] = [each.start for each in log.fronts]
        ended[n, : len(log.fronts)] = [each.end for each in log.fronts]
    stood = np.minimum(stops.end, ended[stops.day, stops.front])
    stood = np.maximum(0.0, stood - np.maximum(stops.start, begun[stops.day, stops.front]))
    placed = stretches.end - stretches.start
    if front is not None:
        stood = np.where(stops.front == front, stood, 0.0)
        placed = np.where(stretches.front == front, placed, 0.0)
    spent = totals(days * len(STOPS), stops.day * len(STOPS) + stops.kind, stood)
    each = zip(
        totals(days, stretches.day, placed).tolist(), spent.reshape(days, -1).tolist(), strict=True
    )
    return tuple(
        PumpTimes(placing=placing, **dict(zip(STOPS, its, strict=True))) for placing, its in each
    )


def _evaporation(basis: Basis, found: Fronts) -> tuple[Floats, Floats]:
    """Greatest evaporation (kg/m²/h) off the front as it is placed, and when (Uno's formula).

    By day; 0 and nan where there is no concrete.
    """
    when = np.concatenate([found.time_low, found.time_high])
    batched = np.concatenate([found.batched, found.batched])
    warm = np.concatenate([found.temperature, found.temperature])
    day = basis.day_of(np.concatenate([found.strip, found.strip]))
    there = concrete_temperature(basis.relax_on(day), when, batched, warm)
    rate = rate_off(basis, when, there, basis.scenario.measures, day)
    most, first = greatest(basis.days, day, rate)
    return np.where(first < 0, 0.0, most), np.append(when, np.nan)[first]


def _hours(
    basis: Basis, logs: Sequence[DayLog], strip_start: Floats, finish: FinishingDays
) -> tuple[tuple[Hours, ...], ...]:
    """Pump and people of every front, day by day: set-up and priming come before its start.

    One finisher bull-floats from the front's first strip; the others come so long before the first
    pass as the file says, and all crews' finishers work together to the end of the last. Without
    passes all bull-float, and leave when their crew's strips are done.
    """
    rates, front_of = basis.scenario.finishing, np.asarray(basis.layout.front_of)
    first_pass = finish.first_ready - rates.before_first_pass
    ends = np.array([log.end for log in logs])
    out: list[list[Hours]] = [[] for _ in logs]
    for number, front in enumerate(basis.plan.fronts):
        pump, strips = basis.scenario.pumps[front.pump], front_of == number
        begin = np.fmin.reduce(strip_start[:, strips], axis=1, initial=np.inf)
        begin = np.where(np.isfinite(begin), begin, ends)
        through = np.fmax.reduce(finish.bull_floated[:, strips], axis=1, initial=-np.inf)
        until = np.where(np.isnan(finish.end), np.maximum(begin, through), finish.end)
        come = np.where(np.isnan(finish.end), begin, np.maximum(begin, first_pass))
        times = zip(logs, begin.tolist(), come.tolist(), until.tolist(), strict=True)
        for n, (log, *presence) in enumerate(times):
            setup = Stream(log.seed, of_front("set-up", number), pump.setup)(0)
            setup += Stream(log.seed, of_front("prime", number), pump.prime)(0)
            mine = log.fronts[number]
            out[n].append(Hours(front.start - setup, mine.wash_out_end, *presence))
    return tuple(map(tuple, out))
