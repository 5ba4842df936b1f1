"""Lay out every plan of a scenario, and say at once what is wrong with any of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError
from pourday.floor.access.set_ups import ReachError
from pourday.floor.cut import floor_cut
from pourday.floor.layout import Layout, as_laid_out, lay_out
from pourday.floor.order.graph import OrderError
from pourday.floor.order.shares import NoBayError
from pourday.outcome.base.basis import Basis, basis
from pourday.scenario.base.faults import Fault, ScenarioError, show
from pourday.scenario.base.upsets import Upset, UpsetError, check_upset, fitted, parse_upset
from pourday.scenario.model.scenario import Plan, Scenario

_NOTHING = 1e-9  # m²


def read_upset(line: str, scenario: Scenario, plans: Sequence[Plan]) -> Upset:
    """The upset that a line says, in the words of ``[upsets] given``.

    Raises:
        UpsetError: where the line says none.
        ValueError: why it can happen in none of ``plans``.
    """
    plants = [plant.name for plant in scenario.supply.plants]
    upset = fitted(parse_upset(line), plants)
    misfits = [check_upset(upset, plants, scenario.means(plan)) for plan in plans]
    if all(misfits):
        raise ValueError(misfits[0])
    return upset


def with_upsets(
    scenario: Scenario,
    lines: Sequence[str],
    plans: Sequence[Plan] | None = None,
    said: str = "--upset",
) -> Scenario:
    """The scenario in which these go wrong too, written as in ``[upsets] given``.

    ``said`` is what a fault calls such a line: the word by which the user gave it.

    Raises:
        ScenarioError: with a fault for every line that says nothing, or fits none of ``plans``
            (all plans of the scenario unless told).
    """
    found: list[Upset] = []
    faults: list[Fault] = []
    for line in lines:
        path = f"{said} {show(line)}"
        try:
            found.append(read_upset(line, scenario, plans or scenario.plans))
        except UpsetError as error:
            faults.append(Fault(path, error.found, error.allowed, advice=error.advice))
        except ValueError as misfit:
            faults.append(Fault(path, str(misfit)))
    if faults:
        raise ScenarioError(faults)
    return replace(scenario, upsets=(*scenario.upsets, *found))


def prepare(scenario: Scenario, plans: tuple[Plan, ...] | None = None) -> tuple[Basis, ...]:
    """The basis of each plan (all plans of the scenario unless told), in order.

    Plans that place the same floor in the same way share one layout.

    Raises:
        ScenarioError: with a fault for every plan whose order or deck does not work.
    """
    ready: list[Basis] = []
    faults: list[Fault] = []
    cut = floor_cut(scenario.floor)
    if cut.area < _NOTHING:
        none = "the openings leave no concrete to place"
        raise ScenarioError([Fault("floor.openings", none)])
    layouts: dict[Plan, Layout] = {}
    for plan in plans or scenario.plans:
        alike = as_laid_out(plan)
        try:
            if alike not in layouts:
                layouts[alike] = lay_out(scenario, plan, cut)
            ready.append(basis(scenario, plan, layouts[alike]))
        except NoBayError as wrong:
            faults.append(
                Fault(f'plan[{_number(scenario, plan)}].bays (plan "{plan.name}")', str(wrong))
            )
        except OrderError as wrong:
            key = "sequence" if plan.order == "listed" else "place_before"
            faults.append(
                Fault(f'plan[{_number(scenario, plan)}].{key} (plan "{plan.name}")', str(wrong))
            )
        except ReachError as wrong:
            faults.append(
                Fault(f'plan[{_number(scenario, plan)}].set_ups (plan "{plan.name}")', str(wrong))
            )
        except BeamTooSoftError as wrong:
            faults.append(Fault(f'beams (plan "{plan.name}")', str(wrong)))
        except DeckTooSoftError as wrong:
            faults.append(
                Fault(f'deck.bending_stiffness_kNm2_per_m (plan "{plan.name}")', str(wrong))
            )
    if faults:
        raise ScenarioError(faults)
    return tuple(ready)


def _number(scenario: Scenario, plan: Plan) -> int:
    """Which plan of the file it is, counted from 1."""
    return [each.name for each in scenario.plans].index(plan.name) + 1
