"""What a sheet wants to know of one day, as a row of numbers that a study can carry."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pourday.day.log import Visit
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.days import DaysOutcome
from pourday.outcome.deck.peaks import mean_peaks
from pourday.outcome.edges.if_stopped import lasting
from pourday.outcome.measure import Outcome, measure

_SPARE_LOADS = 12
"""Loads of a front for which there is room beyond those that its concrete asks for."""


@dataclass(frozen=True, eq=False)
class DaysOfSheet:
    """Many days of one plan (days, ...), in s and m³; nan for what did not happen.

    Of every strip ``begin``, ``end``, ``cover_within``, ``left``; of every front ``washed_out``,
    ``last`` concrete, ``pace`` (m³/s), and of its k-th load ``called`` and ``due``; of every bay
    in the order of its first strip ``bull_float`` and ``covered`` after a strip is begun,
    ``cured_from`` (clock), and of its passes ``from_`` and ``to`` after placing (days, bays,
    passes). ``leave`` is when the finishers go, ``loads`` how many came, ``full_before`` how many
    strips were full when the first balance load was called.
    """

    begin: Floats
    end: Floats
    cover_within: Floats
    left: Floats
    last: Floats
    washed_out: Floats
    pace: Floats
    called: Floats
    due: Floats
    bull_float: Floats
    covered: Floats
    cured_from: Floats
    from_: Floats
    to: Floats
    leave: Floats
    loads: Floats
    full_before: Floats


def shapes(basis: Basis) -> dict[str, tuple[int, ...]]:
    """The shape of every part of a day's row, in order."""
    strips, fronts, bays = len(basis.layout.strips), len(basis.plan.fronts), len(bays_of(basis))
    passes = basis.scenario.finishing.passes
    load = min(
        (plant.load or basis.plan.load or basis.scenario.supply.load)
        for plant in basis.scenario.supply.plants
    )
    loads = math.ceil(float(basis.layout.volume.sum()) / load) + _SPARE_LOADS
    shape: dict[str, tuple[int, ...]] = dict.fromkeys(
        ("begin", "end", "cover_within", "left"), (strips,)
    )
    shape |= dict.fromkeys(("last", "washed_out", "pace"), (fronts,))
    shape |= dict.fromkeys(("called", "due"), (fronts, loads))
    shape |= dict.fromkeys(("bull_float", "covered", "cured_from"), (bays,))
    shape |= dict.fromkeys(("from_", "to"), (bays, passes))
    return shape | dict.fromkeys(("leave", "loads", "full_before"), ())


def width(basis: Basis) -> int:
    """How many numbers a day's row has."""
    return sum(math.prod(shape) for shape in shapes(basis).values())


def bays_of(basis: Basis) -> list[str]:
    """The bays with strips, in the order in which they are begun."""
    return list(dict.fromkeys(strip.bay for strip in basis.layout.strips))


def sheet_rows(days: DaysOutcome) -> Floats:
    """Rows of days (D, numbers): a sheet asks for more of a day than many days at once have."""
    peaks = mean_peaks(days.plan)  # what the deck feels is not in the row
    return np.array([sheet_row(measure(days.plan, log, peaks)) for log in days.logs])


def sheet_row(outcome: Outcome) -> tuple[float, ...]:
    """The row of a day, in the order of :func:`shapes`."""
    basis, log = outcome.basis, outcome.log
    lasts, finish = lasting(outcome), _finish(outcome)
    called, due = _loads(outcome, shapes(basis)["due"])
    parts: dict[str, Floats | float] = {
        "begin": outcome.strip_start,
        "end": outcome.strip_end,
        "cover_within": lasts.cover_within,
        "left": lasts.left,
        "last": np.array([front.end for front in log.fronts]),
        "washed_out": np.array([front.wash_out_end for front in log.fronts]),
        "pace": _pace(outcome),
        "called": called,
        "due": due,
        **finish,
        "leave": max(hours.finishers_until for hours in outcome.hours),
        "loads": float(len(log.visits)),
        "full_before": _full_before(outcome),
    }
    return tuple(
        np.concatenate([np.ravel(parts[name]) for name in shapes(basis)]).astype(float).tolist()
    )


