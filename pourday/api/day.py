"""``pourday.play``: one day of one plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from pourday.api.base import one_plan, units_of, whole
from pourday.api.columns import (
    DeckUse,
    EdgePairs,
    Strips,
    Trucks,
    deck_use,
    edge_pairs,
    strips,
    trucks,
)
from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome
from pourday.scenario.model.scenario import Scenario
from pourday.study.days import one_day
from pourday.study.metrics import NAMES, day_row


@dataclass(frozen=True, eq=False)
class Day:
    """One played day of one plan.

    ``outcome`` is the day as the program measures it: everything, in SI. ``basis`` is what all
    days of the plan share.
    """

    title: str
    plan: str
    seed: int
    outcome: Outcome = field(repr=False)
    basis: Basis = field(repr=False)

    @cached_property
    def trucks(self) -> Trucks:
        """Every load: when it was batched, how long it stood, what became of it."""
        return trucks(self.outcome.log)

    @cached_property
    def strips(self) -> Strips:
        """Every strip: where it lies, when it was placed, when it set."""
        return strips(self.outcome)

    @cached_property
    def edge_pairs(self) -> EdgePairs:
        """Every shared side of two strips: how long it was open, whether it went cold."""
        return edge_pairs(self.outcome)

    @cached_property
    def deck_use(self) -> DeckUse:
        """The share of the deck's resistance in use, as a step line over the day."""
        return deck_use(self.outcome)

    @cached_property
    def metrics(self) -> dict[str, float]:
        """The figures that ``compare`` compares by, units in their names; 1 where it happened."""
        return dict(zip(NAMES, day_row(self.outcome), strict=True))

    def another(self, seed: int) -> Day:
        """The day of the same plan with this seed; quicker than ``play``: the floor is cut."""
        return _day(self.basis, seed)

    def to_dict(self) -> dict[str, Any]:
        """What ``pourday day --json`` writes (docs/outputs.md).

        The day is played again without each of its upsets, to tell what they did.
        """
        from pourday.outcome.edges.stop_end import long_stops
        from pourday.report.records.day import day_record
        from pourday.study.effects import effects

        found = effects(self.outcome, lambda upsets: one_day(self.basis, self.seed, upsets))
        return day_record(self.outcome, found, long_stops(self.outcome))

    def to_html(self, *, units: str = "si") -> str:
        """The page that ``pourday day --html`` writes, without the warnings of the file.

        ``units`` "us" says it in yd³, ft, in and °F (docs/units.md).

        Raises:
            ValueError: for units of another name.
        """
        from pourday.report.page.day import day_page

        return day_page(self.outcome, units=units_of(units))


def play(
    scenario: Scenario, plan: str | None = None, seed: int = 0, *, upsets: Sequence[str] = ()
) -> Day:
    """Play one day of one plan, as ``pourday day`` does.

    Args:
        scenario: from ``read``.
        plan: its name; the first plan unless told.
        seed: number of the day, 0 or more. The same seed is the same day for every plan.
        upsets: what goes wrong too, such as "10:30 pump down 45 min" (docs/upsets.md).

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plan and of the upsets.
        ValueError: for a seed below 0.
    """
    basis = one_plan(scenario, plan, upsets)
    return _day(basis, seed)


def _day(basis: Basis, seed: int) -> Day:
    seed = whole("seed", seed, 0)
    return Day(basis.scenario.title, basis.plan.name, seed, one_day(basis, seed), basis)
