"""The sheet run against printed coefficients and against two independent frame programs.

Printed values. Coefficients of w L², w L and w L⁴/EI for equal spans, as widely printed under
"Beam diagrams and formulas", e.g. AISC Steel Construction Manual, Table 3-23 (table number from
memory). Confirmed on the pages "Three Span Continuous Beam" and "Four Span Continuous Beam" of
piping-designer.com: three spans (all, outer two, two side by side) and four spans (1 and 3;
1, 2 and 4; its 0.611 and 0.805 taken as misprints of 0.0611 and 0.0805). All other values of
this kind are from memory. Tolerance: half a unit of the last printed digit.

Three printed values are not rounded: 0.0534 is cut off (exact 77/1440 = 0.05347), 0.380 and
0.572 are put together from rounded shears (exact 85/224 = 0.37946, 4/7 = 0.57143; the printed
moments of the same diagrams give these too). They carry a "~" here, a tolerance of one unit, and
a test against the exact fraction.
"""

from itertools import pairwise

import numpy as np
import pytest
from anastruct import SystemElements
from Pynite import FEModel3D

from pourday.deck.beam import Influence, influence
from pourday.deck.limits import ponding_allowance, ponding_counts
from pourday.deck.ponding import all_at_once, sagging_deck


def equal_spans(loaded: str, steps: int = 400) -> tuple[Influence, np.ndarray]:
    """Unit spans and EI; a letter a span, x is loaded."""
    n = len(loaded)
    cells = [[i, i + 1] for i in range(n)]
    run = influence(np.arange(n + 1), 1.0, cells, stations=steps)
    return run, np.array([float(c == "x") for c in loaded])


def printed(values: str) -> list[tuple[float, float]]:
    """Each printed number with half a unit of its last digit, a whole unit where marked ~."""
    return [
        (float(v.strip("~")), (0.5 + 0.5 * ("~" in v)) * 10.0 ** -len(v.strip("~").split(".")[1]))
        for v in values.split()
    ]


# span sag moments are listed for the spans whose greatest moment is printed: (span, value)
COEFFICIENTS = {
    # loaded: (reactions, moments over inner supports, {span: greatest moment}, greatest sag)
    "x": ("0.5 0.5", "", {0: "0.125"}, "0.0130"),
    "xx": ("0.375 1.250 0.375", "-0.125", {0: "0.0703"}, "0.0054"),
    "x-": ("0.4375 0.625 -0.0625", "-0.0625", {0: "0.0957"}, "0.0092"),
    "xxx": ("0.400 1.100 1.100 0.400", "-0.100 -0.100", {0: "0.080", 1: "0.025"}, "0.0069"),
    "x-x": ("0.450 0.550 0.550 0.450", "-0.050 -0.050", {0: "0.1013"}, "0.0099"),
    "xx-": (
        "0.383 1.200 0.450 -0.033",
        "-0.1167 -0.0333",
        {0: "0.0735", 1: "0.0534~"},
        "0.0059",
    ),
    "xxxx": (
        "0.393 1.143 0.929 1.143 0.393",
        "-0.1071 -0.0714 -0.1071",
        {0: "0.0772", 1: "0.0364"},
        "0.0065",
    ),
    "xx-x": (
        "0.380~ 1.223 0.357 0.598 0.442",
        "-0.1205 -0.0179 -0.058",
        {0: "0.072", 1: "0.0611", 3: "0.0977"},
        "0.0094",
    ),
    "x-x-": (
        "0.446 0.572~ 0.464 0.572~ -0.054",
        "-0.0536 -0.0357 -0.0536",
        {0: "0.0996", 2: "0.0805"},
        "0.0097",
    ),
}


