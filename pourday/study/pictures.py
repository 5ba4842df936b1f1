"""What pictures of many days want to know: concrete over the clock, waits, edge pairs.

Numbers only; ``pourday/report/figures/many/`` draws them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.days import DaysOutcome
from pourday.study.days import Study
from pourday.study.engine.jobs import work_on
from pourday.study.engine.ledger import Ledger

STEP = 600.0
GRID = np.arange(0.0, 48 * 3600.0 + 1.0, STEP)
"""Clock times (s) at which concrete is counted on every day: every ten minutes of two days."""
DAYS = 100
"""Days that pictures show at most."""
_SPARE_LOADS = 12


@dataclass(frozen=True, eq=False)
class Pictured:
    """Days of one plan as pictures show them.

    ``placed`` and ``delivered`` (m³) are 1, 5 and 9 days in 10 at each time of ``clock`` (s),
    (3, times): 1 day in 10 has less, half the days have, 9 days in 10 have at most. ``waits`` (s)
    are those of all loads of all days, (loads,). Of each edge pair ``cold`` is the share of days
    on which it went cold, ``stiff`` that on which it was stiff, ``ratio`` (9 days in 10 at most)
    of the time to cold it used, nan where it was never closed; (pairs,).
    """

    basis: Basis
    days: int
    clock: Floats
    placed: Floats
    delivered: Floats
    waits: Floats
    loads_a_day: float
    cold: Floats
    stiff: Floats
    ratio: Floats


def picture_study(basis: Basis, days: int, first_seed: int = 0) -> Study:
    """The days of a plan for its pictures, none played yet; at most :data:`DAYS` of them."""
    count = min(days, DAYS)
    work = work_on((basis,), picture_rows)
    return Study(work, Ledger(work, first_seed, count, sum(_sizes(basis))))


def picture_rows(days: DaysOutcome) -> Floats:
    """Rows of days (D, numbers): placed, delivered, waits of loads, ratio of edge pairs."""
    basis, ratios = days.plan, days.by_pair(days.edges.ratio)
    loads = _sizes(basis)[2]
    rows = []
    for log, ratio in zip(days.logs, ratios, strict=True):
        waits = np.full(loads, np.nan)
        own = [visit.wait for visit in log.visits if math.isfinite(visit.wait)][:loads]
        waits[: len(own)] = own
        rows.append(np.concatenate([placed_by(log, GRID), delivered_by(log, GRID), waits, ratio]))
    return np.array(rows)


def pictured(study: Study) -> Pictured:
    """What the pictures of a plan show, from the days of :func:`picture_study` played."""
    basis, rows = study.work.bases[0], study.ledger.rows_of(0)
    cuts = np.cumsum(_sizes(basis))[:-1]
    placed, delivered, waits, ratio = np.split(rows, cuts, axis=1)
    stiff_from = basis.edge_rule.stiff_from
    known = waits[np.isfinite(waits)]
    moves = np.flatnonzero(np.ptp(np.vstack([placed, delivered]), axis=0) > 1e-9)
    # From the last time with nothing there to the first with all there, on every day.
    done = np.all((placed >= placed[:, -1:] - 1e-6) & (delivered >= delivered[:, -1:] - 1e-6), 0)
    first = max(0, int(moves[0]) - 1) if len(moves) else 0
    last = int(np.argmax(done)) if done.any() else len(GRID) - 1
    shown = slice(first, max(last, first + 1) + 1)
    return Pictured(
        basis=basis,
        days=len(rows),
        clock=GRID[shown],
        placed=np.percentile(placed[:, shown], (10, 50, 90), axis=0),
        delivered=np.percentile(delivered[:, shown], (10, 50, 90), axis=0),
        waits=known,
        loads_a_day=len(known) / len(rows),
        cold=np.mean(ratio > 1.0, axis=0),
        stiff=np.mean((ratio > stiff_from) & (ratio <= 1.0), axis=0),
        ratio=_nine_in_ten(ratio),
    )


def placed_by(log: DayLog, times: Floats) -> Floats:
    """Concrete in the strips at clock times (m³)."""
    out = np.zeros(len(times))
    for s in log.stretches:
        if s.strip >= 0:
            share = np.clip((times - s.start) / max(s.end - s.start, 1e-9), 0.0, 1.0)
            out += share * (s.volume_end - s.volume_start)
    return out


def delivered_by(log: DayLog, times: Floats) -> Floats:
    """Concrete that has come to the site at clock times (m³)."""
    came = [v for v in log.visits if math.isfinite(v.arrived)]
    at = np.array([v.arrived for v in came])
    order = np.argsort(at)
    sums = np.concatenate([[0.0], np.cumsum(np.array([v.volume for v in came])[order])])
    return np.asarray(sums[np.searchsorted(at[order], times, side="right")])


def _nine_in_ten(ratio: Floats) -> Floats:
    out = np.full(ratio.shape[1], np.nan)
    for pair, values in enumerate(ratio.T):
        closed = values[np.isfinite(values)]
        if len(closed):
            out[pair] = np.percentile(closed, 90.0)
    return out


def _sizes(basis: Basis) -> tuple[int, int, int, int]:
    """How many numbers of a row are placed, delivered, waits and edge pairs."""
    supply = basis.scenario.supply
    load = min((plant.load or basis.plan.load or supply.load) for plant in supply.plants)
    loads = math.ceil(float(basis.layout.volume.sum()) / load) + _SPARE_LOADS
    return len(GRID), len(GRID), 2 * loads, len(basis.pair_first)
