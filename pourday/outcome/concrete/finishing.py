"""From wet concrete to a closed surface: who floats which strip when, and what comes too late.

Finishers come between two clocks: before the floating condition (:mod:`.floating`; ASCC Position
Statement 15) they sink in or close bleed water under the surface, after final set the float no
longer closes it (common practice, no source). Final set is the penetration resistance of ASTM C403,
reached at the equivalent age of the mix.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis, Floats, Ints, clocks_at
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.base.top import work_between
from pourday.outcome.concrete.floating import floating_from
from pourday.outcome.concrete.in_turn import (
    clock_at,
    in_turn,
    one_after_another,
    rows_of_days,
    worked,
)
from pourday.scenario.model.scenario import Finishing as Rates

SHORTEST_WINDOW = 0.5
"""A strip is finished in parts where its common window is a smaller share of its concrete's."""

_NONE = np.zeros(0)


@dataclass(frozen=True)
class FinishJob:
    """One pass over one strip, or over the part of it from y = ``low`` to ``high`` (m).

    ``opens``, ``closes`` (s) is the window of the concrete, ``ready`` when this pass may begin,
    ``start``, ``end`` (s) the work. ``area`` (m²), ``edge`` (m); ``late_area`` (m²) is the share
    of the area worked after the window has closed.
    """

    strip: int
    pass_no: int
    low: float
    high: float
    area: float
    edge: float
    opens: float
    closes: float
    ready: float
    start: float
    end: float
    late_area: float


@dataclass(frozen=True, eq=False)
class Finishing:
    """A day's finishing.

    Jobs (J,) stand in order of work; ``strip``, ``pass_no`` (from 1) and the others are as in
    :class:`FinishJob`. ``missed_area`` (m²) is the area that is late in at least one pass.
    ``end`` (s) is the end of the last pass, nan where there is none (no finishers, no passes or
    no concrete); ``leave`` (s) is when the finishers go: at the end of the last pass, with no
    passes when the bull float is through, nan where there are none or no concrete. ``overtime``
    (s) of theirs lies beyond the end of the shift, ``past_curfew`` says whether the site's curfew
    came before they left. ``bull_floated`` and ``covered`` (strips,) s are when the bull float is
    through, and when curing can cover the strip: after its last pass, or at final set of its last
    concrete where nobody finishes; nan for strips without concrete.
    """

    strip: Ints
    pass_no: Ints
    low: Floats
    high: Floats
    area: Floats
    edge: Floats
    opens: Floats
    closes: Floats
    ready: Floats
    start: Floats
    work_end: Floats
    late_area: Floats
    missed_area: float
    end: float
    leave: float
    overtime: float
    past_curfew: bool
    bull_floated: Floats
    covered: Floats

    @property
    def jobs(self) -> tuple[FinishJob, ...]:
        """The jobs one by one, in order of work."""
        columns = (
            self.strip, self.pass_no, self.low, self.high, self.area, self.edge, self.opens,
            self.closes, self.ready, self.start, self.work_end, self.late_area,
        )  # fmt: skip
        return tuple(
            FinishJob(*row) for row in zip(*(column.tolist() for column in columns), strict=True)
        )


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


@dataclass(frozen=True, eq=False)
class FinishingDays:
    """The finishing of D days: fields as in :class:`Finishing`, by day (D,).

    ``first_ready`` (s) is when the first pass may begin, nan where there is none; ``bull_floated``
    and ``covered`` are (D, strips). ``parts`` and ``work`` are the jobs of all days, day by day.
    """

    parts: _Parts
    work: _Work
    first_ready: Floats
    missed_area: Floats
    end: Floats
    leave: Floats
    bull_floated: Floats
    covered: Floats


def finishing(basis: Basis, found: Fronts) -> Finishing:
    """Finish the floor of one day: :func:`finishing_of_days`, with all there is to say of it.

    Args:
        basis: the plan's basis, with that day's air.
        found: where the front stood that day.
    """
    return one_finishing(basis, finishing_of_days(basis, found))


