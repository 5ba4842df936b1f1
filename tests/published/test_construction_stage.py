"""One two-span deck at the construction stage, worked by hand from loads to the four checks.

Deck over two spans of 3.6 m, one strip a span, the left one first (spread), struck to thickness:
140 mm less 26 mm of ribs = 114 mm, deck 0.12 kN/m², mesh 3 kg/m² = 0.0294 kN/m².

EN. EN 1990 factors; SCI AD 346: concrete 25 kN/m³, variable; 0.75 kN/m² everywhere and heaping of
the greater of 0.75 and a tenth of the concrete (2.85: 0.285) over 3 m.
LRFD. ANSI/SDI C (values from memory): 1.2 deck, 1.6 concrete, 1.4 of 20 psf or 150 lb/ft.

Coefficients of two equal spans, as exact fractions of the handbook's (beam diagrams, values from
memory): uniform w on one span: outer reactions 7/16 and -1/16, inner 10/16, moment -1/16; on both
3/8, 10/8, -1/8.
"""

from __future__ import annotations

import numpy as np
import pytest
from builders.pours import basis_of, pour

from pourday.outcome.deck.peaks import bounds_of, heap_factors, mean_peaks

L, EI = 3.6, 230e3
DECK = 0.12e3 + 3.0 * 9.81  # 149.43 Pa
CONCRETE = 0.114 * 25e3  # 2850 Pa
SAG, HOG, REACTION = 11.8e3, 14.3e3, 64e3


def two_spans(basis: str, **loads):
    return basis_of(
        pour(
            floor={"spans_m": [3.6, 3.6], "sheet_runs": [2], "length_y_m": 12.0},
            deck={
                "bending_stiffness_kNm2_per_m": 230,
                "sag_moment_resistance_kNm_per_m": 11.8,
                "hog_moment_resistance_kNm_per_m": 14.3,
                "reaction_resistance_kN_per_m": 64.0,
                "resistance_is": "design",
                "void_volume_m3_per_m2": 0.026,
            },
            slab={"depth_mm": 140, "wet_density_kN_m3": 25, "mesh_kg_m2": 3.0},
            loads={"basis": basis, "heap_height_factor": 1.0, **loads},
            plan={"order": "spread", "strip_width_m": 3.6},
        )
    )


def reached(basis, stage: str, turn: int):
    """Factored bounds of one state, and where in them each quantity stands."""
    (line,) = basis.layout.lines
    k = [n for n, s in enumerate(line.states) if (s.stage, s.turn) == (stage, turn)]
    factored = bounds_of(line, heap_factors(basis, None))[1]
    where = line.felt.effects.factored
    return factored.most[k].max(axis=0), factored.least[k].min(axis=0), where


def test_en_both_spans_full_nobody_there():
    # w = 1.35 x 149.43 + 1.5 x 2850 = 201.73 + 4275 = 4476.73 Pa heavy,
    #     1.00 x 149.43 + 1.0 x 2850 = 2999.43 Pa light.
    heavy, light = 1.35 * DECK + 1.5 * CONCRETE, DECK + CONCRETE
    assert (heavy, light) == pytest.approx((4476.73, 2999.43), abs=0.01)
    most, least, where = reached(two_spans("EN", preset="none"), "full", 1)
    # 1. Hog over the inner support, heavy on both: 4476.73 x 3.6² / 8 = 7252.3 N m/m: 51 %.
    hog = -least[where.support_moment][1]
    assert hog == pytest.approx(heavy * L**2 / 8, rel=1e-9)
    assert hog == pytest.approx(7252.3, abs=0.1)
    assert hog / HOG == pytest.approx(0.507, abs=5e-4)
    # 2. Inner reaction: 10/8 x 4476.73 x 3.6 = 20 145 N/m, alone 31 %; together
    #    (0.5072 + 0.3148) / 1.25 = 0.6575.
    inner = most[where.reaction][1]
    assert inner == pytest.approx(10 / 8 * heavy * L, rel=1e-9)
    assert inner == pytest.approx(20145, abs=1)
    assert most[where.pressed].max() / 1.25 == pytest.approx(0.6576, abs=1e-4)
    # 3. End reaction, heavy here, light there: (7/16 x 4476.73 - 1/16 x 2999.43) x 3.6 = 6376.
    end = most[where.reaction][0]
    assert end == pytest.approx((7 / 16 * heavy - light / 16) * L, rel=1e-9)
    assert end == pytest.approx(6376.0, abs=1)
    # 4. Sag where the shear is nought, x = 6376.0 / 4476.73 = 1.424 m: 6376.0² / (2 x 4476.73)
    #    = 4540.5 N m/m: 38 %. A station is at most 0.045 m away: 4476.73 x 0.045² / 2 = 4.5 less.
    sag = most[where.moment].max()
    assert end**2 / (2 * heavy) - 4.6 <= sag <= end**2 / (2 * heavy)
    assert sag / SAG == pytest.approx(0.385, abs=1e-3)
    # 5. Least end reaction: light here, heavy there: (7/16 x 2999.43 - 1/16 x 4476.73) x 3.6.
    least_end = (7 / 16 * light - heavy / 16) * L
    assert least[where.reaction][0] == pytest.approx(least_end, rel=1e-9)
    assert least_end == pytest.approx(3716.8, abs=0.1)


