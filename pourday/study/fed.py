"""The first plans of a new floor: the spacing that keeps the pump fed, a wider one, another pump.

Spacings come from the model's own forecast of what a front takes (``outcome.capacity``), none from
a rule of thumb.
"""

from __future__ import annotations

import math

from pourday.outcome.capacity import capacities
from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.begin.answers import Answers
from pourday.scenario.begin.questions import CREW_OF, HIGH
from pourday.scenario.begin.text import PlanLine, scenario_text
from pourday.scenario.read import parse_scenario
from pourday.study.prepare import prepare

WIDER = 1.25
"""The second plan's spacing over the fed one: a pump that waits now and then, trucks that do not
(common practice, no source)."""
_MOST = 240  # minutes, as the key spacing_min
_PROVISIONAL = 30


def first_file(answers: Answers) -> tuple[str, tuple[PlanLine, ...]]:
    """The text of a new scenario and its plans.

    Raises:
        ScenarioError: with every fault, where these answers make no floor that can be poured.
    """
    fed = _fed(answers, answers.pump, answers.crew, "trucks as the pump takes them")
    wider = min(_MOST, max(fed.spacing + 1, math.ceil(fed.spacing * WIDER)))
    plans = [fed]
    if wider > fed.spacing:
        plans.append(PlanLine(fed.pump, fed.crew, wider, "a quarter wider: fewer trucks wait"))
    other = _other(answers)
    try:
        plans.append(_fed(answers, other, CREW_OF[other], "another pump, as it takes them"))
        text = _checked(answers, plans)
    except ScenarioError:  # that pump cannot do this floor; the one that was asked for can
        plans = [plan for plan in plans if plan.pump != other]
        text = _checked(answers, plans)
    return text, tuple(plans)


def _fed(answers: Answers, pump: str, crew: str, why: str) -> PlanLine:
    trial = PlanLine(pump, crew, _PROVISIONAL, why)
    scenario, _ = parse_scenario(scenario_text(answers, [trial]))
    (front,) = capacities(prepare(scenario)[0])
    return PlanLine(pump, crew, min(_MOST, math.ceil(front.spacing / 60.0 - 1e-9)), why)


def _checked(answers: Answers, plans: list[PlanLine]) -> str:
    text = scenario_text(answers, plans)
    scenario, _ = parse_scenario(text)
    prepare(scenario)
    return text


def _other(answers: Answers) -> str:
    if answers.pump == "line_pump":
        return "crane_and_skip" if answers.height > HIGH else "truck_boom"
    return "line_pump"
