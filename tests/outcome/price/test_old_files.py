"""A file that uses no new key costs what it did before there was one, to the cent."""

from __future__ import annotations

from dataclasses import MISSING, fields, replace

import pytest
from builders.old_cost import old_cost
from builders.places import SCENARIOS
from builders.shipped import shipped

from pourday.scenario.model.prices import Prices
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.model.site import Pump
from pourday.study.days import one_day
from pourday.study.prepare import prepare

DAYS = 3
LATER = {"trucks", "curing", "late"}


def without_new_keys(scenario: Scenario) -> Scenario:
    """The scenario as a file of before would have it: every price that came later at its default.

    What came later has a default in the model; what was there before has none.
    """
    plain = {f.name: f.default for f in fields(Prices) if f.name in _later(Prices)}
    pumps = {
        name: replace(pump, **{f.name: f.default for f in fields(Pump) if f.name in _later(Pump)})
        for name, pump in scenario.pumps.items()
    }
    return replace(scenario, prices=replace(scenario.prices, **plain), pumps=pumps)


def _later(model: type) -> set[str]:
    return {f.name for f in fields(model) if f.default is not MISSING}


@pytest.mark.parametrize("name", sorted(path.stem for path in SCENARIOS.glob("*.toml")))
def test_a_shipped_day_costs_to_the_cent_what_the_old_rules_say(name):
    for basis in prepare(without_new_keys(shipped(name))):
        for seed in range(DAYS):
            outcome = one_day(basis, seed)
            old = old_cost(outcome)
            for kind, amount in old.items():
                assert getattr(outcome.cost, kind) == pytest.approx(amount, abs=1e-6), kind
            assert outcome.cost.total == pytest.approx(sum(old.values()), abs=1e-6)
            assert all(getattr(outcome.cost, kind) == 0.0 for kind in LATER)


def test_the_days_have_what_the_old_rules_price():
    """Waiting, overtime, reliefs, concrete sent away: else the test above would say little."""
    seen: dict[str, float] = {}
    for name in ("library_level_2", "market_hall", "depot_two_pumps", "tower_level_9"):
        for basis in prepare(without_new_keys(shipped(name))):
            for line in one_day(basis, 0).cost.lines:
                seen[line.key] = max(seen.get(line.key, 0.0), line.amount)
    for key in ("plain", "least", "sent_away", "disposal", "waiting", "cold_joints", "in_line"):
        assert seen[key] > 0, key
    assert max(amount for key, amount in seen.items() if key.startswith("overtime")) > 0