def one_finishing(basis: Basis, days: FinishingDays) -> Finishing:
    """All there is to say of a single day's finishing."""
    parts, work = days.parts, days.work
    leave = float(days.leave[0])
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
        missed_area=float(days.missed_area[0]),
        end=float(days.end[0]),
        leave=leave,
        overtime=_overtime(basis, leave),
        past_curfew=bool(past_curfew(basis, days.leave)[0]),
        bull_floated=days.bull_floated[0],
        covered=days.covered[0],
    )


def finishing_of_days(basis: Basis, found: Fronts) -> FinishingDays:
    """Finish the floor of every day of the basis.

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
    scenario, days, count = basis.scenario, basis.days, basis.days * basis.strips
    finishers, rates = scenario.finishers(basis.plan), scenario.finishing
    initial, final = _sets(basis, found)
    floated = _bull_floated(basis, found)
    by_hand = finishers == 0 or rates.passes == 0
    if by_hand or not len(found.strip):
        parts = _Parts(found.strip[:0], *(_NONE,) * 7)
    else:
        parts = _parts(basis, found, floating_from(basis, found, initial), final)
    work = _work(basis, parts, rates, max(1, finishers))
    late, missed = np.zeros(len(parts.strip)), np.zeros(days)
    np.maximum.at(late, work.part, work.late)
    for day, its in enumerate(rows_of_days(basis.day_of(parts.strip), days)):
        missed[day] = late[its].sum()
    of = basis.day_of(parts.strip[work.part])
    end = _last(days, of, work.end)
    if by_hand:
        covered = _last(count, found.strip, final)
        through = _greatest_by_day(floated)
        leave = through if finishers else np.full(days, np.nan)
    else:
        covered, leave = _last(count, parts.strip[work.part], work.end), end
    return FinishingDays(
        parts=parts,
        work=work,
        first_ready=-_last(days, of, -work.ready),
        missed_area=missed,
        end=end,
        leave=leave,
        bull_floated=floated,
        covered=covered.reshape(days, basis.strips),
    )


def past_curfew(basis: Basis, leave: Floats) -> NDArray[np.bool_]:
    """On which days finishers work past the curfew of the site, who leave then (D,) s."""
    curfew = basis.scenario.site.curfew
    return leave > (np.inf if curfew is None else curfew)


def _sets(basis: Basis, found: Fronts) -> tuple[Floats, Floats]:
    """Clock times (s) of initial and final set of every piece (N,), worked out once a load."""
    day, batched, warm = basis.day_of(found.strip), found.batched, found.temperature
    if not basis.varied:
        day = np.zeros_like(day)
    order = np.lexsort((warm, batched, day))
    new = np.ones(len(order), dtype=bool)
    for column in (day[order], batched[order], warm[order]):
        new[1:] &= column[1:] == column[:-1]
    new[1:] = ~new[1:]
    load = np.empty(len(order), dtype=np.intp)
    load[order] = np.cumsum(new) - 1
    first = order[new]
    relax = basis.relax_on(day[first]) if basis.varied else None
    clocks = (basis.initial_set, basis.final_set)
    initial, final = clocks_at(clocks, batched[first], warm[first], relax)[:, load]
    return initial, final


def _last(count: int, owner: Ints, times: Floats) -> Floats:
    """The last of the times of each of ``count`` owners (s), nan for those that have none."""
    out = np.full(count, -np.inf)
    np.maximum.at(out, owner, times)
    return np.where(np.isfinite(out), out, np.nan)


def _greatest_by_day(times: Floats) -> Floats:
    """The last time of each row, nan where there is none."""
    last = np.fmax.reduce(times, axis=1, initial=-np.inf)
    return np.where(np.isfinite(last), last, np.nan)


def _work(basis: Basis, parts: _Parts, rates: Rates, finishers: int) -> _Work:
    machines = min(finishers, rates.machines or finishers)
    time = parts.area / (rates.power_float * machines) + parts.edge / (rates.edge * finishers)
    share = np.arange(rates.passes)[:, None] / max(1, rates.passes)
    # Rows are passes: a stable sort keeps the earlier pass first where both are ready at once.
    ready = np.maximum(parts.opens + share * (parts.closes - parts.opens), parts.placed)
    day = np.broadcast_to(basis.day_of(parts.strip), ready.shape).ravel()
    order = np.lexsort((ready.ravel(), day))
    count = max(1, len(time))
    part, number = order % count, order // count
    ready, time, day = ready.ravel()[order], time[part], day[order]
    closes, slices = parts.closes[part], rows_of_days(day, basis.days)
    # Nobody works under cover: the jobs follow each other on a clock that stands in the rain.
    free, limit = ready.copy(), closes.copy()
    for rain, its in zip(basis.rains, slices, strict=True):
        if rain:
            free[its], limit[its] = worked(ready[its], rain), worked(closes[its], rain)
    begin, done = in_turn(day, slices, free, time)
    late = parts.area[part] * np.clip((done - limit) / np.where(time > 0.0, time, 1.0), 0.0, 1.0)
    start, end = begin.copy(), done.copy()
    for rain, its in zip(basis.rains, slices, strict=True):
        if rain:
            start[its] = clock_at(begin[its], rain, after=True)
            end[its] = clock_at(done[its], rain, after=False)
    return _Work(part, number, ready, start, end, late)


def _overtime(basis: Basis, leave: float) -> float:
    """Time of the finishers beyond the end of the shift (s)."""
    shift_end = basis.scenario.finishing.shift_end
    return 0.0 if shift_end is None or not leave > shift_end else leave - shift_end


def _bull_floated(basis: Basis, found: Fronts) -> Floats:
    """When the bull float is through with each strip (D, strips) s, nan without concrete.

    It begins with the strip, or when its crew's bull float comes free, and ends no sooner than
    the strip is in.
    """
    shape, rates = (basis.days, basis.strips), basis.scenario.finishing
    count = basis.days * basis.strips
    begun, placed = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(begun, found.strip, np.minimum(found.time_low, found.time_high))
    np.maximum.at(placed, found.strip, np.maximum(found.time_low, found.time_high))
    area, _ = work_between(basis.top, found.strip % basis.strips, found.low, found.high)
    areas = np.bincount(found.strip, area, count).reshape(shape)
    begun, placed = begun.reshape(shape), placed.reshape(shape)
    out = np.full(shape, np.nan)
    front_of = np.asarray(basis.layout.front_of)
    for number, front in enumerate(basis.plan.fronts):
        hands = 1 if rates.passes else max(1, basis.scenario.crews[front.crew].finishers)
        mine = np.flatnonzero(front_of == number)
        order = np.argsort(begun[:, mine], axis=1, kind="stable")
        day, strip = np.arange(basis.days)[:, None], mine[order]
        time = areas[day, strip] / (hands * rates.bull_float)
        _, end = one_after_another(begun[day, strip], time)
        out[day, strip] = np.maximum(end, placed[day, strip])
    return np.where(np.isfinite(out), out, np.nan)


def _parts(basis: Basis, found: Fronts, opens: Floats, final: Floats) -> _Parts:
    """Strips with their windows, cut in parts where one window is too short for all of it."""
    begins = found.first[:-1][np.diff(found.first) > 0]
    long = _too_short(begins, opens, final)
    if long.any():
        ends = np.append(begins[1:], len(found.strip))
        cuts = [begins]
        for k in np.flatnonzero(long):
            rising = basis.layout.upward[found.strip[begins[k]] % basis.strips]
            cuts.append(_cuts(int(begins[k]), int(ends[k]), rising, opens, final))
        begins = np.sort(np.concatenate(cuts))
    ends = np.append(begins[1:], len(found.strip)) - 1
    strip, low, high = found.strip[begins], found.low[begins], found.high[ends]
    area, edge = work_between(basis.top, strip % basis.strips, low, high)
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
    # No part begins before the first piece, also where that opens after it has set.
    for n, k in enumerate(range(first, end) if rising else range(end - 1, first - 1, -1)):
        latest, earliest = max(latest, opens[k]), min(earliest, final[k])
        own = min(own, final[k] - opens[k])
        if n and earliest - latest < SHORTEST_WINDOW * own:
            cuts.append(k if rising else k + 1)
            latest, earliest, own = opens[k], final[k], final[k] - opens[k]
    return np.array(cuts, dtype=np.intp)