@pytest.mark.parametrize("loaded", COEFFICIENTS)
def test_printed_coefficients_of_equal_spans(loaded):
    reactions, over, spans, sag = COEFFICIENTS[loaded]
    run, q = equal_spans(loaded)
    for got, (value, half) in zip(run.reaction @ q, printed(reactions), strict=True):
        assert got == pytest.approx(value, abs=half * 1.000001)
    inner = (run.support_moment @ q)[1:-1]
    for got, (value, half) in zip(inner, printed(over), strict=True):
        assert got == pytest.approx(value, abs=half * 1.000001)
    moment = run.moment @ q
    for span, text in spans.items():
        here = (run.stations >= span) & (run.stations <= span + 1)
        ((value, half),) = printed(text)
        assert moment[here].max() == pytest.approx(value, abs=half * 1.000001)
    ((value, half),) = printed(sag)
    assert (run.deflection @ q).max() == pytest.approx(value, abs=half * 1.000001)


def test_three_printed_values_that_are_not_rounded_against_their_fractions():
    # Three-moment equation by hand. xx-: M = -7/60, -2/60 over the supports; the second span's
    # shear starts at 1/2 + (7 - 2)/60 = 35/60, so its greatest moment is (35/60)²/2 - 7/60.
    run, q = equal_spans("xx-", steps=60)
    second = (run.stations >= 1) & (run.stations <= 2)
    assert (run.moment @ q)[second].max() == pytest.approx((35 / 60) ** 2 / 2 - 7 / 60, rel=1e-12)
    # xx-x: M = -27/224, -4/224, -13/224, so the end reaction is 1/2 - 27/224 = 85/224.
    run, q = equal_spans("xx-x", steps=4)
    over = [0, -27 / 224, -4 / 224, -13 / 224, 0]
    assert run.support_moment @ q == pytest.approx(over, rel=1e-12, abs=1e-14)
    assert (run.reaction @ q)[0] == pytest.approx(85 / 224, rel=1e-12)
    # x-x-: M = -3/56, -2/56, -3/56; R2 = (1/2 + 3/56) + (3 - 2)/56 = 32/56 = 4/7.
    run, q = equal_spans("x-x-", steps=4)
    over = [0, -3 / 56, -2 / 56, -3 / 56, 0]
    assert run.support_moment @ q == pytest.approx(over, rel=1e-12, abs=1e-14)
    assert (run.reaction @ q)[[1, 3]] == pytest.approx([4 / 7, 4 / 7], rel=1e-12)


# Hicks, Civil Engineering Formulas, Table 2.1 "Uniformly loaded continuous beams over equal
# spans": shear just right of each support as a fraction of w L (left half; mirrored beyond).
SHEARS = {
    1: ([1], 2),
    2: ([3, 5], 8),
    3: ([4, 5, 6], 10),
    4: ([11, 15, 13, 17], 28),
    5: ([15, 20, 19, 18, 23], 38),
    6: ([41, 55, 51, 53, 49, 63], 104),
    7: ([56, 75, 70, 71, 72, 67, 86], 142),
}


@pytest.mark.parametrize("spans", SHEARS)
def test_printed_fractions_of_one_to_seven_equal_spans(spans):
    right, parts = SHEARS[spans]
    right = np.array([*right, 0]) / parts
    left = np.array([0, *(1 - right[:-1])])
    run, q = equal_spans("x" * spans, steps=4)
    assert run.reaction @ q == pytest.approx(left + right, rel=1e-12)


def test_line_load_in_the_middle_of_one_of_two_spans():
    # AISC Table 3-23 (from memory): 13/32, 22/32, -3/32 P; 13/64 P L under it, -3/32 P L over
    # the support.
    run = influence([0, 1, 2], 1.0, [], [0.5], [0.5])
    assert run.reaction[:, 0] == pytest.approx([13 / 32, 22 / 32, -3 / 32], rel=1e-12)
    assert run.moment[0, 0] == pytest.approx(13 / 64, rel=1e-12)
    assert run.support_moment[1, 0] == pytest.approx(-3 / 32, rel=1e-12)


def test_simple_span_has_the_textbook_moment_and_sag():
    run = influence([0, 3.6], 2e5, [[0, 3.6]], [1.8], [1.8])
    assert run.moment[0] == pytest.approx([3.6**2 / 8, 3.6 / 4], rel=1e-12)
    by_hand = [5 * 3.6**4 / (384 * 2e5), 3.6**3 / (48 * 2e5)]
    assert run.deflection[0] == pytest.approx(by_hand, rel=1e-12)


