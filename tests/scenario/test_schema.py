"""The schema of a scenario file beside what the program reads: whole files, tables, presets."""

from __future__ import annotations

import copy
import json
import tomllib

import pytest
from builders.places import SCENARIOS
from builders.scenario_text import NUMBERS, VALID, as_toml, changed, every_table
from builders.two_readers import KEYS, MODELS, SCHEMA, at, faults_of, names, place_of, refused, told
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from pourday.scenario.base.allowed import describe
from pourday.scenario.base.distribution import PARAMETERS
from pourday.scenario.presets import KIND_OF, preset_names, weather_samples
from pourday.scenario.read import parse_scenario
from pourday.scenario.reference import FILE, key_lines
from pourday.scenario.tables.file import NAMED, PLAIN_KEYS, TABLES
from pourday.scenario.us_keys import twins_of


def test_the_schema_is_one_by_its_own_rules():
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(SCHEMA, allow_nan=False)) == SCHEMA


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_scenario_is_valid(path):
    assert refused(path.read_text("utf-8")) == []


@pytest.mark.parametrize("text", [VALID, as_toml(every_table())], ids=["valid", "every table"])
def test_the_files_that_these_tests_begin_with_are_taken_by_both(text):
    assert faults_of(text) == ()
    assert refused(text) == []


def test_every_table_stands_in_the_file_that_has_one_of_each():
    values = every_table()
    assert {path for path in MODELS if isinstance(at(values, place_of(path)), dict)} == {*MODELS}
    assert tomllib.loads(as_toml(values)) == values


@settings(max_examples=150)
@given(st.integers(0, len(NUMBERS) - 1), st.floats(0.3, 3.0))
def test_what_the_program_takes_the_schema_takes(which, factor):
    here = NUMBERS[which]
    number = float(here[0]) * factor if "." in here[0] else round(int(here[0]) * factor)
    text = VALID[: here.start()] + repr(number) + VALID[here.end() :]
    if not faults_of(text):
        assert refused(text) == []


@pytest.mark.parametrize(
    "junk", ['"x"', "nan", "inf", "true", "{ a = 1 }", '[[["x"]]]', "1" + "0" * 400, "06:30:00"]
)
def test_junk_in_place_of_any_number_is_refused_by_the_schema_too(junk):
    for here in NUMBERS[::3]:
        assert refused(VALID[: here.start()] + junk + VALID[here.end() :]), here


@pytest.mark.parametrize("path", MODELS)
def test_a_key_without_a_default_must_be_there_and_all_others_may_be_left_out(path):
    model, home = MODELS[path], place_of(path)
    needed = needed_of(path) - {"hours"}  # of weather, which has a rule of its own
    for left_out in [{key} for key in needed] + [set(model.model_fields) - needed_of(path)]:
        values = every_table()
        for key in left_out:
            at(values, home).pop(key, None)
        text = as_toml(values)
        missing = {
            key
            for fault in faults_of(text)
            for key in model.model_fields
            if names(fault, (*home, key)) and fault.allowed == describe(model, (key,))
        }
        assert missing == (left_out & needed)
        assert refused(text) == ([(home, "required")] if missing else [])


def needed_of(path: str) -> set[str]:
    return {key for key, field in MODELS[path].model_fields.items() if field.is_required()}


@pytest.mark.parametrize("key", [*PLAIN_KEYS, *TABLES, *NAMED, "plan"])
def test_a_table_must_be_there_for_both_or_for_neither(key):
    values = every_table()
    del values[key]
    needed = key in ("date", *NAMED, "plan") or (key in TABLES and TABLES[key][1])
    text = as_toml(values)
    assert any(fault.path == key for fault in faults_of(text)) is needed
    assert refused(text) == ([((), "required")] if needed else [])


@pytest.mark.parametrize(("key", "empty"), [("pumps", {}), ("crews", {}), ("plan", [])])
def test_there_is_at_least_one_pump_crew_and_plan(key, empty):
    text = as_toml(every_table() | {key: empty})
    assert any(fault.path == key for fault in faults_of(text))
    assert [place for place, _ in refused(text)] == [(key,)]


def test_unknown_keys_are_refused_by_both_in_every_table():
    values = every_table() | {"zebra": 1}
    places = [place_of(path) for path in MODELS]
    for place in places:
        at(values, place)["zebra"] = 1
    text = as_toml(values)
    refusing = {fault.path.partition(" (")[0] for fault in faults_of(text)}
    assert refusing == {"zebra", *(told((*place, "zebra")) for place in places)}
    assert sorted(map(str, refused(text))) == sorted(
        str((place, "additionalProperties")) for place in [(), *places]
    )


@pytest.mark.parametrize("kind", PARAMETERS)
def test_a_distribution_takes_its_own_keys_and_no_others(kind):
    inside = {"mean": 12, "sd": 1, "low": 10, "mode": 12, "high": 14, "values": [12]}
    needed, optional = PARAMETERS[kind]
    own = {"dist": kind} | {key: inside[key] for key in needed}
    tries = [(own, True), ({}, False), ({"dist": "zebra"}, False), ({**own, "dist": 1}, False)]
    tries += [({k: v for k, v in own.items() if k != key}, False) for key in own]
    tries += [
        (own | {key: inside[key]}, key in needed + optional) for key in inside if key not in own
    ]
    tries += [(own | {key: "12"}, False) for key in needed]
    for spacing, taken in tries:
        values = every_table()
        values["plan"][0]["spacing_min"] = spacing
        text = as_toml(values)
        assert bool(faults_of(text)) is not taken, spacing
        assert bool(refused(text)) is not taken, spacing


