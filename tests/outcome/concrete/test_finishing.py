"""Finishing windows and jobs worked by hand; times are minutes after 08:00, air and concrete 20 °C.

Two strips of 3 m by 10 m as in the edge tests. The plain mix sets at 300 and 420 min from
batching; two finishers float 180 m²/h each and work edges at 60 m/h each. A strip has 16 m of
edge (one long side, two ends): a pass takes 30 / 360 h + 16 / 120 h = 13 min.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from builders.made_days import (
    ACROSS,
    CHANGING,
    HOLE,
    MINUTE,
    TWO,
    WHOLE,
    day,
    measured_day,
    minutes,
    pour_with,
)
from builders.pours import basis_of, exponential, laid_out, measured, played, pour
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.concrete.age import clock_time_at_equivalent_age
from pourday.concrete.cooling import slab_relaxation
from pourday.outcome.base.fronts import fronts
from pourday.outcome.base.top import floor_top, work_between
from pourday.outcome.concrete.finishing import _cuts, finishing

PIECES = (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100)


def finished(*pieces, **changes):
    scenario = pour_with(floor=TWO, plan=WHOLE, **changes)
    return finishing(basis_of(scenario), fronts(basis_of(scenario), day(scenario, *pieces)))


def test_each_strip_is_floated_twice_in_its_window():
    work = finished(*PIECES)
    assert list(work.strip) == [0, 0, 1, 1]
    assert list(work.pass_no) == [1, 2, 1, 2]
    assert minutes(work.opens) == pytest.approx([280, 280, 400, 400], abs=0.01)
    assert minutes(work.closes) == pytest.approx([400, 400, 520, 520], abs=0.01)
    assert minutes(work.start) == pytest.approx([280, 340, 400, 460], abs=0.01)
    assert minutes(work.work_end) == pytest.approx([293, 353, 413, 473], abs=0.01)
    assert minutes(work.end) == pytest.approx(473, abs=0.01)
    assert minutes(work.covered) == pytest.approx([353, 473], abs=0.01)
    assert work.missed_area == 0.0
    # One at the bull float, 7.2 min for 30 m² at 250 m²/h, keeps up with the screed.
    assert minutes(work.bull_floated) == pytest.approx([100, 220], abs=0.01)


def test_one_bull_float_that_cannot_keep_up_takes_strip_after_strip():
    # 30 m² at 12 m²/h: 150 min each, the first from 0, the second when the first is through.
    work = finished(*PIECES, finishing={"bull_float_m2_h": 12})
    assert minutes(work.bull_floated) == pytest.approx([150, 300], abs=0.01)
    # Without passes both finishers do it: 75 min, the second strip from its begin at 120.
    work = finished(*PIECES, finishing={"bull_float_m2_h": 12, "passes": 0})
    assert minutes(work.bull_floated) == pytest.approx([100, 220], abs=0.01)
    work = finished(*PIECES, finishing={"bull_float_m2_h": 6, "passes": 0})
    assert minutes(work.bull_floated) == pytest.approx([150, 300], abs=0.01)


def test_the_share_of_a_job_done_after_closing_is_late():
    # One finisher, 12 m²/h and 960 m/h, one pass: 150 + 1 = 151 min a strip. The first from 280
    # to 431, closes at 400: 31/151 late; the second from 431 to 582, closes at 520: 62/151.
    crew = {"crew": {"finishers": 1}}
    rates = {"passes": 1, "power_float_m2_h": 12, "edge_m_h": 960}
    work = finished(*PIECES, crews=crew, finishing=rates)
    assert minutes(work.work_end) == pytest.approx([431, 582], abs=0.01)
    assert work.late_area == pytest.approx([30 * 31 / 151, 30 * 62 / 151], abs=0.01)
    assert work.missed_area == pytest.approx(30 * 93 / 151, abs=0.01)


def test_area_late_in_two_passes_is_missed_once():
    rates = {"passes": 2, "power_float_m2_h": 12, "edge_m_h": 960}
    work = finished(*PIECES, crews={"crew": {"finishers": 1}}, finishing=rates)
    assert work.late_area.sum() > 60.0
    assert work.missed_area <= 60.0


def test_a_strip_whose_window_is_closed_before_it_opens_is_finished_in_parts():
    # Halves batched at -20 and 110: the second reaches initial set at 410, the first final set at
    # 400. Each half has its own window, 280 to 400 and 410 to 530.
    work = finished((0, 0, 50, 0, 0.5, -20), (0, 130, 180, 0.5, 1, 110), finishing={"passes": 1})
    assert list(work.low) == pytest.approx([0.0, 5.0])
    assert list(work.high) == pytest.approx([5.0, 10.0])
    assert minutes(work.opens) == pytest.approx([280, 410], abs=0.01)
    assert minutes(work.closes) == pytest.approx([400, 530], abs=0.01)
    assert work.area == pytest.approx([15.0, 15.0])
    # The long side in halves, an end each; ends are spread along the strip: 8 m each.
    assert work.edge == pytest.approx([8.0, 8.0])


def test_parts_of_a_strip_placed_downward_are_taken_from_the_top():
    work = finished(
        (0, 0, 100, 0, 1, -20),
        (1, 120, 160, 0, 0.4, 100),
        (1, 300, 360, 0.4, 1, 290),
        finishing={"passes": 1},
    )
    assert list(work.strip) == [0, 1, 1]
    assert list(work.low[1:]) == pytest.approx([6.0, 0.0])
    assert list(work.high[1:]) == pytest.approx([10.0, 6.0])
    assert minutes(work.opens[1:]) == pytest.approx([400, 590], abs=0.01)


@pytest.mark.parametrize(("second", "parts"), [(39, 1), (41, 2)])
def test_a_strip_stays_whole_while_half_the_window_is_left(second, parts):
    work = finished((0, 0, 50, 0, 0.5, -20), (0, 50, 100, 0.5, 1, second), finishing={"passes": 1})
    assert len(work.strip) == parts


def test_a_retarder_moves_the_window():
    work = finished(*PIECES, mix={"retarder_min": 60})
    assert minutes(work.opens[:1]) == pytest.approx([340], abs=0.01)
    assert minutes(work.closes[:1]) == pytest.approx([460], abs=0.01)


def test_hours_beyond_the_shift_and_the_curfew_are_reported():
    # 473 min after 08:00 is 15:53.
    work = finished(*PIECES, finishing={"shift_end": "15:30"}, site={"curfew": "15:50"})
    assert work.overtime / MINUTE == pytest.approx(23, abs=0.01)
    assert work.past_curfew
    work = finished(*PIECES, finishing={"shift_end": "16:00"}, site={"curfew": "16:00"})
    assert work.overtime == 0.0
    assert not work.past_curfew


@pytest.mark.parametrize(
    "changes", [{"crews": {"crew": {"finishers": 0}}}, {"finishing": {"passes": 0}}]
)
def test_where_nobody_finishes_strips_are_covered_at_final_set(changes):
    work = finished(*PIECES, **changes)
    assert work.jobs == ()
    assert np.isnan(work.end)
    assert minutes(work.covered) == pytest.approx([400, 520], abs=0.01)
    assert work.missed_area == 0.0


def test_strips_without_concrete_have_no_job_and_no_cover():
    work = finished((0, 0, 100, 0, 1, -20))
    assert set(work.strip) == {0}
    assert np.isnan(work.covered[1])
    assert np.isnan(work.bull_floated[1])


def test_jobs_are_the_columns_one_by_one():
    work = finished(*PIECES)
    assert [job.pass_no for job in work.jobs] == [1, 2, 1, 2]
    assert [job.end for job in work.jobs] == list(work.work_end)
    assert sum(job.area for job in work.jobs) == pytest.approx(2 * 60.0)


def test_fewer_machines_than_finishers_float_longer_and_edges_stay_with_everybody():
    # 30 m² by one machine 10 min, 16 m of edge by two people 8 min: 18 instead of 13.
    work = finished(*PIECES, finishing={"machines": 1})
    assert minutes(work.work_end) == pytest.approx([298, 358, 418, 478], abs=0.01)
    more = finished(*PIECES, finishing={"machines": 5})
    assert minutes(more.work_end) == pytest.approx([293, 353, 413, 473], abs=0.01)


def test_without_passes_the_curfew_and_the_shift_are_for_whoever_bull_floats():
    # Through at 220 min after 08:00, 11:40.
    for curfew, late in (("11:39", True), ("11:41", False)):
        hours = {"shift_end": "11:30", "passes": 0}
        work = finished(*PIECES, finishing=hours, site={"curfew": curfew})
        assert work.past_curfew is late
        assert work.overtime / MINUTE == pytest.approx(10, abs=0.01)
        assert minutes(work.leave) == pytest.approx(220, abs=0.01)


def test_nobody_who_finishes_is_never_past_the_curfew():
    work = finished(*PIECES, crews={"crew": {"finishers": 0}}, site={"curfew": "08:01"})
    assert np.isnan(work.leave)
    assert not work.past_curfew


def test_one_finisher_comes_with_the_first_strip_and_the_others_before_the_first_pass():
    for before, come in ((60, 220), (0, 280), (600, 0)):
        scenario = pour_with(floor=TWO, plan=WHOLE, finishing={"before_first_pass_min": before})
        (mine,) = measured_day(scenario, *PIECES).hours
        assert minutes(mine.bull_float_from) == pytest.approx(0, abs=0.01)
        assert minutes(mine.finishers_from) == pytest.approx(come, abs=0.01)
        assert minutes(mine.finishers_until) == pytest.approx(473, abs=0.01)


def test_finishers_leave_at_the_end_of_their_last_pass_or_with_the_bull_float():
    scenario = pour(floor=TWO, plan=WHOLE)
    outcome = measured_day(scenario, *PIECES)
    assert minutes(outcome.hours[0].finishers_until) == pytest.approx(473, abs=0.01)
    idle = pour_with(floor=TWO, plan=WHOLE, finishing={"passes": 0})
    outcome = measured_day(idle, *PIECES)
    (mine,) = outcome.hours
    assert minutes(mine.finishers_from) == pytest.approx(0, abs=0.01)
    assert minutes(mine.finishers_until) == pytest.approx(220, abs=0.01)


# ---------------------------------------------------------------------------- laws

FLOORS = {
    "two": TWO,
    "hole": HOLE,
    "across": ACROSS,
    "many": {
        "spans_m": [3.0, 3.2, 3.0, 3.0],
        "sheet_runs": [2, 2],
        "length_y_m": 24.0,
        "primary_beams_y_m": [0.0, 12.0, 24.0],
        "cut_at_primary_beams": True,
        "openings": [{"x_m": [5.0, 7.0], "y_m": [8.0, 13.0]}],
    },
}
VARIED = {"plants": [{"name": "Mill Road", "trucks": 4, "batch_m3_h": 60,
                      "travel_min": exponential(20), "back_min": 20}]}  # fmt: skip


@pytest.mark.parametrize("name", FLOORS)
@pytest.mark.parametrize("seed", range(3))
def test_every_square_metre_is_floated_as_often_as_there_are_passes(name, seed):
    scenario = pour_with(floor=FLOORS[name], finishing={"passes": 3}, **VARIED)
    outcome = measured(scenario, seed=seed)
    placed = sum(strip.area for strip in outcome.basis.layout.strips)
    work = outcome.finishing
    assert work.area.sum() == pytest.approx(3 * placed, rel=1e-6)
    assert work.edge.sum() == pytest.approx(3 * outcome.basis.top.edge_of_all, rel=1e-6)
    assert np.all(work.start >= work.ready - 1e-6)
    assert np.all(work.start[1:] >= work.work_end[:-1] - 1e-6)
    assert np.all((work.late_area >= 0) & (work.late_area <= work.area))
    assert np.all(work.start >= outcome.strip_start[work.strip])


@settings(max_examples=25)
@given(
    finishers=st.integers(1, 6),
    rate=st.floats(5, 200),
    edge=st.floats(5, 100),
    passes=st.integers(1, 4),
    seed=st.integers(0, 5),
)
def test_one_more_finisher_never_misses_more_area(finishers, rate, edge, passes, seed):
    # The order of jobs does not depend on the crew, so every job starts no later and is shorter.
    rates = {"passes": passes, "power_float_m2_h": rate, "edge_m_h": edge}
    few, more = (
        pour_with(floor=FLOORS["many"], finishing=rates, crews={"crew": {"finishers": n}}, **VARIED)
        for n in (finishers, finishers + 1)
    )
    log = played(few, seed)
    a, b = (finishing(basis_of(s), fronts(basis_of(s), log)) for s in (few, more))
    assert np.all(b.late_area <= a.late_area + 1e-6)
    assert b.missed_area <= a.missed_area + 1e-6
    assert b.end <= a.end + 1e-6


# ---------------------------------------------------------------------------- clocks and top


def test_the_table_of_sets_is_within_half_a_minute_of_the_exact_answer():
    basis = basis_of(pour(weather=CHANGING, mix={"retarder_min": 30}))
    rng = np.random.default_rng(1)
    batched, warm = 3600 * rng.uniform(4.5, 24.0, 300), rng.uniform(8.0, 34.0, 300)
    for clock in (basis.initial_set, basis.final_set):
        exact = clock_time_at_equivalent_age(
            basis.relax, batched, warm, clock.age, clock.activation
        )
        assert np.abs(clock.at(batched, warm) - exact).max() < 30.0


@pytest.mark.parametrize("shift", [-10.0, 4.0, 10.0])
def test_in_the_air_of_another_day_two_newton_steps_are_enough(shift):
    basis = basis_of(pour(weather=CHANGING))
    other = slab_relaxation(
        replace(basis.air, temperature=basis.air.temperature + shift), basis.slab
    )
    rng = np.random.default_rng(2)
    batched, warm = 3600 * rng.uniform(5.0, 20.0, 100), rng.uniform(10.0, 30.0, 100)
    final = basis.final_set
    exact = clock_time_at_equivalent_age(other, batched, warm, final.age, final.activation)
    assert np.abs(basis.final_set.at(batched, warm, other) - exact).max() < 30.0


@pytest.mark.parametrize(
    ("floor", "area", "edge"),
    [
        ({"spans_m": [3.0], "sheet_runs": [1], "length_y_m": 10.0}, 30.0, 26.0),
        (HOLE, 24.0, 26.0 + 10.0),
        # The floor falls into two pieces of 3 m by 2 m and 3 m by 5 m.
        (ACROSS, 21.0, 10.0 + 16.0),
        # Four spans; the opening lies across a strip side and the primary beam: 2(2 + 5).
        (FLOORS["many"], 12.2 * 24 - 10, 2 * (12.2 + 24) + 14.0),
        (TWO | {"low_x_end": "joint"}, 60.0, 10.0 + 12.0),
    ],
)
def test_edges_are_those_of_the_floor_and_its_openings(floor, area, edge):
    scenario = pour(floor=floor)
    layout = laid_out(scenario)
    top = floor_top(layout.cut, layout.strips)
    strips = np.arange(len(layout.strips))
    low, high = (np.array([getattr(s, k) for s in layout.strips]) for k in ("y0", "y1"))
    areas, edges = work_between(top, strips, low, high)
    assert areas == pytest.approx([s.area for s in layout.strips])
    assert areas.sum() == pytest.approx(area)
    assert edges.sum() == pytest.approx(edge)
    assert top.edge_of_all == pytest.approx(edge)


@pytest.mark.parametrize("rising", [True, False])
def test_no_part_begins_before_a_strip_whose_pieces_open_after_they_have_set(rising):
    # On a day of a pour of many hours floating may be possible only once concrete is hard.
    opens, final = np.array([100.0, 110.0, 120.0]), np.array([50.0, 50.0, 50.0])
    cuts = _cuts(0, 3, rising, opens, final)
    assert set(cuts.tolist()) <= {1, 2}
