"""m³ off laid along the order of strips, worked by hand."""

from __future__ import annotations

import math

import pytest

from pourday.study.forecast.ground import FrontGround
from pourday.study.forecast.laid import Flow, Mark, lay, without

GROUND = FrontGround(
    strips=(4, 2, 7), planned=(6.0, 3.0, 9.0), fill=(1.0, 0.0, 0.0), primed=1.0,
    pump=(0.01,) * 3, truck=math.inf, crew=(0.005,) * 3, before=(0.0, 60.0, 60.0), line=0.01,
)  # fmt: skip
FLOWS = [Flow(0, 0.0, 0.0, 800.0, 4.0), Flow(1, 500.0, 1000.0, 1800.0, 4.0)]


def planned(turn: int, inside: float) -> float:
    return GROUND.planned[turn]


def test_concrete_fills_pump_and_line_and_then_strip_after_strip():
    laid = lay(GROUND, FLOWS, (), planned)
    # 1 m³ in the line, 6 in strip 4, 1 of 3 in strip 2.
    assert (laid.turn, laid.done) == (1, pytest.approx(1.0))
    found = [(s.strip, s.volume_start, s.volume_end, s.start, s.end) for s in laid.stretches]
    assert found == [
        (-1, 0.0, 1.0, 0.0, pytest.approx(200.0)),
        (4, 0.0, pytest.approx(3.0), pytest.approx(200.0), 800.0),
        (4, pytest.approx(3.0), 6.0, 1000.0, pytest.approx(1600.0)),
        (2, 0.0, pytest.approx(1.0), pytest.approx(1600.0), 1800.0),
    ]


def test_a_strip_called_full_sets_the_place_and_what_it_took():
    # Full at 1400 s: 6 m³ off by then, 5 of them in the strip.
    laid = lay(GROUND, FLOWS, (Mark(0, 1.0, 1400.0),), planned)
    assert laid.volumes[0] == pytest.approx(5.0)
    assert (laid.turn, laid.done) == (1, pytest.approx(2.0))


def test_a_strip_full_that_jumps_shares_its_concrete_by_the_plan():
    laid = lay(GROUND, FLOWS, (Mark(1, 1.0, 1800.0),), planned)
    # 7 m³ in strips planned for 6 and 3.
    assert laid.volumes[0] == pytest.approx(7.0 * 6 / 9)
    assert laid.volumes[1] == pytest.approx(7.0 * 3 / 9)
    assert (laid.turn, laid.done) == (2, 0.0)


def test_a_place_inside_a_strip_says_what_all_of_it_takes():
    laid = lay(GROUND, FLOWS, (Mark(0, 0.5, 800.0),), planned)
    # 3 m³ are half of it.
    assert laid.volumes[0] == pytest.approx(6.0)
    laid = lay(GROUND, FLOWS, (Mark(0, 0.6, 800.0),), planned)
    assert laid.volumes[0] == pytest.approx(5.0)


def test_a_strip_full_that_cannot_be_is_not_used():
    laid = lay(GROUND, FLOWS, (Mark(2, 1.0, 700.0),), planned)
    assert laid.skipped == [Mark(2, 1.0, 700.0)]
    assert laid.turn == 1


def test_what_finds_no_room_is_left_over():
    more = [*FLOWS, Flow(2, 900.0, 2000.0, 4000.0, 12.0)]
    laid = lay(GROUND, more, (), planned)
    assert laid.finished
    assert laid.left_over == {2: pytest.approx(1.0)}
    assert sum(s.volume_end - s.volume_start for s in laid.stretches) == pytest.approx(19.0)


def test_stops_are_cut_out_of_a_time():
    assert without(0.0, 10.0, [(2.0, 3.0), (8.0, 12.0)]) == [(0.0, 2.0), (3.0, 8.0)]
    assert without(0.0, 10.0, [(-5.0, 20.0)]) == []
    assert without(0.0, 10.0, []) == [(0.0, 10.0)]
