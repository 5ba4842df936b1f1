"""The deck of many days by its envelope, against every state of the deck looked at each day."""

from __future__ import annotations

import numpy as np
import pytest
from builders.places import SCENARIOS

from pourday.outcome.deck.envelope import _unbeaten, envelope
from pourday.outcome.deck.peaks import SIGNS, deck_outcome, peaks_with
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare


@pytest.mark.parametrize("name", ["clinic_level_1", "library_level_2", "market_hall"])
def test_peaks_by_the_envelope_are_those_of_every_state_bit_for_bit(name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    (basis,) = prepare(scenario, scenario.plans[:1])
    rng = np.random.default_rng(3)
    strips = basis.strips
    # From no heap at all to the highest that a file may ask for, alike and not.
    factors = np.concatenate(
        [np.ones((1, strips)), np.full((1, strips), 6.0), rng.uniform(1.0, 6.0, (20, strips))]
    )
    factors[2, 0] = 1.0
    found = envelope(basis).at(factors)
    when = np.zeros(strips)
    for day, each in enumerate(factors):
        known = deck_outcome(basis, peaks_with(basis, each), when, when)
        for quantity in (*SIGNS, "use"):
            assert getattr(found, quantity)[day] == getattr(known, quantity).value, quantity
    assert len(set(found.use.tolist())) > 5


def test_by_hand_only_what_no_other_beats_in_both_is_kept():
    light = np.array([1.0, 3.0, 2.0, 3.0, 0.0])
    heap = np.array([5.0, 1.0, 0.5, 1.0, 5.0])
    # The third is below the second in both, the fifth below the first, the fourth is the second.
    assert sorted(_unbeaten(light, heap).tolist()) == [0, 1]
