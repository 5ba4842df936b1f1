"""Spacing by stage and tests by number, at their limits."""

from __future__ import annotations

import pytest

from pourday.day.supply.stages import is_tested, stage_at

SLOW_FAST_SLOW = ((0.2, "slow start"), (0.9, "steady"), (1.0, "slow end"))


@pytest.mark.parametrize(
    ("share", "stage"),
    [(0.0, 0), (0.199, 0), (0.2, 1), (0.899, 1), (0.9, 2), (1.0, 2), (1.07, 2)],
)
def test_a_stage_holds_up_to_its_share_and_the_last_to_the_end(share, stage):
    assert stage_at(share, SLOW_FAST_SLOW) == stage


def test_one_stage_is_the_whole_pour_whatever_its_share():
    assert [stage_at(share, ((0.5, None),)) for share in (0.0, 0.5, 1.0)] == [0, 0, 0]


def test_a_stage_of_no_length_is_never_used():
    stages = ((0.0, "never"), (0.5, "first"), (0.5, "never"), (1.0, "last"))
    assert {stage_at(k / 100, stages) for k in range(101)} == {1, 3}


def test_loads_that_add_up_to_a_share_with_rounding_have_reached_it():
    called = sum([0.1] * 8)  # of 4 m³: 0.7999999999999999
    assert called < 0.8
    assert stage_at(called / 4, SLOW_FAST_SLOW) == 1


def test_a_pour_without_stages_is_refused():
    with pytest.raises(ValueError, match="no stage"):
        stage_at(0.5, ())


@pytest.mark.parametrize(
    ("first", "every", "tested"),
    [
        (0, 0, []),
        (1, 0, [0]),
        (1, 1, [0, 1, 2, 3, 4, 5, 6, 7]),
        (1, 2, [0, 2, 4, 6]),
        (1, 3, [0, 3, 6]),
        (1, 100, [0]),
        (0, 2, [1, 3, 5, 7]),
        (2, 3, [0, 1, 4, 7]),
        (100, 0, [0, 1, 2, 3, 4, 5, 6, 7]),
    ],
)
def test_the_first_loads_and_every_nth_after_them_are_tested(first, every, tested):
    assert [number for number in range(8) if is_tested(number, first, every)] == tested


def test_as_shipped_the_first_three_loads_and_every_fifth_after_them_are_tested():
    # The 8th is the fifth after the third, the 13th the fifth after that.
    supposed = [0, 1, 2, 7, 12, 17]
    assert [number for number in range(20) if is_tested(number, 3, 5)] == supposed
