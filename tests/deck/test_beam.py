"""The continuous beam: statics, symmetry, exactness, wrong input."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.deck.beam import influence

spans_of = st.lists(st.floats(0.8, 6.0), min_size=1, max_size=8)


def run_with_cells(spans, seed):
    rng = np.random.default_rng(seed)
    supports = np.concatenate([[0.0], np.cumsum(spans)])
    cuts = np.sort(rng.uniform(0, supports[-1], 7))
    cells = np.column_stack([cuts[:-1], cuts[1:]])[rng.permutation(6)]
    points = rng.uniform(0, supports[-1], 2)
    return supports, rng.uniform(5e4, 5e5, len(spans)), cells, points, rng


@given(spans_of, st.integers(0, 10**6), st.booleans())
@settings(deadline=None, max_examples=60)
def test_reactions_balance_every_load_in_force_and_moment(spans, seed, elastic):
    supports, ei, cells, points, rng = run_with_cells(spans, seed)
    springs = 10 ** rng.uniform(4, 8, len(supports)) if elastic else None
    run = influence(supports, ei, cells, points, springs=springs)
    force = np.concatenate([np.diff(cells, axis=1)[:, 0], [1, 1]])
    arm = np.concatenate([cells.mean(axis=1), points])
    assert run.reaction.sum(axis=0) == pytest.approx(force, rel=1e-9, abs=1e-9)
    assert supports @ run.reaction == pytest.approx(force * arm, rel=1e-9, abs=1e-9)


@given(spans_of, st.integers(0, 10**6))
@settings(deadline=None, max_examples=40)
def test_moment_anywhere_is_the_sum_of_what_lies_to_the_left(spans, seed):
    supports, ei, cells, points, _ = run_with_cells(spans, seed)
    run = influence(supports, ei, cells, points)
    x = run.stations[:, None]
    lever = np.maximum(x - supports, 0) @ run.reaction
    onto = np.maximum(x - cells[:, 0], 0) ** 2 / 2 - np.maximum(x - cells[:, 1], 0) ** 2 / 2
    onto = np.hstack([onto, np.maximum(x - points, 0)])
    # 1e-9 of the greatest lever arm of a unit load: rounding of a run up to 48 m long
    assert run.moment == pytest.approx(lever - onto, abs=1e-9 * (1 + supports[-1] ** 2))
    at = np.searchsorted(run.stations, supports)
    assert np.array_equal(run.stations[at], supports)
    assert run.support_moment == pytest.approx(run.moment[at], abs=1e-9)


@given(spans_of, st.integers(0, 10**6))
@settings(deadline=None, max_examples=40)
def test_work_done_between_two_cells_is_mutual(spans, seed):
    # Maxwell-Betti: load on j bends i as load on i bends j.
    supports, ei, cells, points, _ = run_with_cells(spans, seed)
    run = influence(supports, ei, cells, points, stations=points)
    work = run.mean_deflection[:, :6] * np.diff(cells, axis=1)
    assert work == pytest.approx(work.T, rel=1e-9, abs=1e-9 * np.abs(work).max())
    from_points = (run.mean_deflection[:, 6:] * np.diff(cells, axis=1)).T
    assert run.deflection[:, :6] == pytest.approx(from_points, abs=1e-9 * np.abs(work).max())


@given(spans_of, st.integers(0, 10**6))
@settings(deadline=None, max_examples=40)
def test_a_mirrored_run_answers_mirrored(spans, seed):
    supports, ei, cells, points, rng = run_with_cells(spans, seed)
    springs = 10 ** rng.uniform(5, 8, len(supports))
    end = supports[-1]
    x = np.linspace(0, end, 33)
    here = influence(supports, ei, cells, points, x, springs=springs)
    there = influence(
        end - supports[::-1],
        ei[::-1],
        end - cells[:, ::-1],
        end - points,
        end - x[::-1],
        springs=springs[::-1],
    )
    for name in ("moment", "deflection", "reaction", "support_moment"):
        one, other = getattr(here, name), getattr(there, name)[::-1]
        # Support moments of a single span are rounding of nought: measure them by the span's.
        size = np.abs(here.moment if name == "support_moment" else one).max()
        assert one == pytest.approx(other, rel=1e-8, abs=1e-9 * size), name
    one = here.mean_deflection
    assert one == pytest.approx(there.mean_deflection, rel=1e-8, abs=1e-9 * np.abs(one).max())


def test_parts_of_a_cell_add_up_to_the_cell_even_across_a_support():
    whole = influence([0, 3, 7], 2e5, [[1.0, 5.0]], stations=np.linspace(0, 7, 29))
    parts = influence([0, 3, 7], 2e5, [[1, 2.2], [2.2, 3], [3, 5]], stations=np.linspace(0, 7, 29))
    for name in ("moment", "deflection", "reaction", "support_moment"):
        one = getattr(whole, name)[:, 0]
        summed = getattr(parts, name).sum(axis=1)
        assert summed == pytest.approx(one, rel=1e-11, abs=1e-12 * np.abs(one).max())


def test_mean_deflection_is_the_deflection_averaged_over_the_cell():
    cells = np.array([[0.5, 2.9], [2.9, 3.4], [5.0, 6.1]])
    nodes, weights = np.polynomial.legendre.leggauss(8)  # exact for the quartic of each part
    for i, (a, b) in enumerate(cells):
        total = 0.0
        for left, right in ((a, min(b, 3.0)), (max(a, 3.0), b)):
            if right > left:
                x = (left + right) / 2 + (right - left) / 2 * nodes
                run = influence([0, 3, 7], 2e5, cells, stations=x)
                total = total + (right - left) / 2 * weights @ run.deflection
        run = influence([0, 3, 7], 2e5, cells)
        assert run.mean_deflection[i] == pytest.approx(total / (b - a), rel=1e-12)


def test_a_cell_of_a_millimetre_costs_no_accuracy():
    thin = influence([0, 4, 8], 2e5, [[1.7, 1.701]], [1.7005], [1.7005])
    cell, point = thin.deflection[0] / [0.001, 1.0]
    assert cell == pytest.approx(point, rel=1e-6)
    assert thin.mean_deflection[0, 0] == pytest.approx(thin.deflection[0, 0], rel=1e-6)


def test_a_point_load_over_a_support_goes_straight_into_it():
    run = influence([0, 4, 8], 2e5, [], [4.0])
    assert run.reaction[:, 0] == pytest.approx([0, 1, 0], abs=1e-14)
    assert np.abs(run.moment).max() < 1e-14


def test_a_prop_of_known_stiffness_under_the_middle_of_a_span():
    # By hand, simple span 2L with a spring k in the middle: the spring takes
    # P = (5/384) q (2L)^4/EI / ((2L)^3/(48 EI) + 1/k).
    ei, k, length = 2e5, 3e5, 4.0
    run = influence([0, 2, 4], ei, [[0, 4]], springs=[np.inf, k, np.inf])
    push = 5 / 384 * length**4 / ei / (length**3 / (48 * ei) + 1 / k)
    assert run.reaction[1, 0] == pytest.approx(push, rel=1e-12)
    middle = np.searchsorted(run.stations, 2.0)
    assert run.deflection[middle, 0] == pytest.approx(push / k, rel=1e-12)
    assert run.support_moment[1, 0] == pytest.approx(length**2 / 8 - push * length / 4, rel=1e-11)


def test_a_very_stiff_prop_is_a_support():
    rigid = influence([0, 2, 5], 2e5, [[0, 5]])
    stiff = influence([0, 2, 5], 2e5, [[0, 5]], springs=[np.inf, 1e14, np.inf])
    assert stiff.reaction == pytest.approx(rigid.reaction, rel=1e-7)


def test_default_stations_hold_every_support_boundary_and_point_once():
    run = influence([0, 3, 7], 2e5, [[0.3, 3.0], [3.0, 4.44]], [6.123], stations=10)
    expected = [*np.linspace(0, 3, 11), *np.linspace(3, 7, 11)[1:], 4.44, 6.123]
    assert run.stations == pytest.approx(np.sort(expected), abs=1e-12)


def test_results_cannot_be_changed_by_accident():
    run = influence([0, 3], 2e5, [[0, 3]])
    with pytest.raises(ValueError, match="read-only"):
        run.moment[0, 0] = 1.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"supports": [0, 4, 3]}, "out of order: x = 3 m follows x = 4 m"),
        ({"supports": [0, 4, 4]}, "out of order"),
        ({"supports": [0]}, "at least two supports"),
        ({"supports": [0, float("nan"), 4]}, "not a finite"),
        ({"cells": [[0, 1], [7, 9]]}, "cell 1, 7 to 9 m, is outside the run"),
        ({"cells": [[-0.5, 1]]}, "outside the run"),
        ({"cells": [[2, 1]]}, "no length"),
        ({"cells": [[2, float("nan")]]}, "cell 0"),
        ({"cells": [[0, 2], [1, 3]]}, "cells 0 and 1 overlap"),
        ({"cells": [0, 2, 1]}, "pairs"),
        ({"points": [9]}, "line load at x = 9 m"),
        ({"stations": [-1]}, "station at x = -1 m"),
        ({"stations": 0}, "0 stations in a span"),
        ({"stiffness": 0}, "EI"),
        ({"stiffness": [2e5, -1]}, "EI"),
        ({"stiffness": [2e5, 2e5, 2e5]}, "3 values for 2 spans"),
        ({"springs": [1e5, 1e5]}, "2 values for 3 supports"),
        ({"springs": [1e5, 0, 1e5]}, "spring"),
    ],
)
def test_wrong_input_is_refused_in_words(change, words):
    given_ = {"supports": [0, 4, 8], "stiffness": 2e5, "cells": [[0, 8]]} | change
    with pytest.raises(ValueError, match=words):
        influence(**given_)


def test_rounding_of_input_makes_no_second_station_and_no_cell_outside():
    # 0.1 + 0.2 is a hair more than 0.3; a whole run of such sums must still be one run.
    run = influence([0.0, 0.3, 0.6], 2e5, [[0.0, 0.1 + 0.2], [0.3, 0.6 + 1e-13]])
    assert len(run.stations) == 81
    assert run.stations[40] == 0.3
    assert run.cells[-1, 1] == 0.6
    assert influence([0.3, 0.6], 2e5, [[0.3 - 1e-13, 0.5]]).cells[0, 0] == 0.3
