"""Striking a floor: the quick form beside a plain literal one, and the largest feedback."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.deck import ponding
from pourday.deck.beam import influence
from pourday.deck.ponding import DeckTooSoftError, all_at_once, sagging_deck, strike

WEIGHT = 26e3


def literally(a, weight, h0, steps, how, neighbours, crew, deck_sag, pins=None, again=None):
    """The rule of the design page, word by word: every sag worked out anew at every step.

    A group's own weight bends the deck while it is struck, so its thickness is sought by filling,
    sagging and filling again until nothing changes.
    """
    cells = len(h0)
    h = np.zeros(cells)
    struck_sag = np.zeros(cells)
    stands = np.zeros(cells, dtype=bool)

    def sag_now(k, of=a):
        sag = deck_sag.copy() if of is a else np.zeros(cells)
        for i in range(cells):
            for j in range(cells):
                sag[i] += of[i, j] * (weight * h[j] + (crew[k, j] if k is not None else 0.0))
        return sag

    # (row of the crew, cells, struck for good or only raked)
    passes = [(k, group, True) for k, group in enumerate(steps)]
    if again is not None:
        passes = [
            step
            for k, group in enumerate(steps)
            for step in ((None, group, False), (k, again[k], True))
            if step[1]
        ]
    for k, group, last in passes:
        if how == "thickness":
            for cell in group:
                h[cell] = h0[cell]
        for _ in range(0 if how == "thickness" else 400):
            sag = sag_now(k)
            new = {}
            for cell in group:
                ready = [n for n in neighbours[cell] if stands[n]] if how == "guides" else []
                surface = [h0[n] + sag[n] - h[n] for n in ready]
                level = sum(surface) / len(surface) if surface else 0.0
                if how == "pins":
                    level = sag_now(k, pins)[cell]
                new[cell] = h0[cell] + sag[cell] - level
            change = max(abs(new[cell] - h[cell]) for cell in group)
            for cell in group:
                h[cell] = new[cell]
            if change < 1e-16:
                break
        if not last:
            continue
        for cell in group:
            stands[cell] = True
        sag = sag_now(k)
        for cell in group:
            struck_sag[cell] = sag[cell]
    final = sag_now(None)
    return h, struck_sag, final


def two_runs(rng: np.random.Generator, ei: float):
    """Two sheet runs on a shared support that gives a little: one matrix, cells in x order."""
    blocks, ends = [], []
    for _ in range(2):
        supports = np.concatenate([[0.0], np.cumsum(rng.uniform(2.0, 4.0, rng.integers(1, 4)))])
        cuts = np.unique([*supports, *rng.uniform(0.3, supports[-1] - 0.3, 3)])
        cuts = cuts[np.append(True, np.diff(cuts) > 0.1)]
        run = influence(supports, ei, np.column_stack([cuts[:-1], cuts[1:]]))
        blocks.append(run.mean_deflection)
        ends.append(run.reaction[0 if len(ends) else -1])
    n, m = len(blocks[0]), len(blocks[1])
    a = np.zeros((n + m, n + m))
    a[:n, :n], a[n:, n:] = blocks
    end = np.concatenate(ends)
    # The shared support goes down by its reaction, and each cell by about half of that.
    return a + 0.5 * np.outer(np.abs(end), end) * 2e-8


@pytest.mark.parametrize("how", ["datum", "guides", "thickness"])
@given(seed=st.integers(0, 10_000), ei=st.floats(2.5e5, 2e6))
@settings(max_examples=20)
def test_the_quick_form_is_the_literal_one(how, seed, ei):
    rng = np.random.default_rng(seed)
    a = two_runs(rng, ei)
    cells = len(a)
    order = rng.permutation(cells)
    cuts = np.sort(rng.choice(np.arange(1, cells), size=min(3, cells - 1), replace=False))
    steps = [list(map(int, group)) for group in np.split(order, cuts)]
    neighbours = [[n for n in (c - 1, c + 1) if 0 <= n < cells] for c in range(cells)]
    crew = np.zeros((len(steps), cells))
    for k, group in enumerate(steps):
        crew[k, group] = rng.uniform(0, 800)
    h0 = rng.uniform(0.1, 0.2, cells)
    deck_sag = rng.uniform(-0.01, 0.01, cells)
    deck = sagging_deck(a, WEIGHT, h0, deck_sag)
    try:
        quick = strike(deck, steps, how=how, neighbours=neighbours, crew=crew)
    except DeckTooSoftError as error:
        pytest.fail(f"too soft for this test: {error}")
    h, struck_sag, final = literally(a, WEIGHT, h0, steps, how, neighbours, crew, deck_sag)
    same = {"rel": 1e-10, "abs": 1e-13}
    assert quick.thickness == pytest.approx(h, **same)
    assert quick.extra == pytest.approx(h - h0, **same)
    assert quick.sag_when_struck == pytest.approx(struck_sag, **same)
    assert quick.final_sag == pytest.approx(final, **same)
    assert quick.later_movement == pytest.approx(final - struck_sag, **same)


@pytest.mark.parametrize("lag", [False, True], ids=["at once", "behind"])
@pytest.mark.parametrize("how", ["datum", "pins", "guides", "thickness"])
@given(seed=st.integers(0, 10_000))
@settings(max_examples=10)
def test_pins_and_a_screed_that_follows_behind_are_the_literal_ones(how, lag, seed):
    rng = np.random.default_rng(seed)
    a = two_runs(rng, 1e6)
    cells = len(a)
    steps = [[int(c)] for c in rng.permutation(cells)]
    later = [min(k + int(rng.integers(0, 3)), cells - 1) for k in range(cells)]
    again = [[steps[k][0] for k in range(cells) if later[k] == at] for at in range(cells)]
    pins = a * rng.uniform(0.1, 0.6)
    crew = np.zeros((cells, cells))
    for k in range(cells):
        crew[k, again[k] if lag else steps[k]] = rng.uniform(0, 800)
    neighbours = [[n for n in (c - 1, c + 1) if 0 <= n < cells] for c in range(cells)]
    deck_sag = rng.uniform(-0.01, 0.01, cells)
    h0 = np.full(cells, 0.12)
    deck = sagging_deck(a, WEIGHT, h0, deck_sag, pins)
    behind = again if lag else None
    quick = strike(deck, steps, how=how, neighbours=neighbours, crew=crew, again=behind)
    h, struck_sag, final = literally(
        a, WEIGHT, h0, steps, how, neighbours, crew, deck_sag, pins, behind
    )
    same = {"rel": 1e-9, "abs": 1e-12}
    assert quick.thickness == pytest.approx(h, **same)
    assert quick.sag_when_struck == pytest.approx(struck_sag, **same)
    assert quick.final_sag == pytest.approx(final, **same)
    expected = [later[k] if lag else k for k in range(cells)]
    assert [int(quick.struck_in[step[0]]) for step in steps] == expected
    k, cell = expected[0], steps[0][0]
    assert a[cell] @ quick.load_then[k] + deck_sag[cell] == pytest.approx(struck_sag[cell], **same)


# The largest feedback, for floors of more than 200 cells.


def radius(matrix: np.ndarray) -> float:
    return float(np.abs(np.linalg.eigvals(matrix)).max())


def symmetric(eigenvalues: np.ndarray, seed: int) -> np.ndarray:
    turned, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(len(eigenvalues),) * 2))
    return turned @ np.diag(eigenvalues) @ turned.T


def spectrum(*greatest: float, cells: int = 240, rest: float = 0.5) -> np.ndarray:
    return np.concatenate([greatest, np.linspace(-rest, rest, cells - len(greatest))])


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    "greatest",
    [(0.9,), (-0.9,), (0.9, -0.9), (0.9, 0.9), (0.9, 0.9, -0.9), (0.9, -0.88), (1.4, 1.3, -1.35)],
    ids=str,
)
def test_the_largest_feedback_of_many_cells_is_the_spectral_radius(greatest, seed):
    matrix = symmetric(spectrum(*greatest), seed)
    found, _ = ponding._largest_feedback(matrix)
    assert found == pytest.approx(radius(matrix), rel=1e-6)
    assert found == pytest.approx(max(map(abs, greatest)), rel=1e-6)


def test_a_matrix_of_zeros_feeds_nothing_back():
    assert ponding._largest_feedback(np.zeros((250, 250))) == (0.0, 0)


def many_cells(spans: int, ei: float, cells: int = 240, weak: int | None = None) -> np.ndarray:
    """Sheet runs of one span each, some EI, one of them perhaps weaker."""
    per_span = cells // spans
    edges = np.linspace(0.0, 3.0, per_span + 1)
    pairs = np.column_stack([edges[:-1], edges[1:]])
    a = np.zeros((cells, cells))
    for n in range(spans):
        own = ei * (0.8 if n == weak else 1.0)
        here = slice(n * per_span, (n + 1) * per_span)
        a[here, here] = influence([0.0, 3.0], own, pairs).mean_deflection
    return a


@pytest.mark.parametrize("weak", [None, 0, 7, 19])
@pytest.mark.parametrize("ei", [50e3, 24e3, 20e3])
def test_the_largest_feedback_of_a_floor_and_the_cell_it_sits_in(ei, weak):
    feedback = WEIGHT * many_cells(20, ei, weak=weak)
    found, worst = ponding._largest_feedback(feedback)
    assert found == pytest.approx(radius(feedback), rel=1e-6)
    # w L⁴/(π⁴ EI), the half sine wave; cells a twelfth of the span are close to it.
    by_hand = WEIGHT * 3.0**4 / (np.pi**4 * ei * (0.8 if weak is not None else 1.0))
    assert found == pytest.approx(by_hand, rel=0.01)
    if weak is not None:
        assert worst // 12 == weak
        assert worst % 12 in (5, 6)


def test_a_floor_of_many_cells_is_refused_just_where_it_diverges():
    critical = WEIGHT * radius(many_cells(20, 1.0))
    soft, stiff = critical * 0.999, critical * 1.001
    # Just stiff enough: it settles by the numbers, at more concrete than any slab.
    assert radius(WEIGHT * many_cells(20, stiff)) < 1
    with pytest.raises(DeckTooSoftError, match=r"sag 1\.00 m more"):
        all_at_once(sagging_deck(many_cells(20, soft), WEIGHT, 0.15))
    with pytest.raises(DeckTooSoftError, match=r"takes .* m of concrete"):
        all_at_once(sagging_deck(many_cells(20, stiff), WEIGHT, 0.15))
