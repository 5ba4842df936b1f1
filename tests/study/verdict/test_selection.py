"""Which plan costs less: Kim and Nelson's procedure, alone and beside limits, a thousand times.

The slippage configuration is the worst that the guarantee speaks of: one plan better than all
others by just the indifference, all of them otherwise alike. 1 - 0.025 - 0.025 of all studies are
to choose right; below 0.93 of 1,000 (three standard errors under 0.95) the test fails.
"""

from __future__ import annotations

import numpy as np
import pytest

from pourday.study.verdict.evidence import BEYOND
from pourday.study.verdict.rounds import Played, Race, Rules, run_rounds
from pourday.study.verdict.selection import dearer, h_squared, variances

PLANS, REPEATS = 10, 1000


def test_constants_of_the_procedure():
    # eta = ((2 x 0.025/3)^(-2/49) - 1)/2 = (e^(2 x 4.0943/49) - 1)/2 = 0.09093; h² = 98 eta.
    assert h_squared(4, 50, 0.025) == pytest.approx(8.911, abs=0.002)
    assert h_squared(1, 50) == 0.0


def test_a_plan_is_given_up_once_it_lies_outside_the_triangle():
    # Differences 3, 5 over 2 days (sum 8, variance 2), delta 1, h² 4: W = (4 x 2 - 2)/2 = 3 < 8.
    costs = np.array([[10.0, 20.0], [13.0, 25.0]])
    assert variances(costs)[0, 1] == pytest.approx(2.0)
    assert dearer(costs, variances(costs), 4.0, 1.0).tolist() == [[False, False], [True, False]]
    # At h² 20: W = (40 - 2)/2 = 19 > 8, and nothing is decided.
    assert not dearer(costs, variances(costs), 20.0, 1.0).any()


def _days(draw, means, bad, spread):
    """Days of plans with a part of their cost in common, and bad days by their share."""

    def play(plans: tuple[int, ...], days: range) -> Played:
        together = draw.normal(0.0, 5.0, len(days))
        own = spread(draw, (len(plans), len(days)))
        share = np.array([bad[n] for n in plans])[:, None, None]
        happened = draw.random((len(plans), 1, len(days))) < share
        return Played(np.array([means[n] for n in plans])[:, None] + together + own, happened)

    return play


def normal(draw, shape):
    return draw.normal(0.0, 1.5, shape)


def skewed(draw, shape):
    """Overtime and repairs: on one day in ten, and then a lot. Mean 0, sd 1.5."""
    return np.where(draw.random(shape) < 0.1, draw.exponential(3.5, shape), 0.0) - 0.35


@pytest.mark.slow
@pytest.mark.parametrize("spread", [normal, skewed])
def test_the_best_plan_is_chosen_where_all_others_are_dearer_by_the_indifference(spread):
    # 0.5 % of 100: all others cost 100.5.
    means = np.full(PLANS, 100.5)
    means[3] = 100.0
    right = 0
    for repeat in range(REPEATS):
        race = Race(Rules(np.full((PLANS, 1), np.nan), np.zeros(PLANS, dtype=bool)))
        play = _days(np.random.default_rng([16, repeat]), means, np.zeros(PLANS), spread)
        run_rounds(race, play, 20_000)
        assert race.decided
        right += race.alive == (3,)
    assert right / REPEATS >= 0.93


@pytest.mark.slow
def test_the_best_plan_within_its_limits_is_chosen_beside_cheaper_ones_that_are_not():
    # Cheaper by ten indifferences, but bad on 20 % of days where 10 % are accepted.
    means, bad = np.full(PLANS, 100.5), np.full(PLANS, 0.04)
    means[3] = 100.0
    means[:3], bad[:3] = 95.0, 0.20
    right = wrong_limit = 0
    for repeat in range(REPEATS):
        race = Race(Rules(np.full((PLANS, 1), 0.10), np.zeros(PLANS, dtype=bool)))
        run_rounds(race, _days(np.random.default_rng([17, repeat]), means, bad, normal), 20_000)
        right += race.alive == (3,)
        wrong_limit += bool(race.within[:3].any() or (race.standings[3:] == BEYOND).any())
    assert right / REPEATS >= 0.93
    # 1,000 studies, at most 2.5 % with any wrong limit; three standard errors are 1.5 %.
    assert wrong_limit / REPEATS <= 0.025


def test_only_a_plan_within_its_limits_gives_up_another():
    # The cheap plan is bad on every tenth day: on its limit, never decided. It gives up nobody.
    means, bad = np.array([90.0, 100.0, 110.0]), np.array([0.1, 0.0, 0.0])
    race = Race(Rules(np.full((3, 1), 0.10), np.zeros(3, dtype=bool)))
    run_rounds(race, _days(np.random.default_rng(5), means, bad, normal), 400)
    assert race.given_up.tolist() == [-1, -1, 1]
    assert race.alive == (0, 1)
    assert not race.decided


def test_plans_of_which_one_costs_the_same_every_day_are_decided_together():
    race = Race(Rules(np.full((2, 1), np.nan), np.zeros(2, dtype=bool)))

    def play(plans, days):
        return Played(np.array([np.arange(days.start, days.stop) + 1.0 for _ in plans]),
                      np.zeros((len(plans), 1, len(days)), dtype=bool))  # fmt: skip

    run_rounds(race, play, 1000)
    assert race.decided
    assert race.look == 50
    assert race.alive == (0, 1)


def test_a_plan_comes_back_once_the_one_that_gave_it_up_is_beyond():
    # Not one unfinished day is accepted: plan 0 is cheaper until it has one, on day 60.
    race = Race(Rules(np.zeros((2, 1)), np.zeros(2, dtype=bool)))
    asked = []

    def play(plans, days):
        asked.append((plans, days))
        cost = np.array([[10.0 if n == 0 else 20.0] * len(days) for n in plans])
        cost += np.sin(np.arange(days.start, days.stop))
        bad = np.array([[[n == 0 and day == 60 for day in days]] for n in plans])
        return Played(cost, bad)

    race_stop = 200
    for until in (50, 75, race_stop):
        for plans, days in tuple(race.wanted(until)):
            race.enter(plans, days, play(plans, days))
        race.judge()
        if until == 50:
            assert race.alive == (0,)
        if until == 75:
            assert race.alive == (1,)
    assert asked[-1] == ((1,), range(50, 200))
    assert race.days.tolist() == [75, 200]
