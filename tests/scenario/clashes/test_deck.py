"""What the resistance is, and which loads may stand beside it."""

from __future__ import annotations

import pytest
from builders.pours import pour, text

from pourday.floor.lines.judging import factors_of, resistance_of
from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario

FACTORS = {"permanent_factor": 1.1, "concrete_factor": 1.3, "working_factor": 1.2}
FITS = [
    # basis, kind, keys beside it, what the 8.0 kN m/m of the file counts
    ("EN", "design", {}, 8.0),
    ("EN", "characteristic", {"gamma_M": 1.1}, 8.0 / 1.1),
    ("LRFD", "design", {}, 8.0),
    ("LRFD", "nominal", {"phi": 0.9}, 7.2),
    ("ASD", "allowable", {}, 8.0),
    ("ASD", "nominal", {"omega": 1.67}, 8.0 / 1.67),
    ("own", "design", {}, 8.0),
    ("own", "nominal", {"omega": 2.0}, 4.0),
    ("own", "characteristic", {"gamma_M": 1.25}, 6.4),
    ("own", "allowable", {}, 8.0),
]
REFUSED = [
    ("EN", "nominal", {"phi": 0.9}, "deck.resistance_is"),
    ("EN", "allowable", {}, "deck.resistance_is"),
    ("LRFD", "characteristic", {"gamma_M": 1.1}, "deck.resistance_is"),
    ("LRFD", "allowable", {}, "deck.resistance_is"),
    ("ASD", "design", {}, "deck.resistance_is"),
    ("EN", "characteristic", {}, "deck.gamma_M"),
    ("LRFD", "nominal", {}, "deck.phi"),
    ("LRFD", "nominal", {"omega": 1.67}, "deck.phi"),
    ("own", "nominal", {"phi": 0.9, "omega": 1.67}, "deck.phi"),
    ("EN", "design", {"gamma_M": 1.0}, "deck.gamma_M"),
]


def loads(basis):
    return {"basis": basis, **(FACTORS if basis == "own" else {})}


@pytest.mark.parametrize(("basis", "kind", "keys", "sag"), FITS)
def test_pairs_that_fit_give_the_resistance_that_counts(basis, kind, keys, sag):
    scenario = pour(deck={"resistance_is": kind, **keys}, loads=loads(basis))
    found = resistance_of(scenario)
    assert found.sag_moment == pytest.approx(sag * 1e3)
    assert found.reaction == pytest.approx(sag * 5e3)  # 40 in the file


@pytest.mark.parametrize(("basis", "kind", "keys", "path"), REFUSED)
def test_pairs_that_mix_two_ways_are_refused_with_one_sentence(basis, kind, keys, path):
    with pytest.raises(ScenarioError) as raised:
        pour(deck={"resistance_is": kind, **keys}, loads=loads(basis))
    assert any(fault.path.startswith(path) for fault in raised.value.faults)


def test_own_factors_stand_only_beside_basis_own_and_then_must_be_there():
    own = factors_of(pour(deck={"resistance_is": "design"}, loads=loads("own")).loads)
    assert (own.permanent, own.concrete) == ((1.1, 1.0), (1.3, 1.0))
    assert (own.working, own.heap) == (1.2, 1.3)
    with pytest.raises(ScenarioError, match="working_factor"):
        pour(loads={"basis": "own", "permanent_factor": 1.1, "concrete_factor": 1.3})
    with pytest.raises(ScenarioError, match="concrete_factor"):
        pour(deck={"resistance_is": "design"}, loads={"basis": "EN", "concrete_factor": 1.5})


def without(*keys):
    """The plain pour without these keys of the deck."""
    lines = text().splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith(keys))


def test_a_file_that_does_not_say_what_its_resistance_is_reads_with_one_warning():
    scenario, warnings = parse_scenario(without("resistance_is"))
    assert resistance_of(scenario) is None
    assert [w.path for w in warnings] == ["deck.resistance_is"]
    assert "no share of resistance is judged" in str(warnings[0])


def test_a_file_without_resistances_reads_with_one_warning_that_names_the_keys():
    scenario, warnings = parse_scenario(
        without("sag_moment_res", "hog_moment_res", "reaction_res", "resistance_is")
    )
    assert resistance_of(scenario) is None
    assert len(warnings) == 1
    assert "deck.reaction_resistance_kN_per_m" in str(warnings[0])


def test_working_loads_of_one_code_beside_factors_of_another_are_said():
    _, warnings = parse_scenario(text(loads={"preset": "en_1991_1_6", "basis": "ASD"}))
    assert [w.path for w in warnings] == ["loads.preset"]
    _, none = parse_scenario(text(loads={"preset": "us_practice", "basis": "ASD"}))
    assert not none


@pytest.mark.parametrize(
    ("slab", "weight"),
    [
        ({}, 25e3),
        ({"concrete": "lightweight"}, 20e3),
        ({"wet_density_kN_m3": 26}, 26e3),
        ({"concrete": "lightweight", "wet_density_kN_m3": 19}, 19e3),
    ],
)
def test_concrete_weighs_25_or_20_and_the_mesh_lies_on_the_deck(slab, weight):
    # SCI AD 346 (read): 25 and 20 kN/m³, mesh beside it.
    plain = "".join(line for line in text().splitlines(True) if "wet_density" not in line)
    keys = "".join(f"{k} = {v!r}\n".replace("'", '"') for k, v in slab.items())
    changed = plain.replace("[slab]\n", f"[slab]\nmesh_kg_m2 = 3.0\n{keys}", 1)
    scenario, _ = parse_scenario(changed)
    assert scenario.slab.wet_density == weight
    assert scenario.bare_weight == pytest.approx(120.0 + 3.0 * 9.81)
