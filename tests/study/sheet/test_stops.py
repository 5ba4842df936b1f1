"""Times over days worked by hand: about, by, how long something lasts, how long to decide."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from builders.shipped import day_of, first_basis, shipped

from pourday.outcome.deck.peaks import bounds_of, heap_factors, peaks_with
from pourday.outcome.deck.sag_gauges import HARDLY_EVER, sag_gauges
from pourday.study.sheet.made import lasts, when
from pourday.study.sheet.row import days_of, sheet_row, width
from pourday.study.sheet.says import letter_of
from pourday.study.sheet.stops import stop_parts

MINUTE = 60.0


def test_about_is_the_middle_day_and_by_the_ninth_of_ten():
    found = when(np.arange(0.0, 11.0))
    assert (found.about, found.by) == (5.0, 9.0)
    assert math.isnan(when(np.array([np.nan])).about)
    assert when(np.array([np.nan, 3.0])).about == 3.0


def test_what_lasts_is_given_down_to_five_minutes_and_never_more_than_nine_days_in_ten():
    minutes = np.arange(100.0, 111.0) * MINUTE
    assert lasts(minutes) == 100 * MINUTE  # the second shortest day is 101 min
    assert np.sum(minutes >= lasts(minutes)) >= 0.9 * len(minutes)
    assert math.isnan(lasts(np.full(4, np.inf)))


def test_a_row_taken_apart_is_the_day_again():
    outcome = day_of(shipped("clinic_level_1"))
    row = np.array([sheet_row(outcome)])
    assert row.shape == (1, width(outcome.basis))
    days = days_of(outcome.basis, row)
    assert days.begin[0] == pytest.approx(outcome.strip_start)
    assert days.end[0] == pytest.approx(outcome.strip_end)
    arrived = [visit.arrived for visit in sorted(outcome.log.visits, key=lambda v: v.batched)]
    assert days.due[0, 0, : len(arrived)] == pytest.approx(arrived)
    assert np.isnan(days.due[0, 0, len(arrived) :]).all()
    assert days.leave[0] == max(hours.finishers_until for hours in outcome.hours)


def test_time_to_decide_is_what_edges_last_less_the_way_to_the_stop_end():
    outcome = day_of(shipped("clinic_level_1"))
    basis = outcome.basis
    row = days_of(basis, np.array([sheet_row(outcome)]))
    strips = len(basis.layout.strips)
    by_hand = dataclasses.replace(
        row,
        left=np.full((1, strips), 180 * MINUTE),
        begin=np.zeros((1, strips)),
        end=np.full((1, strips), 20 * MINUTE),
        pace=np.full((1, 1), 0.1 / MINUTE),  # 6 m³ an hour
    )
    for part in stop_parts(basis, by_hand):
        for each in part.rows:
            volume = float(basis.layout.volume[each.number - 1])
            for way in each.ways:
                rest = way.needed - min(volume, way.needed)
                path = max(way.needed / 0.1, 20.0 + rest / 0.1)
                assert way.decide == max(0.0, (180.0 - path) // 5.0 * 5.0 * MINUTE)


def test_letters_go_on_after_the_last():
    assert [letter_of(n) for n in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]


@pytest.mark.parametrize("name", ["clinic_level_1", "market_hall"])
def test_a_gauge_reads_no_more_than_the_deck_goes_down_in_all(name):
    basis = first_basis(shipped(name))
    gauges = sag_gauges(basis)
    assert [gauge.bay for gauge in gauges] == list(
        dict.fromkeys(s.bay for s in basis.layout.strips)
    )
    high = basis.scenario.loads.heap_height_factor.value_at(HARDLY_EVER)
    heaps = np.full(len(basis.layout.strips), high)
    most = max(float(peaks.deflection.value) for peaks in peaks_with(basis, heaps))
    deck = basis.scenario.deck.self_weight + 9.81 * basis.scenario.slab.mesh
    wet = basis.scenario.slab.depth * basis.scenario.slab.wet_density
    largest = max(gauge.sag for gauge in gauges)
    # What the bare deck went down before is not read: about its share of all weights.
    assert most * (1.0 - 3.0 * deck / wet) < largest < most
    for gauge in gauges:
        inside = [
            hole
            for hole in basis.scenario.floor.openings
            if hole.x[0] <= gauge.x <= hole.x[1] and hole.y[0] < gauge.y < hole.y[1]
        ]
        assert not inside


@pytest.mark.parametrize("name", ["clinic_level_1", "market_hall"])
def test_ordinary_days_stay_below_the_reading_that_means_stop(name):
    # Each strip passes it on 1 day in 100 at most; of 100 days a bay of four strips on 4 or so.
    basis = first_basis(shipped(name))
    gauges = {gauge.bay: gauge for gauge in sag_gauges(basis)}
    passed = 0
    for seed in range(100):
        factors = heap_factors(basis, seed)
        for line in basis.layout.lines:
            gauge = gauges[line.bay.name]
            at = int(np.argmin(np.abs(line.deck.unit.stations - gauge.x)))
            sag = bounds_of(line, factors)[0].most[:, line.felt.effects.plain.deflection]
            bare = next((k for k, s in enumerate(line.states) if s.stage == "bare"), 0)
            passed += float((sag - sag[bare])[:, at].max()) > gauge.sag + 1e-9
    assert passed <= 0.05 * 100 * len(basis.layout.lines)
