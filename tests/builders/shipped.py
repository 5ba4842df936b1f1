"""The shipped scenarios, their plans prepared and played, and the same on another floor."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from itertools import accumulate

from builders.places import SCENARIOS

from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome
from pourday.scenario.base.upsets import Upset
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import read_scenario
from pourday.study.days import one_day
from pourday.study.prepare import prepare


def shipped(name: str) -> Scenario:
    """A shipped scenario by its file's name."""
    return read_scenario(SCENARIOS / f"{name}.toml")[0]


def first_basis(scenario: Scenario) -> Basis:
    """The basis of its first plan."""
    return prepare(scenario, scenario.plans[:1])[0]


def day_of(
    scenario: Scenario, which: int = 0, seed: int = 0, upsets: tuple[Upset, ...] | None = None
) -> Outcome:
    """One day of one of its plans, with its own upsets or with just these."""
    return one_day(prepare(scenario, (scenario.plans[which],))[0], seed, upsets)


def on_another_floor(
    scenario: Scenario, spans: Sequence[float], runs: Sequence[int], primary: Sequence[float]
) -> Scenario:
    """The scenario on a floor of these spans (m), sheet runs (spans) and primary beams (y, m).

    Without openings; it ends at its last primary beam.
    """
    floor = dataclasses.replace(
        scenario.floor,
        supports=(0.0, *accumulate(spans)),
        sheet_runs=tuple(runs),
        length_y=primary[-1],
        primary_beams_y=tuple(primary),
        openings=(),
    )
    return dataclasses.replace(scenario, floor=floor)
