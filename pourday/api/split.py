"""The door to a floor poured on more than one day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from pourday.api.base import whole
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Scenario
from pourday.study.days import PlanDays, study_plans
from pourday.study.pours.split import Split, SplitStudy, find_split, given_split


@dataclass(frozen=True, eq=False)
class FloorSplit:
    """A floor on one long day and in parts.

    ``best`` is the split to prefer, None where there is no place for a stop end; ``study`` has the
    long day and every split tried, the preferred one first.
    """

    scenario: Scenario = field(repr=False)
    study: SplitStudy = field(repr=False)

    @property
    def best(self) -> Split | None:
        """The split to prefer, or the pours of the file."""
        return self.study.best

    @property
    def one_day_holds(self) -> bool:
        """Whether the long day keeps the limits on the days played."""
        return not self.study.long.breaches

    def to_dict(self) -> dict[str, Any]:
        """What ``pourday split --json`` writes (docs/outputs.md)."""
        from pourday.report.records.split import split_record

        return split_record(self.scenario, self.study)


def split(
    scenario: Scenario,
    plan: str | None = None,
    parts: int | None = None,
    days: int = 60,
    workers: int | None = None,
    *,
    seed: int = 0,
) -> FloorSplit:
    """Pour a floor on more than one day, as ``pourday split`` does.

    Args:
        scenario: from ``read``. Its pours are played where it has some and ``parts`` is not given.
        plan: name of the plan that pours every part (of pours: the long day); the first unless
            told.
        parts: how many parts, 2 or more; as few as keep the limits unless told.
        days: how many days of each part, 1 or more.
        workers: processes; all cores unless told; 1 plays in this one.
        seed: number of the first day, 0 or more.

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plan on the floor or on a part of it.
        ValueError: for numbers below their least.
    """
    days, seed = whole("days", days, 1), whole("seed", seed, 0)
    parts = None if parts is None else whole("parts", parts, 2)
    workers = None if workers is None else whole("workers", workers, 1)
    chosen = scenario.plans[0] if plan is None else scenario.plan(plan)

    def _play(bases: Sequence[Basis]) -> Sequence[PlanDays]:
        return study_plans(bases, days, seed, workers)

    if scenario.pours and parts is None:
        found = given_split(scenario, _play, None if plan is None else chosen)
    else:
        found = find_split(scenario, chosen, _play, parts)
    return FloorSplit(scenario, found)
