"""Keys that nothing prices: known by what they are, and found by costs alike to the cent."""

from __future__ import annotations

import numpy as np
from builders.trials import COST, Made, search_over, trial_of

from pourday.study.search.keys import steps_of, without_price


def played(costs, key):
    trial = trial_of(len(costs))
    rows = Made(costs)(tuple(range(len(costs))), range(30))
    rows[:, :, COST] = np.array(costs)[:, None]
    trial.enter(range(len(costs)), rows)
    return without_price(search_over(range(6, 6 + 2 * len(costs), 2), key), trial)


def test_values_that_cost_the_same_to_the_cent_are_named():
    (found,) = played([900.0, 850.004, 850.0041], "supply.plants[1].trucks")
    assert found.key == "supply.plants[1].trucks"
    assert found.alike == (8, 10)


def test_trucks_have_no_price_even_where_more_of_them_save_something():
    (found,) = played([900.0, 850.0, 840.0], "supply.plants[1].trucks")
    assert found.alike == ()


def test_a_key_whose_values_cost_differently_is_not_named():
    assert played([900.0, 850.0, 840.0], "plan.spacing_min") == ()


def test_steps_count_from_the_least_of_what_has_no_price():
    assert steps_of(search_over([4, 6, 8], "site.positions")) == [0, 1, 2]
    assert steps_of(search_over([4, 6, 8], "plan.spacing_min")) == [0, 0, 0]
