"""What is said of each front: the line of its pump, its places, and what each truck gave it."""

from __future__ import annotations

import io
import re

import pytest
from builders.pours import basis_of, measured, pour
from builders.shipped import day_of, shipped
from builders.upset_days import upsets_of
from rich.console import Console

from pourday.floor.access.means import output_share
from pourday.report.records.day import day_record
from pourday.report.text.fronts import plan_fronts
from pourday.study.prepare import prepare


def test_the_shares_of_the_output_are_said_to_be_those_at_the_middle_of_the_strips():
    scenario = shipped("tower_level_9")
    basis = next(b for b in prepare(scenario) if b.plan.name == "line pump")
    out = io.StringIO()
    plan_fronts(Console(file=out, width=80), basis)
    text = " ".join(out.getvalue().split())
    found = re.search(
        r"(\d+) m of line at the longest, \d+ pipes changed; (\d+)% to (\d+)% of the output, at "
        r"the middle of the strips",
        text,
    )
    assert found, text
    # With all of the line laid less would be left than the least of the shares.
    pump = scenario.pumps["line"]
    losses = pump.output_loss_per_100m, pump.output_loss_per_10m_height
    longest = output_share(float(found[1]), scenario.site.floor_height, *losses)
    assert longest < int(found[2]) / 100 - 0.005


@pytest.fixture(scope="module")
def depot():
    """Two pumps, the second one down for 75 min: its trucks are sent across to the first."""
    day = day_of(shipped("depot_two_pumps"), 0, 2, upsets_of("10:15 pump 2 down 75 min"))
    return day, day_record(day)


def test_what_the_trucks_gave_each_front_lies_in_its_strips_and_its_line(depot):
    _, record = depot
    assert record["pour"]["unfinished_m3"] == 0.0
    for n, front in enumerate(record["fronts"], start=1):
        given = sum(
            part["placed_m3"]
            for truck in record["trucks"]
            for part in truck["placed_by_front"]
            if part["front"] == n
        )
        strips = sum(strip["volume_m3"] for strip in record["strips"] if strip["front"] == n)
        assert strips > 100.0
        assert given == pytest.approx(strips + front["line_and_pump_m3"], abs=1e-3)


def test_a_truck_sent_across_shows_both_fronts_and_the_parts_make_the_whole(depot):
    _, record = depot
    fronts = [[part["front"] for part in truck["placed_by_front"]] for truck in record["trucks"]]
    assert [1, 2] in fronts
    for truck, at in zip(record["trucks"], fronts, strict=True):
        parts = sum(part["placed_m3"] for part in truck["placed_by_front"])
        assert parts == pytest.approx(truck["placed_m3"], abs=1e-5)
        assert not at or truck["front"] in at


def test_the_places_of_a_strip_are_named_in_the_order_in_which_it_is_poured():
    # 20 m long; a boom of 12 m reaches from either end past the middle, neither all of it.
    places = [
        {"name": "south", "x_m": 1.5, "y_m": -1.0},
        {"name": "north", "x_m": 1.5, "y_m": 21.0},
    ]
    scenario = pour(
        site={"set_ups": places},
        pumps={"pump": {"reach_m": 12}},
        plan={"set_ups": ["south", "north"]},
    )
    assert basis_of(scenario).layout.upward[0]
    strips = day_record(measured(scenario))["strips"]
    assert [strip["places"] for strip in strips] == [["south", "north"]] * len(strips)


def test_places_are_those_of_the_front_that_pours_the_strip(depot):
    day, record = depot
    plan = day.basis.plan
    for n, front in enumerate(plan.fronts, start=1):
        named = [strip["places"] for strip in record["strips"] if strip["front"] == n]
        assert all(named)
        assert {name for names in named for name in names} <= set(front.set_ups)


def test_where_no_place_is_named_the_list_is_empty():
    assert [s["places"] for s in day_record(measured(pour()))["strips"]] == [[]]
