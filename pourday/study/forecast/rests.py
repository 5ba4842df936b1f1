"""The rest of a pour, played many times: one row of figures for each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import BrokenExecutor, Future
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pourday.day.log import DayLog
from pourday.day.play import play_ready, upsets_of_day
from pourday.deck.history import Peaks
from pourday.outcome.base.fronts import volumes_at
from pourday.outcome.deck.peaks import group_peaks
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.base.upsets import CREW_SHORT, PLANT_STOPPED, ROAD_CLOSED, Upset
from pourday.study.engine.here import Here
from pourday.study.engine.jobs import Engine, Numbers, Rows, Work
from pourday.study.engine.run import engine_for
from pourday.study.forecast.begin import draw_of, state_of
from pourday.study.forecast.known import Known
from pourday.study.told import Told, counted, nobody

Floats = NDArray[np.float64]
LOADS = 12
"""Loads still to call that are followed one by one."""
_PLAIN = (
    "finish", "wash_out_end", "cost", "placed", "lost", "unfinished", "loads", "volume", "last",
    "last_call", "holds", "by_now",
)  # fmt: skip
_EACH = ("call", "due", "size", "wait")
_JOB = 20
# What lasts all day goes on although it began before now; what comes and goes is told.
_LASTING = (CREW_SHORT, PLANT_STOPPED, ROAD_CLOSED)


@dataclass(frozen=True, eq=False)
class Rest:
    """The figures of many rests, a row each: times in s since midnight, volumes m³, nan for none.

    ``call`` (rests, LOADS) are when the loads still to call are called, ``due`` when they come,
    ``size`` what they bring, ``wait`` how long they stand (s). ``ratio`` (rests, pairs) is the
    share of its time that each edge pair used, ``begin`` (rests, strips) when each strip is begun.
    """

    values: Floats
    pairs: int

    def of(self, name: str) -> Floats:
        """One figure of every rest, (rests,)."""
        return np.asarray(self.values[:, _PLAIN.index(name)])

    def each(self, name: str) -> Floats:
        """One figure of the loads still to call, (rests, LOADS)."""
        begin = len(_PLAIN) + LOADS * _EACH.index(name)
        return np.asarray(self.values[:, begin : begin + LOADS])

    @property
    def ratio(self) -> Floats:
        """Share of its time to cold that each edge pair used, (rests, pairs)."""
        begin = len(_PLAIN) + LOADS * len(_EACH)
        return np.asarray(self.values[:, begin : begin + self.pairs])

    @property
    def begin(self) -> Floats:
        """When each strip is begun (s), (rests, strips)."""
        return np.asarray(self.values[:, len(_PLAIN) + LOADS * len(_EACH) + self.pairs :])


@dataclass(frozen=True, eq=False)
class Rests(Work):
    """Rests of one pour under way; without ``known`` whole days of its plan."""

    known: Known | None = None
    peaks: tuple[Peaks, ...] | None = None

    def rows(self, days: range, of: Numbers = None) -> Rows:
        """Play and measure the rests with these seeds; there is only one plan."""
        assert self.known is not None
        found = []
        for seed in days:
            outcome, called = rest(self.known, seed, self.peaks)
            found.append(_row(outcome, called, self.known.past.at))
        return Rows(np.array([found]), ())


def rest(known: Known, seed: int, peaks: tuple[Peaks, ...] | None = None) -> tuple[Outcome, int]:
    """The day as it goes on with this seed, measured; how many of its loads are called by now."""
    log, called = rest_log(known, seed)
    return measure(known.basis, log, peaks), called


def rest_log(known: Known, seed: int) -> tuple[DayLog, int]:
    """The log of the day as it goes on with this seed; of an empty file it is the plan's day."""
    if known.past.empty:
        return play_ready(known.plan, seed), 0
    draw = draw_of(known, seed)
    state = state_of(known, draw)
    return play_ready(draw.plan, seed, upsets_ahead(known, seed), state), state.loads_called


