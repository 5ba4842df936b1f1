"""A moment is met exactly, however far ahead, or a day taken up would have another clock."""

from __future__ import annotations

import simpy
from hypothesis import given
from hypothesis import strategies as st

from pourday.day.clock import first_of, tell, wake_at


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


_PAIRS = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=8)


@given(_PAIRS)
def test_the_first_of_two_comes_when_and_in_the_order_in_which_simpys_any_of_comes(pairs):
    def heard(first):
        env, order = simpy.Environment(), []

        def story(name, one, other):
            for _ in range(2):
                yield first(env, wake_at(env, env.now + one), wake_at(env, env.now + other))
                order.append((name, env.now))

        for name, (one, other) in enumerate(pairs):
            tell(story(name, one, other))
        env.run()
        return order

    assert heard(first_of) == heard(lambda env, one, other: env.any_of((one, other)))
