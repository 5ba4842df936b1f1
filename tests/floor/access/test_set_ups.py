"""What pump or crane needs to get at its strips: lines, lifts and set-up places, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders.pours import pour

from pourday.floor.access.set_ups import FrontAccess, ReachError
from pourday.floor.layout import lay_out
from pourday.scenario.model.scenario import Scenario

PLACES = [
    {"name": "gate", "x_m": 0.0, "y_m": -2.0},
    {"name": "yard", "x_m": 0.0, "y_m": 22.0},
]
TWO_STRIPS = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 20.0}


def site(pump=None, set_ups=(), height=0.0, places=PLACES, **plan) -> Scenario:
    """Two strips of 3 m by 20 m; the front goes up the first and comes back down the second."""
    base = {"order": "spread", "strip_width_m": 3.0, "set_ups": list(set_ups)}
    plan = {"begin_at": "low_x", "begin_y": "low_y"} | base | plan
    return pour(
        floor=TWO_STRIPS,
        site={"set_ups": places, "floor_height_m": height},
        pumps={"pump": pump or {}},
        plan=plan,
    )


def access(*args, **named) -> FrontAccess:
    scenario = site(*args, **named)
    return lay_out(scenario, scenario.plans[0]).access[0]


def test_a_plain_pump_reaches_everything_from_where_it_stands():
    found = access()
    assert [(leg.place, leg.begin, leg.end) for (leg,) in found.legs] == [
        (0, 0.0, 20.0),
        (0, 20.0, 0.0),
    ]
    assert (found.share, found.pipes, found.lift) == ((1.0, 1.0), (0, 0), (0.0, 0.0))
    assert (found.held, found.set_up_moves, found.places) == (0.0, 0, ())


# Boom.


def test_two_places_serve_a_half_each():
    # Both sides of the far strip: sqrt(14² - 6²) = 12.65 m along it, from either end.
    found = access({"reach_m": 14}, ["gate", "yard"])
    assert found.set_up_moves == 2
    assert [place.name for place in found.places] == ["gate", "yard"]
    up, down = found.legs
    assert [leg.place for leg in up] == [0, 1]
    assert [leg.place for leg in down] == [1, 0]
    half = (14**2 - 3**2) ** 0.5  # of the near strip
    assert up[0].end == pytest.approx(-2 + half)
    half = (14**2 - 6**2) ** 0.5
    assert down[0].end == pytest.approx(22 - half)


def test_one_place_with_a_long_boom_never_moves():
    found = access({"reach_m": 30}, ["gate"])
    assert found.set_up_moves == 0


def test_what_is_out_of_reach_is_named_with_the_way_out():
    scenario = site({"reach_m": 14}, ["gate"])
    with pytest.raises(ReachError) as error:
        lay_out(scenario, scenario.plans[0])
    # sqrt(14² - 3²) - 2 = 11.67 m and sqrt(14² - 6²) - 2 = 10.65 m
    assert str(error.value) == (
        "pump reaches 14 m from gate, but not 1/strip 1 from y = 11.7 to 20.0 m; 1/strip 2 from "
        "y = 10.6 to 20.0 m: add a place in site.set_ups, or take a longer boom"
    )


def test_more_than_four_parts_out_of_reach_are_counted():
    scenario = site({"reach_m": 3}, ["gate"], strip_width_m=1.0)
    with pytest.raises(ReachError, match="and 2 more parts: add a place"):
        lay_out(scenario, scenario.plans[0])


# Line.


def test_a_line_that_nobody_lays_out_has_the_length_of_the_pump():
    line = {"means": "line", "line_length_m": 50, "line_content_m3_per_m": 0.01, "hopper_m3": 0.4}
    found = access(line | {"output_loss_per_100m": 0.2})
    assert (found.line_length, found.held) == (50.0, pytest.approx(0.9))
    assert found.share == (pytest.approx(0.9),) * 2
    assert found.pipes == (0, 0)


def test_a_line_is_laid_from_its_entry_to_the_front():
    # Entry at (0, -2), riser 10 m. First strip, middle 1.5: 10 + 1.5 + 2 = 13.5 m at y = 0 and
    # 33.5 at y = 20; second, middle 4.5: 36.5 at y = 20 and 16.5 at y = 0.
    line = {"means": "line", "pipe_length_m": 3, "line_content_m3_per_m": 0.01, "hopper_m3": 0.4}
    found = access(line | {"output_loss_per_100m": 0.2}, ["gate"], height=10.0)
    assert found.line_length == pytest.approx(36.5)
    # Five pipes of 3 m stand full when it begins; 7 are put on along the first strip, 1 before
    # the second.
    assert found.held == pytest.approx(0.4 + 0.15)
    assert found.fill == pytest.approx([0.21, 0.03])
    assert found.line_volume == pytest.approx(0.4 + 0.39)
    # Mean lengths 23.5 and 26.5 m.
    assert found.share == (pytest.approx(1 - 0.047), pytest.approx(1 - 0.053))
    # Whole pipes of 3 m: 5 to 12 put on along the first, 12 to 13 before and 13 to 6 along the
    # second.
    assert found.pipes == (7, 1 + 7)


def test_height_takes_output_on_top_of_the_riser():
    line = {"means": "line", "output_loss_per_10m_height": 0.05}
    assert access(line, ["gate"], height=10.0).share == (pytest.approx(0.95),) * 2
    # Pumping down gains nothing.
    assert access(line, ["gate"], height=-10.0).share == (1.0, 1.0)


def test_a_line_that_leaves_next_to_nothing_is_refused():
    scenario = site({"means": "line", "output_loss_per_10m_height": 0.9}, ["gate"])
    high = replace(scenario, site=replace(scenario.site, floor_height=10.4))
    with pytest.raises(ReachError, match=r"10\.4 m of rise leave 6% of the output"):
        lay_out(high, high.plans[0])


# Skip.

SKIP = {"means": "skip", "skip_m3": 1.0, "hoist_m_min": 40, "slew_rpm": 0.5}


def test_a_crane_without_a_place_turns_half_round_and_back():
    # Half a turn at 0.5 rpm is 1 min each way; 20 m at 40 m/min are 30 s each way.
    assert access(SKIP, height=20.0).lift == (pytest.approx(180.0),) * 2
    assert access(SKIP, height=-20.0).lift == (pytest.approx(180.0),) * 2


def test_a_crane_turns_from_its_loading_place_to_the_middle_of_the_strip():
    # The crane stands on the middle line along x, 10 m off; the skip is filled straight behind it
    # for the first strip's middle (1.5, 10): half a turn, and as much for the second.
    behind = [{"name": "crane", "x_m": -10.0, "y_m": 10.0, "loading_m": [-20.0, 10.0]}]
    assert access(SKIP, ["crane"], places=behind).lift == (pytest.approx(120.0),) * 2
    # Filled at a right angle: a quarter turn.
    aside = [behind[0] | {"loading_m": [-10.0, 0.0]}]
    assert access(SKIP, ["crane"], places=aside).lift == (pytest.approx(60.0),) * 2
    # Crane straight below the first strip's middle: 0 to it, atan(3 / 20) to the second's.
    below = [{"name": "crane", "x_m": 1.5, "y_m": -10.0, "loading_m": [1.5, -5.0]}]
    angle = 0.148890
    assert access(SKIP, ["crane"], places=below).lift == (
        pytest.approx(0.0, abs=1e-9),
        pytest.approx(2 * angle / 6.283185 * 120.0, abs=1e-3),
    )
