"""``pourday.choose``: the cheapest of many plans that keeps all limits."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from os import PathLike, fspath
from typing import Any

from pourday.api.base import whole
from pourday.scenario.candidates import read_search
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.plan_text import plan_block
from pourday.study.engine.run import engine_for
from pourday.study.prepare import with_upsets
from pourday.study.search.found import Found, found_so_far
from pourday.study.search.keys import steps_of
from pourday.study.search.rounds import Budget, run_search
from pourday.study.search.study import MOST_DAYS, Fresh, laid_out, on_fresh_days, play_on
from pourday.study.search.trial import Trial
from pourday.study.verdict.final import FRESH_DAYS

_PLENTY = 1000  # jobs: as many processes as there are cores


@dataclass(frozen=True, eq=False)
class Chosen:
    """What a search found.

    ``plan`` is the name of the candidate to take, ``None`` where none keeps all limits;
    ``scenario`` the file as it would be with it, ready for ``play``; ``plan_toml`` its
    ``[[plan]]`` for the file. ``runner_up`` is the next cheapest. ``found`` has all the rest,
    ``fresh`` the two on days that had no part in choosing them.
    """

    plan: str | None
    runner_up: str | None
    scenario: Scenario | None = field(repr=False)
    plan_toml: str | None = field(repr=False)
    found: Found = field(repr=False)
    fresh: Fresh | None = field(repr=False)

    def to_dict(self) -> dict[str, Any]:
        """What ``pourday choose --json`` writes (docs/outputs.md)."""
        from pourday.report.records.choose import choose_record

        return choose_record(self.found, self.fresh)


def choose(
    path: str | PathLike[str],
    most_days: int = MOST_DAYS,
    workers: int | None = None,
    *,
    minutes: float | None = None,
    seed: int = 0,
    upsets: Sequence[str] = (),
) -> Chosen:
    """Try what the [search] of a scenario file asks for, as ``pourday choose`` does.

    Args:
        path: the file: candidates are what it would say with other values.
        most_days: days of any candidate at most, 25 or more.
        workers: processes; all cores unless told; 1 plays in this one. Where the system cannot
            fork (Windows) more than one needs the usual ``if __name__ == "__main__":``.
        minutes: no further round begins after so long; without it the days alone count.
        seed: number of the first day, 0 or more.
        upsets: what goes wrong on every day, such as "10:30 pump down 45 min".

    Raises:
        ScenarioError: with every fault of the file, or where no candidate works.
        ValueError: for numbers below their least.
    """
    most_days, seed = whole("most_days", most_days, 25), whole("seed", seed, 0)
    workers = None if workers is None else whole("workers", workers, 1)
    until = None if minutes is None else time.monotonic() + minutes * 60.0
    lines = (upsets,) if isinstance(upsets, str) else tuple(upsets)
    search = read_search(fspath(path))
    with_upsets(search.scenario, lines, said="upset")
    search, bases = laid_out(search, lines)
    trial = Trial(bases, seed, steps_of(search))
    late = Budget(most_days, lambda: until is not None and time.monotonic() > until)
    with engine_for(workers, _PLENTY) as engine:
        why = run_search(trial, play_on(engine, trial), late)
        found = found_so_far(search, trial, why, most_days)
        fresh = on_fresh_days(found, engine, FRESH_DAYS)
    number = fresh.chosen if fresh else found.chosen
    second = fresh.runner_up if fresh else found.runner_up
    names = [each.name for each in search.candidates]
    taken = tuple(plan.name for plan in search.scenario.plans)
    return Chosen(
        plan=None if number is None else names[number],
        runner_up=None if second is None else names[second],
        scenario=None if number is None else search.candidates[number].scenario,
        plan_toml=None if number is None else plan_block(search.candidates[number], taken),
        found=found,
        fresh=fresh,
    )
