"""Pictures of many days: what they count, what is written on them, that nothing overlaps."""

from __future__ import annotations

import numpy as np
import pytest
from builders.drawn import is_half_a_page, least_type, named, together, words
from builders.pours import pour
from matplotlib.lines import Line2D

from pourday.outcome.base.basis import basis as basis_of
from pourday.report.figures.deck.edges_by_risk import edges_figure, look_of
from pourday.report.figures.many.days import concrete_figure, waits_figure
from pourday.report.figures.many.price import price_figure
from pourday.report.figures.many.save import save_many_days
from pourday.study.days import one_day
from pourday.study.engine.here import Here
from pourday.study.engine.run import run
from pourday.study.pictures import DAYS, delivered_by, picture_study, pictured, placed_by
from pourday.study.prepare import prepare
from pourday.study.price import priced_days

DAYS_PLAYED = 3


@pytest.fixture(scope="module")
def plan():
    scenario = pour(prices={"concrete_per_m3": 130})
    return prepare(scenario, scenario.plans)[0]


@pytest.fixture(scope="module")
def found(plan):
    study = picture_study(plan, DAYS_PLAYED)
    run(Here(), study.work, study.ledger)
    return pictured(study)


def test_concrete_over_the_clock_is_that_of_the_log(plan):
    day = one_day(plan, 0)
    late = np.array([0.0, day.log.wash_out_end + 3600.0])
    assert placed_by(day.log, late) == pytest.approx([0.0, day.log.placed])
    assert delivered_by(day.log, late) == pytest.approx([0.0, day.ordered])
    first = day.log.visits[0]
    at = np.array([first.arrived - 1.0, first.arrived + 1.0])
    assert delivered_by(day.log, at) == pytest.approx([0.0, first.volume])


def test_curves_rise_and_what_is_placed_was_delivered(found):
    for curves in (found.placed, found.delivered):
        assert np.all(np.diff(curves, axis=1) >= -1e-9)
        assert np.all(np.diff(curves, axis=0) >= -1e-9)
    assert np.all(found.placed <= found.delivered + 1e-6)


def test_waits_and_edges_are_those_of_the_days_one_by_one(plan, found):
    days = [one_day(plan, seed) for seed in range(DAYS_PLAYED)]
    assert sorted(found.waits) == pytest.approx(sorted(w for day in days for w in day.waits))
    cold = np.mean([day.edges.ratio > 1.0 for day in days], axis=0)
    assert found.cold == pytest.approx(cold)
    stiff = np.mean([day.edges.pair_stiff for day in days], axis=0)
    assert found.stiff == pytest.approx(stiff)


def test_no_more_days_are_played_than_pictures_show(plan):
    assert picture_study(plan, 5000).ledger.days == DAYS
    assert basis_of(plan.scenario, plan.plan, plan.layout).strips == plan.strips


def test_figures_stay_on_the_sheet_and_nothing_lies_on_anything(plan, found):
    priced = priced_days(plan, DAYS_PLAYED, workers=1)
    figures = (
        concrete_figure(found),
        waits_figure(found),
        edges_figure(found),
        price_figure(plan, priced),
    )
    for figure in figures:
        assert together(figure) == []
        assert least_type(figure) >= 7.0


def test_every_edge_is_drawn_by_its_risk(found):
    figure = edges_figure(found)
    pairs = range(len(found.basis.layout.pairs))
    for look in ("cold", "stiff", "fresh"):
        drawn = named(figure, Line2D, f"edge {look}")
        assert len(drawn) == sum(look_of(found, n) == look for n in pairs)


def test_every_line_of_the_price_is_named_with_its_money(plan):
    priced = priced_days(plan, DAYS_PLAYED, workers=1)
    # A long label is broken into lines.
    written = words(price_figure(plan, priced)).replace("\n", " ")
    lines = [line for line in priced.lines if line.amount > 0.5]
    assert lines
    for line in lines:
        assert line.item.label in written
        assert f"{line.amount:,.0f}".replace(",", " ") in written


def test_files_are_half_a_page_wide(found, tmp_path):
    written = save_many_days(found, tmp_path)
    assert [path.name for path in written] == [
        "placed_delivered.png",
        "waits.png",
    ]
    assert all(map(is_half_a_page, written))
