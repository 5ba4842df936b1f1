"""Ready values: every one is accepted by its table and names its source."""

from __future__ import annotations

import math

import pytest

from pourday.scenario.clashes.people import most_compacted
from pourday.scenario.presets import KINDS, preset, preset_names, preset_sources
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.concrete import FinishingTable, MixTable
from pourday.scenario.tables.file import CrewTable, PumpTable

TABLE = {
    "pumps": PumpTable,
    "crews": CrewTable,
    "mixes": MixTable,
    "finishing": FinishingTable,
}
KNOWN_SOURCES = (
    "common practice, no source",
    "closed form: ",
    "round figure in any currency, no source",
)
ALL = [(kind, name) for kind in KINDS for name in preset_names(kind)]


def test_the_presets_there_are():
    assert preset_names("pumps") == ("truck_boom", "line_pump", "crane_and_skip")
    assert preset_names("crews") == ("crew_small", "crew_medium", "crew_large")
    assert preset_names("mixes") == (
        "ordinary_c30",
        "careful_placing_c30",
        "warm_day_retarded",
        "fast_c35",
    )
    assert preset_names("finishing") == ("walk_behind_36", "walk_behind_48", "ride_on")


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_preset_fits_its_table(kind, name):
    TABLE[kind].model_validate(preset(kind, name))


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_value_of_a_preset_names_its_source(kind, name):
    sources = preset_sources(kind, name)
    assert sources.keys() == preset(kind, name).keys()
    for key, source in sources.items():
        assert source.startswith(KNOWN_SOURCES) or source.endswith("(value from memory)"), key


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_preset_makes_a_scenario_without_a_word_of_doubt(kind, name, change):
    old = {
        "pumps": '"truck_boom"',
        "crews": '"crew_medium"',
        "mixes": '"ordinary_c30"',
        "finishing": "[prices]",
    }[kind]
    new = f'[finishing]\npreset = "{name}"\n[prices]' if kind == "finishing" else f'"{name}"'
    scenario, warnings = parse_scenario(change((old, new)))
    assert warnings == ()
    read = {
        "pumps": scenario.pumps["boom"],
        "crews": scenario.crews["six"],
        "mixes": scenario.mix,
        "finishing": scenario.finishing,
    }[kind]
    assert read.preset == name


def test_a_key_beside_a_preset_overrides_it_and_the_rest_stays(change):
    scenario, _ = parse_scenario(change(("line_length_m = 36", "line_length_m = 25")))
    boom = scenario.pumps["boom"]
    assert boom.line_length == 25.0
    assert boom.hopper == preset("pumps", "truck_boom")["hopper_m3"]
    assert boom.hire == pytest.approx(180.0 / 3600)


def test_the_skip_output_is_its_volume_over_its_cycle():
    # 15 m up, half a turn: 0.5 / 0.6 min to turn, 15 / 40 min to hoist, there and back.
    crane = preset("pumps", "crane_and_skip")
    cycle = crane["skip_fill_min"]["mode"] + crane["skip_empty_min"]["mode"]
    cycle += 2 * (15 / crane["hoist_m_min"] + 0.5 / crane["slew_rpm"])
    assert cycle == pytest.approx(4.4, abs=0.02)
    assert crane["skip_m3"] * 60 / cycle == pytest.approx(10.2, abs=0.1)
    assert crane["skip_m3"] * 60 / cycle < crane["output_m3_h"]


def test_an_unknown_kind_is_refused():
    with pytest.raises(KeyError, match="pumps, crews, mixes, finishing"):
        preset_names("boats")


def test_a_pipes_content_is_the_area_of_its_bore():
    assert preset("pumps", "truck_boom")["line_content_m3_per_m"] == pytest.approx(
        math.pi / 4 * 0.125**2, rel=0.03
    )
    line = preset("pumps", "line_pump")
    assert line["line_content_m3_per_m"] == pytest.approx(math.pi / 4 * 0.1**2, rel=0.03)
    # Full of 25 kN/m³, and 0.15 kN/m of steel pipe.
    assert line["pipe_kN_m"] == pytest.approx(math.pi / 4 * 0.1**2 * 25 + 0.15, abs=0.01)


