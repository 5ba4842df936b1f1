"""Supports of a plan: what they take, what lets go, overhangs, and softer or stiffer decks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from builders.beam_floors import floor

from pourday.floor.layout import lay_out
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.deck.checks import deck_checks
from pourday.outcome.deck.overhangs import overhang_checks
from pourday.outcome.deck.stiffness import at_stiffness
from pourday.outcome.deck.supports import END, PROP, support_checks

# Two spans of 3 m, side by side, poured strip by strip from low x.
TWO = {"spans_m": [3.0, 3.0], "sheet_runs": [2]}
SIDE_BY_SIDE = {"order": "spread", "strip_width_m": 3.0}


def made(plan: dict[str, Any] | None = None, beams: str = "", **changes: Any) -> Basis:
    changes["floor"] = TWO | changes.pop("floor", {})
    scenario = floor(beams, plan=SIDE_BY_SIDE | (plan or {}), **changes)
    return basis(scenario, scenario.plans[0], lay_out(scenario, scenario.plans[0]))


def test_the_far_end_pulls_when_the_first_span_alone_is_full_and_a_fixing_takes_it():
    # w L/16 up at the far end less 3/8 w0 L of the deck's own weight there.
    found = support_checks(made())
    by_hand = 0.15 * 26e3 * 3.0 / 16 - 0.375 * 120.0 * 3.0
    assert found.fixing.value == pytest.approx(by_hand, rel=1e-6)
    assert (found.fixing.x, found.fixing.share) == (6.0, None)
    assert found.let_go == ()
    assert found.free == found.held
    judged = support_checks(made(deck={"fixing_resistance_kN_per_m": 1.0}))
    assert judged.fixing.share == pytest.approx(by_hand / 1000.0)


def test_an_end_that_only_lies_there_lets_go_and_the_first_span_is_a_simple_beam_but_for_the_deck():
    found = support_checks(made(deck={"fixed_supports": "inner"}))
    (only,) = found.let_go
    assert (only.x, only.kind) == (6.0, END)
    # Let go, the second span hangs over as a cantilever of 120 Pa: it hogs the middle support by
    # w0 L²/2, and the first span sags by the rest.
    total, back = 0.15 * 26e3 + 120.0, 120.0 * 3.0**2 / 2
    reaction = total * 3.0 / 2 - back / 3.0
    assert found.free.sag_moment == pytest.approx(reaction**2 / (2 * total), rel=1e-3)
    assert found.free.sag_moment > found.held.sag_moment
    # Slope of the first span over the middle support, less what the second one bends down.
    slope = total * 3.0**3 / 24 - back * 3.0 / 3
    assert only.gap == pytest.approx((slope * 3.0 - 120.0 * 3.0**4 / 8) / 300e3, rel=1e-6)
    assert found.fixing.value == 0.0


def test_a_prop_line_lets_go_whatever_is_fixed_and_stiff_props_or_soft_ones():
    # A prop in the second span, while only the first is full.
    for give in ({}, {"stiffness_kN_m2": 2000}):
        found = support_checks(made(props={"lines_x_m": [4.5]} | give))
        (only,) = found.let_go
        assert (only.x, only.kind) == (4.5, PROP)
        assert found.fixing.x == 6.0
        assert found.free.deflection != found.held.deflection


def test_prop_load_is_judged_by_metre_of_line_or_by_prop_and_distance():
    line = {"lines_x_m": [1.5]}
    plain = support_checks(made(props=line)).prop
    assert plain is not None
    assert plain.share is None
    assert plain.value > 0
    by_metre = support_checks(made(props=line | {"capacity_kN_per_m": 10})).prop
    by_prop = support_checks(
        made(props=line | {"prop_capacity_kN": 12, "prop_spacing_m": 1.2})
    ).prop
    assert by_metre == by_prop
    assert by_metre.share == pytest.approx(plain.value / 10e3)
    assert support_checks(made()).prop is None


def test_the_end_of_a_sheet_is_judged_by_its_own_resistance():
    both = made()
    own = made(deck={"end_reaction_resistance_kN_per_m": 10})
    assert support_checks(own).end.share == pytest.approx(4 * support_checks(both).end.share)
    # And the share of resistance over the day knows it too.
    assert own.layout.lines[0].resistance.end_reaction == 10e3
    weak = made(deck={"end_reaction_resistance_kN_per_m": 0.6})
    assert support_checks(weak).held.use > 1.0 > support_checks(both).held.use


def test_an_overhang_is_a_cantilever_with_the_slab_on_it():
    (found,) = overhang_checks(made(floor={"high_x_overhang_m": 0.5}))
    load = 0.15 * 26e3 + 120.0
    assert found.moment == pytest.approx(load * 0.5**2 / 2)
    assert found.x == 6.0
    assert found.volume == pytest.approx(0.5 * 12.0 * 0.15)
    assert found.use > 0
    (with_people,) = overhang_checks(
        made(
            floor={"low_x_overhang_m": 0.5},
            loads={"preset": "own", "inside_kN_m2": 2.0, "outside_kN_m2": 0.5},
        )
    )
    assert with_people.moment == pytest.approx((load + 2000.0) * 0.5**2 / 2)
    assert overhang_checks(made()) == ()


def test_a_softer_deck_sags_more_and_a_stiffer_one_less():
    # Struck to thickness the load stays the same, so the sag goes as 1/EI.
    plain = made()
    softer, stiffer = at_stiffness(plain)
    sag = support_checks(plain).free.deflection
    assert softer.sag == pytest.approx(sag / 0.85)
    assert stiffer.sag == pytest.approx(sag / 1.15)
    assert softer.use == pytest.approx(stiffer.use)
    filled = made(slab={"strike": "datum"})
    softer, stiffer = at_stiffness(filled)
    assert softer.sag > support_checks(filled).free.deflection / 0.85
    assert softer.use > stiffer.use


def test_a_deck_that_is_just_stiff_enough_to_level_is_not_if_15_per_cent_softer():
    scenario = {"slab": {"strike": "datum"}}
    for ei in range(10, 40):
        try:
            just = made(deck={"bending_stiffness_kNm2_per_m": ei}, **scenario)
        except ValueError:
            continue
        softer, _ = at_stiffness(just)
        assert softer.sag is None
        assert softer.use is None
        return
    pytest.fail("no stiffness found")


def limited(**limits: Any) -> Any:
    """One span of 4.5 m and 0.15 m of slab: 22.9 mm of sag without the fill, more with it."""
    spans = {"spans_m": [4.5], "sheet_runs": [1]}
    deck = {"bending_stiffness_kNm2_per_m": 940}
    return deck_checks(made(floor=spans, deck=deck, slab={"strike": "datum"}, limits=limits))


def test_the_rule_and_its_own_values_set_the_limit_of_sag():
    plain = limited()
    assert plain.ponding_counts
    assert plain.sag > plain.nominal_sag > 0.020
    assert plain.sag_limit == pytest.approx(4.5 / 180)
    assert plain.sag_rule == "EN 1994-1-1 9.6(2): span/180"
    uk = limited(sag_rule="UK")
    assert uk.sag_limit == pytest.approx(0.030)
    assert uk.sag_rule.endswith("span/130 and 30 mm with ponding")
    us = limited(sag_rule="SDI")
    assert us.sag_limit == pytest.approx(0.01905)
    own = limited(sag_rule="UK", ponded_sag_most_mm=26)
    assert own.sag_limit == pytest.approx(0.026)
    assert limited(sag_span_over=250).sag_limit == pytest.approx(0.018)
    assert limited(sag_most_mm=12).sag_limit == pytest.approx(0.012)


def test_where_ponding_need_not_be_counted_the_plain_limit_of_the_uk_holds():
    found = deck_checks(made(limits={"sag_rule": "UK"}))
    assert not found.ponding_counts
    assert found.sag_limit == pytest.approx(3.0 / 180)
    assert found.sag_rule.endswith("span/180 and 20 mm")


def test_on_beams_a_prop_lets_go_too():
    beams = "\n[beams]\nsecondary = { I_cm4 = 30000 }\n"
    held = made(beams=beams, props={"lines_x_m": [4.5], "stiffness_kN_m2": 2000})
    assert [place.kind for place in support_checks(held).let_go] == [PROP]
    replaced = replace(held, scenario=replace(held.scenario))
    assert support_checks(replaced) == support_checks(held)


def test_the_fixing_force_is_judged_factored_cell_by_cell():
    # Concrete 1.5; the deck's own weight 1.35 in the first span, where it lifts, 1.0 in the second.
    found = support_checks(
        made(
            loads={"basis": "EN"}, deck={"resistance_is": "design", "fixing_resistance_kN_per_m": 2}
        )
    )
    concrete, own = 0.15 * 26e3 * 3.0, 120.0 * 3.0
    factored = (1.5 * concrete + 1.35 * own) / 16 - 7 / 16 * own
    assert found.fixing.factored == pytest.approx(factored, rel=1e-6)
    assert found.fixing.value == pytest.approx(concrete / 16 - 0.375 * own, rel=1e-6)
    assert found.fixing.share == pytest.approx(factored / 2000.0)
