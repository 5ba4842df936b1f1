"""Deck peaks of a day beside the deck worked out by itself, and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders.pours import basis_of, laid_out, measured, played, pour

from pourday.day.chance.streams import Stream
from pourday.deck.beam import influence
from pourday.outcome.deck.peaks import (
    bounds_of,
    group_peaks,
    heap_factors,
    use_of_lines,
    use_over_time,
)

TWO_SPANS = {"spans_m": [3.6, 3.6], "sheet_runs": [2], "length_y_m": 12.0}
WET, BARE = 0.15 * 26e3, 120.0  # Pa


def test_peaks_are_those_of_the_deck_loaded_strip_by_strip():
    # Thirds on two spans: beam strip, first edge, second edge; no crew, no heap, to thickness.
    scenario = pour(floor=TWO_SPANS, deck={"bending_stiffness_kNm2_per_m": 230})
    outcome = measured(scenario)
    edges = np.array([0.0, 2.4, 3.6, 4.8, 7.2])
    cells = np.column_stack([edges[:-1], edges[1:]])
    stations = laid_out(scenario).lines[0].deck.unit.stations
    deck = influence([0, 3.6, 7.2], 230e3, cells, stations=stations)
    states = BARE + WET * np.array(
        [[0, 0, 0, 0], [0, 1, 1, 0], [1, 1, 1, 0], [1, 1, 1, 1]], dtype=float
    )
    moment, sag = states @ deck.moment.T, states @ deck.deflection.T
    reaction, over = states @ deck.reaction.T, states @ deck.support_moment.T
    peaks = outcome.deck
    assert peaks.sag_moment.value == pytest.approx(moment.max(), rel=1e-9)
    assert peaks.hog_moment.value == pytest.approx(-over.min(), rel=1e-9)
    assert peaks.reaction.value == pytest.approx(reaction.max(), rel=1e-9)
    assert peaks.uplift.value == pytest.approx(max(0.0, -reaction.min()), rel=1e-9)
    assert peaks.deflection.value == pytest.approx(sag.max(), rel=1e-9)
    # Sag is greatest with one span and the beam strip full: while the first edge is placed.
    assert np.unravel_index(sag.argmax(), sag.shape)[0] == 2
    assert peaks.deflection.strip == 1
    assert peaks.deflection.time == outcome.strip_start[1]
    assert peaks.deflection.x == pytest.approx(stations[sag[2].argmax()])
    assert peaks.hog_moment.x == pytest.approx(3.6)


def test_uplift_at_the_far_support_when_one_span_is_loaded_first():
    # Spread, a strip a span: with only the first span wet the far end of a light deck lifts.
    # Two equal spans, uniform w on one: far reaction -w L / 16 (handbook coefficient, value from
    # memory); the deck's own weight holds it down with 3/8 g L.
    scenario = pour(floor=TWO_SPANS, plan={"order": "spread", "strip_width_m": 3.6})
    peaks = measured(scenario).deck
    expected = WET * 3.6 / 16 - 0.375 * BARE * 3.6
    assert peaks.uplift.value == pytest.approx(expected, rel=1e-9)
    assert peaks.uplift.x == pytest.approx(7.2)
    assert peaks.uplift.strip == 0


def one_span(**loads):
    return pour(floor={"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 12.0}, loads=loads)


def test_single_span_is_w_l_squared_over_eight():
    peaks = measured(one_span()).deck
    assert peaks.sag_moment.value == pytest.approx((WET + BARE) * 9 / 8, rel=1e-9)
    assert peaks.reaction.value == pytest.approx((WET + BARE) * 1.5, rel=1e-9)
    assert peaks.deflection.value == pytest.approx(5 * (WET + BARE) * 81 / (384 * 300e3), rel=1e-9)
    assert (peaks.hog_moment.value, peaks.uplift.value) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_heap_and_crew_at_the_middle_of_a_single_span():
    # Heap of twice the thickness over 1 m: 3900 Pa more. Crew 1500 Pa within 1 m, 500 Pa outside.
    # All over 3900 + 120 + 500 = 4520 Pa; on the middle metre 3900 + 1000 = 4900 N more.
    # M = 4520 x 3² / 8 + 4900 x (3 / 4 - 1 / 8). Both stand where they press most on a support: the
    # heap at the end of its strip, the zone with its middle 0.5 m from there (nearer it would hang
    # over the edge); R = 4520 x 3 / 2 + 4900 x 2.5 / 3,
    # sag of the middle metre: W (8 L³ - 4 L b² + b³) / (384 EI).
    own = {"preset": "own", "inside_kN_m2": 1.5, "outside_kN_m2": 0.5, "zone_m": 1.0}
    scenario = one_span(**own, heap_height_factor=2.0, heap_length_m=1.0)
    peaks = measured(scenario).deck
    moment = 4520 * 9 / 8 + 4900 * (3 / 4 - 1 / 8)
    assert peaks.sag_moment.value == pytest.approx(moment, rel=1e-9)
    assert peaks.sag_moment.stage == "front"
    assert peaks.sag_moment.x == pytest.approx(1.5)
    assert peaks.reaction.value == pytest.approx(4520 * 1.5 + 4900 * 2.5 / 3, rel=1e-9)
    sag = 5 * 4520 * 81 / (384 * 300e3) + 4900 * (8 * 27 - 4 * 3 + 1) / (384 * 300e3)
    assert peaks.deflection.value == pytest.approx(sag, rel=1e-9)
    # 8000 N m/m of resistance in the scenario: 1.018 of it.
    assert peaks.use.value == pytest.approx(moment / 8000, rel=1e-9)
    assert peaks.use.value > 1.0


def test_a_heap_that_varies_is_drawn_for_each_strip_and_day():
    # M is linear in the height factor f: (3900 + 120) x 9 / 8 + 3900 (f - 1) (3 / 4 - 1 / 8).
    heap = {"dist": "triangular", "low": 1.2, "mode": 1.5, "high": 2.5}
    scenario = one_span(heap_height_factor=heap, heap_length_m=1.0)
    for seed in (1, 2, 3):
        factor = Stream(seed, "heap", scenario.loads.heap_height_factor)(0)
        peaks = measured(scenario, seed=seed).deck
        expected = (WET + BARE) * 9 / 8 + WET * (factor - 1) * (3 / 4 - 1 / 8)
        assert peaks.sag_moment.value == pytest.approx(expected, rel=1e-9)


def test_us_practice_takes_the_worse_of_uniform_and_line_load():
    # Single span of 3 m: 957.6 Pa give 957.6 x 9 / 8 = 1077 N m/m, 2189 N/m at the middle give
    # 2189 x 3 / 4 = 1642 N m/m: the line load counts.
    peaks = measured(one_span(preset="us_practice")).deck
    line = 150 * 4.4482216152605 / 0.3048
    assert peaks.sag_moment.value == pytest.approx((WET + BARE) * 9 / 8 + line * 3 / 4, rel=1e-9)


def test_alike_lines_find_the_same_peaks_as_each_line_alone():
    # Two lanes and two runs: four lines in groups; each line's use must be that of its own states.
    scenario = pour(
        floor={
            "spans_m": [3.6] * 4,
            "sheet_runs": [2, 2],
            "length_y_m": 12.0,
            "primary_beams_y_m": [5.0],
            "cut_at_primary_beams": True,
        },
        loads={
            "preset": "en_1991_1_6",
            "heap_height_factor": {"dist": "uniform", "low": 1.2, "high": 2.4},
        },
    )
    basis = basis_of(scenario)
    factors = heap_factors(basis, 4)
    uses = use_of_lines(basis, group_peaks(basis, 4))
    for line, use in zip(basis.layout.lines, uses, strict=True):
        factored, effects = bounds_of(line, factors)[1], line.felt.effects
        where = effects.factored
        moment = factored.most[:, where.moment].max(axis=1) / 8000
        reaction = factored.most[:, where.reaction]
        hog = -factored.least[:, where.support_moment][:, 1] / 7000
        # EN 1993-1-3 6.1.11: M / Mc + F / Rw <= 1.25, with neither over 1.
        both = factored.most[:, where.pressed].max(axis=1) / 1.25
        assert len(effects.supports) == 3
        inner = np.maximum.reduce([hog, reaction[:, 1] / 40000, both])
        ends = reaction[:, [0, -1]].max(axis=1) / 40000
        assert use == pytest.approx(np.maximum.reduce([moment, inner, ends]), rel=1e-6)


def test_use_over_time_rises_to_the_peak_and_ends_with_the_floor_full():
    scenario = pour(floor=TWO_SPANS, loads={"preset": "en_1991_1_6", "heap_height_factor": 1.5})
    outcome = measured(scenario)
    basis = outcome.basis
    by_group = group_peaks(basis, 1)
    line = use_over_time(basis, by_group, outcome.strip_start, outcome.strip_end)
    assert np.all(np.diff(line.times) >= 0)
    assert line.times[0] == outcome.strip_start[0]
    assert line.steps.max() == pytest.approx(outcome.deck.use.value, rel=1e-12)


def test_ponding_of_the_outcome_is_that_of_the_layout():
    scenario = pour(floor=TWO_SPANS, slab={"strike": "datum"})
    outcome = measured(scenario)
    assert outcome.deck.ponding == laid_out(scenario).ponding > 0.1


# ------------------------------------------------------------------------------- evaporation


def test_evaporation_peak_by_hand():
    # Uno 1998: 5 ([20 + 18]^2.5 - 0.6 [20 + 18]^2.5)(10 + 4) 1e-6; 38^2.5 = 8901.4.
    outcome = measured(pour())
    assert outcome.evaporation_peak == pytest.approx(0.24924, abs=5e-6)


def test_warm_concrete_loses_most_when_it_is_youngest():
    # 30 °C as delivered into 20 °C, time constant as of the slab. Age counts from the start of
    # loading: the second load of 3 m³ is the youngest, 29 min old when it is placed (loading 3 min
    # at 60 m³/h, travel 20, gate 1, position 3, test 2).
    outcome = measured(pour(mix={"delivered_C": 30}))
    warm = 20 + 10 * math.exp(-29 * 60 / outcome.basis.relax.tau[0])
    assert outcome.basis.relax.tau[0] / 3600 == pytest.approx(4.21, abs=0.01)
    expected = 5e-6 * ((warm + 18) ** 2.5 - 0.6 * 38**2.5) * 14
    assert outcome.evaporation_peak == pytest.approx(expected, rel=1e-9)
    # The first load, 6 m³, is 32 min old when it is placed: loading it takes 6 min.
    first, second = outcome.log.visits
    assert first.discharge_start - first.batched == pytest.approx(32 * 60)
    assert outcome.evaporation_time == pytest.approx(second.discharge_start, abs=1e-6)


def test_a_day_on_which_nothing_was_placed_can_be_measured():
    scenario = pour(supply={"age_limit_min": 25})
    log = played(scenario)
    outcome = measured(scenario, log)
    assert outcome.log.placed == 0.0
    assert outcome.evaporation_peak == 0.0
    assert outcome.cost.concrete == 0.0
    assert not outcome.edges.cold
