"""The forecast made before a pour against what happened, and the minutes of each cause."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from pourday.day.front.ready import Ready, ready
from pourday.day.play import play_ready
from pourday.outcome.base.basis import Basis, Floats
from pourday.study.afterwards.imposed import Told, causes_of, told_of
from pourday.study.afterwards.seen import NotOverError, Seen, seen_of_log, seen_of_tickets
from pourday.study.forecast.forecast import Band, band
from pourday.study.statistics import Interval, clopper_pearson
from pourday.study.told import Told as Hears
from pourday.study.told import counted, nobody, within
from pourday.tickets.read import Tickets

DAYS, CAUSE_DAYS = 200, 12
SHARE = 0.8
"""Of the days of the plan so many lie in the band."""
BETWEEN, MIDDLE, REST = "between trucks", "mean day", "rest"
"""What is left: minutes from truck to truck beyond what the causes make (of one front; of several
nobody can say which front's count), the mean day of the forecast less its middle one, and the
unexplained."""
# A time is noted to the minute, so it is known to half of one (s); a volume to half of 0.1 m³.
_HALF_MINUTE, _HALF_TENTH = 30.0, 0.05


@dataclass(frozen=True)
class Figure:
    """A figure of a pour: its forecast, what it was, and whether it lay inside.

    ``unit`` "clock" and "time" are s, "rate" m³/s, "volume" m³.
    """

    name: str
    unit: str
    forecast: Band
    was: float
    inside: bool


@dataclass(frozen=True)
class Cause:
    """So much later (s; earlier below 0) the finish was for it; ``alone`` if it had come alone.

    ``error`` (s) is the standard error of ``late`` by the days played, nan where it is not known.
    """

    name: str
    late: float
    alone: float
    error: float = math.nan


@dataclass(frozen=True, eq=False)
class Pour:
    """One pour that is over: figures, causes by minutes, and the means of the plan's days.

    ``late`` (s) is what ``causes`` add up to: the finish less that of the forecast ("about").
    ``usual`` are the days of the plan.
    """

    seen: Seen
    figures: tuple[Figure, ...]
    causes: tuple[Cause, ...]
    late: float
    told: Told
    usual: tuple[Seen, ...]


@dataclass(frozen=True)
class Coverage:
    """So many of ``n`` pours had a figure inside; the share's 95 % interval holds 80 %, or not."""

    name: str
    inside: int
    n: int
    share: Interval

    @property
    def fits(self) -> bool:
        """Whether that many inside can be by chance where 80 % are inside in the long run."""
        return self.share.low <= SHARE <= self.share.high


@dataclass(frozen=True, eq=False)
class Afterwards:
    """Pours of one plan against its forecast of ``days`` days; ``cause_days`` for each cause."""

    basis: Basis
    pours: tuple[Pour, ...]
    coverage: tuple[Coverage, ...]
    days: int
    cause_days: int

    def mean_causes(self) -> tuple[Cause, ...]:
        """Causes over all pours, their mean minutes, the largest first and the rest last."""
        names = dict.fromkeys(cause.name for pour in self.pours for cause in pour.causes)
        n = len(self.pours)
        found = [
            Cause(
                name,
                sum(c.late for p in self.pours for c in p.causes if c.name == name) / n,
                sum(c.alone for p in self.pours for c in p.causes if c.name == name) / n,
            )
            for name in names
        ]
        return _ordered(found)


_FIGURES: tuple[tuple[str, str, Callable[[Seen], float]], ...] = (
    ("finish", "clock", lambda day: day.account.finish),
    ("first concrete", "clock", lambda day: day.account.first_on),
    ("trip", "time", lambda day: _mean(day.trips)),
    ("truck waits", "time", lambda day: _mean(_waits(day))),
    ("longest wait", "time", lambda day: max(_waits(day), default=math.nan)),
    ("no truck", "time", lambda day: day.account.no_truck),
    ("stops", "time", lambda day: day.account.stops),
    ("pace at the pump", "rate", lambda day: day.flow_rate),
    ("placed an hour", "rate", lambda day: _overall(day)),
    ("ordered", "volume", lambda day: day.volume("ordered")),
    ("placed", "volume", lambda day: day.volume("placed")),
    ("sent away", "volume", lambda day: day.volume("away")),
)


def _mean(values: Sequence[float]) -> float:
    known = [value for value in values if math.isfinite(value)]
    return sum(known) / len(known) if known else math.nan


def _waits(day: Seen) -> list[float]:
    """How long trucks stood before they were on (s), gate and position counted."""
    return [
        load.on - load.arrived
        for load in day.placing
        if load.on is not None and load.arrived is not None and not {"in", "on"} & load.guessed
    ]


def _overall(day: Seen) -> float:
    return day.volume("placed") / max(1.0, day.account.finish - day.account.first_on)


_FORECAST_SHARE = 0.4  # of the time that one pour takes; the rest goes to its causes


def afterwards(
    basis: Basis,
    tickets: Sequence[Tickets],
    days: int = DAYS,
    cause_days: int = CAUSE_DAYS,
    first_seed: int = 0,
    hears: Hears = nobody,
) -> Afterwards:
    """The forecast of a plan against the tickets of one pour of it or more.

    Args:
        basis: the plan's basis.
        tickets: those of each pour, all of them of this plan.
        days: how many days of the plan make the forecast, 2 or more.
        cause_days: how many of them are played again for each set of causes.
        first_seed: number of the first day; the same number gives the same answer.
        hears: hears how far it is.

    Raises:
        NotOverError: where tickets are not those of a whole pour.
    """
    plan = ready(basis.scenario, basis.plan, basis.layout)
    seen = [_seen(basis, plan, told, n) for n, told in enumerate(tickets)]
    usual = forecast_days(plan, days, first_seed, within(hears, 0.0, _FORECAST_SHARE))
    rest = within(hears, _FORECAST_SHARE, 1.0)
    pours = tuple(_pour(plan, each, usual, cause_days, first_seed) for each in counted(seen, rest))
    return Afterwards(basis, pours, _coverage(pours), days, min(days, cause_days))


def _seen(basis: Basis, plan: Ready, tickets: Tickets, number: int) -> Seen:
    try:
        return seen_of_tickets(basis, plan, tickets)
    except NotOverError as error:
        error.pour = number
        raise


def forecast_days(plan: Ready, days: int, first_seed: int = 0, hears: Hears = nobody) -> list[Seen]:
    """The days of the plan that the forecast is made of, in the figures of tickets."""
    seeds = range(first_seed, first_seed + days)
    return [seen_of_log(plan, play_ready(plan, seed)) for seed in counted(seeds, hears)]


def figures_of(seen: Seen, usual: Sequence[Seen]) -> tuple[Figure, ...]:
    """Every figure of a pour against the days of its plan."""
    out = []
    for name, unit, of in _FIGURES:
        found, was = band(np.array([of(day) for day in usual])), of(seen)
        spare = _HALF_TENTH if unit == "volume" else _HALF_MINUTE
        if unit == "rate":  # it rests on times of minutes: as far out as the finish may be
            spare = was * _HALF_MINUTE / max(1.0, seen.account.finish - seen.account.first_on)
        inside = found.low - spare <= was <= found.by + spare
        out.append(Figure(name, unit, found, was, inside))
    return tuple(out)


def _pour(plan: Ready, seen: Seen, usual: Sequence[Seen], cause_days: int, first_seed: int) -> Pour:
    figures = figures_of(seen, usual)
    told = told_of(plan, seen)
    late = figures[0].was - figures[0].forecast.about
    seeds = [first_seed + k for k in _spread_days(usual, cause_days)]
    return Pour(seen, figures, _causes(told, late, seeds), late, told, tuple(usual))


def _spread_days(usual: Sequence[Seen], count: int) -> list[int]:
    """So many days from the earliest finish to the latest, evenly: a few that stand for all."""
    by_finish = sorted(range(len(usual)), key=lambda k: (usual[k].account.finish, k))
    count = min(count, len(usual))
    return [by_finish[int((k + 0.5) * len(usual) / count)] for k in range(count)]


def _causes(told: Told, late: float, seeds: Sequence[int]) -> tuple[Cause, ...]:
    """The minutes of each cause; what is left by minutes from truck to truck, and the rest.

    A cause has the mean of what it adds in 2 n orders of the n causes: each begins at another cause
    and goes round, both ways. So each stands at every place equally often, and what all of them
    add up to is the day with all of them imposed, less the day with none (the Shapley value over
    these orders: L. S. Shapley, A value for n-person games, 1953; from memory).
    """
    names = [name for name in causes_of(told.seen) if told.makes_a_difference(name)]

    @cache
    def _days(which: frozenset[str]) -> tuple[Floats, Floats]:
        """Finish (s) of each day, and its time from truck to truck (s)."""
        days = told.play([name for name in names if name in which], seeds)
        return np.array([d.account.finish for d in days]), np.array([_between(d) for d in days])

    share = {name: np.zeros(len(seeds)) for name in names}
    orders = [(*names[k:], *names[:k]) for k in range(len(names))]
    orders += [order[::-1] for order in orders]
    for order in orders:
        before = frozenset[str]()
        for name in order:
            share[name] = share[name] + (_days(before | {name})[0] - _days(before)[0]) / len(orders)
            before |= {name}
    none = float(_days(frozenset())[0].mean())
    whole, between = (float(each.mean()) for each in _days(frozenset(names)))
    found = [
        Cause(name, float(by.mean()), float(_days(frozenset({name}))[0].mean()) - none, _error(by))
        for name, by in share.items()
    ]
    found += [Cause(name, 0.0, 0.0) for name in causes_of(told.seen) if name not in names]
    beyond = 0.0
    if len(told.plan.fronts) == 1:
        beyond = _between(told.seen) - between
        found.append(Cause(BETWEEN, beyond, beyond, _error(_days(frozenset(names))[1])))
    end = told.seen.account.finish
    middle, rest = none - (end - late), end - whole - beyond
    return _ordered([*found, Cause(MIDDLE, middle, middle), Cause(REST, rest, rest)])


def _error(each: Floats) -> float:
    """Standard error (s) of a mean over days; those stand for all evenly, so it is at most this."""
    return float(each.std(ddof=1)) / math.sqrt(len(each)) if len(each) > 1 else math.nan


def _between(day: Seen) -> float:
    return day.account.no_truck + day.account.changes


def _ordered(causes: Sequence[Cause]) -> tuple[Cause, ...]:
    """Most minutes first, later or earlier; the rest last."""
    return tuple(sorted(causes, key=lambda cause: (cause.name == REST, -abs(cause.late))))


def _coverage(pours: Sequence[Pour]) -> tuple[Coverage, ...]:
    out = []
    for k, (name, _, _) in enumerate(_FIGURES):
        known = [pour.figures[k] for pour in pours if math.isfinite(pour.figures[k].was)]
        if known:
            inside = sum(figure.inside for figure in known)
            out.append(
                Coverage(name, inside, len(known), clopper_pearson(inside, len(known), 0.95))
            )
    return tuple(out)
