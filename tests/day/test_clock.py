"""A moment is met exactly, however far ahead, or a day taken up would have another clock."""

from __future__ import annotations

import simpy
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.clock import tell, wake_at


@given(st.floats(0.0, 4e5), st.floats(0.0, 4e5))
def test_a_moment_is_met_to_the_last_bit(now, ahead):
    moment = now + ahead
    env = simpy.Environment(initial_time=now)
    met = []

    def story():
        yield wake_at(env, moment)
        met.append(env.now)

    tell(story())
    env.run()
    assert met == [moment]


def test_a_tie_that_no_delay_meets_is_met_too():
    # At 47882.099953735786 no delay adds up to this moment: the sums are ties, rounded to even.
    now, moment = 47882.099953735786, 217303.7188381356
    env = simpy.Environment(initial_time=now)
    for moment in (217303.71883813562, 217303.7188381356, 217303.71883813565):
        env, met = simpy.Environment(initial_time=now), []

        def story(env=env, moment=moment, met=met):
            yield wake_at(env, moment)
            met.append(env.now)

        tell(story())
        env.run()
        assert met == [moment]
