"""How much of a grid a search plays; run with ``pytest tests/benchmarks --benchmark-enable -s``.

Nothing here asserts a time: the numbers are read by people (docs/speed.md keeps the last ones).
"""

from __future__ import annotations

import time

from builders.places import SCENARIOS

from pourday.scenario.candidates import read_search
from pourday.study.engine.run import engine_for
from pourday.study.search.found import found_so_far
from pourday.study.search.keys import steps_of
from pourday.study.search.rounds import Budget, run_search
from pourday.study.search.study import laid_out, play_on
from pourday.study.search.trial import FIRST, Trial


def searched(most_days: int) -> None:
    begun = time.perf_counter()
    search, bases = laid_out(read_search(SCENARIOS / "library_level_2.toml"))
    trial = Trial(bases, 0, steps_of(search))
    with engine_for(None, 1000) as engine:
        run_search(trial, play_on(engine, trial), Budget(min(FIRST, most_days)))
        first = time.perf_counter() - begun
        why = run_search(trial, play_on(engine, trial), Budget(most_days))
    found = found_so_far(search, trial, why, most_days)
    print(
        f"\n{len(trial.values)} candidates of the library: first answer after {first:.0f} s, "
        f"{why} after {time.perf_counter() - begun:.0f} s; {found.played:,} days of a grid of "
        f"{found.grid:,}: {found.saved:.0%} saved"
    )


def test_240_candidates_of_the_library(benchmark):
    benchmark.pedantic(searched, (500 if benchmark.enabled else 1,), rounds=1, iterations=1)
