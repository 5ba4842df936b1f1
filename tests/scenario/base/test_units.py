"""Unit endings: hand-worked conversions to SI, and that every key of a file has its own."""

from __future__ import annotations

import dataclasses

import pytest

from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.units import UNITS, ending_of, to_si
from pourday.scenario.base.upsets import UpsetRates
from pourday.scenario.model import call_off
from pourday.scenario.model import scenario as model
from pourday.scenario.tables import call_off as call_off_tables
from pourday.scenario.tables import concrete, deck, file, site

# key, value as written, name inside, value worked by hand
BY_HAND = [
    ("bending_stiffness_kNm2_per_m", 210, "bending_stiffness", 210_000.0),
    ("sag_moment_resistance_kNm_per_m", 7.5, "sag_moment_resistance", 7500.0),
    ("reaction_resistance_kN_per_m", 40, "reaction_resistance", 40_000.0),
    ("self_weight_kN_m2", 0.12, "self_weight", 120.0),
    ("wet_density_kN_m3", 26, "wet_density", 26_000.0),
    ("void_volume_m3_per_m2", 0.03, "void_volume", 0.03),
    ("line_content_m3_per_m", 0.012, "line_content", 0.012),
    ("walk_min_per_m", 0.05, "walk", 3.0),
    ("labour_per_person_h", 54, "labour", 0.015),
    ("waiting_per_min", 1.5, "waiting", 0.025),
    ("concrete_per_m3", 130, "concrete", 130.0),
    ("cold_joint_per_m", 60, "cold_joint", 60.0),
    ("hire_per_h", 180, "hire", 0.05),
    ("output_m3_h", 36, "output", 0.01),
    ("screed_m2_h", 180, "screed", 0.05),
    ("wind_km_h", 36, "wind", 10.0),
    ("front_speed_m_min", 1.5, "front_speed", 0.025),
    ("depth_mm", 140, "depth", 0.14),
    ("travel_min", 25, "travel", 1500.0),
    ("shift_h", 8, "shift", 28_800.0),
    ("curing_days", 7, "curing", 604_800.0),
    ("strength_MPa", 30, "strength", 30e6),
    ("modulus_GPa", 210, "modulus", 210e9),
    ("inertia_cm4", 1, "inertia", 1e-8),
    ("air_C", 19, "air", 19),
    ("activation_K", 5000, "activation", 5000),
    ("length_y_m", 18, "length_y", 18),
    ("load_m3", 8, "load", 8),
    ("trucks", 6, "trucks", 6),
    ("output_loss_per_100m", 0.1, "output_loss_per_100m", 0.1),
]


@pytest.mark.parametrize(("key", "written", "name", "inside"), BY_HAND)
def test_a_value_becomes_si_and_its_key_loses_the_unit(key, written, name, inside):
    assert to_si({key: written}) == {name: pytest.approx(inside, rel=1e-12)}


def test_lists_and_distributions_are_converted_too_and_words_are_not():
    got = to_si(
        {
            "widths_mm": [100, 250.0],
            "corners_mm": [[1000, 2000]],
            "travel_min": Distribution("triangular", (10.0, 20.0, 40.0)),
            "opens_min": None,
            "name_mm": "a word",
            "spans_m": [3.0],
        }
    )
    assert got["widths"] == pytest.approx((0.1, 0.25))
    assert got["corners"] == ((1.0, 2.0),)
    assert got["travel"].parameters == (600.0, 1200.0, 2400.0)
    assert got["opens"] is None
    assert got["name"] == "a word"
    assert got["spans"] == (3.0,)
    assert to_si({"gate_min": fixed(2.0)})["gate"] == fixed(120.0)


def test_a_longer_ending_stands_before_a_shorter_one_that_it_contains():
    endings = [ending for ending, _, _ in UNITS]
    for at, ending in enumerate(endings):
        assert not any(ending.endswith(earlier) for earlier in endings[:at]), ending


# Keys of a plan that are those of its first front.
FRONT = {"pump", "crew", "spacing", "start", "bays", "set_ups", "plants"}
# Keys that the model holds as a value of another kind: a limit in the file is a rule of its own.
OLDER = {"activation", "relaxation"}
DELIVERY = {"delivery_rule", "least_delivered", "most_delivered", "outside_delivery", "delivery"}
# The kind of concrete is a weight in the model.
ELSEWHERE = ({"given"}, {"age_limit"}, {"concrete"}, OLDER | DELIVERY)
PAIRS = [
    (deck.DeckTable, model.Deck, set()),
    (deck.SlabTable, model.Slab, {"concrete"}),
    (deck.DesignedFor, model.DesignedFor, set()),
    (deck.LoadsTable, model.Loads, set()),
    (deck.PropsTable, model.Props, set()),
    (concrete.MixTable, model.Mix, OLDER | DELIVERY),
    (
        concrete.Hour,
        model.Weather,
        {
            *("air_shift", "humidity_shift", "wind_factor", "rain"),
            *("sky_loss", "wind_below_share"),
        },
    ),
    (concrete.Rain, model.Rain, set()),
    (concrete.FinishingTable, model.Finishing, set()),
    (concrete.MeasuresTable, model.Measures, set()),
    (concrete.CuringTable, model.Curing, set()),
    (file.LimitsTable, model.Limits, set()),
    (deck.Stack, model.Stack, set()),
    (site.PlantTable, model.Plant, set()),
    (site.SupplyTable, model.Supply, {"age_limit"}),
    (site.RushHour, model.RushHour, set()),
    (site.SetUpTable, model.SetUp, set()),
    (site.RolesTable, model.Roles, set()),
    (site.StageTable, model.Stage, set()),
    (site.FrontTable, model.FrontPlan, set()),
    (site.UpsetsTable, UpsetRates, {"given"}),
    (site.Break, model.Break, set()),
    (site.SiteTable, model.Site, set()),
    (call_off_tables.CallOffTable, call_off.CallOff, set()),
    (site.PumpTable, model.Pump, {"name"}),
    (site.CrewTable, model.Crew, {"name"}),
    (file.PricesTable, model.Prices, set()),
    (site.PlanTable, model.Plan, FRONT),
]


@pytest.mark.parametrize(("table", "value", "more"), PAIRS)
def test_keys_without_their_units_are_the_fields_of_the_model(table, value, more):
    names = {key.removesuffix(ending_of(key)[0]) for key in table.model_fields}
    fields = {field.name for field in dataclasses.fields(value)}
    assert names ^ more == fields if more in (FRONT, *ELSEWHERE) else names | more == fields
