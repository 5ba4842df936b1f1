"""Many days of one plan priced line by line: means that add up, and what a tender has to allow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis
from pourday.outcome.days import DaysOutcome
from pourday.outcome.price.items import CONCRETE, HOUR, Item, item_of
from pourday.outcome.price.labour import labour, overtime_keys
from pourday.outcome.price.lines import keys_of
from pourday.outcome.price.people import FINISHERS, jobs_in
from pourday.outcome.price.supply import plants_own
from pourday.study.days import Study
from pourday.study.engine.jobs import work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.engine.run import engine_for, run
from pourday.study.quantiles import beyond_mean, order_interval
from pourday.study.statistics import Interval, mean_interval

HALF, EIGHT, NINE = 0.5, 0.8, 0.9
"""Half the days, 8 days in 10, 9 days in 10."""
WASTE = ("over_age", "surplus", "sag", "line", "plants_own")
_OF_ITSELF = ("standby", "night", "weekend", "least")
"""Lines that cost nothing only where somebody said so."""
_SUMS = ("total", "pour_h", "placed_m3", "unfinished_m3", "relief_h", *WASTE)


@dataclass(frozen=True)
class PriceLine:
    """A line over all days: mean quantity, mean amount, and on how many days it came up."""

    key: str
    quantity: float
    amount: float
    days: int

    @property
    def item(self) -> Item:
        """What it is called, and whose money it is."""
        return item_of(self.key)

    @property
    def rate(self) -> float:
        """What a unit of it costs: amount by quantity, 0 where there is none of it."""
        return self.amount / self.quantity if self.quantity else 0.0


@dataclass(frozen=True)
class WasteLine:
    """Concrete that is not floor as drawn (m³): mean of all days, and on how many it came up.

    ``amount`` is its own price, and its disposal where it does not stay; it stands in the lines.
    """

    key: str
    volume: float
    days: int
    amount: float


@dataclass(frozen=True)
class BayLine:
    """What falls to a bay: m², m³, hours of placing, money."""

    bay: str
    area: float
    volume: float
    placing: float
    amount: float


@dataclass(frozen=True, eq=False)
class PricedPlan:
    """A plan's price over its days, in the scenario's currency.

    ``lines`` are all lines, those too that come to nothing; their amounts add up to ``mean.value``.
    ``totals`` are the days one by one, (days,). ``half``, ``eight`` and ``nine`` are what half the
    days, 8 in 10 and 9 in 10 cost at most; ``allowance`` is what 8 days in 10 stay within beyond
    the mean, with its interval. ``hours`` (job, key of a labour line) -> mean hours a day.
    """

    plan: str
    first_seed: int
    lines: tuple[PriceLine, ...]
    totals: NDArray[np.float64]
    mean: Interval
    half: Interval
    eight: Interval
    nine: Interval
    allowance: Interval
    hours: Mapping[tuple[str, str], float]
    relief_h: float
    waste: tuple[WasteLine, ...]
    bays: tuple[BayLine, ...]
    area: float
    placed: float
    pour_h: float
    unfinished: tuple[float, int]

    @property
    def days(self) -> int:
        """How many days were played."""
        return len(self.totals)

    @property
    def without_price(self) -> tuple[PriceLine, ...]:
        """Lines that the days have something of, and the file no price for."""
        return tuple(
            line
            for line in self.lines
            if line.quantity > 0 and not line.amount and line.key not in _OF_ITSELF
        )

    @property
    def man_hours(self) -> float:
        """Hours worked a day by all people, overtime in them, mean; the least call is not."""
        keys = {"plain", *(key for _, key in self.hours if key.startswith("overtime"))}
        return sum(hours for (_, key), hours in self.hours.items() if key in keys)


def price_rows(outcome: DaysOutcome) -> NDArray[np.float64]:
    """Days as rows of figures (D, columns), in the order of :func:`columns`."""
    return np.array([_row(outcome, day) for day in range(outcome.basis.days)])


def _row(outcome: DaysOutcome, day: int) -> tuple[float, ...]:
    basis, log, cost = outcome.basis, outcome.logs[day], outcome.cost[day]
    people = labour(basis, outcome.hours[day])
    bays = defaultdict[str, list[float]](lambda: [0.0, 0.0])
    for s in log.stretches:
        if s.strip >= 0:
            mine = bays[basis.layout.strips[s.strip].bay]
            mine[0] += s.volume_end - s.volume_start
            mine[1] += (s.end - s.start) / HOUR
    own = [v for v in log.visits if plants_own(basis, v)]
    figures = {
        "total": cost.total,
        "pour_h": (log.end - log.start) / HOUR,
        "placed_m3": log.placed,
        "unfinished_m3": log.unfinished,
        "relief_h": people.reliefs,
        "over_age": sum(v.rejected for v in log.visits) - sum(v.rejected for v in own),
        "surplus": sum(v.returned for v in log.visits),
        "sag": basis.layout.ponding,
        "line": log.held,
        "plants_own": sum(v.rejected for v in own),
    }
    return (
        *(value for line in cost.lines for value in (line.quantity, line.amount)),
        *(float(figures[name]) for name in _SUMS),
        *(people.by_job.get(each, 0.0) for each in _jobs(basis)),
        *(value for bay in _bays(basis) for value in bays[bay]),
    )


def columns(basis: Basis) -> tuple[str, ...]:
    """Names of the figures of a row, the same on all days of a plan."""
    return (
        *(f"{what} {key}" for key in keys_of(basis.scenario.prices) for what in ("n", "money")),
        *_SUMS,
        *(f"hours {job} {key}" for job, key in _jobs(basis)),
        *(f"{what} {bay}" for bay in _bays(basis) for what in ("m3", "h")),
    )


def price_study(basis: Basis, days: int, first_seed: int = 0) -> Study:
    """The study of a plan's price, no day of it played yet.

    Raises:
        TooManyDaysError: where its rows would take more than 1 GB.
    """
    work = work_on((basis,), price_rows)
    return Study(work, Ledger(work, first_seed, days, len(columns(basis))))


def priced_days(
    basis: Basis,
    days: int,
    first_seed: int = 0,
    workers: int | None = None,
    told: Callable[[int], None] = lambda days: None,
) -> PricedPlan:
    """Play the days of a plan and price them; arguments as ``study_plans``."""
    study = price_study(basis, days, first_seed)
    with engine_for(workers, len(study.ledger.jobs)) as engine:
        run(engine, study.work, study.ledger, told)
    return priced(basis, study.ledger)


def priced(basis: Basis, ledger: Ledger) -> PricedPlan:
    """The price of a plan over the days that are complete."""
    rows = dict(zip(columns(basis), ledger.rows_of(0).T, strict=True))
    totals = rows["total"]
    mean, eight = mean_interval(totals), order_interval(totals, EIGHT)
    lines = tuple(
        PriceLine(
            key,
            float(rows[f"n {key}"].mean()),
            float(rows[f"money {key}"].mean()),
            int(np.count_nonzero(rows[f"n {key}"] > 1e-9)),
        )
        for key in keys_of(basis.scenario.prices)
    )
    beyond = beyond_mean(totals, EIGHT)
    return PricedPlan(
        plan=basis.plan.name,
        first_seed=ledger.first_seed,
        lines=lines,
        totals=totals,
        mean=mean,
        half=order_interval(totals, HALF),
        eight=eight,
        nine=order_interval(totals, NINE),
        allowance=Interval(*(max(0.0, end) for end in (beyond.value, beyond.low, beyond.high))),
        hours={each: float(rows[f"hours {each[0]} {each[1]}"].mean()) for each in _jobs(basis)},
        relief_h=float(rows["relief_h"].mean()),
        waste=tuple(_waste(basis, key, rows[key]) for key in WASTE),
        bays=_by_bay(basis, rows, lines),
        area=sum(strip.area for strip in basis.layout.strips),
        placed=float(rows["placed_m3"].mean()),
        pour_h=float(rows["pour_h"].mean()),
        unfinished=(
            float(rows["unfinished_m3"].mean()),
            int(np.count_nonzero(rows["unfinished_m3"] > 0)),
        ),
    )


def _waste(basis: Basis, key: str, volumes: NDArray[np.float64]) -> WasteLine:
    prices, volume = basis.scenario.prices, float(volumes.mean())
    rate = 0.0 if key == "plants_own" else prices.concrete
    rate += prices.returned if key in ("over_age", "surplus") else 0.0
    return WasteLine(key, volume, int(np.count_nonzero(volumes > 1e-9)), volume * rate)


def _by_bay(
    basis: Basis, rows: Mapping[str, NDArray[np.float64]], lines: tuple[PriceLine, ...]
) -> tuple[BayLine, ...]:
    """Money by bay: what belongs to concrete by m³, all else by the time of placing."""
    names = _bays(basis)
    volume = {bay: float(rows[f"m3 {bay}"].mean()) for bay in names}
    time = {bay: float(rows[f"h {bay}"].mean()) for bay in names}
    area = dict.fromkeys(names, 0.0)
    for strip in basis.layout.strips:
        area[strip.bay] += strip.area
    concrete = sum(line.amount for line in lines if line.item.group == CONCRETE)
    rest = sum(line.amount for line in lines) - concrete
    all_m3, all_h = sum(volume.values()), sum(time.values())
    return tuple(
        BayLine(
            bay,
            area[bay],
            volume[bay],
            time[bay],
            concrete * _share(volume[bay], all_m3) + rest * _share(time[bay], all_h),
        )
        for bay in names
    )


def _share(part: float, whole: float) -> float:
    return part / whole if whole > 0 else 0.0


def _bays(basis: Basis) -> tuple[str, ...]:
    """The bays of the floor in the order in which they are begun."""
    return tuple(dict.fromkeys(strip.bay for strip in basis.layout.strips))


def _jobs(basis: Basis) -> tuple[tuple[str, str], ...]:
    """Every job of the plan's crews with every band of hours."""
    crews = [basis.scenario.crews[front.crew] for front in basis.plan.fronts]
    jobs = dict.fromkeys(job for crew in crews for job in jobs_in(crew))
    if any(crew.finishers for crew in crews):
        jobs[FINISHERS] = None
    bands = ("plain", *overtime_keys(basis.scenario.prices), "least", "night", "weekend")
    return tuple((job, band) for job in jobs for band in bands)