def upsets_ahead(known: Known, seed: int) -> tuple[Upset, ...]:
    """What goes wrong after now, and what lasts; who is missing is as it was told."""
    at, scenario = known.past.at, known.basis.scenario
    drawn = upsets_of_day(scenario, known.basis.plan, seed)
    found = [u for u in drawn if u.at > at or (u.kind in _LASTING and not u.drawn)]
    for number, front in enumerate(known.past.fronts):
        if front.people is None:
            continue
        who = str(number + 1)
        crew = scenario.crews[known.basis.plan.fronts[number].crew]
        missing = crew.placers - front.people[0]
        found = [u for u in found if not (u.kind == CREW_SHORT and u.who in ("", who))]
        if missing > 0:
            found.append(Upset(front.people[1], CREW_SHORT, math.inf, who, missing))
    return tuple(sorted(found, key=lambda upset: upset.at))


def _row(outcome: Outcome, called: int, at: float) -> tuple[float, ...]:
    log = outcome.log
    notice = outcome.basis.scenario.call_off.hold_notice
    ahead = [v for v in log.visits if v.number >= called]
    plain = (
        log.end,
        log.wash_out_end,
        outcome.cost.total,
        log.placed,
        sum(v.rejected + v.returned for v in log.visits),
        log.unfinished,
        float(len(ahead)),
        sum(v.volume for v in ahead),
        ahead[-1].volume if ahead else math.nan,
        ahead[-1].batched - notice if ahead else math.nan,
        float(sum(call.kind == "hold" for call in log.calls)),
        float(volumes_at(log, at)[1].sum()),
    )
    loads = np.full((len(_EACH), LOADS), np.nan)
    for k, visit in enumerate(ahead[:LOADS]):
        loads[:, k] = visit.batched - notice, visit.arrived, visit.volume, visit.wait
    return (*plain, *loads.ravel(), *outcome.edges.ratio, *outcome.strip_start)


def play_rests(
    known: Known,
    rests: int,
    plan_days: int,
    first_seed: int = 0,
    workers: int | None = None,
    told: Told = nobody,
) -> tuple[Rest, Rest]:
    """Play so many rests, and so many whole days of the plan with the same seeds.

    Where nothing is told yet, the rests are such days. ``told`` hears how far it is.
    """
    peaks = group_peaks(known.basis, first_seed)
    under_way = _work(known, peaks)
    morning = _work(replace(known, past=replace(known.past, lines=0)), peaks)
    jobs = [(under_way, each) for each in _cut(first_seed, rests)]
    if not known.past.empty:
        jobs += [(morning, each) for each in _cut(first_seed, plan_days)]
    try:
        with engine_for(workers, len(jobs)) as engine:
            found = _all(engine, jobs, told)
    except BrokenExecutor:
        found = _all(Here(), jobs, told)  # somebody ended a worker: here nobody can
    pairs = len(known.basis.pair_first)
    count = len(_cut(first_seed, rests))
    mine = Rest(np.concatenate(found[:count]), pairs)
    plan = Rest(np.concatenate(found[count:]), pairs) if found[count:] else mine
    return mine, plan


def _no_row(_: Any) -> Any:
    """Rests have rows of their own."""
    return ()


def _work(known: Known, peaks: tuple[Peaks, ...]) -> Rests:
    basis = known.basis
    work = Rests(basis.scenario, (basis.plan,), _no_row, known=known, peaks=peaks)
    work.__dict__["bases"] = (basis,)
    return work


def _cut(first: int, days: int) -> list[range]:
    return [range(k, min(k + _JOB, first + days)) for k in range(first, first + days, _JOB)]


def _all(engine: Engine, jobs: Sequence[tuple[Rests, range]], told: Told) -> list[Floats]:
    """The rows of all jobs, in order."""
    handles = {id(work): engine.share(work) for work, _ in jobs}
    asked: list[Future[Rows]] = [engine.rows(handles[id(work)], days) for work, days in jobs]
    return [each.result().values[0] for each in counted(asked, told)]
