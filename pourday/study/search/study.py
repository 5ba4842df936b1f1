"""A search made ready and played: candidates laid out, rounds on an engine, then fresh days."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.outcome.base.basis import Basis
from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.candidates import Candidate, Refused, Search
from pourday.study.compare import PlanSummary, summarise
from pourday.study.days import PlanDays
from pourday.study.engine.jobs import Engine
from pourday.study.engine.ledger import Part
from pourday.study.engine.run import run
from pourday.study.prepare import Layouts, with_upsets
from pourday.study.search.found import Found
from pourday.study.search.rounds import Play
from pourday.study.search.trial import Trial
from pourday.study.statistics import Interval, paired_difference
from pourday.study.told import Told as Reached
from pourday.study.told import counted, nobody
from pourday.study.verdict.final import FRESH_AFTER, FRESH_DAYS
from pourday.study.verdict.limits import bad_days

Told = Callable[[int], None]
MOST_DAYS = 500
"""Days of any candidate at most, unless told."""
_TRIES = 3


def laid_out(
    search: Search, upsets: Sequence[str] = (), told: Reached = nobody
) -> tuple[Search, tuple[Basis, ...]]:
    """The candidates that can be laid out, with these upsets too, and their bases.

    Those that cannot go to the refused ones.

    Raises:
        ScenarioError: where none can, with the faults of the first.
    """
    layouts, kept, bases = Layouts(), list[Candidate](), list[Basis]()
    refused = list(search.refused)
    for each in counted(search.candidates, told):
        try:
            scenario = with_upsets(each.scenario, upsets)
            bases.append(layouts.basis_of(scenario, scenario.plans[0]))
            kept.append(replace(each, scenario=scenario))
        except ScenarioError as fault:
            refused.append(Refused(each.name, fault.faults))
    if not kept:
        raise ScenarioError(refused[0].faults)
    return replace(search, candidates=tuple(kept), refused=tuple(refused)), tuple(bases)


def play_on(engine: Engine, trial: Trial, told: Told = lambda days: None) -> Play:
    """What plays rounds of a trial on an engine; ``told`` hears how many days have come in."""

    def _play(numbers: tuple[int, ...], days: range) -> np.ndarray:
        first = trial.first_seed
        part = Part(trial.work, numbers, range(first + days.start, first + days.stop))
        run(engine, trial.work, part, told)
        return part.values

    return _play


@dataclass(frozen=True, eq=False)
class Fresh:
    """The chosen candidate and the next on days that had no part in choosing them.

    ``chosen`` and ``runner_up`` are numbers of candidates, ``days`` and ``summaries`` theirs in
    that order. ``saving`` and ``earlier`` (h) are paired by day, ``None`` without a next. ``fell``
    are candidates that looked cheaper, but broke limits of these kinds on the fresh days.
    """

    chosen: int
    runner_up: int | None
    days: tuple[PlanDays, ...]
    summaries: tuple[PlanSummary, ...]
    saving: Interval | None
    earlier: Interval | None
    fell: tuple[tuple[int, tuple[str, ...]], ...]


def on_fresh_days(
    found: Found, engine: Engine, count: int = FRESH_DAYS, told: Told = lambda days: None
) -> Fresh | None:
    """Play the chosen candidate and the next on fresh days; ``None`` without one, or without days.

    One that breaks a limit there makes room for the next.
    """
    if found.chosen is None or not count:
        return None
    trial = found.trial
    queue = [found.chosen, *found.more]
    played: dict[int, PlanDays] = {}
    fell: list[tuple[int, tuple[str, ...]]] = []
    while True:
        pair = queue[:2]
        new = tuple(n for n in pair if n not in played)
        if new:
            played |= _fresh(trial, engine, new, count, told)
        broken = _broken(trial, pair[0], played[pair[0]])
        if not broken or len(queue) == 1 or len(fell) == _TRIES:
            break
        fell.append((pair[0], broken))
        queue.pop(0)
    days = [played[n] for n in pair]
    differences: list[Interval | None] = [None, None]
    if len(pair) > 1:
        differences = [
            paired_difference(days[0].of(name), days[1].of(name))
            for name in ("cost_total", "end_h")
        ]
    return Fresh(
        chosen=pair[0],
        runner_up=pair[1] if len(pair) > 1 else None,
        days=tuple(days),
        summaries=tuple(map(summarise, days)),
        saving=differences[0],
        earlier=differences[1],
        fell=tuple(fell),
    )


def _fresh(
    trial: Trial, engine: Engine, numbers: tuple[int, ...], count: int, told: Told
) -> dict[int, PlanDays]:
    first = trial.first_seed + FRESH_AFTER
    part = Part(trial.work, numbers, range(first, first + count))
    run(engine, trial.work, part, told)
    rows = zip(numbers, part.values, part.cold, strict=True)
    return {
        n: PlanDays(trial.bases[n].plan.name, first, values, cold / count)
        for n, values, cold in rows
    }


def _broken(trial: Trial, number: int, days: PlanDays) -> tuple[str, ...]:
    """The limits that a candidate breaks on its fresh days, as found."""
    shares = bad_days(days, trial.limits).mean(axis=1)
    asked = np.nan_to_num(trial.rules.shares[number], nan=1.0)
    return tuple(
        limit.kind
        for limit, share, most in zip(trial.every, shares, asked, strict=True)
        if share > most
    )
