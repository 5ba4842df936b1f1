"""Turn a day log into an outcome: everything a report or a study may ask of one day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from pourday.day.log import DayLog
from pourday.deck.history import Peaks
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.calendar import CalendarLine, calendar
from pourday.outcome.concrete.cold import Cold, ColdEffect, cold, cold_effects
from pourday.outcome.concrete.delivered import Delivered, delivered
from pourday.outcome.concrete.drying import Drying, MeasureEffect, drying, measure_effects
from pourday.outcome.concrete.finishing import Finishing, one_finishing
from pourday.outcome.cost import Cost, Hours, Relief, reliefs
from pourday.outcome.days import DaysOutcome, PumpTimes, measure_days, pump_times_of
from pourday.outcome.deck.envelope import days_of_one
from pourday.outcome.deck.look_out import LookOut, look_out
from pourday.outcome.deck.peaks import (
    DeckOutcome,
    UseOverTime,
    deck_outcome,
    group_peaks,
    use_over_time,
)
from pourday.outcome.deck.supports import SupportChecks, can_let_go, support_checks
from pourday.outcome.edges.edge_pairs import EdgeOutcome
from pourday.outcome.samples import Sampling, sampling

__all__ = ["Outcome", "PumpTimes", "measure", "pump_times"]

_OVER_AGE = ("rejected: age", "rejected: slump", "part rejected")


@dataclass(frozen=True, eq=False)
class Outcome:
    """One day of one plan, measured. Times in s since midnight, volumes in m³.

    ``days`` is the same as several days have it, of length one.
    """

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
    days: DaysOutcome

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
        return bool(self.days.past_curfew[0])

    @property
    def pump_past_curfew(self) -> bool:
        """Whether wash-out ended after the curfew of the site."""
        return bool(self.days.pump_past_curfew[0])

    @property
    def reliefs(self) -> tuple[Relief, ...]:
        """Who has to be relieved when, because nobody works longer than the longest shift."""
        return reliefs(self.basis, self.hours)


def measure(basis: Basis, log: DayLog, by_group: tuple[Peaks, ...] | None = None) -> Outcome:
    """Measure a day: :func:`pourday.outcome.days.measure_days` of just this one.

    Args:
        basis: the plan's basis.
        log: a day of that plan.
        by_group: peaks of the deck lines where they are known already (heaps that do not vary).
    """
    days = measure_days(basis, (log,))
    known = by_group or group_peaks(basis, log.seed)
    begin, end = days.strip_start[0], days.strip_end[0]
    deck = deck_outcome(basis, known, begin, end)
    return Outcome(
        basis=days.basis,
        log=log,
        fronts=days.fronts,
        strip_start=begin,
        strip_end=end,
        edges=days.edges,
        deck=deck,
        by_group=known,
        pump=days.pump[0],
        hours=days.hours[0],
        finishing=one_finishing(days.basis, days.finishing),
        evaporation_peak=float(days.evaporation_peak[0]),
        evaporation_time=float(days.evaporation_time[0]),
        cost=days.cost[0],
        days=replace(days, deck=days_of_one(deck)),
    )


def pump_times(log: DayLog, front: int | None = None) -> PumpTimes:
    """Share out the time from the first to the last concrete, of one front or of all together."""
    return pump_times_of((log,), front)[0]
