"""Lay out every plan of a scenario, and say at once what is wrong with any of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.deck.grillage import BeamTooSoftError
from pourday.deck.ponding import DeckTooSoftError
from pourday.floor.access.set_ups import ReachError
from pourday.floor.cut import FloorCut, floor_cut
from pourday.floor.layout import Layout, as_laid_out, ground_of, lay_out
from pourday.floor.order.graph import OrderError
from pourday.floor.order.shares import NoBayError
from pourday.outcome.base.basis import Basis, basis, basis_beside
from pourday.scenario.base.faults import Fault, ScenarioError, show
from pourday.scenario.base.upsets import Upset, UpsetError, check_upset, fitted, parse_upset
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.told import Told, counted, nobody

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


class Layouts:
    """Layouts and bases made so far: who places the same floor in the same way shares them.

    So do plans of several scenarios, where these differ in supply, room at the site or prices.
    """

    def __init__(self) -> None:
        self._known: list[tuple[tuple[object, ...], FloorCut, dict[Plan, list[Basis]]]] = []

    def basis_of(self, scenario: Scenario, plan: Plan) -> Basis:
        """The basis of a plan of a scenario.

        Raises:
            ScenarioError: with the fault of the plan, where its order or deck does not work.
        """
        cut, known = self._on(scenario)
        alike = known.setdefault(as_laid_out(plan), [])
        if not alike:
            alike.append(basis(scenario, plan, _laid_out(scenario, plan, cut)))
            return alike[0]
        like = next((each for each in alike if each.plan.start == plan.start), alike[0])
        made = basis_beside(like, scenario, plan)
        if made.initial_set is not like.initial_set:
            alike.append(made)
        return made

    def _on(self, scenario: Scenario) -> tuple[FloorCut, dict[Plan, list[Basis]]]:
        ground = ground_of(scenario)
        for each, cut, known in self._known:
            if each == ground:
                return cut, known
        cut = floor_cut(scenario.floor)
        if cut.area < _NOTHING:
            none = "the openings leave no concrete to place"
            raise ScenarioError([Fault("floor.openings", none)])
        self._known.append((ground, cut, {}))
        return cut, self._known[-1][2]


def prepare(
    scenario: Scenario, plans: tuple[Plan, ...] | None = None, told: Told = nobody
) -> tuple[Basis, ...]:
    """The basis of each plan (all plans of the scenario unless told), in order.

    Plans that place the same floor in the same way share one layout.

    Raises:
        ScenarioError: with a fault for every plan whose order or deck does not work.
    """
    return prepare_each([(scenario, plan) for plan in plans or scenario.plans], told)


def prepare_each(plans: Sequence[tuple[Scenario, Plan]], told: Told = nobody) -> tuple[Basis, ...]:
    """The basis of each plan, each with a scenario of its own; raises as :func:`prepare` does."""
    layouts = Layouts()
    ready: list[Basis] = []
    faults: list[Fault] = []
    for scenario, plan in counted(plans, told):
        try:
            ready.append(layouts.basis_of(scenario, plan))
        except ScenarioError as wrong:
            faults += [fault for fault in wrong.faults if fault not in faults]
    if faults:
        raise ScenarioError(faults)
    return tuple(ready)


def _laid_out(scenario: Scenario, plan: Plan, cut: FloorCut) -> Layout:
    """The layout of a plan; what does not work is a fault of its file."""
    try:
        return lay_out(scenario, plan, cut)
    except (NoBayError, OrderError, ReachError, BeamTooSoftError, DeckTooSoftError) as wrong:
        key = "place_before"
        match wrong:
            case NoBayError():
                key = "bays"
            case OrderError() if plan.order == "listed":
                key = "sequence"
            case ReachError():
                key = "set_ups"
        path = f'plan[{_number(scenario, plan)}].{key} (plan "{plan.name}")'
        if isinstance(wrong, BeamTooSoftError):
            path = f'beams (plan "{plan.name}")'
        elif isinstance(wrong, DeckTooSoftError):
            path = f'deck.bending_stiffness_kNm2_per_m (plan "{plan.name}")'
        raise ScenarioError([Fault(path, str(wrong))]) from None


def _number(scenario: Scenario, plan: Plan) -> int:
    """Which plan of the file it is, counted from 1."""
    return [each.name for each in scenario.plans].index(plan.name) + 1