def test_en_left_span_full_people_gone_to_the_next_line():
    # Right end: deck light there, deck and concrete heavy on the left, 0.75 on the left only.
    # (7/16 x 149.43 - 1/16 x (1.35 x 149.43 + 1.5 x 2850 + 1.5 x 750)) x 3.6
    # = (65.4 - 350.1) x 3.6 = -1025 N/m: uplift, which 0.75 on both spans would hide:
    # (65.4 + 7/16 x 1125 - 350.1) x 3.6 = +747.
    basis = two_spans("EN", preset="en_1991_1_6")
    _, least, where = reached(basis, "left", 0)
    left = 1.35 * DECK + 1.5 * CONCRETE + 1.5 * 750
    by_hand = (7 / 16 * DECK - left / 16) * L
    assert least[where.reaction][2] == pytest.approx(by_hand, rel=1e-9)
    assert by_hand == pytest.approx(-1025.0, abs=1.0)
    assert (7 / 16 * (DECK + 1125) - left / 16) * L == pytest.approx(747, abs=1.0)


def test_en_heaping_at_its_worst_place_over_the_inner_support():
    # Moment over the inner support of a patch from a to b in the left span: w times the integral of
    # x (L² - x²) / (4 L²): w (b² - a²) / 8 - w (b⁴ - a⁴) / (16 L²). 3 m of heaping fit between
    # 0.45 and 3.45 m (middle of the strip 1.8 m, steps of 0.6 m): the greatest of the places tried.
    def over(a, b):
        a, b = max(a, 0.0), min(b, L)
        return (b**2 - a**2) / 8 - (b**4 - a**4) / (16 * L**2)

    basis = two_spans("EN", preset="en_1991_1_6")
    _, least, where = reached(basis, "front", 1)
    places = np.linspace(0.0, L, 7)  # middles of the zone along the strip of 3.6 m
    # The zone reaches over the support: its part in the other span hogs as much.
    best = max(over(m - 1.5, m + 1.5) + over(2 * L - (m + 1.5), L) * (m + 1.5 > L) for m in places)
    hog = (1.35 * DECK + 1.5 * CONCRETE + 1.5 * 750) * L**2 / 8 + 1.5 * 750 * best
    assert -least[where.support_moment][1] == pytest.approx(hog, rel=1e-9)


def test_lrfd_both_spans_full_nobody_there():
    # w = 1.2 x 149.43 + 1.6 x 2850 = 4739.3 Pa heavy, 0.9 x (149.43 + 2850) = 2699.5 Pa light.
    heavy, light = 1.2 * DECK + 1.6 * CONCRETE, 0.9 * (DECK + CONCRETE)
    assert (heavy, light) == pytest.approx((4739.3, 2699.5), abs=0.05)
    basis = two_spans("LRFD", preset="us_practice")
    most, least, where = reached(basis, "full", 1)
    # 4739.3 x 3.6² / 8 = 7677.7: 54 % of 14.3; 10/8 x 4739.3 x 3.6 = 21 327: 33 % of 64;
    # together (0.5369 + 0.3332) / 1.25 = 0.6961.
    assert -least[where.support_moment][1] == pytest.approx(7677.7, abs=0.1)
    assert most[where.reaction][1] == pytest.approx(21327, abs=1)
    assert most[where.pressed].max() / 1.25 == pytest.approx(0.6961, abs=1e-4)
    # (7/16 x 4739.3 - 1/16 x 2699.5) x 3.6 = 6856.9.
    end = (7 / 16 * heavy - light / 16) * L
    assert most[where.reaction][0] == pytest.approx(end, rel=1e-9)
    assert end == pytest.approx(6856.9, abs=0.5)
    sag = end**2 / (2 * heavy)
    assert sag - 4.9 <= most[where.moment].max() <= sag


def test_lrfd_bare_deck_under_50_psf():
    # One span of the two loaded, 1.2 x 149.43 on both: 1.4 x 2394 = 3351.6 Pa. End reaction
    # (3/8 x 179.3 + 7/16 x 3351.6) x 3.6 less nothing: deck heavy here, 0.9 there.
    basis = two_spans("LRFD", preset="us_practice")
    most, _, where = reached(basis, "bare", 0)
    psf = 50 * 4.4482216152605 / 0.3048**2
    assert psf == pytest.approx(2394.0, abs=0.1)
    by_hand = (7 / 16 * (1.2 * DECK + 1.4 * psf) - 0.9 * DECK / 16) * L
    assert most[where.reaction][0] == pytest.approx(by_hand, rel=1e-9)


def test_the_share_of_the_day_is_the_greatest_of_these():
    basis = two_spans("EN", preset="en_1991_1_6")
    (peaks,) = mean_peaks(basis)
    most, _, where = reached(basis, "front", 1)
    together = most[where.pressed].max() / 1.25
    assert peaks.use.max() == pytest.approx(together, rel=1e-9)
    assert 0.8 < together < 1.0
    assert most[where.reaction][1] / REACTION < together
