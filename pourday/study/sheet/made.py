"""A sheet put together: many days of a plan in, what its paper says out."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np

from pourday.day.front.people import break_times
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.peaks import mean_peaks, most_used
from pourday.outcome.deck.sag_gauges import sag_gauges
from pourday.outcome.measure import Outcome
from pourday.scenario.base.trade import SKIP
from pourday.scenario.model.site import IN_TURN
from pourday.study.days import Study, one_day
from pourday.study.engine.jobs import work_on
from pourday.study.engine.ledger import Ledger
from pourday.study.sheet.row import DaysOfSheet, bays_of, days_of, sheet_rows, width
from pourday.study.sheet.says import FinishRow, FrontTimes, LoadRow, Pass, Sheet, StripRow, When
from pourday.study.sheet.stops import end_letters, stop_parts

DAY = 86400.0
_NEVER = When(math.nan, math.nan)


def sheet_study(basis: Basis, days: int, first_seed: int = 0) -> Study:
    """The days of a plan that its sheet is made from, none of them played yet.

    Raises:
        TooManyDaysError: where their rows would take more than 1 GB.
    """
    work = work_on((basis,), sheet_rows)
    return Study(work, Ledger(work, first_seed, days, width(basis)))


def sheet_of(study: Study, made_on: date) -> Sheet:
    """What the sheet of a plan says, from the days of :func:`sheet_study` that are played.

    Samples and the look-out list are those of the first day: samples are drawn by lot, and the
    lot is drawn once.
    """
    basis, ledger = study.work.bases[0], study.ledger
    rows = ledger.rows_of(0)
    days = days_of(basis, rows)
    first = one_day(basis, ledger.first_seed)
    weather, site = basis.scenario.weather, basis.scenario
    letters = end_letters(basis)
    wet = [shower.chance for shower in weather.rain]
    return Sheet(
        basis=basis,
        days=len(rows),
        made_on=made_on,
        fronts=tuple(_front(basis, days, n) for n in range(len(basis.plan.fronts))),
        finishers_leave=when(days.leave),
        strips=_strips(basis, days),
        letters=letters,
        loads=_loads(basis, days, first),
        loads_by=math.ceil(float(np.percentile(days.loads, 90.0)) - 1e-9),
        balance_after=_balance_after(days),
        sample_rule=first.sampling.rule,
        stops=stop_parts(basis, days),
        gauges=sag_gauges(basis),
        deck_share=most_used(mean_peaks(basis)),
        frozen=first.cold.area_frost,
        look_out=first.look_out,
        finish=tuple(_finish(basis, days, bay) for bay in range(len(bays_of(basis)))),
        props_to=_props_to(basis, days),
        volume=float(basis.layout.volume.sum()),
        air=(min(weather.air), max(weather.air)),
        wind=(min(weather.wind), max(weather.wind)),
        humidity=(min(weather.humidity), max(weather.humidity)),
        rain=1.0 - math.prod(1.0 - share for share in wet),
        age_limit=site.supply.age_rule.limit_at(max(weather.air)),
        spares=_spares(basis),
    )


def when(times: Floats) -> When:
    """The middle day and 9 days in 10 of times (days,), nan left out."""
    there = times[np.isfinite(times)]
    if not len(there):
        return _NEVER
    about, by = np.percentile(there, (50.0, 90.0))
    return When(float(about), float(by))


def lasts(times: Floats) -> float:
    """How long something lasts on 9 days in 10 (s), down to 5 min; nan where it lasts for ever.

    ``times`` (days,) s, nan left out.
    """
    there = times[~np.isnan(times)]
    if not len(there):
        return math.nan
    least = float(np.percentile(there, 10.0, method="lower"))
    return math.floor(least / 300.0 + 1e-9) * 300.0 if math.isfinite(least) else math.nan


def _front(basis: Basis, days: DaysOfSheet, number: int) -> FrontTimes:
    scenario, front = basis.scenario, basis.plan.fronts[number]
    pump = scenario.pumps[front.pump]
    breaks = break_times(scenario.site, front.start)
    until = when(days.last[:, number])
    crew = scenario.crews[front.crew]
    # In turn a third is away at a time: the front goes on, the break lasts three times as long.
    times = 3.0 if crew.breaks_taken == IN_TURN else 1.0
    return FrontTimes(
        set_up=front.start - pump.setup.mean - pump.prime.mean,
        start=front.start,
        breaks=tuple((at, at + times * length) for at, length in breaks if at < until.about),
        last_concrete=until,
        washed_out=when(days.washed_out[:, number]),
    )


def _strips(basis: Basis, days: DaysOfSheet) -> tuple[StripRow, ...]:
    layout = basis.layout
    so_far = np.cumsum(layout.volume)
    return tuple(
        StripRow(
            number=k + 1,
            name=strip.name,
            bay=strip.bay,
            front=layout.front_of[k],
            way=strip.along,
            rising=layout.upward[k],
            volume=float(layout.volume[k]),
            so_far=float(so_far[k]),
            begins=when(days.begin[:, k]),
            full=when(days.end[:, k]),
            cover_within=lasts(days.cover_within[:, k]),
        )
        for k, strip in enumerate(layout.strips)
    )


def _loads(basis: Basis, days: DaysOfSheet, first: Outcome) -> tuple[LoadRow, ...]:
    """As many loads of each front as the middle day has; a load that few days have is none."""
    rows: list[tuple[float, int, float, When, bool]] = []
    for front in range(days.due.shape[1]):
        there = np.isfinite(days.due[:, front])
        count = int(np.median(there.sum(axis=1)))
        for k in range(count):
            due = when(days.due[:, front, k])
            called = when(days.called[:, front, k]).about
            rows.append((due.about, front, called, due, k == count - 1))
    rows.sort(key=lambda row: row[:2])
    sampled = {sample.load for sample in first.sampling.samples}
    volume = basis.plan.load or basis.scenario.supply.load
    so_far = [0.0] * days.due.shape[1]
    out = []
    for number, (_, front, call_at, due, balance) in enumerate(rows):
        so_far[front] += volume
        out.append(
            LoadRow(
                number=number + 1,
                front=front,
                call_at=call_at,
                due=due,
                volume=math.nan if balance else volume,
                so_far=math.nan if balance else so_far[front],
                sampled=number in sampled,
                balance=balance,
            )
        )
    return tuple(out)


def _balance_after(days: DaysOfSheet) -> int:
    full = days.full_before[np.isfinite(days.full_before)]
    return int(np.median(full)) if len(full) else 0


def _finish(basis: Basis, days: DaysOfSheet, bay: int) -> FinishRow:
    name, layout = bays_of(basis)[bay], basis.layout
    mine = [k for k, strip in enumerate(layout.strips) if strip.bay == name]
    passes = tuple(
        Pass(when(days.from_[:, bay, k]).about, lasts(days.to[:, bay, k]))
        for k in range(days.from_.shape[2])
    )
    return FinishRow(
        bay=name,
        first=mine[0] + 1,
        last=mine[-1] + 1,
        volume=float(layout.volume[mine].sum()),
        bull_float=when(days.bull_float[:, bay]).about,
        passes=passes,
        covered=when(days.covered[:, bay]).about,
        cure_to=_date(basis, days.cured_from[:, bay], basis.scenario.curing.damp),
    )


def _props_to(basis: Basis, days: DaysOfSheet) -> date | None:
    if not basis.scenario.props.lines_x:
        return None
    return _date(basis, np.nanmax(days.cured_from, axis=1), basis.scenario.curing.props)


def _date(basis: Basis, begins: Floats, length: float) -> date | None:
    """The date on which so long (s) after curing began is over on 9 days in 10; None for no time.

    The last day counts whole: nothing ends in the middle of it.
    """
    by = when(begins).by
    if length <= 0.0 or not math.isfinite(by):
        return None
    return basis.scenario.date + timedelta(days=math.ceil((by + length) / DAY) - 1)


def _spares(basis: Basis) -> tuple[str, ...]:
    """Other means of placing that the file knows, in words."""
    scenario, plan = basis.scenario, basis.plan
    used = [front.pump for front in plan.fronts]
    out = [f"pump {n + 1} ({name})" for n, name in enumerate(used) if len(used) > 1]
    if plan.standby_after is not None:
        out.append("the stand-by pump")
    for name, pump in scenario.pumps.items():
        if name not in used:
            out.append(f"{name} (crane and skip)" if pump.means == SKIP else name)
    return tuple(dict.fromkeys(out))
