"""Lay out every plan of a scenario, and say at once what is wrong with any of them."""

from __future__ import annotations

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError
from pourday.floor.layout import cut, lay_out
from pourday.floor.order import OrderError
from pourday.outcome.basis import Basis, basis
from pourday.scenario.faults import Fault, ScenarioError
from pourday.scenario.model import Plan, Scenario


def prepare(scenario: Scenario, plans: tuple[Plan, ...] | None = None) -> tuple[Basis, ...]:
    """The basis of each plan (all plans of the scenario unless told), in order.

    Raises:
        ScenarioError: with a fault for every plan whose order or deck does not work.
    """
    ready: list[Basis] = []
    faults: list[Fault] = []
    for plan in plans or scenario.plans:
        number = scenario.plans.index(plan) + 1
        if not cut(scenario, plan):
            faults.append(Fault("floor.openings", "the openings leave no concrete to place"))
            break
        try:
            ready.append(basis(scenario, plan, lay_out(scenario, plan)))
        except OrderError as wrong:
            key = "sequence" if plan.order == "listed" else "place_before"
            faults.append(Fault(f'plan[{number}].{key} (plan "{plan.name}")', str(wrong)))
        except BeamTooSoftError as wrong:
            faults.append(Fault(f'beams (plan "{plan.name}")', str(wrong)))
        except DeckTooSoftError as wrong:
            faults.append(
                Fault(f'deck.bending_stiffness_kNm2_per_m (plan "{plan.name}")', str(wrong))
            )
    if faults:
        raise ScenarioError(faults)
    return tuple(ready)
