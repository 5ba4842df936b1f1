"""What moves the result: one source of chance at a time drawn anew, all others kept.

Every day is played, and played again once for each source that had a say in it. A source that drew
nothing on a day cannot have changed it: that day is not played again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
from numpy.typing import NDArray

from pourday.day.chance.factors import CREW, PLANT, TRAVEL
from pourday.day.chance.sources import SOURCES, source_of
from pourday.day.chance.streams import DaySeed
from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome
from pourday.study.days import Study
from pourday.study.engine.jobs import work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.statistics import Interval, paired_difference
from pourday.study.total_index import total_index

FIGURES = ("end_h", "cost_total", "cold_length_m")
"""What is asked: the finish, the cost, the cold edges; names as in ``study.metrics``."""
LEAST_DAYS = 10
"""A figure that is other than 0 on fewer days than these says nothing of its sources."""
DAY_WIDE = {
    "crew pace of the day": CREW,
    "plant pace of the day": PLANT,
    "travel of the day": TRAVEL,
    "pump output of the day": "output",
    "air of the day": "air shift",
}
"""What is drawn once a day and so can be held low or high, with the stream of each."""
LOW_HIGH = 0.1, 0.9
"""Shares of days that meet a lower value than the one that such a source is held at."""
_SEEN = tuple(source for source in SOURCES if source != "samples")


_DAYS = 1 + len(_SEEN) + 2 * len(DAY_WIDE)


def figures(outcome: Outcome) -> tuple[float, ...]:
    """The figures of a day, in order of :data:`FIGURES`."""
    return outcome.log.end / 3600.0, outcome.cost.total, float(outcome.edges.cold_length.sum())


def again(seed: DaySeed) -> list[DaySeed | None]:
    """The day with each source drawn anew, then with each day-wide one held low and high."""
    return [*redrawn(seed), *held(seed)]


def held(seed: DaySeed) -> list[DaySeed | None]:
    """The day with each day-wide source at its 1 in 10 and at its 9 in 10, in order."""
    return [
        seed.with_held(named, share) if seed.has_drawn(named) else None
        for named in map(_is_one_of, DAY_WIDE.values())
        for share in LOW_HIGH
    ]


def redrawn(seed: DaySeed) -> list[DaySeed | None]:
    """The day with each source drawn anew, in order; ``None`` where it drew nothing by chance."""
    return [seed.with_anew(each) if seed.has_drawn(each) else None for each in map(_is_of, _SEEN)]


@cache
def _is_of(source: str) -> partial[bool]:
    return partial(_belongs, source)


@cache
def _is_one_of(name: str) -> partial[bool]:
    return partial(_is_called, name)


def _is_called(name: str, stream: str) -> bool:
    return stream == name or stream.endswith(f": {name}")


def _belongs(source: str, stream: str) -> bool:
    return source_of(stream) == source


@dataclass(frozen=True)
class Source:
    """A source of chance: total index of each figure; ``nan`` where it cannot be told.

    ``index`` has the figures of :data:`FIGURES`, each 0 to 1 with its 95 % interval.
    """

    name: str
    index: dict[str, Interval]


@dataclass(frozen=True)
class Swing:
    """What a low and a high value of one input do to the mean of each figure.

    ``low`` and ``high`` have the figures of :data:`FIGURES`: mean over the days less that of the
    days as played, paired by day, with its 95 % interval. ``at`` says in words which values.
    """

    name: str
    at: tuple[str, str]
    low: dict[str, Interval]
    high: dict[str, Interval]


@dataclass(frozen=True)
class Sensitivity:
    """What moves the figures of a plan.

    ``sources`` are those that had a say in any day, the one that moves the finish most first;
    ``swings`` what low and high values do to the means.
    ``mean`` and ``sd`` are of each figure over the days as played, ``not_zero`` on how many days
    it was other than 0.
    """

    plan: str
    days: int
    sources: tuple[Source, ...]
    mean: dict[str, float]
    sd: dict[str, float]
    not_zero: dict[str, int]
    swings: tuple[Swing, ...] = ()

    def tells(self, figure: str) -> bool:
        """Whether the days say what moves a figure: it varies, and not on a handful of them."""
        return any(not math.isnan(each.index[figure].value) for each in self.sources)

    def sorted_by(self, figure: str) -> tuple[Source, ...]:
        """The sources by their index of one figure, the largest first."""
        return tuple(sorted(self.sources, key=lambda each: -_known(each.index[figure].value)))


def sensitivity_study(plans: Sequence[Basis], days: int, first_seed: int = 0) -> Study:
    """The study of these plans, no day of it played yet; read it with :func:`sensitivity_of`.

    Raises:
        TooManyDaysError: where its rows would take more than 1 GB.
    """
    plain = work_on(plans, figures)
    work = replace(plain, again=again)
    work.__dict__["bases"] = tuple(plans)
    columns = len(FIGURES) * _DAYS
    return Study(work, Ledger(work, first_seed, days, columns))


def sensitivity_of(study: Study) -> tuple[Sensitivity, ...]:
    """What moves the figures of each plan, over the days that are complete for all plans."""
    ledger = study.ledger
    return tuple(
        sensitivity_from(plan.name, ledger.rows_of(n)) for n, plan in enumerate(study.work.plans)
    )


def sensitivity_from(plan: str, rows: NDArray[np.float64]) -> Sensitivity:
    """The same from rows: figures of the day, then of the day with each source drawn anew."""
    days = len(rows)
    values = rows.reshape(days, _DAYS, len(FIGURES))
    kept = {name: values[:, 0, k] for k, name in enumerate(FIGURES)}
    not_zero = {name: int(np.count_nonzero(each)) for name, each in kept.items()}
    found = []
    for n, source in enumerate(_SEEN, start=1):
        if (values[:, n] != values[:, 0]).any():
            index = {
                name: _index(kept[name], values[:, n, k], not_zero[name])
                for k, name in enumerate(FIGURES)
            }
            found.append(Source(source, index))
    found.sort(key=lambda each: -_known(each.index[FIGURES[0]].value))
    return Sensitivity(
        plan=plan,
        days=days,
        sources=tuple(found),
        mean={name: float(each.mean()) for name, each in kept.items()},
        sd={name: float(each.std(ddof=1)) if days > 1 else 0.0 for name, each in kept.items()},
        not_zero=not_zero,
        swings=_day_wide(values),
    )


def _day_wide(values: NDArray[np.float64]) -> tuple[Swing, ...]:
    """Swings of the day-wide sources that changed any day."""
    kept, first = values[:, 0], 1 + len(_SEEN)
    out = []
    for n, name in enumerate(DAY_WIDE):
        low, high = (values[:, first + 2 * n + k] for k in (0, 1))
        if (low != kept).any() or (high != kept).any():
            at = "1 day in 10", "9 days in 10"
            out.append(Swing(name, at, swing_of(kept, low), swing_of(kept, high)))
    return tuple(sorted(out, key=_reach, reverse=True))


def _reach(swing: Swing) -> float:
    """How far a swing moves the first figure at most."""
    return max(abs(each[FIGURES[0]].value) for each in (swing.low, swing.high))


def swing_of(kept: NDArray[np.float64], other: NDArray[np.float64]) -> dict[str, Interval]:
    """How far the means of other days lie from those as played, both (days, figures)."""
    return {name: paired_difference(kept[:, k], other[:, k]) for k, name in enumerate(FIGURES)}


def _index(kept: NDArray[np.float64], redrawn: NDArray[np.float64], not_zero: int) -> Interval:
    if len(kept) < LEAST_DAYS or not_zero < LEAST_DAYS:
        return Interval(math.nan, math.nan, math.nan)
    return total_index(kept, redrawn)


def _known(value: float) -> float:
    return -1.0 if math.isnan(value) else value
