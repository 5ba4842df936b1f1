"""US keys in scenario files: the same floor, in words that a US planner wrote.

Factors are checked against ``scipy.constants`` (CODATA and NIST SP 811), not against the table.
"""

from __future__ import annotations

import dataclasses
import math
import tomllib
from typing import Any

import pytest
import scipy.constants as c
from builders.places import SCENARIOS
from builders.scenario_text import as_toml, every_table
from builders.two_readers import MODELS, at, faults_of, place_of, refused

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.base.units import UNITS, ending_of
from pourday.scenario.base.us_units import TWINS, twin_of
from pourday.scenario.read import parse_scenario, read_scenario
from pourday.scenario.reference import key_lines
from pourday.scenario.tables.file import LISTED, NAMED, TABLES
from pourday.scenario.us_keys import _inner, twins_of

BOTH_USE = {"_per_person_h", "_per_min", "_per_h", "_rpm", "_min", "_days", "_h", "_K"}
FT2_H = c.foot**2 * c.hour
# Metric ending: one US unit in SI by scipy.constants.
BY_SCIPY = {
    "_kNm2_per_m": 1000 * c.pound_force * c.inch**2 / c.foot,
    "_kNm_per_m": 1000 * c.pound_force,
    "_kN_per_m": c.pound_force / c.foot,
    "_m3_per_m2": c.foot,
    "_per_m3_h": 1 / c.yard**3 / c.hour,
    "_per_m2": 1 / c.foot**2,
    "_m3_per_m": c.foot**2,
    "_m2K_W": FT2_H * c.degree_Fahrenheit / c.Btu,
    "_kg_m2_h": c.pound / c.foot**2,  # as the metric one, an hour
    "_min_per_m": c.minute / c.foot,
    "_per_m3": 1 / c.yard**3,
    "_per_C": 1 / c.degree_Fahrenheit,
    "_per_m": 1 / c.foot,
    "_W_m2": c.Btu / FT2_H,
    "_kN_m2": c.pound_force / c.foot**2,
    "_kg_m2": c.pound / c.foot**2,
    "_kN_m3": c.pound_force / c.foot**3,
    "_kN_m": c.pound_force / c.foot,
    "_mm_h": c.inch / c.hour,
    "_m3_h": c.yard**3 / c.hour,
    "_m2_h": c.foot**2 / c.hour,
    "_km_h": c.mph,
    "_m_min": c.foot / c.minute,
    "_cm4": c.inch**4,
    "_GPa": 1000 * c.psi,
    "_MPa": c.psi,
    "_kN": c.pound_force,
    "_kg_m3": c.pound / c.yard**3,
    "_m3": c.yard**3,
    "_mm": c.inch,
    "_m_h": c.foot / c.hour,
    "_C": c.degree_Fahrenheit,
    "_m": c.foot,
}


@pytest.mark.parametrize(("ending", "_", "si"), UNITS)
def test_every_unit_has_its_twin_with_the_factor_of_another_library(ending, _, si):
    assert (ending in TWINS) is (ending not in BOTH_USE)
    if ending in TWINS:
        assert TWINS[ending][2] * si == pytest.approx(BY_SCIPY[ending], rel=1e-12)


def test_a_twin_is_never_a_key_of_its_own_and_no_two_are_alike():
    for model in MODELS.values():
        twins = [twin_of(key) for key in model.model_fields]
        names = [twin.key for twin in twins if twin is not None]
        assert len(set(names)) == len(names)
        assert not set(names) & set(model.model_fields)


@pytest.mark.parametrize(("key", "us", "metric"), [
    ("delivered_C", 32, 0), ("delivered_C", 212, 100), ("air_C", -40, -40),
    ("air_C", 80, 26 + 2 / 3), ("air_shift_C", 9, 5), ("cooler_C", 9, 5), ("warmer_C", 18, 10),
    ("heat_loss_share_per_C", 1, 1.8), ("strength_MPa", 4000, 27.579029),
    ("load_m3", 10, 7.64554858), ("spans_m", [10, 12], [3.048, 3.6576]),
])  # fmt: skip
def test_values_a_planner_knows(key, us, metric):
    assert twin_of(key).to_metric(us) == pytest.approx(metric, rel=1e-8)


