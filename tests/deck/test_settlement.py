"""Supports that go down: shapes, stiffness, and beams that carry each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D
from scipy.integrate import quad

from pourday.deck.beam import influence
from pourday.deck.grillage import Beam, BeamTooSoftError, grillage, stiffness
from pourday.deck.settlement import settlement

RUN = np.array([0.0, 2.0, 5.0, 6.5, 10.0])
EI = np.array([2e5, 3e5, 2.5e5, 4e5])
CELLS = np.array([[0.0, 0.7], [0.7, 2.0], [2.5, 4.0], [5.0, 6.5], [6.5, 7.0], [9.0, 10.0]])
STATIONS = np.linspace(0.0, 10.0, 41)

lengths = st.lists(st.floats(0.5, 8.0), min_size=1, max_size=6)
rigidity = st.floats(1e4, 1e9)


# Against deck.beam: a run on springs is a run on rigid supports that go down by its spring forces.


@pytest.mark.parametrize("spring", [1e3, 1e5, 1e7])
def test_rigid_run_plus_settlement_is_the_run_on_springs(spring):
    springs = spring * np.array([1.0, 3.0, 0.5, 2.0, 1.5])
    load = np.array([3e3, -1e3, 5e3, 2e3, 4e3, 1e3, 7e3])
    soft = influence(RUN, EI, CELLS, [5.8], STATIONS, springs=springs)
    rigid = influence(RUN, EI, CELLS, [5.8], STATIONS)
    moved = settlement(RUN, EI, CELLS, STATIONS)
    down = soft.reaction @ load / springs
    for of_soft, of_rigid, shape in (
        (soft.moment, rigid.moment, moved.moment),
        (soft.deflection, rigid.deflection, moved.deflection),
        (soft.mean_deflection, rigid.mean_deflection, moved.mean_deflection),
        (soft.support_moment, rigid.support_moment, moved.support_moment),
        (soft.reaction, rigid.reaction, -moved.stiffness),
    ):
        expected = of_soft @ load
        got = of_rigid @ load + shape @ down
        assert got == pytest.approx(expected, rel=0, abs=1e-9 * np.abs(expected).max())


def test_supports_pushed_down_through_stiff_springs():
    # A line load of k x 1 m on a spring k that nothing else can move: that support goes down 1 m.
    k = 1e14
    at = RUN[2]
    springs = np.array([np.inf, np.inf, k, np.inf, np.inf])
    pushed = influence(RUN, EI, CELLS, [at], STATIONS, springs=springs)
    shape = settlement(RUN, EI, CELLS, STATIONS)
    unit = pushed.moment[:, -1] * k
    assert shape.moment[:, 2] == pytest.approx(unit, rel=0, abs=1e-6 * np.abs(unit).max())
    assert shape.deflection[:, 2] == pytest.approx(pushed.deflection[:, -1] * k, rel=0, abs=1e-6)
    mean = pushed.mean_deflection[:, -1] * k
    assert shape.mean_deflection[:, 2] == pytest.approx(mean, rel=0, abs=1e-6)


# Against an independent frame program (PyNiteFEA) with prescribed displacements.


@pytest.mark.parametrize("which", range(len(RUN)))
def test_a_settled_support_agrees_with_pynite(which):
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    for i, x in enumerate(RUN):
        model.add_node(f"N{i}", x, 0, 0)
        model.def_support(f"N{i}", True, True, True, True, True, False)
        model.def_node_disp(f"N{i}", "DY", -1.0 if i == which else 0.0)
    for s, ei in enumerate(EI):
        model.add_section(f"S{s}", 1e6, ei, ei, ei)
        model.add_member(f"M{s}", f"N{s}", f"N{s + 1}", "m", f"S{s}")
    model.analyze_linear()
    inside = STATIONS[~np.isin(STATIONS, RUN)]
    shape = settlement(RUN, EI, CELLS, inside)
    span = np.searchsorted(RUN, inside) - 1
    members = [(model.members[f"M{s}"], x - RUN[s]) for s, x in zip(span, inside, strict=True)]
    sag = [-m.deflection("dy", x) for m, x in members]
    assert shape.deflection[:, which] == pytest.approx(sag, rel=0, abs=1e-9)
    # PyNite counts a sagging Mz negative.
    moment = np.array([-m.moment("Mz", x) for m, x in members])
    size = np.abs(moment).max()
    assert shape.moment[:, which] == pytest.approx(moment, rel=0, abs=1e-8 * size)
    up = np.array([model.nodes[f"N{i}"].RxnFY["Combo 1"] for i in range(len(RUN))])
    assert -shape.stiffness[:, which] == pytest.approx(up, rel=0, abs=1e-8 * np.abs(up).max())
    ends = [-model.members[f"M{s}"].moment("Mz", 0.0) for s in range(len(EI))]
    assert shape.support_moment[:-1, which] == pytest.approx(ends, rel=0, abs=1e-8 * size)


def test_middle_support_of_two_equal_spans_by_hand():
    # Two spans L pushed down by d in the middle are a simple span 2L with P = 48 EI d/(2L)³
    # = 6 EI d/L³ there: moment P 2L/4 = 3 EI d/L², ends pulled up by P/2 each.
    ei, length = 2.0e5, 3.0
    shape = settlement([0, length, 2 * length], ei, [[0, length]], [length / 2])
    p = 6 * ei / length**3
    assert shape.stiffness[:, 1] == pytest.approx([-p / 2, p, -p / 2], rel=1e-12)
    assert shape.support_moment[:, 1] == pytest.approx([0, 3 * ei / length**2, 0], abs=1e-6)
    # The simple span 2L under P in the middle: w/d = (3 x L² - x³)/(2 L³) for x up to L, which is
    # 11/16 at L/2, and 3/4 - 1/8 = 5/8 in the mean.
    assert shape.deflection[0, 1] == pytest.approx(11 / 16, rel=1e-12)
    assert shape.mean_deflection[0, 1] == pytest.approx(5 / 8, rel=1e-12)


@given(lengths, rigidity)
def test_stiffness_is_symmetric_and_never_pushes_back_the_wrong_way(spans, ei):
    run = np.concatenate([[0.0], np.cumsum(spans)])
    k = settlement(run, ei).stiffness
    assert (k == k.T).all()
    assert np.linalg.eigvalsh(k)[0] >= -1e-12 * 12 * ei / min(spans) ** 3


@given(lengths, rigidity)
def test_rigid_body_motion_takes_no_force_and_bends_nothing(spans, ei):
    run = np.concatenate([[0.0], np.cumsum(spans)])
    at = np.linspace(0, run[-1], 17)
    cells = np.column_stack([run[:-1], run[1:]])
    shape = settlement(run, ei, cells, at)
    shortest = min(spans)
    force, bend = 12 * ei / shortest**3, 6 * ei / shortest**2
    for rise, line in ((np.ones_like(run), np.ones_like(at)), (run, at)):
        assert np.abs(shape.stiffness @ rise).max() <= 1e-12 * force * run[-1]
        assert np.abs(shape.moment @ rise).max() <= 1e-12 * bend * run[-1]
        assert np.abs(shape.support_moment @ rise).max() <= 1e-12 * bend * run[-1]
        assert shape.deflection @ rise == pytest.approx(line, rel=0, abs=1e-9 * run[-1])
        middles = np.interp(cells.mean(axis=1), run, rise)
        assert shape.mean_deflection @ rise == pytest.approx(middles, rel=0, abs=1e-9 * run[-1])


@given(lengths, rigidity)
def test_a_single_span_has_no_stiffness_and_more_spans_have_some(spans, ei):
    run = np.concatenate([[0.0], np.cumsum(spans)])
    k = settlement(run, ei).stiffness
    size = 12 * ei / min(spans) ** 3
    rank = int((np.linalg.eigvalsh(k) > 1e-9 * size).sum()) if len(spans) > 1 else 0
    if len(spans) == 1:
        assert np.abs(k).max() <= 1e-9 * size
    elif max(spans) / min(spans) < 3:
        assert rank == len(spans) - 1


def test_mean_deflection_against_quadrature():
    shape = settlement(RUN, EI, CELLS)
    for column in range(len(RUN)):
        for cell, (a, b) in enumerate(CELLS):

            def sag(x, column=column):
                return settlement(RUN, EI, (), [x]).deflection[0, column]

            mean = quad(sag, a, b, epsabs=1e-13, epsrel=1e-12)[0] / (b - a)
            assert shape.mean_deflection[cell, column] == pytest.approx(mean, rel=0, abs=1e-11)


# Grillage.

LINE = np.array([0.0, 2.0, 4.0])


def cross() -> tuple[int, list[Beam]]:
    """A beam 0-1-2 and a beam 3-1-4 across it, EI 4e6 and 1e6, both 4 m, ends 0, 2, 3, 4."""
    return 5, [Beam(np.array([0, 1, 2]), LINE, 4e6), Beam(np.array([3, 1, 4]), LINE, 1e6)]


def test_two_crossing_beams_share_a_load_by_their_stiffness():
    count, beams = cross()
    held = np.array([True, False, True, True, True])
    solved = grillage(count, beams, held)
    k = 48 / 4.0**3
    assert solved.move[1, 1] == pytest.approx(1 / (k * 5e6), rel=1e-12)
    assert solved.carry[:, 1] == pytest.approx([0.4, 0, 0.4, 0.1, 0.1], rel=1e-12)
    assert (solved.move[held] == 0).all()


def test_width_multiplies_the_stiffness_of_a_beam():
    nodes = np.array([0, 1, 2])
    narrow = stiffness(3, [Beam(nodes, LINE, 6e6)])
    wide = stiffness(3, [Beam(nodes, LINE, 2e6, width=3.0)])
    assert wide == pytest.approx(narrow, rel=1e-14)


def test_a_prop_under_the_middle_takes_its_share():
    nodes = np.array([0, 1, 2])
    held = np.array([True, False, True])
    own = 48 * 4e6 / 4.0**3
    solved = grillage(3, [Beam(nodes, LINE, 4e6)], held, np.array([0.0, 2 * own, 0.0]))
    assert solved.move[1, 1] == pytest.approx(1 / (3 * own), rel=1e-12)
    assert solved.carry[:, 1] == pytest.approx([1 / 6, 2 / 3, 1 / 6], rel=1e-12)


@given(st.lists(st.floats(0.5, 6.0), min_size=3, max_size=8), rigidity, st.integers(0, 100))
def test_what_is_carried_is_what_is_put_on(spans, ei, seed):
    rng = np.random.default_rng(seed)
    places = np.concatenate([[0.0], np.cumsum(spans)])
    n = len(places)
    held = rng.random(n) < 0.3
    held[[0, -1]] = True
    springs = np.where(rng.random(n) < 0.3, ei / 10, 0.0)
    solved = grillage(n, [Beam(np.arange(n), places, ei)], held, springs)
    assert solved.carry.sum(axis=0) == pytest.approx(np.ones(n), rel=0, abs=1e-7)
    # And with the same moment about the first place: nothing else holds the beam.
    assert places @ solved.carry == pytest.approx(places, rel=0, abs=1e-6 * places[-1])
    assert solved.move == pytest.approx(solved.move.T, rel=0, abs=1e-12 * np.abs(solved.move).max())


@pytest.mark.parametrize(
    ("held", "why"),
    [
        ([True, False, False, False, False], "rotation about the end support is free"),
        ([False, True, False, False, False], "rotation about the middle support is free"),
        ([True, False, True, False, False], "rotation about the first beam is free"),
        ([False] * 5, "no support at all"),
    ],
)
def test_a_mechanism_is_refused_in_words(held, why):
    count, beams = cross()
    with pytest.raises(BeamTooSoftError, match="a beam line is held by nothing: every secondary"):
        grillage(count, beams, np.array(held))


def test_a_hinge_without_anything_under_it_is_refused():
    beams = [Beam(np.array([0, 1]), LINE[:2], 1e6), Beam(np.array([1, 2]), LINE[:2], 1e6)]
    with pytest.raises(BeamTooSoftError, match="held by nothing"):
        grillage(3, beams, np.array([True, False, True]))


def test_soft_but_held_is_no_mechanism():
    # Long slender beams give tiny pivots, but not zero: sixty nodes over 60 m.
    places = np.linspace(0.0, 60.0, 61)
    held = np.zeros(61, dtype=bool)
    held[[0, -1]] = True
    solved = grillage(61, [Beam(np.arange(61), places, 1.0)], held)
    assert solved.move[30, 30] == pytest.approx(60.0**3 / 48, rel=1e-6)
