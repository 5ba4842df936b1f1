"""Advice for a hot day: its order, what it takes, and that each figure is the day measured anew."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from builders.pours import basis_of, measured, pour
from rich.console import Console

from pourday.concrete.mix_temperature import ice_to_cool, mix_temperature
from pourday.report.records.heat import heat_record
from pourday.report.text.heat import heat_section
from pourday.scenario.base.distribution import fixed
from pourday.study.heat import HOT_AIR, heat

HOUR = 3600.0


def weather(wind, hot=38):
    """Hot from 08:00 to 18:00, 26 °C and a breeze at night."""
    night = {"air_C": 26, "humidity": 0.5, "wind_km_h": min(5, wind)}
    day = {"air_C": hot, "humidity": 0.2, "wind_km_h": wind}
    hours = [("05:00", night), ("08:00", day), ("18:00", day), ("21:00", night), ("29:00", night)]
    return {"hours": [{"at": clock} | air for clock, air in hours]}


def hot_day(wind=20, hot=38, **changes):
    mix = {"delivered_C": 30, "edge_rule": "set"}
    scenario = pour(weather=weather(wind, hot), floor=THREE, plan=LATER, mix=mix, **changes)
    return scenario


THREE = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 40.0}
LATER = {"start": "10:00", "spacing_min": 28}


def advice(scenario):
    return heat(basis_of(scenario), measured(scenario))


def said(found):
    out = io.StringIO()
    heat_section(Console(file=out, width=80), found)
    assert max(map(len, out.getvalue().splitlines())) <= 80
    return " ".join(out.getvalue().split())


def test_a_day_under_thirty_degrees_gets_none():
    assert advice(hot_day(hot=HOT_AIR - 0.5)) is None
    assert advice(hot_day(hot=HOT_AIR)) is not None
    assert heat_record(None) is None


def test_measures_stand_in_the_order_of_the_trade():
    found = advice(hot_day())
    kinds = [each.kind for each in found.measures]
    assert kinds == ["as planned", "start", "retarder", "cooler", "windbreak", "film", "fog"]


def test_the_hours_that_work_are_those_of_the_night():
    found = advice(hot_day())
    assert 22 * HOUR in found.works
    assert 16 * HOUR not in found.works
    assert all(20 * HOUR <= start <= 31 * HOUR for start in found.works)
    assert found.measures[1].peak < 0.5 * found.measures[0].peak


def test_where_the_plant_is_shut_at_night_no_hour_works():
    plants = [{"name": "A", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "back_min": 20,
               "closes": "15:00"}]  # fmt: skip
    found = advice(hot_day(plants=plants))
    assert found.works == ()
    assert [each.kind for each in found.measures][:2] == ["as planned", "retarder"]
    assert "no hour from 16:00 to 07:00 works" in said(found)


def test_fog_does_nothing_in_wind_and_much_in_still_air():
    windy, still = advice(hot_day(wind=20)), advice(hot_day(wind=3))
    by = {each.kind: each for each in windy.measures}
    assert by["fog"].peak == pytest.approx(by["as planned"].peak)
    assert by["fog"].cover == by["as planned"].cover > 0.0
    by = {each.kind: each for each in still.measures}
    assert by["fog"].peak < 0.5 * by["as planned"].peak


def test_retarder_and_cooler_concrete_help_the_edges_and_a_windbreak_does_not():
    by = {each.kind: each for each in advice(hot_day()).measures}
    cold = {kind: each.cold for kind, each in by.items()}
    # An edge of 40 m waits 28 min for its truck: cold as planned, stiff with either measure.
    assert cold["as planned"] == pytest.approx(40.0)
    assert cold["retarder"] == cold["cooler"] == 0.0
    assert cold["windbreak"] == cold["film"] == cold["as planned"]
    assert by["windbreak"].peak < by["as planned"].peak
    assert by["film"].peak == pytest.approx(by["as planned"].peak / 2)


def test_cooler_concrete_comes_with_its_ice_or_is_refused_with_a_sentence():
    scenario = hot_day()
    found = advice(scenario)
    # What the plant delivers is cooler than its materials make it: that ice is in it already.
    in_it = mix_temperature(scenario.batch) - scenario.mix.delivered.mean
    assert in_it > 1.0
    assert found.ice == pytest.approx(ice_to_cool(scenario.batch, 5.0 + in_it))
    as_made = replace(scenario.mix, delivered=fixed(mix_temperature(scenario.batch)))
    assert advice(replace(scenario, mix=as_made)).ice == pytest.approx(
        ice_to_cool(scenario.batch, 5.0)
    )
    assert f"{found.ice:.0f} kg/m³ of ice" in said(found)
    # With 7 °C off already, 12 is more than ice can do.
    cooled = replace(scenario, mix=as_made, measures=replace(scenario.measures, cooler=7.0))
    refused = advice(cooled)
    (cooler,) = (each for each in refused.measures if each.kind == "cooler")
    assert cooler.refused == "12 °C is more than ice takes off a mix, about 11 °C"
    assert "cooler concrete: refused: 12 °C" in said(refused)
    record = heat_record(refused)
    assert record["measures"][3]["peak_kg_m2_h"] is None
    assert record["measures"][3]["refused"]


def test_nothing_that_makes_concrete_colder_or_slower_is_offered_where_the_night_freezes_it():
    rows = [{"at": "10:00", "air_C": 33, "humidity": 0.2, "wind_km_h": 20},
            {"at": "16:00", "air_C": 30, "humidity": 0.2, "wind_km_h": 20},
            {"at": "22:00", "air_C": -4, "humidity": 0.4, "wind_km_h": 20},
            {"at": "34:00", "air_C": -4, "humidity": 0.4, "wind_km_h": 20}]  # fmt: skip
    mix = {"delivered_C": 25, "edge_rule": "set"}
    scenario = pour(weather={"hours": rows}, floor=THREE, plan=LATER, mix=mix)
    assert measured(scenario).cold.area_frost > 0.0
    kinds = {each.kind for each in advice(scenario).measures}
    assert not kinds & {"retarder", "cooler"}
    assert {"windbreak", "film"} <= kinds
