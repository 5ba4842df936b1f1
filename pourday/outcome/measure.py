"""Turn a day log into an outcome: everything a report or a study may ask of one day."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pourday.day.chance.streams import Stream, of_front
from pourday.day.log import STOPS, DayLog
from pourday.deck.history import Peaks
from pourday.outcome.base.basis import Basis, Floats, of_day
from pourday.outcome.base.fronts import Fronts, fronts
from pourday.outcome.concrete.calendar import CalendarLine, calendar
from pourday.outcome.concrete.cold import Cold, ColdEffect, cold, cold_effects
from pourday.outcome.concrete.delivered import Delivered, delivered
from pourday.outcome.concrete.drying import (
    Drying,
    MeasureEffect,
    drying,
    measure_effects,
    surface_rate,
)
from pourday.outcome.concrete.finishing import Finishing, finishing
from pourday.outcome.cost import Cost, Harm, Hours, Relief, cost_of, reliefs
from pourday.outcome.deck.look_out import LookOut, look_out
from pourday.outcome.deck.peaks import (
    DeckOutcome,
    UseOverTime,
    deck_outcome,
    group_peaks,
    strip_times,
    use_over_time,
)
from pourday.outcome.deck.supports import SupportChecks, can_let_go, support_checks
from pourday.outcome.edges.edge_pairs import EdgeOutcome, edge_outcome
from pourday.outcome.samples import Sampling, sampling

_OVER_AGE = ("rejected: age", "rejected: slump", "part rejected")


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
class Outcome:
    """One day of one plan, measured. Times in s since midnight, volumes in m³."""

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

    @property
    def over_age(self) -> int:
        """Loads lost wholly or in part to their age or slump."""
        return sum(visit.outcome in _OVER_AGE for visit in self.log.visits)

    @cached_property
    def use_over_time(self) -> UseOverTime:
        """Share of the deck's resistance in use over the day; worked out when asked."""
        return use_over_time(self.basis, self.by_group, self.strip_start, self.strip_end)

    @cached_property
    def look_out(self) -> tuple[LookOut, ...]:
        """Moments at which somebody should look at the deck."""
        return look_out(self.basis, self.log.seed, self.by_group, self.strip_start)

    @cached_property
    def supports(self) -> SupportChecks | None:
        """What lets go under the heaps of this day; None where every support can pull."""
        return support_checks(self.basis, self.log.seed) if can_let_go(self.basis) else None

    @cached_property
    def drying(self) -> Drying:
        """Evaporation against bleed on every strip, from screed to cover; worked out when asked."""
        return drying(self.basis, self.fronts, self.finishing.covered)

    @cached_property
    def measure_effects(self) -> tuple[MeasureEffect, ...]:
        """What each measure against drying does in the model; worked out when asked."""
        return measure_effects(self.basis, self.fronts, self.finishing.covered)

    @cached_property
    def calendar(self) -> tuple[CalendarLine, ...]:
        """Dates after the pour, worked out when asked; none of them permits anything."""
        basis, finish = self.basis, self.finishing
        return calendar(basis, self.fronts, basis.air, basis.relax, finish, self.cold)

    @cached_property
    def cold(self) -> Cold:
        """Every strip's colder face until it can stand frost; worked out when asked."""
        return cold(self.basis, self.fronts, self.finishing.covered)

    @cached_property
    def cold_effects(self) -> tuple[ColdEffect, ...]:
        """What each measure against frost does by itself; worked out when asked."""
        return cold_effects(self.basis, self.fronts, self.finishing.covered)

    @cached_property
    def delivered(self) -> tuple[Delivered, ...]:
        """How warm every load is at discharge; worked out when asked."""
        return delivered(self.basis, self.log)

    @cached_property
    def sampling(self) -> Sampling:
        """Which loads are sampled for strength, and when."""
        return sampling(self.basis, self.log)

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

    @property
    def reliefs(self) -> tuple[Relief, ...]:
        """Who has to be relieved when, because nobody works longer than the longest shift."""
        return reliefs(self.basis, self.hours)


def measure(basis: Basis, log: DayLog, by_group: tuple[Peaks, ...] | None = None) -> Outcome:
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
    return Outcome(
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
            basis,
            log,
            hours,
            Harm(
                float(edges.cold_length.sum()),
                float(edges.stiff_length.sum()),
                edges.cold_pairs,
                finish.missed_area,
            ),
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