def test_a_spread_has_no_32_in_it():
    twin = twin_of("delivered_C")
    written = {"dist": "normal", "mean": 68, "sd": 9, "low": 50, "high": 86}
    assert twin.to_metric(written) == {"dist": "normal", "mean": 20, "sd": 5, "low": 10, "high": 30}


def in_us(raw: dict[str, Any]) -> dict[str, Any]:
    """A file with every key that has a twin written as that."""
    out = dict(raw)
    models = {key: model for key, (model, _) in TABLES.items()} | LISTED
    for key, value in raw.items():
        if key in models:
            out[key] = us_table(value, models[key])
        elif key in NAMED:
            out[key] = {name: us_table(each, NAMED[key]) for name, each in value.items()}
    return out


def us_table(raw: Any, model: Any) -> Any:
    if isinstance(raw, list):
        return [us_table(each, model) for each in raw]
    inner = dict(_inner(model))
    out = {}
    for key, value in raw.items():
        twin = twin_of(key)
        if key in inner:
            out[key] = us_table(value, inner[key])
        elif twin is None:
            out[key] = value
        else:
            out[twin.key] = us_value(value, twin)
    return out


def us_value(value: Any, twin: Any) -> Any:
    if isinstance(value, dict):
        zero = {"sd": twin.zero}
        return {
            k: v if k == "dist" else us_value(v, twin) if k == "values" else
            twin.from_metric(v) - zero.get(k, 0.0)
            for k, v in value.items()
        }  # fmt: skip
    if isinstance(value, list):
        return [us_value(each, twin) for each in value]
    return value if isinstance(value, bool | str) else twin.from_metric(value)


def same(one: Any, other: Any, where: str = "") -> None:
    """Fails at the first number of two values that differs by more than 1e-9 of itself."""
    assert type(one) is type(other) or isinstance(one, int | float), where
    if dataclasses.is_dataclass(one):
        for field in dataclasses.fields(one):
            same(getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}")
    elif isinstance(one, dict):
        assert list(one) == list(other), where
        for key in one:
            same(one[key], other[key], f"{where}.{key}")
    elif isinstance(one, tuple | list):
        assert len(one) == len(other), where
        for number, pair in enumerate(zip(one, other, strict=True)):
            same(*pair, f"{where}[{number}]")
    elif isinstance(one, float):
        assert math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12) or one is other, where
    else:
        assert one == other, where


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_a_shipped_file_wholly_in_us_keys_is_the_same_scenario(path):
    text = as_toml(in_us(tomllib.loads(path.read_text("utf-8"))))
    assert "_ft" in text
    assert not [key for key in ("depth_mm", "load_m3", "length_y_m") if key in text]
    again, _ = parse_scenario(text, path.stem)
    same(read_scenario(path)[0], again)
    assert refused(text) == []


def test_the_file_with_one_of_every_table_too():
    values = every_table()
    same(parse_scenario(as_toml(values))[0], parse_scenario(as_toml(in_us(values)))[0])


def test_the_same_day_comes_of_both():
    from pourday.study.days import one_day
    from pourday.study.prepare import prepare

    path = SCENARIOS / "clinic_level_1.toml"
    theirs, _ = parse_scenario(as_toml(in_us(tomllib.loads(path.read_text("utf-8")))))
    ours = read_scenario(path)[0]
    one, other = (one_day(prepare(s, s.plans[:1])[0], 3) for s in (ours, theirs))
    assert one.cost.total == pytest.approx(other.cost.total, rel=1e-6)
    assert one.strip_end == pytest.approx(other.strip_end, abs=0.01)