@pytest.mark.parametrize("table", KIND_OF)
def test_a_preset_gives_what_would_have_to_be_there(table):
    path = {"pumps": "pumps.own_line", "crews": "crews.four"}.get(table, table)
    place = tuple(path.split("."))
    for name in preset_names(KIND_OF[table]):
        values = every_table()
        at(values, place[:-1])[place[-1]] = {"preset": name}
        assert refused(as_toml(values)) == []
        assert faults_of(as_toml(values)) == ()
    for bare, rule in (({}, "required"), ({"preset": "zebra"}, "enum"), ({"preset": 3}, "enum")):
        values = every_table()
        at(values, place[:-1])[place[-1]] = bare
        faults = faults_of(as_toml(values))
        assert {fault.path.removeprefix(path) for fault in faults} == (
            {".preset"} if bare else {f".{key}" for key in needed_of(table)}
        )
        found = {each for _, each in refused(as_toml(values))}
        # [finishing] may be left empty: every key of it has a default.
        assert found == ({rule} if bare or needed_of(table) else set())


def test_a_key_beside_a_preset_has_its_limits_still():
    text = changed(("line_length_m = 36", "line_length_m = 3600"))
    assert [fault.path for fault in faults_of(text)] == ["pumps.boom.line_length_m"]
    assert refused(text) == [(("pumps", "boom", "line_length_m"), "maximum")]


HOURS = {"hours": every_table()["weather"]["hours"]}
CSV = {"csv": str(SCENARIOS / "no_such_file.csv")}


@pytest.mark.parametrize(
    ("rows", "rules"),
    [
        (HOURS, set()), *(({"sample": name}, set()) for name in weather_samples()),
        ({}, {"oneOf"}), (HOURS | CSV, {"oneOf"}), (HOURS | {"sample": "mild"}, {"oneOf"}),
        ({"sample": "zebra"}, {"enum"}), ({"sample": 3}, {"enum"}), ({"csv": 3}, {"type"}),
    ],
)  # fmt: skip
def test_rows_of_weather_come_from_one_place(rows, rules):
    text = as_toml(every_table() | {"weather": rows})
    assert bool(faults_of(text)) is bool(rules)
    assert {rule for _, rule in refused(text)} == rules
    assert {place[0] for place, _ in refused(text)} == ({"weather"} if rules else set())


def test_whether_a_csv_of_weather_is_there_is_not_for_the_schema_to_say():
    text = as_toml(every_table() | {"weather": CSV})
    assert refused(text) == []
    assert [fault.found for fault in faults_of(text)] == ["no such file"]


@pytest.mark.parametrize(
    ("written", "taken"),
    [
        ("2000-01-01", True), ("2199-12-31", True), ('"2026-05-04"', True), ("2028-02-29", True),
        ("1999-12-31", False), ("2200-01-01", False), ('"2026-02-30"', False),
        ('"2026-13-01"', False), ('"4 May 2026"', False), ("20260504", False), ("07:00:00", False),
        ("2026-05-04T07:00:00", False), ("2026-05-04T07:00:00Z", False), ("true", False),
    ],
)  # fmt: skip
def test_a_date_is_a_day_of_these_two_centuries_without_a_time(written, taken):
    text = changed(("date = 2026-05-04", f"date = {written}"))
    assert bool(faults_of(text)) is not taken
    assert bool(refused(text)) is not taken


@pytest.mark.parametrize(
    ("swap", "faults", "errors"),
    [
        # JSON has no dates, and 6.0 is a whole number there: the schema cannot see these.
        (("title = ", "title = 2026-05-04 # "), ["title"], []),
        (("trucks = 6", "trucks = 6.0"), ["supply.plants[1].trucks"], []),
        # The schema takes a date in the form that messages ask for, the program in any of ISO 8601.
        (("date = 2026-05-04", 'date = "20260504"'), [], [("date",), ("date",)]),
    ],
)
def test_where_the_two_readers_differ(swap, faults, errors):
    text = changed(swap)
    assert [fault.path for fault in faults_of(text)] == faults
    assert [place for place, _ in refused(text)] == errors


INSTEAD = "instead of"


def test_every_key_is_described_by_its_sentence():
    for line in key_lines():
        home = SCHEMA if line.table == FILE else SCHEMA["$defs"][line.table]
        assert home["properties"][line.key]["description"] == line.meaning
    for path, model in MODELS.items():
        table = SCHEMA["$defs"][path]
        twins = twins_of(model)
        assert list(table["properties"]) == [*model.model_fields, *twins]
        for key, twin in twins.items():
            said, own = (table["properties"][k]["description"] for k in (key, twin.metric))
            assert said == f"{own}; {INSTEAD} {twin.metric}"
        assert 10 < len(table["description"]) < 120
    assert SCHEMA["$defs"]["floor.openings"]["title"] == "[[floor.openings]]"


def test_a_default_written_out_changes_nothing():
    values = every_table()
    places = [(path, place_of(path)) for path in MODELS]
    places += [("plan", ("plan", 1)), ("supply.plants", ("supply", "plants", 1))]
    contradicting = ("cut",)  # goes with a listed order only, even as its default
    written = 0
    for path, place in places:
        table = at(values, place)
        for key, schema in SCHEMA["$defs"][path]["properties"].items():
            if "default" in schema and key not in table and key not in contradicting:
                table[key] = copy.deepcopy(schema["default"])
                written += 1
    assert written > 100
    text = as_toml(values)
    assert refused(text) == []
    assert parse_scenario(text) == parse_scenario(as_toml(every_table()))
    optional = {
        (path, key)
        for path, key in KEYS
        if not MODELS[path].model_fields[key].is_required()
        and MODELS[path].model_fields[key].get_default(call_default_factory=True) is not None
    }
    assert optional == {k for k in KEYS if "default" in SCHEMA["$defs"][k[0]]["properties"][k[1]]}
