"""Ponding: order-dependent struck thickness."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.deck.beam import influence
from pourday.deck.ponding import (
    DeckTooSoftError,
    all_at_once,
    mean_extra,
    placed_pressures,
    sagging_deck,
    strike,
)

EI = 210e3
H0 = 0.105
W = 25e3
EDGES = np.linspace(0.0, 12.0, 10)
CELLS = np.column_stack([EDGES[:-1], EDGES[1:]])
SPREAD = [(i,) for i in range(9)]
THIRDS = [(2, 3), (5, 6), (0, 1), (4,), (7,), (8,)]
SIDES = [tuple(j for j in (i - 1, i + 1) if 0 <= j < 9) for i in range(9)]
THREE_SPANS = influence([0, 4, 8, 12], EI, CELLS)
A = THREE_SPANS.mean_deflection
DECK = sagging_deck(A, W, H0)


def simple_span(cells: int, ei: float = EI, length: float = 3.0) -> np.ndarray:
    edges = np.linspace(0.0, length, cells + 1)
    return influence([0.0, length], ei, np.column_stack([edges[:-1], edges[1:]])).mean_deflection


# The worked case of the design, section 6, whose figures were set down before this code was
# written. Tolerance: half a unit of the last printed digit.


def test_worked_case_all_at_once():
    assert 1e3 * (all_at_once(DECK).mean() - H0) == pytest.approx(10.58, abs=0.005)


@pytest.mark.parametrize(
    ("steps", "sag_mm", "reaction_kn", "extra_mm", "least_mm", "most_mm"),
    [(SPREAD, 33.1, -1.22, 8.57, -7.5, 9.8), (THIRDS, 29.5, -0.04, 9.31, -7.6, 8.5)],
    ids=["spread", "thirds"],
)
def test_worked_case_in_order(steps, sag_mm, reaction_kn, extra_mm, least_mm, most_mm):
    struck = strike(DECK, steps, how="datum")
    states = placed_pressures(struck.thickness, steps, W)
    sag = (THREE_SPANS.deflection @ states.T).max()
    reaction = (THREE_SPANS.reaction @ states.T).min()
    assert 1e3 * sag == pytest.approx(sag_mm, abs=0.05)
    assert 1e-3 * reaction == pytest.approx(reaction_kn, abs=0.005)
    assert 1e3 * struck.extra.mean() == pytest.approx(extra_mm, abs=0.005)
    assert 1e3 * struck.later_movement.min() == pytest.approx(least_mm, abs=0.05)
    assert 1e3 * struck.later_movement.max() == pytest.approx(most_mm, abs=0.05)


# Closed forms for one simple span.


def test_one_cell_over_a_simple_span_is_the_sum_of_the_ponding_series():
    # Mean sag of a simple span: w L⁴/(120 EI). Fill, sag, fill again: h0 (1 + a + a² + ...).
    a = W * 3.0**4 / (120 * EI)
    exact = H0 / (1 - a)
    deck = sagging_deck(simple_span(1), W, H0)
    assert all_at_once(deck) == pytest.approx([exact], rel=1e-12)
    assert strike(deck, [(0,)]).thickness == pytest.approx([exact], rel=1e-12)


def test_fine_cells_approach_the_closed_form_of_levelled_ponding():
    # EI y'''' = w (h0 + y), simply supported: with k⁴ = w/EI the sag is
    # y = h0 [cos(k s)/(2 cos(k L/2)) + cosh(k s)/(2 cosh(k L/2)) - 1], s from mid-span,
    # whose mean is h0 [tan(u)/(2u) + tanh(u)/(2u) - 1], u = k L/2 (solved by hand; y and y''
    # vanish at the ends).
    length = 3.0
    u = (W / EI) ** 0.25 * length / 2
    exact = H0 * ((np.tan(u) + np.tanh(u)) / (2 * u) - 1)
    coarse, fine = (
        all_at_once(sagging_deck(simple_span(n, length=length), W, H0)).mean() - H0
        for n in (20, 40)
    )
    # The error of constant cells falls with the square of their length.
    assert abs(fine - exact) < 0.3 * abs(coarse - exact)
    assert fine == pytest.approx(exact, rel=1e-3)


def test_a_hand_worked_pair_of_cells_struck_one_after_the_other():
    a = np.array([[2e-6, 1e-6], [1e-6, 3e-6]])
    struck = strike(sagging_deck(a, 20e3, [0.1, 0.2]), [(1,), (0,)])
    # aw = [[.04, .02], [.02, .06]]: h1 = .2/.94; h0 = (.1 + .02 h1)/.96
    h1 = 0.2 / 0.94
    h0 = (0.1 + 0.02 * h1) / 0.96
    assert struck.thickness == pytest.approx([h0, h1], rel=1e-14)
    assert struck.extra == pytest.approx([h0 - 0.1, h1 - 0.2], rel=1e-12)
    assert struck.sag_when_struck == pytest.approx([h0 - 0.1, h1 - 0.2], rel=1e-12)
    assert struck.later_movement == pytest.approx([0.0, 0.02 * h0], abs=1e-15)
    assert struck.final_sag == pytest.approx(
        struck.sag_when_struck + np.array([0, 0.02 * h0]), rel=1e-12
    )
    assert mean_extra(struck, [3.0, 1.0]) == pytest.approx((3 * (h0 - 0.1) + h1 - 0.2) / 4)


def test_a_hand_worked_crew_weighs_on_the_deck_only_while_it_strikes():
    a = np.array([[2e-6]])
    struck = strike(sagging_deck(a, 20e3, 0.1), [(0,)], crew=[[1000.0]])
    # h (1 - .04) = .1 + 2e-6 * 1000; then the crew steps off and the surface lifts 2 mm
    assert struck.thickness == pytest.approx([0.102 / 0.96], rel=1e-14)
    assert struck.later_movement == pytest.approx([-0.002], rel=1e-12)


def test_a_bare_deck_sag_is_filled_to_datum():
    deck = sagging_deck([[2e-6]], 20e3, 0.1, [0.003])
    struck = strike(deck, [(0,)])
    assert struck.thickness == pytest.approx([0.103 / 0.96], rel=1e-14)
    assert struck.final_sag == pytest.approx([0.103 / 0.96 - 0.1], rel=1e-12)
    assert all_at_once(deck) == pytest.approx(struck.thickness)


# Guides.


def test_a_hand_worked_cell_struck_from_the_surface_of_its_neighbour():
    a = np.array([[2e-6, 1e-6], [1e-6, 3e-6]])
    struck = strike(sagging_deck(a, 20e3, 0.1), [(0,), (1,)], how="guides", neighbours=[(1,), (0,)])
    # Cell 0 has no standing neighbour: to datum. Cell 1 then moves the surface of cell 0 by
    # .02 h1 and is struck to that level: h1 = .1 + (.02 h0 + .06 h1) - .02 h1.
    h0 = 0.1 / 0.96
    h1 = (0.1 + 0.02 * h0) / (1 - 0.06 + 0.02)
    assert struck.thickness == pytest.approx([h0, h1], rel=1e-14)


def test_guides_leave_neighbouring_surfaces_level_at_the_moment_of_striking():
    struck = strike(DECK, SPREAD, how="guides", neighbours=SIDES)
    states = placed_pressures(struck.thickness, SPREAD, W)
    for k in range(1, 9):
        level = H0 + A @ states[k] - struck.thickness
        assert level[k] == pytest.approx(level[k - 1], abs=1e-14)


def test_guides_take_the_mean_of_both_sides_when_a_gap_is_closed():
    steps = [(i,) for i in (0, 1, 2, 3, 5, 6, 7, 8, 4)]
    crew = np.full((9, 9), 750.0)
    struck = strike(DECK, steps, how="guides", neighbours=SIDES, crew=crew)
    sag = A @ placed_pressures(struck.thickness, steps, W, crew)[-1]
    level = H0 + sag - struck.thickness
    assert level[4] == pytest.approx((level[3] + level[5]) / 2, abs=1e-14)
    assert abs(level[3] - level[5]) > 1e-4  # otherwise the mean would not be tested


def test_guides_without_neighbours_are_the_datum():
    alone = strike(DECK, THIRDS, how="guides", neighbours=[()] * 9)
    assert alone.thickness == pytest.approx(strike(DECK, THIRDS).thickness, rel=1e-14)


# Thickness.


@given(st.permutations(range(9)))
@settings(deadline=None, max_examples=25)
def test_struck_to_thickness_ends_the_same_whatever_the_order(order):
    struck = strike(DECK, [(i,) for i in order], how="thickness")
    assert np.array_equal(struck.thickness, np.full(9, H0))
    assert np.array_equal(struck.extra, np.zeros(9))
    assert struck.final_sag == pytest.approx(W * H0 * A.sum(axis=1), rel=1e-12)


def test_struck_to_thickness_the_last_cell_does_not_move_again():
    struck = strike(DECK, SPREAD, how="thickness")
    assert struck.later_movement[-1] == pytest.approx(0.0, abs=1e-16)
    assert np.ptp(struck.later_movement) > 1e-3


# Datum, any order.


@given(st.permutations(range(6)), st.integers(1, 6))
@settings(deadline=None, max_examples=50)
def test_on_a_simple_span_no_order_takes_more_than_all_at_once(order, size):
    a = simple_span(6)
    assert a.min() > 0
    deck = sagging_deck(a, W, H0)
    steps = [order[i : i + size] for i in range(0, 6, size)]
    reference = all_at_once(deck)
    struck = strike(deck, steps)
    assert np.all(struck.thickness <= reference * (1 + 1e-12))
    if size == 6:
        assert struck.thickness == pytest.approx(reference, rel=1e-12)
    else:
        assert struck.extra.sum() < (reference - H0).sum() * (1 - 1e-6)


@given(st.permutations(range(9)), st.sampled_from(["datum", "guides", "thickness"]))
@settings(deadline=None, max_examples=50)
def test_sag_at_the_end_is_the_sag_of_what_was_placed(order, how):
    crew = np.linspace(0, 1500, 81).reshape(9, 9)
    struck = strike(
        sagging_deck(A, W, H0, 1e-3),
        [(i,) for i in order],
        how=how,
        neighbours=SIDES,
        crew=crew,
    )
    assert struck.final_sag == pytest.approx(1e-3 + W * A @ struck.thickness, rel=1e-12)
    assert struck.later_movement == pytest.approx(
        struck.final_sag - struck.sag_when_struck, abs=1e-15
    )
    if how == "datum":
        assert struck.extra == pytest.approx(struck.sag_when_struck, abs=1e-14)


# A deck that cannot be levelled, and wrong input.


@pytest.mark.parametrize(("ei_share", "soft"), [(0.999, True), (1.2, False)])
def test_a_deck_too_soft_to_level_is_refused(ei_share, soft):
    # One cell on a simple span: the series diverges when w L⁴/(120 EI) >= 1.
    deck = sagging_deck(simple_span(1, ei=ei_share * W * 3.0**4 / 120), W, H0)
    if not soft:
        assert strike(deck, [(0,)]).thickness == pytest.approx([6 * H0])
        return
    with pytest.raises(DeckTooSoftError, match=r"sag 1\.00 m more, worst in cell 0"):
        strike(deck, [(0,)])
    with pytest.raises(DeckTooSoftError):
        all_at_once(deck)
    # To thickness nothing feeds back, so there is an answer.
    assert strike(deck, [(0,)], how="thickness").final_sag == pytest.approx([H0 / ei_share])


def test_a_thickness_that_runs_away_names_its_cell():
    a = np.array([[1e-9, 0.0], [0.0, 0.95 / W]])
    with pytest.raises(DeckTooSoftError, match=r"cell 1 takes 2\.10 m"):
        strike(sagging_deck(a, W, H0), [(0,), (1,)])


def test_a_cell_lifted_above_the_datum_is_refused():
    with pytest.raises(DeckTooSoftError, match="no concrete left: cell 0 lies above"):
        strike(sagging_deck([[1e-6]], W, H0, [-0.2]), [(0,)])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"steps": SPREAD[:-1]}, "each of the cells 0 to 8 once"),
        ({"steps": [*SPREAD, (3,)]}, "each of the cells 0 to 8 once"),
        ({"crew": np.zeros((3, 9))}, "crew is"),
        ({"how": "guides"}, "neighbours"),
        ({"how": "by eye"}, "how is"),
        ({"theory": 0.0}, "theoretical thickness"),
        ({"unit_weight": -1.0}, "unit weight"),
        ({"mean_deflection": A[:3]}, "square"),
    ],
)
def test_wrong_input_is_refused_in_words(change, words):
    given_ = {"mean_deflection": A, "unit_weight": W, "theory": H0, "steps": SPREAD} | change
    deck = {key: given_.pop(key) for key in ("mean_deflection", "unit_weight", "theory")}
    with pytest.raises(ValueError, match=words):
        strike(sagging_deck(**deck), **given_)
