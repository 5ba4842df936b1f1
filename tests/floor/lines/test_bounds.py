"""What a line feels at its worst, beside every place and pattern tried one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from builders.beam_floors import floor as on_beams
from builders.beam_floors import laid, with_rigidity
from builders.pours import laid_out, pour

from pourday.floor.lines.working import places_of

FLOOR = {"spans_m": [3.0, 3.6], "sheet_runs": [2], "length_y_m": 12.0}
CREW = {"preset": "own", "inside_kN_m2": 2.0, "outside_kN_m2": 0.75, "zone_m": 2.0}


def line_of(**changes):
    scenario = pour(floor=FLOOR, deck={"resistance_is": "design"}, **changes)
    return laid_out(scenario).lines[0]


def test_places_of_a_load_cover_its_strip_and_have_the_middle_in_them():
    assert places_of(1.0, 1.4, 1.0, inside=True) == [pytest.approx(1.2)]  # longer than the strip
    assert places_of(0.0, 3.0, 1.0, inside=True) == pytest.approx(np.linspace(0.5, 2.5, 9))
    assert places_of(0.0, 3.0, 3.0, inside=False) == pytest.approx(np.linspace(0.0, 3.0, 5))
    assert places_of(0.0, 3.0, 0.0, inside=False) == [1.5]


@pytest.mark.parametrize("stage", ["arrive", "front"])
def test_bounds_are_those_of_every_place_with_every_pattern(stage):
    # Every place of the zone, every pattern of people (1.5 or 0) and concrete (1.5 or 1) by span:
    # bounds by cell can only go further, and reach the same where the influence keeps its sign
    # within a span, as reactions do.
    line = line_of(loads={"basis": "EN", "heap_height_factor": 1.0} | CREW)
    unit, fine = line.deck.unit, line.deck.fine
    middles = fine.mean(axis=1)
    spans = [(a <= middles) & (middles <= b) for a, b in zip((0, 3.0), (3.0, 6.6), strict=True)]
    k = next(n for n, s in enumerate(line.states) if s.stage == stage and s.turn == 1)
    strip = laid_out(
        pour(floor=FLOOR, deck={"resistance_is": "design"}, loads={"basis": "EN"} | CREW)
    ).strips[line.strips[1]]
    plain = line_of(loads={"basis": "EN", "heap_height_factor": 1.0, "preset": "none"})
    k_plain = next(n for n, s in enumerate(plain.states) if s.stage == stage and s.turn == 1)
    concrete_x = plain.pressures[k_plain] - 120.0
    edges = np.searchsorted(plain.deck.fine[:, 1], middles)
    concrete = concrete_x[edges]
    most = np.full(3, -np.inf)
    least = np.full(3, np.inf)
    for place in places_of(*line.deck.reach(strip), 2.0, inside=False):
        zone = np.where(np.abs(middles - place) < 1.0, 1250.0, 0.0)
        for deck, wet, people in product(product((1.35, 1.0), repeat=2), *[
            list(product(pair, repeat=2)) for pair in ((1.5, 1.0), (1.5, 0.0))
        ]):  # fmt: skip
            load = sum(
                span * (d * 120.0 + w * concrete + p * (750.0 + zone))
                for span, d, w, p in zip(spans, deck, wet, people, strict=True)
            )
            reaction = unit.reaction[:, : len(fine)] @ load
            most, least = np.maximum(most, reaction), np.minimum(least, reaction)
    found = line.felt.factored.at(np.zeros(len(line.states)))
    where = line.felt.effects.factored
    assert found.most[k, where.reaction] == pytest.approx(most, rel=1e-9)
    assert found.least[k, where.reaction] == pytest.approx(least, rel=1e-9, abs=1e-6)


def test_the_heap_of_the_day_never_stands_on_the_heaping_of_a_preset():
    line = line_of(loads={"basis": "EN", "preset": "en_1991_1_6", "heap_height_factor": 1.0})
    felt, none = line.felt.factored, np.zeros(len(line.states))
    k = next(n for n, s in enumerate(line.states) if s.stage == "front")
    small, large = felt.at(none + 0.01), felt.at(none + 3.0)
    # A heap of next to nothing: the heaping counts. A great one: it alone, on the people.
    assert small.most[k] == pytest.approx(felt.stands.most[k], rel=1e-9, abs=1e-9)
    where = line.felt.effects.factored.reaction
    by_hand = felt.light.most[k, where] + 3.0 * felt.heap.most[k, where]
    assert large.most[k, where] == pytest.approx(by_hand, rel=1e-12)
    both = felt.stands.most[k, where] + 3.0 * felt.heap.most[k, where]
    assert (large.most[k, where] < both - 100).any()


def test_a_line_whose_zone_cannot_move_and_has_no_pattern_is_what_lies_on_it():
    # One span, every influence downward positive: the bounds are the response itself, factored.
    scenario = pour(loads={"preset": "none"}, deck={"resistance_is": "allowable"})
    line = laid_out(scenario).lines[0]
    found = line.felt.plain.at(np.zeros(len(line.states)))
    where = line.felt.effects.plain
    assert found.most[:, where.reaction] == pytest.approx(line.base.reaction, rel=1e-9)
    assert found.most[:, where.deflection] == pytest.approx(line.base.deflection, abs=1e-12)


EN_HEAP = {"preset": "en_1991_1_6", "basis": "EN", "heap_height_factor": 1.5}


def test_beams_as_stiff_as_walls_change_no_bound():
    scenario = on_beams(loads=EN_HEAP, deck={"resistance_is": "design"})
    walls = replace(scenario, beams=replace(scenario.beams, secondary=(), primary=()))
    wall = laid(walls).lines[0].felt.factored
    for line in laid(with_rigidity(scenario, 1e16)).lines:
        for name in ("stands", "light", "heap"):
            mine, its = getattr(line.felt.factored, name), getattr(wall, name)
            size = np.abs(its.most).max()
            assert mine.most == pytest.approx(its.most, abs=1e-5 * size)
            assert mine.least == pytest.approx(its.least, abs=1e-5 * size)


def test_what_the_floor_does_to_the_supports_counts_as_one_load_by_its_own_sign():
    # Reactions of the full floor by hand: cell by cell what lies on the line, then what settling
    # does, deck 1.35 or 1 and concrete 1.5 or 1, each as a whole.
    none = {"preset": "none", "basis": "EN", "heap_height_factor": 1.0}
    scenario = on_beams(loads=none, deck={"resistance_is": "design"})
    for line in laid(scenario).lines:
        settle = -line.supports_down @ line.deck.settled.stiffness
        dead, wet = settle[0], settle[-1] - settle[0]
        cells = line.deck.unit.reaction[:, : len(line.deck.fine)]
        on_deck, on_wet = cells * 120.0, cells * (line.pressures[-1][: len(line.deck.fine)] - 120)
        parts = [(on_deck, 1.35), (dead[:, None], 1.35), (on_wet, 1.5), (wet[:, None], 1.5)]
        most = sum(np.maximum(f * part, part).sum(axis=1) for part, f in parts)
        least = sum(np.minimum(f * part, part).sum(axis=1) for part, f in parts)
        found = line.felt.factored.at(np.zeros(len(line.states)))
        where = line.felt.effects.factored.reaction
        assert found.most[-1, where] == pytest.approx(most, rel=1e-9)
        assert found.least[-1, where] == pytest.approx(least, rel=1e-9)
        assert np.abs(wet).max() > 100.0  # the beams do move


def test_bounds_on_beams_hold_every_state_as_it_lies():
    own = {"preset": "own", "inside_kN_m2": 1.5, "outside_kN_m2": 0.75, "basis": "EN"}
    scenario = on_beams(loads=own | {"heap_height_factor": 1.5}, deck={"resistance_is": "design"})
    for line in laid(scenario).lines:
        plain = line.felt.plain.at(np.full(len(line.states), 0.5))
        where = line.felt.effects.plain
        real = line.base.reaction + 0.5 * line.heap.reaction
        slack = 1e-6 * np.abs(real).max()
        assert (plain.most[:, where.reaction] >= real - slack).all()
        assert (plain.least[:, where.reaction] <= real + slack).all()
        sag = line.base.deflection + 0.5 * line.heap.deflection
        assert (plain.most[:, where.deflection] >= sag - 1e-9).all()


def test_the_rule_for_ponding_counts_where_the_computed_fill_is_less():
    # One span of 4.5 m on a soft deck: sag 5 w L^4 / (384 EI), w = 0.12 x 26 + 0.12 kN/m², is
    # 22.6 mm, over a tenth of 120 mm; 0.7 of it, 15.8 mm, counts on every cell that is filled less.
    scenario = pour(
        floor={"spans_m": [4.5], "sheet_runs": [1]},
        slab={"depth_mm": 120, "strike": "datum"},
        deck={"bending_stiffness_kNm2_per_m": 765},
    )
    (line,) = laid_out(scenario).lines
    sag = 5 * (0.12 * 26e3 + 120) * 4.5**4 / (384 * 765e3)
    assert sag == pytest.approx(0.02262, abs=1e-5)
    extra = (line.pressures[-1] - 120.0) / 26e3 - 0.12
    struck = line.struck.extra[line.deck.owner]
    assert extra == pytest.approx(np.maximum(struck, 0.7 * sag), rel=1e-9)
    assert (struck < 0.7 * sag).any()
    assert (struck > 0.7 * sag).any()


def test_where_the_sag_is_less_than_a_tenth_the_computed_fill_counts():
    (line,) = laid_out(pour(slab={"strike": "datum"})).lines
    extra = (line.pressures[-1] - 120.0) / 26e3 - 0.15
    assert extra == pytest.approx(line.struck.extra[line.deck.owner], abs=1e-12)
