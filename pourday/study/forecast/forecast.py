"""The forecast of a pour under way, gathered: what is to be done next, and against the plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis
from pourday.outcome.cost import Harm, Hours, cost_of
from pourday.outcome.deck.look_out import LookOut
from pourday.outcome.edges.open_edges import OpenEdge
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import Scene, scene
from pourday.study.forecast.factors import Factor
from pourday.study.forecast.known import Known, known_of
from pourday.study.forecast.lost import LostEdge, lost_edges
from pourday.study.forecast.past import Past, ToldStop
from pourday.study.forecast.rests import LOADS, Floats, Rest, play_rests, rest
from pourday.tickets.read import Tickets

RESTS, PLAN_DAYS = 200, 25
BY = 0.9
"""What comes "by" a time comes by it in 9 rests of 10; "about" is the middle one."""
LONG_WAIT = 20 * 60.0
"""A load that would stand longer than this (s) is better held; common practice, no source."""


@dataclass(frozen=True)
class Band:
    """A figure over all rests: 1 in 10 below ``low``, the middle one, 9 in 10 below ``by``."""

    low: float
    about: float
    by: float


@dataclass(frozen=True)
class EdgeAhead:
    """An open edge: ``left`` s until it is lost, and in what share of rests it is."""

    edge: OpenEdge
    left: float
    lost_share: float


@dataclass(frozen=True)
class LoadAhead:
    """A load still to call: when to call it, when it comes, how long it stands (s), m³, and in
    what share of rests it is wanted at all."""

    call: Band
    due: Band
    wait: Band
    volume: float
    share: float


@dataclass(frozen=True)
class Money:
    """What is spent by now, what is to come, and what the plan said for all of it."""

    so_far: float
    to_come: Band
    plan: Band


@dataclass(frozen=True, eq=False)
class Forecast:
    """A pour at ``at`` (s since midnight), and what is to come. Times in s, volumes in m³.

    ``plan_placed`` is what the plan has in by now, ``total`` (m³) what the strips take;
    ``granted`` loads were taken to be on the road though nobody told of them. ``hold`` is the
    index into ``loads`` of the next to be held, None for none. ``guessed`` are loads whose
    times were guessed: ticket and what.
    """

    basis: Basis
    past: Past
    at: float
    finish: Band
    wash_out: Band
    plan_finish: Band
    plan_wash_out: Band
    placed: float
    plan_placed: Band
    total: float
    scene: Scene
    granted: int
    edges: tuple[EdgeAhead, ...]
    lost: tuple[LostEdge, ...]
    new_cold: float
    loads: tuple[LoadAhead, ...]
    loads_to_call: Band
    volume_to_call: Band
    balance: Band
    hold: int | None
    look_out: tuple[LookOut, ...]
    money: Money
    travel: Factor
    crew: Factor
    use: float
    unfinished_share: float
    stop: tuple[ToldStop, ...]
    guessed: tuple[tuple[str, tuple[str, ...]], ...]
    rests: int

    @property
    def finished(self) -> bool:
        """Whether the last concrete is in."""
        return self.finish.by <= self.at


def band(values: Floats) -> Band:
    """Quantiles of the values that there are; nan where there is none."""
    found = values[np.isfinite(values)]
    if not len(found):
        return Band(math.nan, math.nan, math.nan)
    low, about, by = np.quantile(found, [1.0 - BY, 0.5, BY])
    return Band(float(low), float(about), float(by))


def forecast(
    basis: Basis,
    tickets: Tickets,
    at: float,
    rests: int = RESTS,
    first_seed: int = 0,
    workers: int | None = None,
) -> Forecast:
    """What the rest of a pour will be like, after what its tickets say up to ``at`` (s).

    Args:
        basis: the plan's basis.
        tickets: what was told.
        at: now, s since midnight of the pour day.
        rests: how many rests are played, 1 or more.
        first_seed: seed of the first rest; the same seed gives the same forecast.
        workers: processes; all cores unless told.
    """
    known = known_of(basis, tickets, at)
    played = play_rests(known, rests, min(rests, PLAN_DAYS), first_seed, workers)
    return gathered(known, at, first_seed, played)


def gathered(known: Known, at: float, first_seed: int, played: tuple[Rest, Rest]) -> Forecast:
    """The forecast for ``at`` (s) of rests and days of the plan that :func:`play_rests` played."""
    mine, plan = played
    one, called = rest(known, first_seed)
    now = scene(one, at)
    loads = _loads(mine)
    past = known.past
    return Forecast(
        basis=known.basis,
        past=past,
        at=at,
        finish=band(mine.of("finish")),
        wash_out=band(mine.of("wash_out_end")),
        plan_finish=band(plan.of("finish")),
        plan_wash_out=band(plan.of("wash_out_end")),
        placed=now.placed,
        plan_placed=band(plan.of("by_now")),
        total=now.total,
        scene=now,
        granted=0 if past.empty else called - len(past.loads),
        edges=_edges(now, mine),
        lost=lost_edges(one, now),
        new_cold=float(((np.nan_to_num(mine.ratio) > 1.0).sum(axis=1) > now.cold).mean()),
        loads=loads,
        loads_to_call=band(mine.of("loads")),
        volume_to_call=band(mine.of("volume")),
        balance=band(mine.of("last")),
        hold=next((k for k, load in enumerate(loads) if load.wait.about > LONG_WAIT), None),
        look_out=_look_out(one, mine, at),
        money=_money(known, one, mine, plan),
        travel=known.so_far.travel,
        crew=known.so_far.crew,
        use=known.use,
        unfinished_share=float((mine.of("unfinished") > 1e-6).mean()),
        stop=tuple(front.stop for front in past.fronts if front.stop is not None),
        guessed=tuple(
            (load.ticket, tuple(sorted(load.guessed))) for load in past.loads if load.guessed
        ),
        rests=len(mine.values),
    )


def _edges(now: Scene, mine: Rest) -> tuple[EdgeAhead, ...]:
    """Open edges, the nearest to be lost first; fronts that stand inside a strip among them."""
    lost = (np.nan_to_num(mine.ratio, nan=2.0) > 1.0).mean(axis=0)
    return tuple(
        EdgeAhead(
            edge, edge.lost_at - now.time, float(lost[edge.pair]) if edge.pair >= 0 else math.nan
        )
        for edge in now.edges
    )


def _loads(mine: Rest) -> tuple[LoadAhead, ...]:
    out = []
    call, due, size, wait = (mine.each(name) for name in ("call", "due", "size", "wait"))
    for k in range(LOADS):
        there = np.isfinite(call[:, k])
        if there.mean() < 0.1:
            break
        out.append(
            LoadAhead(
                band(call[:, k]),
                band(due[:, k]),
                band(wait[:, k]),
                float(np.median(size[there, k])),
                float(there.mean()),
            )
        )
    return tuple(out)


def _look_out(one: Outcome, mine: Rest, at: float) -> tuple[LookOut, ...]:
    """What to look at in the strips that are not begun, when each is begun about."""
    from dataclasses import replace

    about = [band(column).about for column in mine.begin.T]
    ahead = [
        replace(each, time=about[each.strip])
        for each in one.look_out
        if one.strip_start[each.strip] > at
    ]
    return tuple(sorted(ahead, key=lambda each: each.time))


def _money(known: Known, one: Outcome, mine: Rest, plan: Rest) -> Money:
    spent = 0.0 if known.past.empty else _spent(one, known.past.at)
    whole = band(mine.of("cost"))
    to_come = Band(whole.low - spent, whole.about - spent, whole.by - spent)
    return Money(spent, to_come, band(plan.of("cost")))


def _spent(one: Outcome, at: float) -> float:
    """Concrete that is batched, and pump and people up to now; edges are priced at the end."""
    visits = tuple(
        v._replace(left_site=min(v.left_site, at)) for v in one.log.visits if v.batched <= at
    )
    visits = tuple(v if v.arrived <= at else v._replace(arrived=v.left_site) for v in visits)
    stretches = tuple(s for s in one.log.stretches if s.start < at)
    hours = [
        Hours(
            h.pump_from,
            max(h.pump_from, min(h.pump_until, at)),
            min(h.bull_float_from, at),
            min(h.finishers_from, at),
            min(h.finishers_until, at),
        )
        for h in one.hours
    ]
    log = one.log
    so_far = DayLog(
        log.plan, log.seed, visits, stretches, log.stops, log.strip_volumes, log.fronts,
        log.upsets,
    )  # fmt: skip
    return cost_of(one.basis, so_far, hours, Harm(0.0, 0.0)).total
