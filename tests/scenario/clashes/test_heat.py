"""Concrete cooler than its materials on a hot day is asked about; ice beyond reason is refused."""

from __future__ import annotations

import pytest
from builders.pours import text

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.base.units import ending_of
from pourday.scenario.materials import mean_air
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.concrete import WeatherTable

HOT = {
    "hours": [
        {"at": "06:00", "air_C": 24, "humidity": 0.5, "wind_km_h": 8},
        {"at": "14:00", "air_C": 38, "humidity": 0.2, "wind_km_h": 20},
        {"at": "22:00", "air_C": 28, "humidity": 0.4, "wind_km_h": 8},
    ]
}


def warned(**changes):
    return {w.path: w.text for w in parse_scenario(text(**changes))[1]}


def test_twenty_degrees_on_a_day_of_thirty_eight_is_asked_about_with_the_ice_it_takes():
    said = warned(mix={"delivered_C": 20}, weather=HOT)["mix.delivered_C"]
    assert "about 30" in said
    assert "kg/m³ of ice" in said
    assert "ask the plant" in said


def test_concrete_as_warm_as_its_materials_and_a_mild_day_are_not():
    assert "mix.delivered_C" not in warned(mix={"delivered_C": 29}, weather=HOT)
    assert "mix.delivered_C" not in warned(mix={"delivered_C": 10})


def test_a_temperature_beyond_what_ice_can_do_says_so():
    said = warned(mix={"delivered_C": 15}, weather=HOT)["mix.delivered_C"]
    assert "more than ice takes off a mix" in said


@pytest.mark.parametrize(("cooler", "water"), [(11.5, 140), (9, 60)])
def test_a_measure_beyond_what_ice_can_do_is_refused_with_a_way_out(cooler, water):
    # 60 kg of water: 45 kg of ice, 45 x 99.7 / 581 = 7.7 °C. 11 °C is the most in any mix.
    tables = f"\n[measures]\ncooler_C = {cooler}\n[batch]\nwater_kg_m3 = {water}\n"
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text() + tables)
    (fault,) = caught.value.faults
    assert fault.path == "measures.cooler_C"
    assert "concrete cooled otherwise is a lower mix.delivered_C" in fault.text


def test_the_heap_is_as_warm_as_the_air_of_24_hours_unless_told():
    hours = [
        {"at": "06:00", "air_C": 10, "humidity": 0.5, "wind_km_h": 8},
        {"at": "18:00", "air_C": 30, "humidity": 0.5, "wind_km_h": 8},
        {"at": "42:00", "air_C": 0, "humidity": 0.5, "wind_km_h": 8},
    ]
    weather = WeatherTable.model_validate({"hours": hours})
    # 12 h from 10 to 30, mean 20; 12 h from 30 to 15, mean 22.5.
    assert mean_air(weather) == pytest.approx(21.25)
    scenario, _ = parse_scenario(text() + "\n" + "[batch]\naggregate_C = 12\n")
    assert scenario.batch.aggregate_temperature == 12.0


def test_masses_and_samples_have_units_of_their_own():
    assert ending_of("cement_kg_m3") == ("_kg_m3", "kg/m³", 1.0)
    assert ending_of("samples_per_m3")[1] == "samples per m³"


def test_rows_that_end_before_a_cold_night_and_a_clear_sky_are_asked_about():
    def hours(*rows):
        return [{"at": at, "air_C": air, "humidity": 0.7, "wind_km_h": 8} for at, air in rows]

    evening = {"hours": hours(("07:00", 3), ("17:00", 5))}
    assert "rows through the night" in warned(weather=evening)["weather.hours"]
    night = {"hours": hours(("06:00", 2), ("14:00", 6), ("30:00", 1))}
    assert "weather.hours" not in warned(weather=night)
    assert "clear" in warned(weather=night)["weather.sky_loss_W_m2"]
    assert "weather.sky_loss_W_m2" not in warned(weather=night | {"sky_loss_W_m2": 60})
    mild = {"hours": hours(("07:00", 12), ("17:00", 16))}
    assert not {"weather.hours", "weather.sky_loss_W_m2"} & set(warned(weather=mild))