def written(table: str, swaps: dict[str, Any]) -> str:
    """The file with one of every table, keys of one table taken out (None) or put in."""
    values = every_table()
    home = at(values, place_of(table))
    for key, value in swaps.items():
        if value is None:
            del home[key]
        else:
            home[key] = value
    return as_toml(values)


@pytest.mark.parametrize(("table", "swaps", "said"), [
    ("slab", {"depth_in": 5.5},
     "slab.depth_in: both given: depth_mm and depth_in; keep one of them"),
    ("slab", {"depth_mm": None, "depth_in": 55},
     "slab.depth_in: found 55; allowed: a number from 2.3622 to 19.685, in inches"),
    ("slab", {"depth_mm": None, "depth_in": "5"},
     "slab.depth_in: found \"5\"; allowed: a number from 2.3622 to 19.685, in inches; write the"
     " number without quotes"),
    ("slab", {"depth_mm": None, "dept_in": 5.5},
     "slab.dept_in: no key of that name; did you mean \"depth_in\"?"),
    ("floor", {"spans_m": None, "spans_ft": [10, 400]},
     "floor.spans_ft[2]: found 400; allowed: a number, more than 0.98425 and up to 39.37, in ft"),
    ("floor", {"primary_beams_y_m": None, "primary_beams_y_ft": [0.0, 29.5, 500]},
     "floor.primary_beams_y_ft[3]: found 500; allowed: 0 to 59.055, inside the floor, in ft"),
    ("mix", {"delivered_F": {"dist": "normal", "mean": 20, "sd": 3}},
     "mix.delivered_F: found a table with dist, mean, sd; allowed: a number from 33.8 to 113, or a"
     " distribution that stays within it, in °F; mean must lie between low and high (here 33.8 and"
     " 113)"),
])  # fmt: skip
def test_messages_speak_of_the_key_that_was_written(table, swaps, said):
    assert said in [fault.text for fault in faults_of(written(table, swaps))]
    assert refused(written(table, swaps)) or "inside the floor" in said


def test_a_file_in_us_keys_hears_of_the_twin_of_what_is_missing():
    values = in_us(every_table())
    del values["slab"]["depth_in"]
    with pytest.raises(ScenarioError) as told:
        parse_scenario(as_toml(values))
    assert [fault.advice for fault in told.value.faults] == ["or depth_in"]


def test_weather_from_a_file_in_us_columns(tmp_path):
    (tmp_path / "us.csv").write_text(
        "time,air_F,humidity,wind_mph\n06:00,50,0.8,10\n12:00,68,0.5,5\n"
    )
    text = as_toml(every_table() | {"weather": {"csv": "us.csv"}})
    weather = parse_scenario(text, folder=tmp_path)[0].weather
    assert weather.air == pytest.approx((10, 20))
    assert weather.wind == pytest.approx((10 * c.mph, 5 * c.mph))
    (tmp_path / "us.csv").write_text("time,air_F,humidity,wind_mph\n06:00,500,0.8,10\n")
    with pytest.raises(
        ScenarioError, match='line 2 air_F: found "500"; allowed: -40 to 131, in °F'
    ):
        parse_scenario(text, folder=tmp_path)


def test_the_reference_lists_the_twins_in_their_unit():
    ours, theirs = key_lines(), key_lines(us=True)
    by_us = {(line.table, line.key): line for line in theirs}
    assert len(ours) == len(theirs)
    assert by_us["slab", "depth_in"].allowed == "a number from 2.3622 to 19.685"
    assert by_us["mix", "delivered_F"].default == "68"
    assert by_us["mix", "slump_in"].default == "5.1181"
    for line in theirs:
        assert (
            line.key in MODELS[line.table].model_fields
            or (line.key in twins_of(MODELS[line.table]))
            if line.table in MODELS
            else True
        )
        assert ending_of(line.key)[0] not in TWINS or ending_of(line.key)[0] == "", line
