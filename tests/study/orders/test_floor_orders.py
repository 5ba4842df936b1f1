"""Order by way of striking on the whole floor: the rows, and which of the two did what."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from builders.beam_floors import floor
from builders.places import SCENARIOS
from builders.pours import pour
from rich.console import Console

from pourday.floor.layout import lay_out, restruck
from pourday.outcome.base.basis import basis
from pourday.outcome.deck.level import AT_COLUMNS
from pourday.outcome.deck.peaks import deck_outcome, mean_peaks, peaks_without_heaps
from pourday.report.text.floor_orders import floor_orders_report
from pourday.scenario.base.distribution import Distribution, fixed, parse
from pourday.scenario.read import read_scenario
from pourday.study.orders.deck_study import plan_decks
from pourday.study.orders.floor_orders import floor_orders, mean_of
from pourday.study.prepare import prepare

SLAB = {"depth_mm": 140, "strike": "datum", "wet_density_kN_m3": 26}
HEAP = {"heap_height_factor": 1.6, "crew_kN_m2": 0.3}
SPANS = {"spans_m": [3.6] * 3, "sheet_runs": [3], "length_y_m": 8.0}


@pytest.fixture(scope="module")
def library():
    # At 26 kN/m³, EN 1991-1-1 Table A.1 with the steel in it, as issue 13 counted its numbers.
    scenario, _ = read_scenario(SCENARIOS / "library_level_2.toml")
    scenario = replace(scenario, slab=replace(scenario.slab, wet_density=26e3, mesh=0.0))
    plans = prepare(scenario)
    return scenario, plans, floor_orders(plans)


def said(scenario, found, width=400):
    console = Console(width=width, record=True, file=StringIO())
    floor_orders_report(console, scenario, found)
    return console.export_text()


def test_every_order_by_every_way_of_striking(library):
    _, _, found = library
    assert [(row.order, row.strike) for row in found.rows] == [
        (order, how)
        for order in ("thirds", "across", "spread")
        for how in ("datum", "pins", "guides", "thickness")
    ]
    # No beams in the file: pins do not sink.
    assert all(row.same_as == "datum" for row in found.rows if row.strike == "pins")


def test_a_row_is_what_the_plan_of_that_order_gives_struck_so(library):
    scenario, _, found = library
    plan = replace(scenario.plan("spread, 11 people"), strike="thickness")
    mine = basis(scenario, plan, lay_out(scenario, plan))
    row = found.row("spread", "thickness")
    never = np.full(len(mine.layout.strips), np.nan)
    heaped = deck_outcome(mine, mean_peaks(mine), never, never)
    bare = deck_outcome(mine, peaks_without_heaps(mine), never, never)
    assert (row.heap.use, row.heap.sag) == (heaped.use.value, heaped.deflection.value)
    assert (row.bare.use, row.bare.sag) == (bare.use.value, bare.deflection.value)
    assert row.level.extra == pytest.approx(mine.layout.ponding, abs=1e-9)


def test_the_library_says_that_guides_save_concrete_and_the_order_does_not(library):
    # Issue 13: thirds to datum 12.2 m³, spread to datum 12.3, thirds on guides 7.6 with the top
    # lower: guides save 4.6 because the top follows the sag, the order saves 0.1.
    scenario, _, found = library
    extra = {(row.order, row.strike): round(row.level.extra, 1) for row in found.rows if row.level}
    assert extra["thirds", "datum"] == 12.2
    assert extra["spread", "datum"] == 12.3
    assert extra["thirds", "guides"] == 7.6
    text = said(scenario, found)
    assert "thirds takes 0.1 m³ (9 EUR) less than spread (12.2 and 12.3 m³)" in text
    assert "too little to choose by" in text
    assert (
        "thirds on guides instead of to the datum: takes 4.6 m³ (633 EUR) less because the top"
        in text
    )
    assert "2.2 mm lower in the mean" in text


def test_spread_on_guides_sinks_and_is_refused(library):
    scenario, _, found = library
    row = next(r for r in found.rows if (r.order, r.strike) == ("spread", "guides"))
    assert row.level.over_supports == pytest.approx(0.0194, abs=1e-4)
    assert AT_COLUMNS == 0.015
    assert found.row("spread", "guides") is None
    text = said(scenario, found)
    assert "* spread on guides: struck 19 mm off the datum over supports" in text
    assert not any("Striking alone, spread" in line for line in text.splitlines())


def test_without_a_heap_the_choice_by_share_turns(library):
    scenario, _, found = library
    thirds, spread = (found.row(order, "datum") for order in ("thirds", "spread"))
    assert thirds.bare.use < spread.bare.use
    assert thirds.heap.use > spread.heap.use
    # The preset has a heaping of its own, so that no height of the heap alone says where.
    assert found.heaping
    assert "it turns in between" in said(scenario, found)


def test_without_a_preset_the_text_names_the_heap_at_which_the_choice_turns(library):
    scenario, _, _ = library
    scenario = replace(scenario, loads=replace(scenario.loads, preset="none"))
    found = floor_orders(prepare(scenario))
    assert not found.heaping
    thirds, spread = (found.row(order, "datum") for order in ("thirds", "spread"))
    text = said(scenario, found)
    assert thirds.bare.use < spread.bare.use
    assert thirds.heap.use > spread.heap.use
    factor = float(text.split("it turns at a heap of about ")[1].split(" x")[0])
    # At that heap both use the deck alike.
    at = replace(scenario.loads, heap_height_factor=fixed(factor))
    uses = []
    for plan in scenario.plans[:2]:
        mine = basis(replace(scenario, loads=at), plan, lay_out(replace(scenario, loads=at), plan))
        uses.append(max(float(p.use.max()) for p in mean_peaks(mine)))
    assert uses[0] == pytest.approx(uses[1], abs=2e-3)


def test_pins_have_rows_of_their_own_on_beams():
    scenario = floor(slab=SLAB, loads=HEAP)
    found = floor_orders(prepare(scenario))
    datum, pins = (found.row("thirds", how) for how in ("datum", "pins"))
    assert pins.same_as == ""
    assert pins.level.extra < datum.level.extra
    assert pins.level.low > datum.level.low
    assert "thirds on pins instead of to the datum" in said(scenario, found)


def test_a_floor_that_cannot_be_levelled_one_way_still_has_its_other_rows():
    deck = {"bending_stiffness_kNm2_per_m": 30}
    scenario = pour(floor=SPANS, deck=deck, slab=SLAB | {"strike": "thickness"}, loads=HEAP)
    found = floor_orders(prepare(scenario))
    datum = next(r for r in found.rows if (r.order, r.strike) == ("thirds", "datum"))
    assert datum.level is None
    assert datum.refused.startswith("cannot be struck so")
    assert found.row("thirds", "thickness") is not None
    assert "* thirds to the datum: cannot be struck so" in said(scenario, found)


@pytest.mark.parametrize("how", ["datum", "pins", "guides", "thickness"])
def test_struck_anew_is_laid_out_so_from_the_start(how):
    scenario = floor(slab=SLAB, loads=HEAP)
    plan = replace(scenario.plans[0], strike=how)
    anew = restruck(scenario, plan, lay_out(scenario, scenario.plans[0]))
    whole = lay_out(scenario, plan)
    assert anew.volume == pytest.approx(whole.volume, rel=1e-12)
    assert anew.parts == whole.parts
    for mine, other in zip(anew.lines, whole.lines, strict=True):
        assert mine.base.moment == pytest.approx(other.base.moment, rel=1e-9, abs=1e-6)


def test_a_mean_day_has_every_quantity_at_its_mean():
    spread = parse({"dist": "triangular", "low": 1.2, "mode": 1.5, "high": 2.4})
    scenario = pour(
        loads={"heap_height_factor": {"dist": "triangular", "low": 1.2, "mode": 1.5, "high": 2.4}}
    )
    assert isinstance(scenario.loads.heap_height_factor, Distribution)
    assert mean_of(scenario).loads.heap_height_factor == fixed(spread.mean)
    assert mean_of(scenario).deck is scenario.deck


def test_plans_that_differ_only_in_how_they_strike_are_different_decks():
    scenario = pour(floor=SPANS, slab=SLAB)
    plan = scenario.plans[0]
    both = (plan, replace(plan, name="even", strike="thickness"))
    found = plan_decks(prepare(replace(scenario, plans=both)))
    assert [each.alike for each in found] == [("plain",), ("even",)]
    alike = (plan, replace(plan, name="lag", strike_lag=5.0))
    assert len(plan_decks(prepare(replace(scenario, plans=alike)))) == 1


def test_the_page_fits_eighty_columns(library):
    scenario, _, found = library
    lines = said(scenario, found, width=80).splitlines()
    row = next(line for line in lines if line.startswith("thirds  guides"))
    assert row.split()[2:] == ["88/82", "30.6/24.6", "0.3/0.0", "+7.6", "-10", "+5", "1.6", "h"]
