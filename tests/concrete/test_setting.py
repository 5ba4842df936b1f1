"""Open time, initial and final set with a retarder."""

import math

import pytest

from pourday.concrete.setting import MixTimes, final_set, initial_set, open_time

MINUTE = 60.0


def test_a_retarder_adds_its_time_to_all_three():
    mix = MixTimes(150 * MINUTE, 300 * MINUTE, 420 * MINUTE, retarder=90 * MINUTE)
    assert open_time(mix) == 240 * MINUTE
    assert initial_set(mix) == 390 * MINUTE
    assert final_set(mix) == 510 * MINUTE


def test_without_retarder_the_mix_times_stand():
    mix = MixTimes(150 * MINUTE, 300 * MINUTE, 420 * MINUTE)
    assert (open_time(mix), initial_set(mix), final_set(mix)) == (9000.0, 18000.0, 25200.0)


@pytest.mark.parametrize(
    "times",
    [(0.0, 1.0, 2.0), (3.0, 2.0, 4.0), (1.0, 2.0, 2.0), (1.0, 2.0, math.inf), (math.nan, 2.0, 3.0)],
)
def test_times_out_of_order_are_refused(times):
    with pytest.raises(ValueError, match="open time <= initial set < final set"):
        MixTimes(*times)


@pytest.mark.parametrize("retarder", [-1.0, math.inf, math.nan])
def test_a_retarder_that_is_no_added_time_is_refused(retarder):
    with pytest.raises(ValueError, match="retarder"):
        MixTimes(1.0, 2.0, 3.0, retarder=retarder)
