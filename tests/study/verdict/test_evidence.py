"""What bad days of days decide: the evidence against a limit, and the interval that belongs to it.

Beside the closed form stands `scipy.stats` (binomial and beta-binomial laws), which is not used in
the program. Numbers of the issue: at most 2 % of days takes 451 days without a bad one.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pourday.study.verdict.evidence import (
    BEYOND,
    NOT_DECIDED,
    WITHIN,
    days_needed,
    least_days,
    level_of,
    log_evidence,
    share_interval,
    standing,
)


@pytest.mark.parametrize(("bad", "days", "limit"), [(0, 50, 0.1), (3, 50, 0.1), (40, 75, 0.02)])
def test_evidence_is_beta_binomial_over_binomial(bad, days, limit):
    mixed = stats.betabinom.logpmf(bad, days, 0.5, 0.5)
    plain = stats.binom.logpmf(bad, days, limit)
    assert log_evidence(bad, days, limit) == pytest.approx(mixed - plain, rel=1e-9)


def test_one_day_by_hand():
    # B(3/2, 1/2) = pi/2: a bad day is 1/2 over q, a good one 1/2 over 1 - q.
    assert log_evidence(1, 1, 0.1) == pytest.approx(math.log(5.0))
    assert log_evidence(0, 1, 0.1) == pytest.approx(math.log(0.5 / 0.9))


def test_two_per_cent_takes_451_days_without_a_bad_one_at_six_tests():
    assert least_days(0.02, level_of(6)) == 451
    assert standing(0, 450, 0.02, level_of(6)) == NOT_DECIDED
    assert standing(0, 451, 0.02, level_of(6)) == WITHIN
    # E = (1/0.98)^451 / sqrt(451 pi) nearly (Stirling): 240.7 against 6/0.025 = 240.
    assert math.exp(log_evidence(0, 451, 0.02)) == pytest.approx(
        0.98**-451 / math.sqrt(451 * math.pi), rel=1e-3
    )
    assert least_days(0.0, level_of(6)) is None
    assert least_days(1.0, level_of(6)) == 0


def test_a_limit_of_no_day_is_broken_by_the_first_and_shown_by_none():
    assert standing(1, 3, 0.0, 0.001) == BEYOND
    assert standing(0, 100_000, 0.0, 0.001) == NOT_DECIDED


def test_a_limit_is_decided_just_where_it_lies_outside_the_interval():
    level = level_of(8)
    for days in (50, 75, 200, 1000):
        for bad in range(0, days + 1, max(1, days // 40)):
            found = share_interval(bad, days, level)
            assert found.low <= found.value <= found.high
            for limit in (0.02, 0.1, 0.15, 0.5):
                outside = not found.low < limit < found.high
                assert (standing(bad, days, limit, level) != NOT_DECIDED) == outside


@pytest.mark.parametrize(("share", "limit"), [(0.04, 0.1), (0.2, 0.1), (0.05, 0.02), (0.5, 0.02)])
def test_days_needed_are_about_those_of_the_divergence(share, limit):
    level = level_of(8)
    days = days_needed(share, limit, level)
    assert days is not None
    divergence = share * math.log(share / limit)
    divergence += (1 - share) * math.log((1 - share) / (1 - limit))
    # The formula leaves out ln(pi/2)/2 = 0.23 of about 8: up to 3 %, and a whole day.
    formula = (math.log(1 / level) + math.log(days) / 2) / divergence
    assert days == pytest.approx(formula, rel=0.04, abs=1.0)
    assert days_needed(limit, limit, level) is None


@pytest.mark.slow
@pytest.mark.parametrize("limit", [0.02, 0.1, 0.5])
def test_a_share_at_the_limit_is_decided_in_few_studies_at_however_many_looks(limit):
    # 4,000 studies of 1,000 days, a look on every day: at level 0.05 at most 5 % may ever be
    # decided. Three standard errors of that bound are 1 %; fixed-size tests looked at like that
    # are wrong in over half of all studies, the last lines say.
    rng = np.random.default_rng(16)
    days = np.arange(1, 1001)
    bad = np.cumsum(rng.random((4000, len(days))) < limit, axis=1)
    counts = np.arange(len(days) + 1)
    decided = np.array(
        [[log_evidence(s, n, limit) >= math.log(20) if s <= n else False for s in counts]
         for n in days]
    )  # fmt: skip
    ever = decided[days - 1, bad].any(axis=1)
    assert 0.0 < ever.mean() <= 0.05
    score = np.abs(bad - days * limit) / np.sqrt(days * limit * (1 - limit))
    assert (score[:, 49:] > 1.96).any(axis=1).mean() > 0.3
