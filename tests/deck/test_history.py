"""Load states of a day: response, peaks, use, balance."""

import numpy as np
import pytest

from pourday.deck.beam import influence
from pourday.deck.effects import Resistance, effects_of
from pourday.deck.factors import bounds, push
from pourday.deck.history import UseCause, balance, peaks, respond

EI = 2e5
TWO_SPANS = influence([0, 4, 8], EI, [[0, 4], [4, 8]], [2.0])
STRONG = Resistance(sag_moment=1e9, hog_moment=1e9, reaction=1e9)
# q = 1000 Pa, L = 4 m: q L² = 16 000, q L = 4000. States: nothing, left span, both spans.
STATES = np.array([[0.0, 0, 0], [1000, 0, 0], [1000, 1000, 0]])


def peaks_as_they_lie(states, deck, resistance):
    """Peaks of states whose loads are neither more nor less than said."""
    effects = effects_of(deck, resistance)
    lies = push(np.asarray(states, dtype=float), effects.matrix)
    plain, factored = (
        bounds(lies.of(rows), (1.0, 1.0)) for rows in (effects.plain_rows, effects.factored_rows)
    )
    return peaks(plain, factored, effects, resistance)


def test_response_is_the_sum_of_what_each_load_does():
    rng = np.random.default_rng(4)
    states = rng.uniform(0, 5e3, (5, 3))
    response = respond(TWO_SPANS, states)
    assert response.moment.shape == (5, len(TWO_SPANS.stations))
    for k, state in enumerate(states):
        for name in ("moment", "deflection", "reaction", "support_moment"):
            by_hand = sum(q * getattr(TWO_SPANS, name)[:, j] for j, q in enumerate(state))
            assert getattr(response, name)[k] == pytest.approx(by_hand, rel=1e-12, abs=1e-12)


def test_peaks_of_two_spans_filled_one_after_the_other():
    found = peaks_as_they_lie(STATES, TWO_SPANS, STRONG)
    # One span loaded: reactions 7/16, 10/16, -1/16 qL; both: 3/8, 10/8, 3/8 qL, moment -qL²/8.
    assert found.plain.hog_moment.value == pytest.approx(-16_000 / 8, rel=1e-12)
    assert (found.plain.hog_moment.state, found.plain.hog_moment.x) == (2, 4.0)
    assert found.plain.reaction.value == pytest.approx(5000, rel=1e-12)
    assert (found.plain.reaction.state, found.plain.reaction.x) == (2, 4.0)
    assert found.plain.uplift.value == pytest.approx(-250, rel=1e-12)
    assert (found.plain.uplift.state, found.plain.uplift.x) == (1, 8.0)
    # M is greatest where the shear 7/16 qL - q x is nought, x = 1.75 m: (7/16)²/2 qL², 1531.25
    # N m/m. The nearest station is 0.05 m away, which costs q 0.05²/2 = 1.25 N m/m.
    assert found.plain.sag_moment.value == pytest.approx(1531.25 - 1.25, rel=1e-12)
    assert found.plain.sag_moment.state == 1
    assert found.plain.sag_moment.x == pytest.approx(1.7)
    assert (found.deflection.state, found.deflection.x) == (1, pytest.approx(1.9))


def test_uplift_at_far_support_when_only_the_first_span_is_loaded():
    reaction = respond(TWO_SPANS, STATES).reaction
    assert reaction[1] == pytest.approx([1750, 2500, -250], rel=1e-12)


def test_no_uplift_is_told_by_a_least_reaction_that_is_not_negative():
    found = peaks_as_they_lie(STATES[2:], TWO_SPANS, STRONG)
    assert found.plain.uplift.value == pytest.approx(1500, rel=1e-12)


@pytest.mark.parametrize(
    ("resistance", "use", "cause", "x"),
    [
        # left span loaded: sag 1530 at 1.7 m, support -1000 and 2500, end 1750
        (Resistance(2000, 1e9, 1e9), 1530 / 2000, UseCause.SAG_MOMENT, 1.7),
        (Resistance(1e9, 2000, 5000), (0.5 + 0.5) / 1.25, UseCause.INNER_SUPPORT, 4.0),
        (Resistance(1e9, 1250, 1e9), 0.8, UseCause.INNER_SUPPORT, 4.0),
        (Resistance(1e9, 1e9, 5000), 2500 / 5000, UseCause.INNER_SUPPORT, 4.0),
        (Resistance(1e9, 1e9, 5000, end_reaction=2500), 0.7, UseCause.END_REACTION, 0.0),
    ],
)
def test_use_is_the_greatest_share_and_names_its_cause(resistance, use, cause, x):
    found = peaks_as_they_lie(STATES, TWO_SPANS, resistance)
    assert found.use[0] == 0.0
    assert found.use[1] == pytest.approx(use, rel=1e-6)
    assert found.use_cause[1] == cause
    assert found.use_x[1] == pytest.approx(x)


def test_sagging_over_a_soft_prop_is_measured_by_the_sag_resistance():
    soft = influence([0, 2, 4], EI, [[0, 4]], springs=[np.inf, 1.0, np.inf])
    response = respond(soft, [[1000.0]])
    assert response.support_moment[0, 1] == pytest.approx(2000, rel=1e-4)
    found = peaks_as_they_lie([[1000.0]], soft, Resistance(4000, 1.0, 1e9))
    assert found.use[0] == pytest.approx(0.5, rel=1e-4)


def test_a_single_span_has_no_inner_support_and_may_be_ruled_by_its_ends():
    one = influence([0, 4], EI, [[0, 4]])
    found = peaks_as_they_lie([[1000.0]], one, Resistance(8000, 1.0, 4000))
    assert found.plain.sag_moment.value == pytest.approx(2000, rel=1e-12)
    assert found.use[0] == pytest.approx(0.5, rel=1e-12)
    assert found.use_cause[0] == UseCause.END_REACTION


def test_balance_splits_a_straddling_cell_by_length():
    # Supports 0, 3, 5, 9. Cell 0 on 1-4 (2 m left of 3, 1 m right), cell 1 on 4-6 (1 and 1 m),
    # a line load at 7 m and one right over the support at 5 m.
    supports, cells = [0, 3, 5, 9], [[1, 4], [4, 6]]
    found = balance(supports, cells, [[100, 0, 0, 9], [100, 200, 0, 0], [0, 0, 50, 0]], [7, 5])
    # spans per state: (200, 100, 0), (200, 300, 200), (0, 0, 50)
    assert found.x == pytest.approx([3, 5])
    assert found.difference == pytest.approx([-100, -100])
    assert list(found.state) == [0, 0]
    heavier = balance(supports, cells, [[100, 0, 0, 0], [100, 350, 900, 0]], [7, 5])
    # second state: (200, 450, 1250)
    assert heavier.difference == pytest.approx([250, 800])
    assert list(heavier.state) == [1, 1]


def test_wrong_input_is_refused_in_words():
    with pytest.raises(ValueError, match="a column a load"):
        respond(TWO_SPANS, [[1.0, 2.0]])
    with pytest.raises(ValueError, match="no load state"):
        peaks_as_they_lie(np.zeros((0, 3)), TWO_SPANS, STRONG)
    with pytest.raises(ValueError, match="no load state"):
        balance([0, 4, 8], [[0, 4]], np.zeros((0, 1)))
    with pytest.raises(ValueError, match="hogging moment resistance"):
        peaks_as_they_lie(STATES, TWO_SPANS, Resistance(1, 0, 1))
