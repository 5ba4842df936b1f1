"""A support that cannot pull lets go: complementarity, and two independent ways to the answer."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from Pynite import FEModel3D
from scipy.optimize import nnls

from pourday.deck.beam import influence
from pourday.deck.history import Response, respond
from pourday.deck.release import Contact, DeckTipsError, Released, least_gaps, release
from pourday.deck.settlement import Settlement, settlement

EI = 250e3


def run(spans, loads, lays, give=None) -> tuple[Response, Settlement, Contact, Released]:
    """A run with one pressure a span (Pa), solved held both ways and with ``lays`` let go."""
    supports = np.concatenate([[0.0], np.cumsum(spans)])
    gives = np.zeros(len(supports)) if give is None else np.asarray(give, dtype=float)
    springs = np.where(gives > 0, 1.0 / np.where(gives > 0, gives, 1.0), np.inf)
    cells = list(pairwise(supports))
    unit = influence(supports, EI, cells, springs=springs)
    settled = settlement(supports, EI, cells, unit.stations)
    held = respond(unit, [loads])
    # As the program has it: deflection between the supports, which have gone down.
    chord = np.interp(unit.stations, supports, (gives * held.reaction[0]))
    held = Response(held.moment, held.deflection - chord, held.reaction, held.support_moment)
    touch = Contact(supports, np.asarray(lays, dtype=bool), gives)
    return held, settled, touch, release(held, settled, unit.stations, touch)


def test_an_end_that_only_lies_there_lets_go_and_leaves_a_cantilever():
    # Two equal spans, the first loaded: the far end would pull with w L / 16. Let go, the first
    # span is simply supported, its slope w L³ / (24 EI) carries the second one up by slope x L.
    w, length = 4000.0, 3.0
    held, _, _, free = run([length, length], [w, 0.0], [False, False, True])
    assert held.reaction[0, 2] == pytest.approx(-w * length / 16)
    assert free.response.reaction[0] == pytest.approx([w * length / 2, w * length / 2, 0.0])
    assert free.gap[0] == pytest.approx([0.0, 0.0, w * length**4 / (24 * EI)])
    assert free.response.moment.max() == pytest.approx(w * length**2 / 8)
    assert free.response.deflection.max() == pytest.approx(5 * w * length**4 / (384 * EI))
    assert free.response.support_moment[0] == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)


def test_a_prop_that_lets_go_leaves_the_span_it_stood_in():
    # Spans of 3 and 3 m with a prop in the second: only the first is loaded.
    w = 4000.0
    held, _, _, free = run([3.0, 1.5, 1.5], [w, 0.0, 0.0], [False, False, True, False])
    assert held.reaction[0, 2] < 0
    two = run([3.0, 3.0], [w, 0.0], [False] * 3)[0]
    assert free.response.reaction[0, [0, 1, 3]] == pytest.approx(two.reaction[0])
    assert free.response.moment.max() == pytest.approx(two.moment.max(), rel=1e-3)
    # In the middle of the second span, bent by M = w L² / 16 at one end: M L² / (16 EI).
    assert free.gap[0, 2] == pytest.approx(w * 3.0**2 / 16 * 3.0**2 / (16 * EI))


def test_where_nothing_pulls_nothing_changes():
    held, _, _, free = run([3.0, 3.0], [4000.0, 4000.0], [True, True, True])
    assert free.gap.max() == 0.0
    assert free.response.reaction == pytest.approx(held.reaction)
    assert free.response.deflection == pytest.approx(held.deflection)


RUNS = {
    "spans": st.lists(st.floats(1.0, 4.5), min_size=2, max_size=6),
    "seed": st.integers(0, 10_000),
    "soft": st.booleans(),
}


def at_random(spans, seed, soft):
    """Loads on some spans only; at least two supports hold both ways."""
    rng = np.random.default_rng(seed)
    count = len(spans) + 1
    lays = rng.random(count) < 0.5
    lays[rng.choice(count, 2, replace=False)] = False
    loads = rng.uniform(100.0, 6000.0, len(spans)) * (rng.random(len(spans)) < 0.5)
    give = np.where(lays & soft, 10.0 ** rng.uniform(-7.5, -5.5, count), 0.0)
    return loads, lays, give


@given(**RUNS)
@settings(max_examples=150)
def test_either_a_support_presses_or_there_is_a_gap_never_both_and_never_a_pull(spans, seed, soft):
    loads, lays, give = at_random(spans, seed, soft)
    held, _, touch, free = run(spans, loads, lays, give)
    size = np.abs(held.reaction).max() + 1.0
    reaction, gap = free.response.reaction[0], free.gap[0]
    assert reaction[lays].min(initial=0.0) >= -1e-6 * size
    assert gap.min() >= 0.0
    assert gap[~lays] == pytest.approx(np.zeros((~lays).sum()), abs=0.0)
    assert np.abs(reaction[gap > 0]).max(initial=0.0) <= 1e-6 * size
    assert reaction.sum() == pytest.approx(np.dot(loads, spans), rel=1e-9, abs=1e-6)
    turn = reaction @ touch.supports
    middles = np.array([np.mean(pair) for pair in pairwise(touch.supports)])
    assert turn == pytest.approx(np.dot(loads * spans, middles), rel=1e-9, abs=1e-5)


@given(**RUNS)
@settings(max_examples=100)
def test_gaps_are_those_of_least_squares_without_negative_values(spans, seed, soft):
    # 1/2 g M g + q g with M = L Lt is 1/2 |Lt g + L^-1 q|² but for a constant.
    loads, lays, give = at_random(spans, seed, soft)
    held, settled, _, free = run(spans, loads, lays, give)
    at = np.flatnonzero(lays)
    if not len(at):
        return
    seen = settled.stiffness[np.ix_(at, at)]
    firm = np.linalg.inv(np.linalg.inv(seen) + np.diag(give[at]))
    low = np.linalg.cholesky((firm + firm.T) / 2)
    found, _ = nnls(low.T, -np.linalg.solve(low, held.reaction[0, at]))
    size = np.abs(found).max(initial=0.0) + 1e-7
    assert free.gap[0, at] == pytest.approx(found, rel=0, abs=1e-6 * size)


@pytest.mark.parametrize(
    ("spans", "loads", "lays"),
    [
        ([3.0, 3.0], [4000.0, 0.0], [2]),
        ([3.0, 1.5, 1.5], [4000.0, 0.0, 0.0], [2]),
        ([2.0, 3.6, 1.2, 3.0], [0.0, 5000.0, 0.0, 1500.0], [0, 2, 3]),
        ([3.0, 3.0, 3.0], [0.0, 0.0, 4000.0], [0, 1]),
        ([1.2, 1.2, 4.0], [0.0, 0.0, 4000.0], [0, 1]),
    ],
)
def test_released_runs_agree_with_pynite_on_springs_that_only_press(spans, loads, lays):
    k = 2e6
    supports = np.concatenate([[0.0], np.cumsum(spans)])
    give = np.zeros(len(supports))
    give[lays] = 1.0 / k
    one_way = np.isin(np.arange(len(supports)), lays)
    _, _, _, free = run(spans, loads, one_way, give)
    assert free.gap.max() > 1e-4
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    model.add_section("s", 1e6, EI, EI, 1.0)
    for n, x in enumerate(supports):
        model.add_node(f"N{n}", x, 0, 0)
        held = n not in lays
        model.def_support(f"N{n}", n == 0, held, True, True, True, False)
        if not held:
            model.def_support_spring(f"N{n}", "DY", k, "-")
    for n, w in enumerate(loads):
        model.add_member(f"M{n}", f"N{n}", f"N{n + 1}", "m", "s")
        if w:
            model.add_member_dist_load(f"M{n}", "Fy", -w, -w)
    model.analyze()
    down = np.array([-model.nodes[f"N{n}"].DY["Combo 1"] for n in range(len(supports))])
    ours = give * free.response.reaction[0] - free.gap[0]
    size = np.abs(ours).max()
    assert size > 0
    assert ours == pytest.approx(down, rel=0, abs=1e-6 * size)
    over = [-model.members[f"M{n}"].moment("Mz", 0.0, "Combo 1") for n in range(len(loads))]
    most = np.abs(over).max() + 1.0
    assert free.response.support_moment[0, :-1] == pytest.approx(over, rel=0, abs=1e-6 * most)


def test_a_deck_that_only_lies_on_its_supports_rests_on_those_that_press():
    # Three spans, nothing fixed, the middle one loaded: both ends lift.
    w = 4000.0
    _, _, _, free = run([2.0, 3.0, 2.0], [0.0, w, 0.0], [True] * 4)
    assert free.response.reaction[0] == pytest.approx([0.0, 6000.0, 6000.0, 0.0], abs=1e-3)
    slope = w * 3.0**3 / (24 * EI)
    assert free.gap[0] == pytest.approx([2.0 * slope, 0.0, 0.0, 2.0 * slope], rel=1e-6)


def test_a_deck_that_nothing_presses_down_tips_and_says_so():
    # One support alone, which would have to pull: no gap is great enough.
    with pytest.raises(DeckTipsError, match="it tips"):
        least_gaps(np.zeros((1, 1)), np.array([-100.0]))
