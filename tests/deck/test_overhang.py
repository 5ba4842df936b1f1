"""A deck beyond its end support: statics by hand, and the whole run in a frame program."""

from __future__ import annotations

import numpy as np
import pytest
from Pynite import FEModel3D

from pourday.deck.overhang import overhang

EI = 250e3


def test_overhang_of_one_span_by_hand():
    # Span L, overhang a under q: M = q a²/2; far end lifts by M/L; slope M L/(3 EI) at the support.
    q, a, length = 5000.0, 0.6, 3.0
    couple = q * a**2 / 2
    found = overhang([0.0, length], EI, a, q, True)
    assert found.moment == pytest.approx(-couple)
    assert found.reaction == pytest.approx([-couple / length, q * a + couple / length], rel=1e-4)
    tip = q * a**4 / (8 * EI) + couple * length / (3 * EI) * a
    assert found.tip == pytest.approx(tip, rel=1e-4)


@pytest.mark.parametrize("at_end", [True, False])
@pytest.mark.parametrize("spans", [[3.0], [3.0, 3.6], [2.4, 3.6, 3.0, 2.0]])
def test_overhang_agrees_with_pynite(spans, at_end):
    q, a = 4200.0, 0.5
    supports = np.concatenate([[0.0], np.cumsum(spans)])
    tip_x = supports[-1] + a if at_end else -a
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    model.add_section("s", 1e6, EI, EI, 1.0)
    places = sorted([*supports, tip_x])
    for n, x in enumerate(places):
        model.add_node(f"N{n}", x, 0, 0)
        model.def_support(f"N{n}", n == 0, x != tip_x, True, True, True, False)
    for n in range(len(places) - 1):
        model.add_member(f"M{n}", f"N{n}", f"N{n + 1}", "m", "s")
    last = len(places) - 2 if at_end else 0
    model.add_member_dist_load(f"M{last}", "Fy", -q, -q)
    model.analyze_linear()
    found = overhang(supports, EI, a, q, at_end)
    up = [model.nodes[f"N{n}"].RxnFY["Combo 1"] for n, x in enumerate(places) if x != tip_x]
    assert found.reaction == pytest.approx(up, rel=0, abs=1e-4 * np.abs(up).max())
    tip = places.index(tip_x)
    assert found.tip == pytest.approx(-model.nodes[f"N{tip}"].DY["Combo 1"], rel=1e-4)
    assert found.moment == pytest.approx(-q * a**2 / 2)


def test_an_overhang_without_length_is_refused():
    with pytest.raises(ValueError, match="above 0"):
        overhang([0.0, 3.0], EI, 0.0, 5000.0, True)