# Independent programs: any run, any loads.


def random_run(seed: int, elastic: bool):
    rng = np.random.default_rng(seed)
    n = 1 + seed % 6
    supports = np.concatenate([[0.0], np.cumsum(rng.uniform(1.0, 5.0, n))])
    cuts = np.sort(rng.uniform(0, supports[-1], 9))
    cells = np.column_stack([cuts[:-1], cuts[1:]])[[0, 1, 3, 4, 6, 7]]  # with gaps
    points = rng.uniform(0, supports[-1], 2)
    springs = np.where(rng.random(n + 1) < 0.6, 10 ** rng.uniform(5, 7, n + 1), np.inf)
    springs[-1] = 3e5  # at least one
    return (
        supports,
        rng.uniform(1e5, 4e5, n),
        cells,
        points,
        springs if elastic else np.full(n + 1, np.inf),
        rng.uniform(-2e3, 8e3, 8),
    )


def close(got, expected, size=None):
    """1e-6 of the greatest value in the run."""
    expected = np.asarray(expected)
    size = np.abs(expected).max() if size is None else size
    assert got == pytest.approx(expected, rel=0, abs=1e-6 * size)


@pytest.mark.parametrize("elastic", [False, True], ids=["rigid", "elastic"])
@pytest.mark.parametrize("seed", range(6))
def test_any_run_agrees_with_pynite(seed, elastic):
    supports, ei, cells, points, springs, load = random_run(seed, elastic)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    for i, x in enumerate(supports):
        model.add_node(f"N{i}", x, 0, 0)
        rigid = bool(np.isinf(springs[i]))
        model.def_support(f"N{i}", i == 0, rigid, True, True, True, False)
        if not rigid:
            model.def_support_spring(f"N{i}", "DY", float(springs[i]))
    for s in range(len(ei)):
        model.add_section(f"S{s}", 1e6, ei[s], ei[s], ei[s])
        model.add_member(f"M{s}", f"N{s}", f"N{s + 1}", "m", f"S{s}")
        for (a, b), q in zip(cells, load[:6], strict=True):
            a, b = max(a, supports[s]) - supports[s], min(b, supports[s + 1]) - supports[s]
            if b > a:
                model.add_member_dist_load(f"M{s}", "Fy", -q, -q, a, b)
        for x, p in zip(points, load[6:], strict=True):
            if supports[s] < x < supports[s + 1]:
                model.add_member_pt_load(f"M{s}", "Fy", -p, x - supports[s])
    model.analyze_linear()

    inner = np.array([0.13, 0.4, 0.5, 0.77])
    x = (supports[:-1, None] + np.diff(supports)[:, None] * inner).ravel()
    run = influence(supports, ei, cells, points, x, springs=springs)
    span = np.searchsorted(supports, x) - 1
    members = [(model.members[f"M{s}"], v - supports[s]) for s, v in zip(span, x, strict=True)]
    close(run.deflection @ load, [-m.deflection("dy", v) for m, v in members])
    # PyNite counts a sagging Mz negative.
    moments = np.array([-m.moment("Mz", v) for m, v in members])
    close(run.moment @ load, moments)
    # A spring's force is not in PyNite's node reaction: it is stiffness times settlement.
    reactions = [
        model.nodes[f"N{i}"].RxnFY["Combo 1"]
        if np.isinf(k)
        else -k * model.nodes[f"N{i}"].DY["Combo 1"]
        for i, k in enumerate(springs)
    ]
    close(run.reaction @ load, reactions)
    before = [max(i - 1, 0) for i in range(len(supports))]
    over = [
        -model.members[f"M{s}"].moment("Mz", at - supports[s])
        for s, at in zip(before, supports, strict=True)
    ]
    close(run.support_moment @ load, over, size=np.abs(moments).max())


