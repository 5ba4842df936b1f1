"""The front: nobody on it is beaten, everybody off it is."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pourday.study.search.front import not_beaten


def test_by_hand():
    rows = np.array([[1, 5], [2, 4], [2, 5], [3, 3], [1, 5], [4, 3]])
    assert not_beaten(rows) == [0, 1, 3]


@given(st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=30))
def test_nobody_on_the_front_is_beaten_and_everybody_off_it_is_or_stands_there_already(rows):
    found = not_beaten(np.array(rows))

    def beats(one, other):
        return one != other and all(a <= b for a, b in zip(one, other, strict=True))

    front = [rows[k] for k in found]
    assert len(set(front)) == len(front)
    for row in rows:
        assert (row in front) is not any(beats(other, row) for other in rows)
