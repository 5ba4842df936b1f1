"""Trials of made-up candidates: real bases of one floor, rows that a test makes itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np
from builders.places import SCENARIOS

from pourday.outcome.base.basis import Basis
from pourday.scenario.candidates import Candidate, Search
from pourday.scenario.read import read_scenario
from pourday.study.metrics import NAMES
from pourday.study.prepare import prepare
from pourday.study.search.trial import Trial

COST, COLD, LEFT = (NAMES.index(name) for name in ("cost_total", "cold", "unfinished"))
FINISH, STIFF = (NAMES.index(name) for name in ("finishing_end_h", "stiff_length_m"))


@cache
def one_basis() -> Basis:
    """A plan of the clinic, whose days count against cold joints, curfew and what is left."""
    return prepare(read_scenario(SCENARIOS / "clinic_level_1.toml")[0])[0]


def bases(count: int) -> list[Basis]:
    """So many candidates on one layout, named by their number."""
    own = one_basis()
    return [replace(own, plan=replace(own.plan, name=f"c{n}")) for n in range(count)]


def search_over(values: Sequence[object], key: str = "plan.spacing_min") -> Search:
    """A search whose candidates are these values of one key."""
    scenario = one_basis().scenario
    candidates = tuple(
        Candidate(f"c{n}", "line", (value,), scenario, {}) for n, value in enumerate(values)
    )
    return Search(scenario, (), True, ("line",), (key,), (tuple(values),), candidates, ())


@dataclass
class Made:
    """Rows of candidates: mean ``cost`` of each, share of days ``cold`` and with concrete ``left``.

    ``sd`` is of the part of the cost that each candidate has to itself; a part of ten times that is
    common to all on a day. ``asked`` are the rounds that were played.
    """

    cost: Sequence[float]
    cold: Sequence[float] = ()
    left: Sequence[float] = ()
    sd: float = 20.0
    seed: int = 0
    asked: list[tuple[tuple[int, ...], range]] = field(default_factory=list)

    def __call__(self, numbers: tuple[int, ...], days: range) -> np.ndarray:
        self.asked.append((numbers, days))
        out = np.zeros((len(numbers), len(days), len(NAMES)))
        for k, day in enumerate(days):
            chance = np.random.default_rng((self.seed, day))
            common = chance.normal(0.0, 10.0 * self.sd)
            own = chance.normal(0.0, 1.0, len(self.cost)) * self.sd
            happens = chance.uniform(size=(2, len(self.cost)))
            for m, number in enumerate(numbers):
                out[m, k, COST] = self.cost[number] + common + own[number]
                out[m, k, COLD] = bool(self.cold) and happens[0, number] < self.cold[number]
                out[m, k, LEFT] = bool(self.left) and happens[1, number] < self.left[number]
        return out


def trial_of(count: int, steps: Sequence[int] | None = None) -> Trial:
    """A trial of so many candidates, no day of it played."""
    return Trial(bases(count), 0, steps)
