"""What a stop would mean: against the edges that a rehearsal shows, and against stops that came."""

from __future__ import annotations

import numpy as np
import pytest
from builders.shipped import day_of, shipped

from pourday.floor.layout import lay_out
from pourday.outcome.edges.if_stopped import ends_from, lasting, open_length
from pourday.outcome.edges.stop_end import long_stops
from pourday.outcome.scene import scene
from pourday.scenario.base.upsets import parse_upset

CASES = pytest.mark.parametrize(
    ("name", "plan"), [("clinic_level_1", 0), ("clinic_level_1", 3), ("market_hall", 0)]
)


@CASES
def test_edges_last_as_long_as_those_that_a_rehearsal_shows(name, plan):
    outcome = day_of(shipped(name), plan, seed=3)
    basis, front_of = outcome.basis, outcome.basis.layout.front_of
    left = lasting(outcome).left
    for strip in range(1, len(basis.layout.strips)):
        now = float(outcome.strip_start[strip])
        shown = scene(outcome, now).edges
        mine = [e.lost_at for e in shown if e.pair >= 0 and front_of[e.younger] == front_of[strip]]
        if mine and min(mine) - now < 0.9 * left[0]:
            assert left[strip] == pytest.approx(min(mine) - now, abs=1.0)


def test_an_edge_that_nothing_follows_lasts_for_ever():
    outcome = day_of(shipped("clinic_level_1"))
    found = lasting(outcome)
    assert np.isinf(found.cover_within[-1])
    assert np.isfinite(found.cover_within[0])
    # Each strip's sides are no older than the strip, whose first concrete counts in both.
    assert np.all(found.left <= found.cover_within + 1.0)


def test_a_strip_has_the_stop_ends_of_a_stop_that_came_as_it_began():
    scenario = shipped("clinic_level_1")
    plain = day_of(scenario, upsets=())
    at = 5
    time = float(plain.strip_start[at]) + 1.0
    clock = f"{int(time // 3600):02d}:{int(time % 3600 // 60):02d}"
    stopped = day_of(scenario, upsets=(parse_upset(f"{clock} pump down 60 min"),))
    stop = next(s for s in long_stops(stopped) if abs(s.begin - time) < 120.0)
    expected = ends_from(stopped.basis, at)
    assert stop.strip in (at - 1, at)
    assert {end.places for end in stop.ends} == {end.places for end in expected}
    use = np.mean(np.array(stopped.log.strip_volumes) / stopped.basis.layout.volume)
    for found, planned in zip(
        sorted(stop.ends, key=lambda e: e.full), sorted(expected, key=lambda e: e.full), strict=True
    ):
        assert found.full == pytest.approx(use * planned.full, rel=0.02)


def test_open_sides_are_those_with_concrete_on_one_side():
    basis = day_of(shipped("clinic_level_1")).basis
    assert lay_out(basis.scenario, basis.plan).strips == basis.layout.strips
    assert open_length(basis, 0) == 0.0
    # Strip 1 of the clinic lies between 2 and 3: two sides over the whole length of 24 m.
    assert open_length(basis, 1) == pytest.approx(48.0)
    assert open_length(basis, len(basis.layout.strips)) == 0.0
