"""Days on which things go wrong, as an upset or in the words of a scenario file."""

from __future__ import annotations

from builders.pours import basis_of, laid_out

from pourday.day.log import DayLog
from pourday.day.play import play
from pourday.outcome.edges.stop_end import StopAdvice, long_stops
from pourday.outcome.measure import Outcome
from pourday.scenario.base.upsets import Upset, parse_upset
from pourday.scenario.model.scenario import Scenario
from pourday.study.days import one_day
from pourday.study.effects import Effect, effects

MINUTE, HOUR = 60.0, 3600.0


def clock(hour: int, minute: float) -> float:
    return hour * HOUR + minute * MINUTE


def upsets_of(*given: Upset | str) -> tuple[Upset, ...]:
    return tuple(parse_upset(each) if isinstance(each, str) else each for each in given)


def log_with(scenario: Scenario, *given: Upset | str, seed: int = 1) -> DayLog:
    """One day of the first plan with just these upsets."""
    return play(scenario, scenario.plans[0], laid_out(scenario), seed, upsets_of(*given))


def outcome_with(scenario: Scenario, *given: Upset | str, seed: int = 1) -> Outcome:
    """The same day, measured."""
    return one_day(basis_of(scenario), seed, upsets_of(*given))


def told_with(
    scenario: Scenario, *given: Upset | str, seed: int = 1
) -> tuple[Outcome, tuple[Effect, ...], tuple[StopAdvice, ...]]:
    """The same day, what each upset cost, and the advice for its long stops."""
    basis = basis_of(scenario)
    day = one_day(basis, seed, upsets_of(*given))
    found = effects(day, lambda rest: one_day(basis, seed, rest))
    return day, tuple(found), long_stops(day)
