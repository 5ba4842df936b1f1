"""``pourday.price``: one plan priced line by line over many days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from pourday.api.base import Floats, fixed, one_plan, whole
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Scenario
from pourday.study.price import PricedPlan, PriceLine, priced_days
from pourday.study.statistics import Interval


@dataclass(frozen=True, eq=False)
class Price:
    """The price of a plan, in the scenario's currency.

    ``lines`` are means over the days, whose amounts add up to ``mean``; ``totals`` (days,) are the
    days one by one. ``allowance`` is what 8 days in 10 stay within beyond the mean, with its 95 %
    interval. ``found`` holds the rest: hours by job and band, waste, bays.
    """

    plan: str
    first_seed: int
    lines: tuple[PriceLine, ...] = field(repr=False)
    totals: Floats = field(repr=False)
    mean: float
    p50: float
    p80: float
    p90: float
    allowance: Interval
    found: PricedPlan = field(repr=False)
    basis: Basis = field(repr=False)

    def to_dict(self) -> dict[str, Any]:
        """What ``pourday price --json`` writes (docs/outputs.md)."""
        from pourday.report.records.price import price_record

        return price_record(self.basis, self.found)


def price(
    scenario: Scenario,
    plan: str | None = None,
    days: int = 200,
    workers: int | None = None,
    *,
    seed: int = 0,
    upsets: Sequence[str] = (),
) -> Price:
    """Play many days of a plan and price them line by line, as ``pourday price`` does.

    Args:
        scenario: from ``read``.
        plan: its name; the first plan unless told.
        days: how many, 1 or more.
        workers: processes; all cores unless told; 1 plays in this one.
        seed: number of the first day, 0 or more.
        upsets: what goes wrong on every day, such as "10:30 pump down 45 min".

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plan and of the upsets.
        ValueError: for numbers below their least.
    """
    days, seed = whole("days", days, 1), whole("seed", seed, 0)
    workers = None if workers is None else whole("workers", workers, 1)
    basis = one_plan(scenario, plan, upsets)
    found = priced_days(basis, days, seed, workers)
    return Price(
        plan=found.plan,
        first_seed=seed,
        lines=found.lines,
        totals=fixed(found.totals.copy()),
        mean=found.mean.value,
        p50=found.half.value,
        p80=found.eight.value,
        p90=found.nine.value,
        allowance=found.allowance,
        found=found,
        basis=basis,
    )
