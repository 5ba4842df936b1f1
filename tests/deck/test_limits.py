"""Each rule against hand-worked numbers."""

import numpy as np
import pytest

from pourday.deck.limits import (
    fixing_force,
    moment_reaction_use,
    ponding_allowance,
    ponding_counts,
)


def test_moment_reaction_use():
    # EN 1993-1-3 6.1.11 (from memory). Mc = 10, Rw = 40:
    # M = 6, F = 28: 0.6 + 0.7 = 1.3, over 1.25 is 1.04, the greatest
    # M = -9, F = 4: 0.9; 0.9 + 0.1 = 1.0, over 1.25 is 0.8: the moment alone
    # M = 0, F = 44: the reaction alone, 1.1
    # M = -5, F = -20: uplift does not press on the webs: 0.5
    use = moment_reaction_use([6, -9, 0, -5], 10, [28, 4, 44, -20], 40)
    assert use == pytest.approx([1.04, 0.9, 1.1, 0.5], rel=1e-12)


def test_moment_reaction_use_needs_a_resistance():
    with pytest.raises(ValueError, match="moment resistance"):
        moment_reaction_use(1, 0, 1, 1)
    with pytest.raises(ValueError, match="reaction resistance"):
        moment_reaction_use(1, 1, 1, -1)


def test_ponding_counts():
    # EN 1994-1-1 9.3.2: ignored below a tenth of 130 mm, 13 mm
    assert list(ponding_counts([0.0129, 0.0131], 0.130)) == [False, True]
    # "less than a tenth" may be ignored; exactly a tenth may not (both exact in binary)
    assert ponding_counts(0.125, 1.25)


def test_ponding_allowance():
    # EN 1994-1-1 9.3.2: 0.7 x 20 mm = 14 mm
    assert ponding_allowance([0.020, -0.005]) == pytest.approx([0.014, 0.0], rel=1e-12)


def test_fixing_force():
    assert fixing_force([-1220.0, 0.0, 500.0]) == pytest.approx([1220.0, 0.0, 0.0])
    assert np.asarray(fixing_force(-3)).item() == 3.0