def test_at_low_lift_the_skip_goes_a_little_faster_than_published_pours_do_overall():
    # 4 m up, half a turn: 2 + 2 x (4 / 40 + 0.5 / 0.6) min = 3.87 min, 11.6 m³/h while it goes.
    # Mean of 35 pours in Lagos, bungalows and one storey: 11.24 m³/h overall (iiste.org, Civil and
    # Environmental Research); delays took over a fifth of their time, with skips of unknown size.
    crane = preset("pumps", "crane_and_skip")
    cycle = crane["skip_fill_min"]["mode"] + crane["skip_empty_min"]["mode"]
    cycle += 2 * (4 / crane["hoist_m_min"] + 0.5 / crane["slew_rpm"])
    assert 11.24 < crane["skip_m3"] * 60 / cycle < 1.1 * 11.24


def test_the_boom_crew_places_faster_than_a_published_pour_overall_and_than_it_is_served():
    # 186 yd³ on 11,000 ft² by boom, 18 people in 6 h (skihood.com, Sahale Building, 2019).
    overall = 186 * 0.9144**3 / 6
    assert overall == pytest.approx(23.7, abs=0.05)
    crew = preset("crews", "crew_medium")
    flowing = crew["placers"] * crew["rate_per_placer_m3_h"]
    # A fifth to a half of a pour goes on trucks that change, moves and breaks.
    assert 1.25 * overall < flowing < 2 * overall
    assert flowing < preset("pumps", "truck_boom")["output_m3_h"]["low"]
    # Heads per m³/h: no leaner than half the published crew, finishers included.
    heads = crew["placers"] + crew["finishers"] + crew["others"]
    assert 0.5 < (heads / (0.7 * flowing)) / (18 / overall) < 1.0


def test_two_large_crews_stay_below_the_ceiling_of_two_booms_overall():
    # 100 yd³/h with two booms (Concrete Construction; value from memory), 38 m³/h each.
    crew = preset("crews", "crew_large")
    assert 0.75 * crew["placers"] * crew["rate_per_placer_m3_h"] < 100 * 0.9144**3 / 2


@pytest.mark.parametrize("name", ["crew_small", "crew_medium", "crew_large"])
def test_two_men_hold_the_hose_and_a_beam_compacts_what_the_pokers_could_not(name):
    crew = CrewTable.model_validate(preset("crews", name))
    assert crew.roles.hose == 2
    assert crew.roles.vibrator == crew.pokers >= 1
    assert crew.vibrating_beam
    assert crew.placers * crew.rate_per_placer_m3_h > most_compacted(crew)


@pytest.mark.parametrize(
    ("name", "width_m", "low", "high"),
    [
        ("walk_behind_36", 36 * 0.0254, 150, 250),
        ("walk_behind_48", 48 * 0.0254, 250, 400),
        ("ride_on", 2 * 36 * 0.0254, 400, 900),
    ],
)
def test_a_power_float_that_laps_by_half_its_width_goes_at_a_slow_walk(name, width_m, low, high):
    rate = preset("finishing", name)["power_float_m2_h"]
    assert low <= rate <= high
    assert 6.0 < rate / (width_m / 2) / 60 < 11.5  # m/min along the floor


def test_a_ride_on_does_the_work_of_three_walk_behinds_or_a_little_more():
    # Concrete Construction, Riding trowels: "as many as three walk-behind trowels".
    rates = [preset("finishing", n)["power_float_m2_h"] for n in ("walk_behind_36", "ride_on")]
    assert 2.0 < rates[1] / rates[0] <= 3.5


def test_a_deck_mix_is_pumped_at_120_to_150_mm_and_placed_with_care_at_100():
    for name in preset_names("mixes"):
        slump = preset("mixes", name)["slump_mm"]
        assert slump == 100 if name == "careful_placing_c30" else 120 <= slump <= 150


def test_a_hose_is_dragged_in_minutes_and_a_boom_swings_in_well_under_two():
    line, boom = preset("pumps", "line_pump"), preset("pumps", "truck_boom")
    # To a neighbouring strip, 2 m away.
    assert line["move_min"]["high"] + 2 * line["walk_min_per_m"] <= 3
    assert boom["move_min"]["high"] + 2 * boom["walk_min_per_m"] < 1.5
    assert (boom["reset_min"]["low"], boom["reset_min"]["high"]) == (25, 45)
