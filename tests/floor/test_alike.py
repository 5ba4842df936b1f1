"""Which plans have the same layout: those that differ in nothing a layout asks for."""

from __future__ import annotations

from dataclasses import fields

import pytest
from builders.places import SCENARIOS

from pourday.floor.layout import as_laid_out, lay_out
from pourday.scenario.model.site import FrontPlan, Plan
from pourday.scenario.read import read_scenario

FILES = sorted(SCENARIOS.glob("*.toml"))


class AskedPlan(Plan):
    """A plan that remembers which of its fields anybody read."""

    def __getattribute__(self, name):
        ASKED.add(f"plan.{name}")
        return super().__getattribute__(name)


class AskedFront(FrontPlan):
    """The same of a front."""

    def __getattribute__(self, name):
        ASKED.add(f"front.{name}")
        return super().__getattribute__(name)


ASKED: set[str] = set()


def asked_plan(plan: Plan) -> Plan:
    def parts(value, kind):
        return {field.name: getattr(value, field.name) for field in fields(kind)}

    fronts = tuple(AskedFront(**parts(front, FrontPlan)) for front in plan.fronts)
    return AskedPlan(**parts(plan, Plan) | {"fronts": fronts})


def left_out(plan: Plan) -> set[str]:
    """Fields that do not tell a plan from another with the same layout."""
    names = {"spacing", "plants"} & {field.name for field in fields(FrontPlan)}
    return {f"front.{name}" for name in names} | {
        f"plan.{name}"
        for name in ("name", "stages", "trucks", "load", "most_on_site", "hold_back_at",
                     "standby_after", "standby_call_out")
    }  # fmt: skip


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.stem)
def test_a_layout_asks_for_nothing_that_plans_with_one_layout_may_differ_in(file):
    scenario, _ = read_scenario(file)
    for plan in scenario.plans:
        ASKED.clear()
        lay_out(scenario, asked_plan(plan))
        assert "plan.order" in ASKED
        assert not ASKED & left_out(plan)


def test_the_same_plan_begun_later_has_the_same_order():
    scenario, _ = read_scenario(SCENARIOS / "depot_two_pumps.toml")
    for plan in scenario.plans:
        later = plan.starting_at(plan.start + 5431.7)
        assert as_laid_out(later) == as_laid_out(plan)
        a, b = lay_out(scenario, plan), lay_out(scenario, later)
        assert a.strips == b.strips
        assert a.volume.tobytes() == b.volume.tobytes()