def days_of(basis: Basis, rows: Floats) -> DaysOfSheet:
    """The rows (days, numbers) taken apart again."""
    parts: dict[str, Floats] = {}
    at = 0
    for name, shape in shapes(basis).items():
        size = math.prod(shape)
        parts[name] = rows[:, at : at + size].reshape(len(rows), *shape)
        at += size
    return DaysOfSheet(**parts)


def _pace(outcome: Outcome) -> Floats:
    """Concrete of each front over the time from its first to its last, standing and all (m³/s)."""
    placed = np.zeros(len(outcome.log.fronts))
    for stretch in outcome.log.stretches:
        placed[stretch.front] += stretch.volume_end - stretch.volume_start
    spent = np.array([max(front.end - front.start, 1.0) for front in outcome.log.fronts])
    return np.asarray(placed / spent)


def _loads(outcome: Outcome, shape: tuple[int, ...]) -> tuple[Floats, Floats]:
    """When each front's k-th load could be held at last, and when it came, (fronts, loads) s."""
    phone = outcome.basis.scenario.call_off
    notice = 0.0 if phone.nobody_phones else phone.hold_notice
    called, due = np.full(shape, np.nan), np.full(shape, np.nan)
    for front in range(shape[0]):
        mine: list[Visit] = [v for v in outcome.log.visits if v.front == front]
        for k, visit in enumerate(sorted(mine, key=lambda v: v.batched)[: shape[1]]):
            called[front, k], due[front, k] = visit.batched - notice, visit.arrived
    return called, due


def _full_before(outcome: Outcome) -> float:
    """Strips full when the first balance load is called; nan where none is."""
    calls = [call.at for call in outcome.log.calls if call.kind == "balance"]
    return float(np.sum(outcome.strip_end <= min(calls) + 1.0)) if calls else math.nan


def _finish(outcome: Outcome) -> dict[str, Floats]:
    """Bull float, cover and passes of every bay."""
    basis, found, done = outcome.basis, outcome.fronts, outcome.finishing
    bays = bays_of(basis)
    bay = np.array([bays.index(strip.bay) for strip in basis.layout.strips])
    shape = (len(bays), basis.scenario.finishing.passes)
    begun = np.array([_begun(found, *job) for job in _jobs(done.strip, done.low, done.high)])
    of_bay = _by_bay(bay, len(bays))
    passes_from, passes_to = np.full(shape, np.nan), np.full(shape, np.nan)
    for number in range(len(bays)):
        for each in range(shape[1]):
            mine = (bay[done.strip] == number) & (done.pass_no == each + 1)
            if mine.any():
                passes_from[number, each] = np.mean(done.ready[mine] - begun[mine])
                passes_to[number, each] = np.min(done.closes[mine] - begun[mine])
    return {
        "bull_float": of_bay(done.bull_floated - outcome.strip_start),
        "covered": of_bay(done.covered - outcome.strip_start),
        "cured_from": of_bay(done.covered),
        "from_": passes_from,
        "to": passes_to,
    }


def _jobs(strip: np.ndarray, low: Floats, high: Floats) -> list[tuple[int, float, float]]:
    return list(zip(strip.tolist(), low.tolist(), high.tolist(), strict=True))


def _begun(found: Fronts, strip: int, low: float, high: float) -> float:
    """When the first concrete between two places of a strip was placed (s)."""
    mine = slice(int(found.first[strip]), int(found.first[strip + 1]))
    inside = (found.low[mine] < high) & (found.high[mine] > low)
    first = np.minimum(found.time_low[mine], found.time_high[mine])[inside]
    return float(first.min(initial=math.inf))


def _by_bay(bay: np.ndarray, bays: int) -> Callable[[Floats], Floats]:
    """What takes the greatest of the strips of each bay; nan where none has concrete."""

    def _most(values: Floats) -> Floats:
        out = np.full(bays, -np.inf)
        there = np.isfinite(values)
        np.maximum.at(out, bay[there], values[there])
        return np.where(np.isfinite(out), out, np.nan)

    return _most
