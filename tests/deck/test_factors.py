"""Partial factors by cell against every pattern there is, and against handbook coefficients."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from pourday.deck.beam import influence
from pourday.deck.effects import Resistance, effects_of
from pourday.deck.factors import ASD, EN, LRFD, UNFACTORED, bounds, push, push_of
from pourday.deck.history import peaks, shares
from pourday.deck.limits import moment_reaction_use


def a_run(rng, cells=7):
    """Supports, EI and cells of a random run, with a random resistance."""
    spans = rng.uniform(1.5, 4.5, rng.integers(1, 5))
    supports = np.concatenate([[0.0], np.cumsum(spans)])
    marks = np.sort(rng.uniform(0, supports[-1], cells - 1))
    edges = np.concatenate([[0.0], marks, [supports[-1]]])
    deck = influence(supports, 2e5, np.column_stack([edges[:-1], edges[1:]]), stations=12)
    return deck, Resistance(*rng.uniform(4e3, 9e3, 2), rng.uniform(2e4, 5e4))


@pytest.mark.parametrize("factor", [EN.concrete, (EN.working, 0.0), LRFD.permanent])
@pytest.mark.parametrize("seed", range(6))
def test_bounds_are_those_of_all_2_n_patterns(seed, factor):
    rng = np.random.default_rng(seed)
    deck, resistance = a_run(rng)
    effects = effects_of(deck, resistance)
    load = rng.uniform(0, 5e3, deck.moment.shape[1])
    patterns = np.array(list(product(factor, repeat=len(load))))
    every = (patterns * load) @ effects.matrix.T
    found = bounds(push(load[None], effects.matrix), factor)
    size = np.abs(every).max(axis=0) + 1e-9
    assert np.abs(found.most[0] - every.max(axis=0)) == pytest.approx(0, abs=1e-9 * size.max())
    assert np.abs(found.least[0] - every.min(axis=0)) == pytest.approx(0, abs=1e-9 * size.max())
    assert len(every) == 2**7


@pytest.mark.parametrize("seed", range(6))
def test_the_worst_share_at_an_inner_support_is_that_of_the_worst_of_all_patterns(seed):
    # The shares are worked out pattern by pattern with the rule itself, EN 1993-1-3 6.1.11.
    rng = np.random.default_rng(100 + seed)
    deck, resistance = a_run(rng)
    while len(deck.supports) < 3:
        deck, resistance = a_run(rng)
    load = rng.uniform(0, 9e3, deck.moment.shape[1])
    patterns = load * np.array(list(product(EN.concrete, repeat=len(load))))
    over = (patterns @ deck.support_moment.T)[:, 1:-1]
    by_hand = moment_reaction_use(
        over,
        np.where(over < 0, resistance.hog_moment, resistance.sag_moment),
        (patterns @ deck.reaction.T)[:, 1:-1],
        resistance.reaction,
    )
    effects = effects_of(deck, resistance)
    found = bounds(push(load[None], effects.matrix).of(effects.factored_rows), EN.concrete)
    share, places = shares(found, effects, resistance)[1]
    assert share[0] == pytest.approx(by_hand.max(axis=0), rel=1e-9)
    assert places == pytest.approx(deck.supports[1:-1])


# w L², w L: values from memory (beam diagrams of equal spans), half a unit of the last digit.
HANDBOOK = {
    2: {"sag": "0.096", "hog": "0.125", "end": "0.4375", "inner": "1.25", "uplift": "0.0625"},
    3: {"sag": "0.101", "hog": "0.117", "end": "0.450", "inner": "1.20", "uplift": "0.050"},
}


@pytest.mark.parametrize("spans", HANDBOOK)
def test_load_that_comes_and_goes_gives_the_coefficients_of_the_handbook(spans):
    cells = [[i, i + 1] for i in range(spans)]
    deck = influence(np.arange(spans + 1.0), 1.0, cells, stations=400)
    effects = effects_of(deck, None)
    found = bounds(push(np.ones((1, spans)), effects.matrix), (1.0, 0.0))
    reaction, least = found.most[0, effects.plain.reaction], found.least[0, effects.plain.reaction]
    values = {
        "sag": found.most[0, effects.plain.moment].max(),
        "hog": -found.least[0, effects.plain.support_moment].min(),
        "end": reaction[0],
        "inner": reaction[1:-1].max(),
        "uplift": -least[0],
    }
    for name, printed in HANDBOOK[spans].items():
        half = 0.5 * 10.0 ** -len(printed.split(".")[1])
        assert values[name] == pytest.approx(float(printed), abs=half), name


def test_uplift_at_an_inner_support_of_three_is_a_tenth_with_the_far_end_span_alone():
    # Value from memory: -0.100 w L; the third span alone lifts the second support.
    deck = influence([0, 1, 2, 3.0], 1.0, [[0, 1], [1, 2], [2, 3]])
    effects = effects_of(deck, None)
    least = bounds(push(np.ones((1, 3)), effects.matrix), (1.0, 0.0)).least[
        0, effects.plain.reaction
    ]
    assert deck.reaction[1] == pytest.approx([0.65, 0.55, -0.1], abs=1e-9)
    assert least[1] == pytest.approx(-0.1, abs=5e-4)


def test_concrete_that_lies_is_never_away():
    # Two equal spans, w on both: the far end is relieved by w/16 of the other span at 1.5 and
    # pressed by 7/16 of its own at 1.0: it does not lift, as it would with 0 there.
    deck = influence([0, 1, 2.0], 1.0, [[0, 1], [1, 2]])
    effects = effects_of(deck, None)
    ends = effects.plain.reaction.start
    lies = push(np.ones((1, 2)), effects.matrix)
    assert bounds(lies, EN.concrete).least[0, ends] == pytest.approx(7 / 16 - 1.5 / 16)
    assert bounds(lies, (1.5, 0.0)).least[0, ends] == pytest.approx(-1.5 / 16)


def test_something_that_comes_as_one_is_heavy_or_light_as_a_whole():
    effect = np.array([[2.0, -3.0]])
    found = bounds(push_of(effect), (1.5, 1.0))
    assert found.most[0] == pytest.approx([3.0, -3.0])
    assert found.least[0] == pytest.approx([2.0, -4.5])


@pytest.mark.parametrize(
    ("factors", "permanent", "concrete", "working"),
    [(EN, 1.35, 1.5, 1.5), (LRFD, 1.2, 1.6, 1.4), (ASD, 1.0, 1.0, 1.0), (UNFACTORED, 1, 1, 1)],
)
def test_factors_of_each_basis(factors, permanent, concrete, working):
    # EN 1990 Table A1.2(B) with AD 346; ANSI/SDI C (values from memory).
    assert (factors.permanent[0], factors.concrete[0], factors.working) == (
        permanent,
        concrete,
        working,
    )
    assert min(factors.concrete) > 0
    assert factors.heap == factors.concrete[0]


def test_without_a_resistance_the_share_is_not_judged_and_the_peaks_are_the_same():
    deck = influence([0, 4, 8], 2e5, [[0, 4], [4, 8]])
    load = np.array([[1000.0, 0], [1000, 1000]])
    with_it, without = Resistance(8e3, 7e3, 4e4), None
    found = []
    for resistance in (with_it, without):
        effects = effects_of(deck, resistance)
        lies = push(load, effects.matrix)
        plain = bounds(lies.of(effects.plain_rows), (1.0, 1.0))
        factored = bounds(lies.of(effects.factored_rows), (1.0, 1.0))
        found.append(peaks(plain, factored, effects, resistance))
    assert np.isnan(found[1].use).all()
    assert found[0].use.max() > 0.1
    assert found[0].plain == found[1].plain
