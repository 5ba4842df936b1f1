"""``pourday.deck_peaks``: what the deck feels, order by order, without a day."""

# ruff: noqa: N815  (a name spells its unit as the trade does: kN)
from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pourday.api.base import Floats, floats, prepared
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.deck_study import (
    BayOrders,
    PlanDeck,
    bay_orders,
    plan_decks,
    without_props,
)
from pourday.study.orders.floor_orders import FloorOrders, floor_orders


@dataclass(frozen=True, eq=False)
class DeckPeaks:
    """Peaks of the deck in every different order among the plans, each array (orders,).

    ``plans`` are the names of those that share an order. Values are per metre width and sizes,
    never negative; ``use`` is a share of the resistance, 1 = used up. ``decks`` is each order as
    the program judges it, in SI, with place and strip; ``bases`` are the plans laid out.
    ``variant`` is "props missing" where they were left out.
    """

    scenario: Scenario = field(repr=False)
    variant: str
    plans: tuple[tuple[str, ...], ...]
    sag_moment_kNm_per_m: Floats
    hog_moment_kNm_per_m: Floats
    reaction_kN_per_m: Floats
    uplift_kN_per_m: Floats
    deflection_mm: Floats
    use: Floats
    ponding_m3: Floats
    decks: tuple[PlanDeck, ...] = field(repr=False)
    bases: tuple[Basis, ...] = field(repr=False)

    def orders(self, bay: str | None = None) -> BayOrders:
        """Thirds, spread, the best and the worst order of a bay; of the most used unless told.

        Raises:
            KeyError: where there is no such bay; its first argument names those there are.
        """
        return bay_orders(self.bases[0], bay or self.decks[0].deck.use.bay)

    def floor_orders(self) -> FloorOrders:
        """Every order by every way of striking on the whole floor, as ``pourday deck`` says."""
        return floor_orders(self.bases)

    def to_dict(self, bay: str | None = None) -> dict[str, Any]:
        """What ``pourday deck --json`` writes (docs/outputs.md), with the orders of a bay.

        Raises:
            KeyError: as :meth:`orders`.
        """
        from pourday.report.records.study import deck_record

        floor = self.floor_orders()
        return deck_record(self.scenario, self.decks, self.orders(bay), floor, self.variant)


def deck_peaks(
    scenario: Scenario, plan: str | None = None, *, props_missing: bool = False
) -> DeckPeaks:
    """What the deck feels in every order, as ``pourday deck`` says; heaps at their mean height.

    Args:
        scenario: from ``read``.
        plan: name of the only plan to look at; all of them unless told.
        props_missing: leave out every temporary prop line, to see what happens.

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plans, or where no prop line is there to leave out.
    """
    scenario = without_props(scenario) if props_missing else scenario
    scenario, bases = prepared(scenario, None if plan is None else (plan,), ())
    decks = plan_decks(bases)
    found = [each.deck for each in decks]
    return DeckPeaks(
        scenario=scenario,
        variant="props missing" if props_missing else "",
        plans=tuple(each.alike for each in decks),
        sag_moment_kNm_per_m=floats((each.sag_moment.value for each in found), 1e3),
        hog_moment_kNm_per_m=floats((each.hog_moment.value for each in found), 1e3),
        reaction_kN_per_m=floats((each.reaction.value for each in found), 1e3),
        uplift_kN_per_m=floats((each.uplift.value for each in found), 1e3),
        deflection_mm=floats((each.deflection.value for each in found), 1e-3),
        use=floats(each.use.value for each in found),
        ponding_m3=floats(each.ponding for each in found),
        decks=decks,
        bases=bases,
    )
