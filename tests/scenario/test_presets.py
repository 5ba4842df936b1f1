"""Ready values: every one is accepted by its table and names its source."""

from __future__ import annotations

import pytest

from pourday.scenario.presets import KINDS, preset, preset_names, preset_sources
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.file import CrewTable, MixTable, PumpTable

TABLE = {"pumps": PumpTable, "crews": CrewTable, "mixes": MixTable}
ALL = [(kind, name) for kind in KINDS for name in preset_names(kind)]


def test_the_presets_there_are():
    assert preset_names("pumps") == ("truck_boom", "line_pump", "crane_and_skip")
    assert preset_names("crews") == ("crew_small", "crew_medium", "crew_large")
    assert preset_names("mixes") == ("ordinary_c30", "warm_day_retarded", "fast_c35")


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_preset_fits_its_table(kind, name):
    TABLE[kind].model_validate(preset(kind, name))


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_value_of_a_preset_names_its_source(kind, name):
    sources = preset_sources(kind, name)
    assert sources.keys() == preset(kind, name).keys()
    for key, source in sources.items():
        published = "ASTM" in source and "value from memory" in source
        assert source == "common practice, no source" or published, key


@pytest.mark.parametrize(("kind", "name"), ALL)
def test_every_preset_makes_a_scenario_without_a_word_of_doubt(kind, name, change):
    old = {"pumps": "truck_boom", "crews": "crew_medium", "mixes": "ordinary_c30"}[kind]
    scenario, warnings = parse_scenario(change((f'"{old}"', f'"{name}"')))
    assert warnings == ()
    read = {
        "pumps": scenario.pumps["boom"],
        "crews": scenario.crews["six"],
        "mixes": scenario.mix,
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
    with pytest.raises(KeyError, match="pumps, crews, mixes"):
        preset_names("boats")
