"""Finishing of one day, as it was worked out a day at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from builders.one_day.floating import floating_from

from pourday.concrete.temperature import Relaxation
from pourday.outcome.base.basis import Basis, Floats, Ints, clocks_at
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.base.top import work_between
from pourday.outcome.concrete.finishing import Finishing
from pourday.scenario.model.scenario import Finishing as Rates

SHORTEST_WINDOW = 0.5
_NONE = np.zeros(0)


@dataclass(frozen=True, eq=False)
class _Parts:
    """Strips, cut where they must be (P,): window, concrete in (s), area and edge."""

    strip: Ints
    low: Floats
    high: Floats
    opens: Floats
    closes: Floats
    placed: Floats
    area: Floats
    edge: Floats


def finishing(basis: Basis, found: Fronts, relax: Relaxation | None = None) -> Finishing:
    """Finish the floor of one day.

    Args:
        basis: the plan's basis.
        found: where the front stood that day.
        relax: that day's air; the scenario's rows unless told.

    Screeding goes with placing; one person in every crew bull-floats right behind the screed
    (nobody is taken off the placing). Without passes all finishers of the crew do, and leave when
    it is through. The window of a strip opens when its latest concrete can be floated (6 mm of
    footprint, no bleed water) and closes when its earliest reaches final set. Where that
    is under half the window of its own concrete (long strips, long stops; it may even close
    before it opens) the strip is finished in parts, cut between loads along the front.

    With n passes, pass k may begin when (k - 1)/n of the window have gone, and not before the
    concrete is in. The finishers take jobs one at a time, all of them together, in the order in
    which they become ready. A pass takes area / (machines x power-float rate) plus edge / (persons
    x edge rate), since edges are worked with every pass; a machine takes a person, and unless told
    everybody has one. They take no breaks and stop for no curfew, but while the floor is under
    cover from rain nobody works on it. A job that ends after its window is late with the share of
    it done after closing.
    """
    count = len(basis.layout.strips)
    if not len(found.strip):
        return _nothing(basis, np.full(count, np.nan), np.full(count, np.nan))
    scenario = basis.scenario
    finishers, rates = scenario.finishers(basis.plan), scenario.finishing
    loads, of_load = np.unique(found.batched + 1j * found.temperature, return_inverse=True)
    sets = clocks_at((basis.initial_set, basis.final_set), loads.real, loads.imag, relax)
    initial, final = sets[:, of_load]
    floated = _bull_floated(basis, found)
    if finishers == 0 or rates.passes == 0:
        covered = np.full(count, -np.inf)
        np.maximum.at(covered, found.strip, final)
        return _nothing(basis, floated, np.where(np.isfinite(covered), covered, np.nan))
    parts = _parts(basis, found, floating_from(basis, found, initial, relax), final)
    work = _work(parts, rates, finishers, basis.rain)
    missed = np.zeros(len(parts.strip))
    np.maximum.at(missed, work.part, work.late)
    covered = np.full(count, -np.inf)
    np.maximum.at(covered, parts.strip[work.part], work.end)
    until = float(work.end.max())
    return Finishing(
        strip=parts.strip[work.part],
        pass_no=work.number + 1,
        low=parts.low[work.part],
        high=parts.high[work.part],
        area=parts.area[work.part],
        edge=parts.edge[work.part],
        opens=parts.opens[work.part],
        closes=parts.closes[work.part],
        ready=work.ready,
        start=work.start,
        work_end=work.end,
        late_area=work.late,
        missed_area=float(missed.sum()),
        end=until,
        leave=until,
        overtime=_overtime(basis, until),
        past_curfew=_past_curfew(basis, until),
        bull_floated=floated,
        covered=np.where(np.isfinite(covered), covered, np.nan),
    )


@dataclass(frozen=True, eq=False)
class _Work:
    """The passes (J,) in order of work: of which part, which pass of it (from 0), when (s).

    ``late`` (m²) is the area worked after the window has closed.
    """

    part: Ints
    number: Ints
    ready: Floats
    start: Floats
    end: Floats
    late: Floats


def _work(
    parts: _Parts, rates: Rates, finishers: int, rain: tuple[tuple[float, float], ...]
) -> _Work:
    machines = min(finishers, rates.machines or finishers)
    time = parts.area / (rates.power_float * machines) + parts.edge / (rates.edge * finishers)
    share = np.arange(rates.passes)[:, None] / rates.passes
    # Rows are passes: a stable sort keeps the earlier pass first where both are ready at once.
    ready = np.maximum(parts.opens + share * (parts.closes - parts.opens), parts.placed)
    order = np.argsort(ready, axis=None, kind="stable")
    part, number = order % len(time), order // len(time)
    ready, time = ready.ravel()[order], time[part]
    # Nobody works under cover: the jobs follow each other on a clock that stands in the rain.
    begin, done = _one_after_another(_worked(ready, rain), time)
    overrun = done - _worked(parts.closes[part], rain)
    late = parts.area[part] * np.clip(overrun / np.where(time > 0.0, time, 1.0), 0.0, 1.0)
    start, end = _clock(begin, rain, after=True), _clock(done, rain, after=False)
    return _Work(part, number, ready, start, end, late)


def _nothing(basis: Basis, bull_floated: Floats, covered: Floats) -> Finishing:
    """Finishing without a job: whoever finishes by hand leaves when the bull float is through."""
    none = np.zeros(0, dtype=np.intp)
    there = basis.scenario.finishers(basis.plan) > 0 and np.isfinite(bull_floated).any()
    leave = float(np.nanmax(bull_floated)) if there else float("nan")
    return Finishing(
        none, none, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE,
        0.0, float("nan"), leave, _overtime(basis, leave), _past_curfew(basis, leave),
        bull_floated, covered,
    )  # fmt: skip


def _overtime(basis: Basis, leave: float) -> float:
    """Time of the finishers beyond the end of the shift (s)."""
    shift_end = basis.scenario.finishing.shift_end
    return 0.0 if shift_end is None or not leave > shift_end else leave - shift_end


def _past_curfew(basis: Basis, leave: float) -> bool:
    curfew = basis.scenario.site.curfew
    return curfew is not None and leave > curfew


def _one_after_another(ready: Floats, time: Floats) -> tuple[Floats, Floats]:
    """Start and end of jobs taken in this order, each begun when ready and when free.

    In closed form: a job ends when the work since the last idle moment is done.
    """
    done = np.cumsum(time)
    end = done + np.maximum.accumulate(ready - (done - time))
    return end - time, end


def _worked(clock: Floats, rain: tuple[tuple[float, float], ...]) -> Floats:
    """Time that can be worked up to a clock time: the clock less all rain before it (s)."""
    lost = sum((np.clip(clock - start, 0.0, end - start) for start, end in rain), np.zeros(1))
    return np.asarray(clock - lost)


def _clock(worked: Floats, rain: tuple[tuple[float, float], ...], after: bool) -> Floats:
    """The clock time at which so much can have been worked: after or before rain on the spot."""
    out = np.array(worked)
    for start, end in rain:
        reached = out >= start if after else out > start
        out = out + np.where(reached, end - start, 0.0)
    return out


def _bull_floated(basis: Basis, found: Fronts) -> Floats:
    """When the bull float is through with each strip (s), nan without concrete.

    It begins with the strip, or when its crew's bull float comes free, and ends no sooner than
    the strip is in.
    """
    count, rates = len(basis.layout.strips), basis.scenario.finishing
    begun, placed = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(begun, found.strip, np.minimum(found.time_low, found.time_high))
    np.maximum.at(placed, found.strip, np.maximum(found.time_low, found.time_high))
    area, _ = work_between(basis.top, found.strip, found.low, found.high)
    areas = np.bincount(found.strip, area, count)
    out = np.full(count, np.nan)
    front_of = np.asarray(basis.layout.front_of)
    for number, front in enumerate(basis.plan.fronts):
        hands = 1 if rates.passes else max(1, basis.scenario.crews[front.crew].finishers)
        mine = np.flatnonzero((front_of == number) & np.isfinite(placed))
        mine = mine[np.argsort(begun[mine], kind="stable")]
        time = areas[mine] / (hands * rates.bull_float)
        _, end = _one_after_another(begun[mine], time)
        out[mine] = np.maximum(end, placed[mine])
    return out


def _parts(basis: Basis, found: Fronts, opens: Floats, final: Floats) -> _Parts:
    """Strips with their windows, cut in parts where one window is too short for all of it."""
    begins = found.first[:-1][np.diff(found.first) > 0]
    long = _too_short(begins, opens, final)
    if long.any():
        ends = np.append(begins[1:], len(found.strip))
        cuts = [begins]
        for k in np.flatnonzero(long):
            rising = basis.layout.upward[found.strip[begins[k]]]
            cuts.append(_cuts(int(begins[k]), int(ends[k]), rising, opens, final))
        begins = np.sort(np.concatenate(cuts))
    ends = np.append(begins[1:], len(found.strip)) - 1
    strip, low, high = found.strip[begins], found.low[begins], found.high[ends]
    area, edge = work_between(basis.top, strip, low, high)
    return _Parts(
        strip=strip,
        low=low,
        high=high,
        opens=np.maximum.reduceat(opens, begins),
        closes=np.minimum.reduceat(final, begins),
        placed=np.maximum.reduceat(np.maximum(found.time_low, found.time_high), begins),
        area=area,
        edge=edge,
    )


def _too_short(begins: Ints, opens: Floats, final: Floats) -> np.ndarray:
    """Whether the window that the pieces from each begin on share is too short for one job."""
    common = np.minimum.reduceat(final, begins) - np.maximum.reduceat(opens, begins)
    return np.asarray(common < SHORTEST_WINDOW * np.minimum.reduceat(final - opens, begins))


def _cuts(first: int, end: int, rising: bool, opens: Floats, final: Floats) -> Ints:
    """Where further parts of a strip begin: taken along the front, as long as a window allows."""
    cuts = []
    latest, earliest, own = -np.inf, np.inf, np.inf
    for k in range(first, end) if rising else range(end - 1, first - 1, -1):
        latest, earliest = max(latest, opens[k]), min(earliest, final[k])
        own = min(own, final[k] - opens[k])
        if earliest - latest < SHORTEST_WINDOW * own:
            cuts.append(k if rising else k + 1)
            latest, earliest, own = opens[k], final[k], final[k] - opens[k]
    return np.array(cuts, dtype=np.intp)