@pytest.mark.parametrize("elastic", [False, True], ids=["rigid", "elastic"])
@pytest.mark.parametrize("seed", [2, 4, 11])
def test_any_run_agrees_with_anastruct(seed, elastic):
    supports, ei, cells, points, springs, load = random_run(seed, elastic)
    springs[0] = np.inf  # a hinge holds the run along x
    nodes = np.unique(np.concatenate([supports, cells.ravel(), points]))
    system = SystemElements()
    for a, b in pairwise(nodes):
        middle = (a + b) / 2
        element = system.add_element(
            [[a, 0], [b, 0]], EA=1e6, EI=ei[np.searchsorted(supports, middle) - 1]
        )
        for (start, end), q in zip(cells, load[:6], strict=True):
            if start < middle < end:
                system.q_load(-q, element)
    for x, p in zip(points, load[6:], strict=True):
        system.point_load(int(np.searchsorted(nodes, x)) + 1, Fy=-p)
    ids = [int(np.searchsorted(nodes, x)) + 1 for x in supports]
    for i, (node, k) in enumerate(zip(ids, springs, strict=True)):
        if not np.isinf(k):
            system.add_support_spring(node, translation=2, k=k)
        elif i:
            system.add_support_roll(node, direction="x")
        else:
            system.add_support_hinged(node)
    system.solve()

    run = influence(supports, ei, cells, points, nodes, springs=springs)
    # anaStruct's system results count downward positive, both movement and force on the beam.
    sag = np.array([system.get_node_results_system(i + 1)["uy"] for i in range(len(nodes))])
    close(run.deflection @ load, sag)
    rigid = np.isinf(springs)
    forces = np.array([system.get_node_results_system(i)["Fy"] for i in ids])
    reactions = np.where(rigid, -forces, np.where(rigid, 0, springs) * sag[np.array(ids) - 1])
    close(run.reaction @ load, reactions)


# EN 1994-1-1 9.3.2: ponding.


def test_one_pass_of_ponding_on_a_simple_span_takes_sixteen_twentyfifths_of_the_middle_sag():
    # The mean of the uniform-load sag, w L⁴/(120 EI), over its middle, 5 w L⁴/(384 EI).
    run = influence([0, 3.3], 1.7e5, [[0, 3.3]], stations=[1.65])
    assert run.mean_deflection[0, 0] / run.deflection[0, 0] == pytest.approx(16 / 25, rel=1e-12)


def test_computed_ponding_beside_the_rule_of_a_seventh_tenth_of_the_sag():
    # EN 1994-1-1 9.3.2: below a tenth of the depth ponding may be ignored, above it 0.7 of the
    # middle sag is added. The true mean is 0.64 plus feedback, which grows with the sag: still
    # below 0.7 where the rule begins, above it at two tenths.
    depth, weight, length = 0.13, 26e3, 3.0
    edges = np.linspace(0, length, 41)
    cells = np.column_stack([edges[:-1], edges[1:]])
    shares = []
    for sag in (0.0001 * depth, 0.1001 * depth, 0.2 * depth):
        ei = 5 * weight * depth * length**4 / (384 * sag)
        run = influence([0, length], ei, cells, stations=[length / 2])
        middle = float(run.deflection[0] @ np.full(40, weight * depth))
        assert middle == pytest.approx(sag, rel=1e-9)
        extra = all_at_once(sagging_deck(run.mean_deflection, weight, depth)).mean() - depth
        # Feedback by the closed form of levelled ponding: u = (w/EI)^(1/4) L/2.
        u = (weight / ei) ** 0.25 * length / 2
        exact = depth * ((np.tan(u) + np.tanh(u)) / (2 * u) - 1)
        assert extra == pytest.approx(exact, rel=1e-3)
        shares.append(extra / float(ponding_allowance(middle)))
    assert not ponding_counts(0.0001 * depth, depth)
    assert ponding_counts(0.1001 * depth, depth)
    assert shares[0] == pytest.approx(0.64 / 0.7, rel=1e-3)
    assert shares[0] < shares[1] < 1 < shares[2]
